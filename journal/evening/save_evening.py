"""Saving of a submitted evening: all of it, or nothing and the problem beside its field.

    read the form           fields and days are validated             -> problems
    compute the changes     page by page, in a safe order             -> problems
    rehearse every page     changes of others are kept; a clash       -> conflict
    write them in order     each page atomically

No answer loses entered text: the form keeps its content, and its base versions travel with it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

import polars as pl

from journal import periods
from journal.entry import Entry
from journal.errors import JournalError
from journal.evening import broken_files, carryover, form_read, page_changes, tomorrow
from journal.evening.entered import Entered
from journal.evening.page_changes import PageWrites
from journal.evening.task_moves import Moves
from journal.evening.task_steps import TaskSteps
from journal.folder.page_versions import UNDATED, Base
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.base_pages import DAY, Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import ChangeSet, PagesSave, SaveResult
from journal.wording import numbers

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
        bases = entered.bases[:3]
        broken = broken_files.keys([*bases, *(book.files.pages.current(base.key) for base in bases)])
        pages = Pages(entered.bases, book.files.pages.current, broken=broken)
        steps = _Steps(book, entered, pages, now)
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    if steps.troubles:
        return SaveResult(saved=False, problems=steps.troubles)
    result = PagesSave(book.files, pages, raw, field=_FormFieldOf(entered), now=now, by="evening").save(steps.pages)
    return _with_held(result, [pages.base(key) for key in pages.bases if key in steps.held])


def _with_held(result: SaveResult, held: Sequence[Base]) -> SaveResult:
    """Return the result of a save that left out the pages that cannot be read."""
    if not held or not result.saved:
        return result
    problems = [Trouble("", f"{fault}.") for base in held if (fault := broken_files.problem(base)) is not None]
    return SaveResult(
        saved=False,
        partly=True,
        said=_(
            "{said} Not saved: what belongs in {files}.",
            said=result.said,
            files=numbers.listed(base.path for base in held),
        ),
        problems=problems,
        undo=result.undo,
    )


class _Steps:
    """The pages to write, in order, the problems, and the broken pages from which something is held back."""

    def __init__(self, book: Journal, entered: Entered, pages: Pages, now: dt.datetime) -> None:
        self._book, self._entered, self._pages, self._now = book, entered, pages, now
        self._known = book.files.basis.known
        self._writes = PageWrites(entered.day)
        tasks = book.tables.tasks
        task_steps = TaskSteps(
            entered,
            pages,
            self._writes,
            today=book.today,
            in_use=carryover.IdsInUse(tasks, book.undated),
            later=self._later,
            places=partial(carryover.open_places, tasks, book.undated),
            open_ids=partial(carryover.open_ids, tasks, book.undated),
            arrived=lambda to, source: carryover.arrived_ids(tasks, book.undated, to=to, source=source),
            routines={routine.title for routine in tomorrow.due_routines(book.settings, entered.next_day)},
            broken=pages.broken,
        )
        Moves(task_steps).take()
        self.held = task_steps.held
        self.troubles = list(task_steps.troubles)
        self._day()
        self._next_day()
        self.pages = self._writes.in_order()

    @cached_property
    def _days_of_ids(self) -> dict[str, list[str]]:
        """The days after this one that have a task with an id, by id."""
        has_id = pl.col("id").is_not_null()
        rows = self._book.tables.tasks.filter(pl.col("date") > self._entered.day, has_id).select("id", "date")
        days: dict[str, list[str]] = {}
        for task_id, date in rows.iter_rows():
            days.setdefault(task_id, []).append(date.isoformat())
        return days

    def _later(self, task_id: str) -> list[str]:
        return self._days_of_ids.get(task_id, [])

    def _mark(self, key: str, changes: ChangeSet) -> None:
        if key in self._pages.broken:
            self.held |= {key} if changes else set()
        else:
            self._writes.mark(key, changes)

    def _values(self, key: str) -> tuple[Entry, Mapping[str, Any]]:
        """Return the entry of a page and its values as in the file, both empty for a broken page."""
        base = self._pages.base(key)
        return base_pages.entry(base, self._known)[0], {} if key in self._pages.broken else base.values

    def _day(self) -> None:
        day = self._entered.day.isoformat()
        changes = page_changes.day_changes(
            self._entered,
            *self._values(day),
            today=self._book.today,
            asks_all=self._known.habits is not None,
        )
        self.troubles += _future_ticks(changes, self._book.today)
        self._mark(day, changes)

    def _next_day(self) -> None:
        following, date = self._entered.tomorrow, self._entered.next_day
        if following is None:
            return
        entry, raw = self._values(date.isoformat())
        # An untouched strip plans the day after, unless that is over by now.
        is_opened = periods.day_of(self._now, self._book.settings) <= date == self._entered.day + DAY
        self._mark(date.isoformat(), page_changes.next_day_changes(following, entry, raw, is_opened=is_opened))


def _future_ticks(changes: ChangeSet, today: dt.date) -> list[Trouble]:
    """Return a problem for each tick with a future day, on which nothing can have been caught up on yet."""
    ticks = [(path, tick) for path, tick in changes.items() if path[0] == "challenges" and isinstance(tick, dt.date)]
    return [
        Trouble(".".join(path), _("{day} is still to come; choose the day it was done on.", day=tick))
        for path, tick in ticks
        if tick > today
    ]


class _FormFieldOf:
    """Returns the form field of a path in a page; empty if the form has no such field."""

    def __init__(self, entered: Entered) -> None:
        self.entered = entered

    def __call__(self, key: str, path: Sequence[str | int]) -> str:
        day, next_day = self.entered.day.isoformat(), self.entered.next_day.isoformat()
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
        side = self.entered if key == self.entered.day.isoformat() else self.entered.tomorrow
        rows: Any = getattr(side, name, None)
        return next((row.position for row in rows or [] if row.ref == ref), None)
