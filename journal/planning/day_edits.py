"""Edits of a day's page: each is small, saved as it is made, and can be undone.

An edit is a change set against the pages that its window shows. What an editor or another window did meanwhile is kept;
where both changed the same value, nothing is written and both are shown. Undoing gives a page the bytes that it had
before the edit, or merges the way back if the page has changed since.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import msgspec

from journal.errors import JournalError, UsageError
from journal.language.catalogue import _
from journal.planning import day_changes, day_offer, task_changes
from journal.planning.edit_context import EditContext
from journal.saving import base_pages, take_back
from journal.saving.base_pages import Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import PagesSave, SaveResult

if TYPE_CHECKING:
    from journal import Journal

DayEdit = Callable[[Mapping[str, Any], EditContext], str]

_EDITS: dict[str, DayEdit] = {
    "habit": day_changes.habit,
    "challenge": day_changes.challenge,
    "line": day_changes.line,
    "quote": day_changes.quote,
    "appointment": day_changes.appointment,
    "fields": day_changes.fields,
    "place": day_changes.place,
    "hours": day_changes.hours,
    "task": task_changes.change,
    "add task": task_changes.add,
    "add undated": task_changes.add_undated,
    "take in": task_changes.take_in,
    "move": task_changes.move,
    "put away": task_changes.put_away,
}


class EditResult(msgspec.Struct, frozen=True, kw_only=True):
    """The result of an edit: that of its save, what was done in words, and what undoes it.

    `undo` is empty if nothing was written.
    """

    answer: SaveResult
    did: str = ""
    undo: str = ""


def save(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Save one edit.

    `raw` is {"base" and "day" of the offer, "edit": {"what": one of the edits, and its values}, "resolve"}.

    >>> import journal, pathlib, tempfile
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 13, 12, 4, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> page = day_offer.offer(book, book.today, now)
    >>> note = {"what": "line", "list": "notes", "text": "Ask about the grey thread."}
    >>> saved = save(book, {"base": page.base, "day": page.day, "edit": note}, now=now)
    >>> saved.answer.said, saved.did
    ('Saved to 2025/2025-03-13.toml at 12:04.', 'Note: Ask about the grey thread.')
    >>> undo(book, {"undo": saved.undo}, now=now).answer.said
    'Taken back. 2025/2025-03-13.toml as before.'
    >>> folder.cleanup()
    """
    try:
        edit, context = _begun(book, raw)
        handler = _EDITS.get(str(edit.get("what")))
        if handler is None:
            raise UsageError(_("there is no such edit; open the page anew"))
        did = handler(edit, context)
        troubles = context.fields.troubles
    except JournalError as error:
        return EditResult(answer=SaveResult(saved=False, problems=[Trouble("", f"{error}.")]))
    if troubles:
        return EditResult(answer=SaveResult(saved=False, problems=troubles))
    saving = PagesSave(book.files, context.pages, raw, field=_field, now=now, by="day")
    answer = saving.save(context.steps.in_order())
    return EditResult(answer=msgspec.structs.replace(answer, undo=""), did=did, undo=answer.undo)


def _begun(book: Journal, raw: object) -> tuple[Mapping[str, Any], EditContext]:
    """Return the edit, and what it works with. Raises UsageError for input that no page sends."""
    if not isinstance(raw, Mapping) or not isinstance(raw.get("edit"), Mapping):
        raise UsageError(_("what was entered is no edit; open the page anew"))
    day = parse_day(raw.get("day"))
    bases = base_pages.submitted(raw.get("base"), book.files.pages)
    if tuple(base.key for base in bases) != day_offer.keys(day):
        raise UsageError(_("what was entered is of another day than the page it was begun from; open the page anew"))
    pages = Pages(bases, book.files.pages.current)
    source = str(raw["edit"].get("ref")).partition("/")[0]
    if raw["edit"].get("what") == "take in" and source != bases[1].key:
        pages.base(parse_day(source).isoformat())
    return raw["edit"], EditContext(book, day, pages)


def parse_day(text: object) -> dt.date:
    """Return the day of a page. Raises UsageError for an invalid date, or one of a year that no page can have."""
    try:
        day = dt.date.fromisoformat(str(text))
    except ValueError:
        raise UsageError(_('there is no day "{typed}"; choose one from the calendar', typed=text)) from None
    return base_pages.reachable(day)


def _field(_key: str, path: Sequence[str | int]) -> str:
    return ".".join(map(str, path))


def undo(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Undo an edit. `raw` is {"undo": that of its result, "resolve"}.

    The pages go back in the opposite order, so a task that was moved is on its first page again before the other one
    loses it. A page that the edit made is removed, unless something else is on it by now.
    """
    if not isinstance(raw, Mapping):
        trouble = Trouble("", _("what was entered is no undo; open the page anew."))
        return EditResult(answer=SaveResult(saved=False, problems=[trouble]))
    return EditResult(answer=take_back.take_back(book, raw.get("undo"), now=now, by="day", raw=raw))
