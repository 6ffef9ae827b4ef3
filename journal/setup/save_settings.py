"""The save of the settings, and the change that a save would make.

journal.toml is written as pages are (`folder/writing.py`, key `settings`): spliced, merged by key, refused if it would
have a new problem.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import msgspec

from journal.errors import JournalError, UsageError, WriteError
from journal.folder import writing
from journal.folder.page_versions import SETTINGS
from journal.folder.writing import Conflict
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues, Trouble
from journal.saving.save_pages import ChangeSet, PagesSave, PageWrite, SaveResult
from journal.setup import changed_lines, settings_form, what_hangs
from journal.setup.changed_lines import ChangedLine
from journal.setup.entered_settings import EnteredSettings, Hanging

if TYPE_CHECKING:
    from journal import Journal


class SettingsChange(msgspec.Struct, frozen=True, kw_only=True):
    """The change that a save would make: the lines of journal.toml, with those around them, or why there is none.

    `is_stale` is true if it clashes with a change made elsewhere.
    """

    lines: list[ChangedLine]
    problems: list[Trouble]
    is_stale: bool = False


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Save the settings: {"base" of the offer, "singles": {name: control}, "lists": {name: [{"ref", "values"}]},
    "strips": {day: {category: [span]}}, "removed": {name: [key]}}.

    Omitted fields, lists and strips stay unchanged. "removed" are keys that may go although pages use them.

    >>> import journal, pathlib, tempfile
    >>> from journal.setup.settings_form import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 16, 21, 4, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine"  # and thread')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 16))
    >>> save(book, {"base": offer(book).base, "singles": {"title": "Thread"}}, now=now).said
    'Saved to journal.toml at 21:04.'
    >>> pathlib.Path(folder.name, "journal.toml").read_text()
    'title = "Thread"  # and thread'
    >>> folder.cleanup()
    """
    fields = FormValues()
    pages, changes = _submitted(book, raw, fields)
    if pages is None or fields.troubles:
        return SaveResult(saved=False, problems=fields.troubles)
    try:
        # Rehearsed once more than a page: its problems are those of fields, not of a file.
        writing.save(book.folder, SETTINGS, pages.base(SETTINGS), changes, now=now, rehearse=True, files=book.files)
    except WriteError as error:
        return SaveResult(saved=False, problems=_troubles(error))
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    return PagesSave(book.files, pages, raw, field=_field, now=now, by="settings").save([PageWrite(SETTINGS, changes)])


def change(book: Journal, raw: object, *, now: dt.datetime) -> SettingsChange:
    """Return the change that `save` would make, without making it."""
    fields = FormValues()
    pages, changes = _submitted(book, raw, fields)
    if pages is None or fields.troubles:
        return SettingsChange(lines=[], problems=fields.troubles)
    try:
        result = writing.save(
            book.folder, SETTINGS, pages.base(SETTINGS), changes, now=now, rehearse=True, files=book.files
        )
    except WriteError as error:
        return SettingsChange(lines=[], problems=_troubles(error))
    if isinstance(result, Conflict):
        return SettingsChange(lines=[], problems=[], is_stale=True)
    before = book.files.pages.current(SETTINGS)
    return SettingsChange(lines=changed_lines.between(before.text, result.base.text), problems=[])


def _submitted(book: Journal, raw: object, fields: FormValues) -> tuple[Pages | None, ChangeSet]:
    """Return the version that the form was begun from, and the changes to it."""
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no settings; open the page anew"))
        pages = Pages(base_pages.submitted(raw.get("base"), book.files.pages), book.files.pages.current)
        values = pages.base(SETTINGS).values
        return pages, EnteredSettings(raw, values, _hanging(book), fields).changes()
    except JournalError as error:
        fields.report("", f"{error}.")
        return None, {}


def _hanging(book: Journal) -> Hanging:
    days = what_hangs.days_of(book)
    return {name: {key: what_hangs.sentence(name, key, days) for key in by_key} for name, by_key in days.items()}


def _troubles(error: WriteError) -> list[Trouble]:
    if not error.problems:
        return [Trouble("", f"{error}.")]
    return [settings_form.problem_at(problem) for problem in error.problems]


def _field(_key: str, path: Sequence[str | int]) -> str:
    return ".".join(map(str, path))
