"""Saving of a submitted evening: all of it, or nothing and the problem beside its field.

    read the form           fields and days are validated             -> problems
    compute the changes     page by page, in a safe order             -> problems
    rehearse every page     changes of others are kept; a clash       -> conflict
    write them in order     each page atomically

No answer loses entered text: the form keeps its content, and its base versions travel with it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from journal import periods
from journal.errors import JournalError
from journal.evening import carryover, form_read, page_changes, tomorrow
from journal.evening.form_read import Entered
from journal.evening.page_changes import PageWrites
from journal.evening.task_moves import Moves
from journal.folder.page_versions import UNDATED
from journal.saving import base_pages
from journal.saving.base_pages import DAY, Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import ChangeSet, PagesSave, PageWrite, SaveResult

if TYPE_CHECKING:
    from journal import Journal


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Write an evening. `raw` is the submitted JSON; `now` is the moment, with its time zone.

    >>> import journal, pathlib, tempfile
    >>> from journal.evening.form_build import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 13, 22, 4, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> page = offer(book, book.today)
    >>> save(book, {"base": page.base, "day": page.day, "mood": 4, "memory": "Sewn."}, now=now).said
    'Saved to 2025/2025-03-13.toml at 22:04.'
    >>> save(book, {"base": page.base, "day": page.day, "mood": 9}, now=now).problems[0].field
    'mood'
    >>> folder.cleanup()
    """
    try:
        entered, troubles = form_read.read(raw, book.files)
        if entered is None:
            return SaveResult(saved=False, problems=troubles)
        pages = Pages(entered.bases, book.files.pages.current)
        steps, troubles = _steps(book, entered, pages, now)
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    if troubles:
        return SaveResult(saved=False, problems=troubles)
    return PagesSave(book.files, pages, raw, field=_FormFieldOf(entered), now=now).save(steps)


def _steps(book: Journal, entered: Entered, pages: Pages, now: dt.datetime) -> tuple[list[PageWrite], list[Trouble]]:
    """Return the pages to write, in order, and the problems."""
    settings, known = book.settings, book.files.basis.known
    day, next_day = entered.day.isoformat(), (entered.day + DAY).isoformat()
    tasks = book.tables.tasks

    def later(task_id: str) -> list[str]:
        rows = tasks.filter(pl.col("id") == task_id, pl.col("date") > entered.day + DAY)
        return [date.isoformat() for date in rows.get_column("date")]

    steps = PageWrites(entered.day)
    moves = Moves(entered, pages, steps, in_use=carryover.ids_in_use(tasks, book.undated), later=later)
    moves.take()
    changes = page_changes.day_changes(entered, base_pages.entry(pages.base(day), known)[0], settings, today=book.today)
    steps.mark(day, changes)
    future_ticks = _future_ticks(changes, book.today)
    if entered.tomorrow is not None:
        entry = base_pages.entry(pages.base(next_day), known)[0]
        is_past = next_day < periods.day_of(now, settings).isoformat()
        strip, origin = tomorrow.strip(entry, settings, entered.day + DAY)
        not_planned = strip if is_past and origin != "page" else None
        changes = page_changes.next_day_changes(
            entered.tomorrow, entry, pages.base(next_day).values, not_planned=not_planned
        )
        steps.mark(next_day, changes)
    return steps.in_order(), [*moves.troubles, *future_ticks]


def _future_ticks(changes: ChangeSet, today: dt.date) -> list[Trouble]:
    """Return a problem for each tick with a future day, on which nothing can have been caught up on yet."""
    ticks = [(path, tick) for path, tick in changes.items() if path[0] == "challenges" and isinstance(tick, dt.date)]
    message = "{} is still to come; choose the day it was done on."
    return [Trouble(".".join(path), message.format(tick)) for path, tick in ticks if tick > today]


class _FormFieldOf:
    """Returns the form field of a path in a page; empty if the form has no such field."""

    def __init__(self, entered: Entered) -> None:
        self.entered = entered

    def __call__(self, key: str, path: Sequence[str | int]) -> str:
        day, next_day = self.entered.day.isoformat(), (self.entered.day + DAY).isoformat()
        parts = [str(part) for part in path]
        if key not in (day, next_day):
            return UNDATED if key == UNDATED else ""
        if parts[:1] == ["hours"]:
            parts = parts[1:]
        elif parts[:1] in (["tasks"], ["appointments"]) and len(parts) > 1:
            place = self._place(key, parts[0], parts[1])
            parts = [parts[0]] if place is None else [parts[0], str(place), *parts[2:]]
        return ".".join(parts if key == day else ["tomorrow", *parts])

    def _place(self, key: str, name: str, ref: str) -> int | None:
        """Return the row of a ref in the form."""
        rows: Any = self.entered.tasks if key == self.entered.day.isoformat() else None
        if rows is None and self.entered.tomorrow is not None:
            rows = getattr(self.entered.tomorrow, name)
        return next((row.position for row in rows or [] if row.ref == ref), None)
