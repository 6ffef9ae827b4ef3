"""What was entered on an evening page, written: all of it, or nothing and the reason beside the field it is of.

    read the form          fields and days held to what a page may say     -> problems
    work out the changes   page by page, in a safe order                   -> problems
    rehearse every page    what others changed since is kept; a clash      -> conflict
    write them in order    each page whole, or as it was

Nothing typed is lost with any answer: the form keeps what it shows, and what it was begun from travels with it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from journal import periods
from journal.errors import JournalError
from journal.evening import base_pages, carryover, form_read, page_changes, tomorrow
from journal.evening.base_pages import DAY, Pages
from journal.evening.form_read import Entered
from journal.evening.form_values import Trouble
from journal.evening.page_changes import PageWrite, PageWrites
from journal.evening.save_pages import SaveResult, Together
from journal.evening.task_moves import Moves
from journal.folder.page_versions import UNDATED

if TYPE_CHECKING:
    from journal import Journal


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Write an evening. `raw` is what the page sends, as JSON gives it; `now` is the moment, with its time zone.

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
        found, troubles = form_read.read(raw, book.files)
        if found is None:
            return SaveResult(saved=False, problems=troubles)
        pages = Pages(found.bases, book.files.pages.current)
        steps, troubles = _steps(book, found, pages, now)
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    if troubles:
        return SaveResult(saved=False, problems=troubles)
    return Together(book.files, pages, raw, field=_FieldOf(found), now=now).save(steps)


def _steps(book: Journal, found: Entered, pages: Pages, now: dt.datetime) -> tuple[list[PageWrite], list[Trouble]]:
    """The pages to write, in order, and what cannot be done."""
    settings, known = book.settings, book.files.basis.known
    day, next_day = found.day.isoformat(), (found.day + DAY).isoformat()
    tasks = book.tables.tasks

    def later(own: str) -> list[str]:
        rows = tasks.filter(pl.col("id") == own, pl.col("date") > found.day + DAY)
        return [date.isoformat() for date in rows.get_column("date")]

    steps = PageWrites(found.day)
    moves = Moves(found, pages, steps, in_use=carryover.ids_in_use(tasks, book.undated), later=later)
    moves.take()
    made = page_changes.of_day(found, base_pages.entry(pages.base(day), known)[0], settings)
    steps.mark(day, made)
    ahead = _still_to_come(made, book.today)
    if found.tomorrow is not None:
        entry = base_pages.entry(pages.base(next_day), known)[0]
        is_past = next_day < periods.day_of(now, settings).isoformat()
        strip, origin = tomorrow.strip(entry, settings, found.day + DAY)
        alone = strip if is_past and origin != "page" else None
        made = page_changes.of_next_day(found.tomorrow, entry, pages.base(next_day).values, not_planned=alone)
        steps.mark(next_day, made)
    return steps.in_order(), [*moves.troubles, *ahead]


def _still_to_come(made: page_changes.ChangeSet, today: dt.date) -> list[Trouble]:
    """Ticks that are set to a day on which nothing can have been caught up on yet."""
    ahead = [(path, tick) for path, tick in made.items() if path[0] == "challenges" and isinstance(tick, dt.date)]
    said = "{} is still to come; choose the day it was done on."
    return [Trouble(".".join(path), said.format(tick)) for path, tick in ahead if tick > today]


class _FieldOf:
    """The field of the form that a way in a page is of; empty for one that the form has not got."""

    def __init__(self, found: Entered) -> None:
        self.found = found

    def __call__(self, key: str, path: Sequence[str | int]) -> str:
        day, next_day = self.found.day.isoformat(), (self.found.day + DAY).isoformat()
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
        """Where in the form the row of a ref stands."""
        rows: Any = self.found.tasks if key == self.found.day.isoformat() else None
        if rows is None and self.found.tomorrow is not None:
            rows = getattr(self.found.tomorrow, name)
        return next((row.position for row in rows or [] if row.ref == ref), None)
