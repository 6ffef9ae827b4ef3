"""The work of `duskbook history`: the states of pages, what each changed, and bringing one back."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click
import polars as pl

from journal import periods
from journal.commands import clock, print_frame, table_words, terminal_questions
from journal.commands.arguments import SETTINGS_FILE, journal_folder
from journal.commands.import_files import is_terminal
from journal.commands.terminal import one_line
from journal.commands.usage_errors import FINE, PROBLEMS, suggestion
from journal.errors import UsageError
from journal.folder import differences, discover, history, writing
from journal.folder.differences import PageChange
from journal.folder.history_records import PageState
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, UNDATED, Base
from journal.folder.writing import Conflict
from journal.language.catalogue import _, _n

LATEST = 20
"""How many pages are listed, those changed last."""

LONGEST_CELL = 100  # characters printed of what a state changed
KEYS = ("page", "saved", "by", "added", "removed", "number", "changes")
_SCHEMA: dict[str, pl.DataType] = {
    "page": pl.String(),
    "saved": pl.String(),
    "by": pl.String(),
    "added": pl.List(pl.String()),
    "removed": pl.List(pl.String()),
    "number": pl.Int64(),
    "changes": pl.List(pl.String()),
}
_NAME = re.compile(r"[0-9]{4}(-.*)?|undated|settings")


def arguments(folder: str | None, page: str | None) -> tuple[Path, str | None]:
    """The journal and the key of the page. A single argument that names a page and no folder is the page.

    Raises UsageError if there is no such page, FolderError as `journal_folder` does.
    """
    if page is None and folder is not None and _NAME.fullmatch(folder) and not (Path(folder) / SETTINGS_FILE).exists():
        folder, page = None, folder
    place = journal_folder(folder, "history")
    if page is None or page in (UNDATED, SETTINGS):
        return place, page
    try:
        return place, periods.parse_name(page).key
    except UsageError as error:
        if not page[:1].isdigit():
            remedy = suggestion(page, (UNDATED, SETTINGS, "2025-03-14"))
            raise UsageError(_('there is no page "{value}"; {remedy}', value=page, remedy=remedy)) from None
        raise UsageError(f"{error}") from None


def refuse_without_page(shown: int | None, wanted: int | None) -> None:
    """Raise UsageError if an option is given that needs a page."""
    if shown is not None or wanted is not None:
        option = f"--show {shown}" if shown is not None else f"--bring-back {wanted}"
        text = _('{option} needs a page; write e.g. "duskbook history my-journal 2025-03-14 {option}"')
        raise UsageError(text.format(option=option))


def refuse_both() -> None:
    """Raise UsageError: a state is either printed or brought back."""
    raise UsageError(_("--show and --bring-back do not go together; print the state first, then bring it back"))


def of_journal(folder: Path, form: str) -> str:
    """The last state of each of the pages that were changed last, as a table, JSON or CSV."""
    files = OpenedFiles(folder)
    changed = history.pages(folder)
    for file in discover.find(folder).pages:
        changed[file.key] = max(changed.get(file.key, 0), file.content_ns)
    latest = sorted(changed, key=lambda key: (changed[key], key), reverse=True)[:LATEST]
    rows = [row for key in latest for row in _rows(files, key)[:1]]
    return _printed(files, sorted(rows, key=lambda row: row["moment"], reverse=True), form, ("page", "saved", "by"))


def of_page(folder: Path, key: str, form: str) -> str:
    """Every state of a page, the newest first, as a table, JSON or CSV."""
    files = OpenedFiles(folder)
    rows = _rows(files, key)
    if not rows and form == "table":
        return _("No earlier state of {page} is kept.", page=key)
    return _printed(files, rows, form, ("number", "saved", "by"))


def text(folder: Path, key: str, number: int) -> str:
    """A state whole, line by line, with everything unprintable escaped."""
    state = _state(folder, key, number)[1]
    if state.data is None:
        return _("There was no page {page}.", page=key)
    lines = state.data.decode("utf-8", "backslashreplace").removesuffix("\n").split("\n")
    return "\n".join(one_line(line.removesuffix("\r").replace("\t", "    ")) for line in lines)


def bring_back(folder: Path, key: str, number: int, *, yes: bool) -> int:
    """Write a state as the page, after a yes. The page as it is now is kept as a state. Returns the exit code."""
    page, state = _state(folder, key, number)
    files = OpenedFiles(folder)
    changes = differences.between(key, page.data, state.data, files.basis.settings.habit_name)
    if not changes:
        click.echo(_("{page} is as it was then. Nothing is written.", page=page.path))
        return FINE
    click.echo(_headline(files, state, key, number))
    for change in changes:
        click.echo(f"  {one_line(change.words)}")
    if not yes and not is_terminal():
        click.echo(_("Nothing is written: there is no terminal to ask on. Add --yes to bring it back."))
        return FINE
    if not yes and not terminal_questions.agreed(_("Bring it back as {page}?", page=page.path)):
        click.echo(_("Nothing is written."))
        return FINE
    before = Base(key, page.path, state.data)
    result = writing.put_back(folder, before, page, now=clock.now(), by="history", files=files)
    if isinstance(result, Conflict):
        text = _("{page} was changed just now in the same place. Nothing is written; look at it again.")
        click.echo(text.format(page=page.path))
        return PROBLEMS
    told = [_("{page} is as in state {number}.", page=page.path, number=number)]
    told += [_("What was changed elsewhere meanwhile is kept.")] if result.base.data != state.data else []
    click.echo(" ".join([*told, _("The page that it replaces is kept as a state.")]))
    return FINE


def _headline(files: OpenedFiles, state: PageState, key: str, number: int) -> str:
    """Which state it is, and from when and whom."""
    text = _("State {number} of {page}, saved {moment} by {writer}. It changes:")
    if state.by == "elsewhere":
        text = _("State {number} of {page}, saved {moment} elsewhere. It changes:")
    elif state.by is None:
        text = _("State {number} of {page}, saved {moment}. It changes:")
    return text.format(
        number=number, page=key, moment=_moment(files, state), writer=table_words.cell("by", state.by or "")
    )


def _state(folder: Path, key: str, number: int) -> tuple[Base, PageState]:
    """The page as it is now, and its state of a number. Raises UsageError if there is no such state."""
    page = OpenedFiles(folder).pages.current(key)
    found = history.of_page(folder, page)
    if number > len(found):
        where = {"page": key, "folder": folder}
        if not found:
            raise UsageError(_('{page} has no state; "duskbook history {folder} {page}" lists them', **where))
        raise UsageError(
            _n(
                '{page} has {count} state; "duskbook history {folder} {page}" lists them',
                '{page} has {count} states; "duskbook history {folder} {page}" lists them',
                len(found),
                **where,
            )
        )
    return page, found[-number]


def _rows(files: OpenedFiles, key: str) -> list[dict[str, Any]]:
    """The states of a page as rows, the newest first."""
    found = history.of_page(files.folder, files.pages.current(key))
    name_of = files.basis.settings.habit_name
    rows = []
    for i, state in enumerate(found):
        before = found[i - 1].data if i else None
        changes = differences.between(key, before, state.data, name_of)
        rows.append(_row(files, key, state, len(found) - i, changes) | {"is_first": not i})
    return rows[::-1]


def _row(files: OpenedFiles, key: str, state: PageState, number: int, changes: Sequence[PageChange]) -> dict[str, Any]:
    return {
        "page": key,
        "moment": state.moment,
        "saved": _home(files, state.moment).isoformat(timespec="seconds"),
        "by": state.by,
        "added": [change.added for change in changes if change.added],
        "removed": [change.removed for change in changes if change.removed],
        "number": number,
        "changes": [change.words for change in changes],
    }


def _printed(files: OpenedFiles, rows: Sequence[dict[str, Any]], form: str, keys: tuple[str, ...]) -> str:
    frame = pl.DataFrame([{key: row[key] for key in KEYS} for row in rows], schema=_SCHEMA)
    if form == "json":
        return print_frame.as_text(frame, form, KEYS)
    joined = frame.with_columns(pl.col("added", "removed", "changes").list.join("; "))
    if form == "csv":
        return print_frame.as_text(joined, form, KEYS)
    if not rows:
        return _("No page has been changed yet.")
    saved = pl.Series("saved", [_home(files, row["moment"]).strftime("%Y-%m-%d %H:%M") for row in rows])
    cells = pl.Series("changes", [_cell(row) for row in rows])
    return print_frame.as_text(joined.with_columns(saved, cells), form, (*keys, "changes"))


def _cell(row: dict[str, Any]) -> str:
    """What a state changed, as far as a line has room."""
    changes = "; ".join(row["changes"])
    return _cut(_("first kept: {changes}", changes=changes) if row["is_first"] else changes)


def _cut(words: str) -> str:
    return words if len(words) <= LONGEST_CELL else words[: LONGEST_CELL - 1].rstrip() + "…"


def _moment(files: OpenedFiles, state: PageState) -> str:
    return _home(files, state.moment).strftime("%Y-%m-%d %H:%M")


def _home(files: OpenedFiles, moment: dt.datetime) -> dt.datetime:
    places = files.basis.settings.places
    return moment.astimezone(ZoneInfo(places[0].timezone)) if places else moment
