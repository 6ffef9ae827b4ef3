"""The tasks of a day's sheet that are marked as done or carried, as values for an import.

A task that is open on its page takes the status of the sheet. Any other status stays. A carried one goes to the next
day, unless it stands on a later page by now, and keeps its first day, its estimate and its id on both, as in the
evening. The page of the next day is written first, so that the task is never on none.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import polars as pl

from journal import Journal
from journal.errors import Problem, WriteError
from journal.evening import carryover
from journal.evening.task_steps import LASTING_KEYS
from journal.evening.triage_list import began
from journal.folder.identity import identities
from journal.importing.model import ImportedValue, SourceCell
from journal.language.catalogue import _
from journal.paper.sheet_fields import FieldRead
from journal.saving.base_pages import DAY, Pages

PageTask = tuple[str, Mapping[str, Any]]
"""A task on a page: its identity there, and its values."""


def row_of(field: FieldRead, tasks: object) -> PageTask | None:
    """The row of a page's `tasks` that a field is about: by its id, else by its title; of several, the same one.

    >>> import datetime as dt
    >>> from journal.paper.day_plan import PaperTask
    >>> glue = FieldRead(field="tasks.0", date=dt.date(2025, 3, 14), photo="", boxes=(), task=PaperTask(title="Glue"))
    >>> row_of(glue, [{"title": "Sew"}, {"title": "Glue", "id": "t7k2"}])
    ('t7k2', {'title': 'Glue', 'id': 't7k2'})
    """
    task = field.task
    if task is None or not isinstance(tasks, list) or not all(isinstance(row, Mapping) for row in tasks):
        return None
    rows = list(zip(identities("tasks", tasks), tasks, strict=True))
    if task.id is not None and (named := [row for row in rows if row[1].get("id") == task.id]):
        return named[0]
    alike = [row for row in rows if row[1].get("title") == task.title and None in {task.id, row[1].get("id")}]
    return alike[field.nth] if field.nth < len(alike) else None


def imported(book: Journal, name: str, fields: Iterable[FieldRead]) -> tuple[list[ImportedValue], list[Problem]]:
    """The values of tasks, and a problem for each that cannot be marked. `name` is that of the pictures."""
    marks = _TaskMarks(book, name)
    for field in fields:
        marks.take(field)
    return marks.values, marks.problems


class _TaskMarks:
    def __init__(self, book: Journal, name: str) -> None:
        self.book, self.name = book, name
        self.values: list[ImportedValue] = []
        self.problems: list[Problem] = []
        self._pages = Pages((), book.files.pages.look)
        self._names = carryover.Naming(carryover.IdsInUse(book.tables.tasks, book.undated))

    def take(self, field: FieldRead) -> None:
        """Add the values of a task that is done or carried."""
        task, key = field.task, field.date.isoformat()
        if task is None or field.value not in {"done", "carried"}:
            return
        cell = SourceCell(heading=_("a task of {day}", day=field.date), text=task.title)
        try:
            rows = self._pages.base(key).values.get("tasks", [])
        except WriteError as error:
            self._report(cell, _("a page that can be written"), _("it is left out: {error}", error=error))
            return
        row = row_of(field, rows)
        if row is None and not task.repeats:
            gone = _("it is left out; it was moved, reworded or taken off since the sheet was printed")
            self._report(cell, _("a task that the page has"), gone)
            return
        ref, present = row if row is not None else ("", {"title": task.title} | _estimate(task.estimate))
        is_open = present.get("status", "open") == "open"
        if field.value == "done" or not is_open:
            self._add(field, cell, ref, present, {"status": field.value})
        else:
            self._carry(field, cell, ref, present)

    def _carry(self, field: FieldRead, cell: SourceCell, ref: str, present: Mapping[str, Any]) -> None:
        """Mark a task as carried, and add it to the next day."""
        following = field.date + DAY
        key = following.isoformat()
        try:
            beside = [row["id"] for row in self._pages.tasks(field.date.isoformat()).values() if row.get("id")]
            there = self._pages.tasks(key)
        except WriteError as error:
            expected = _("a page of {day} that can be written, to carry it to", day=key)
            self._report(cell, expected, _("it is left out: {error}", error=error))
            return
        named = self._names.assign(present, field.date, beside=beside)
        self._add(field, cell, ref, present, {"status": "carried"} | named, after=key)
        task = {**present, **named}
        if self._is_later(task, field):
            return
        table = {"title": task["title"], "status": "open"} | {k: task[k] for k in LASTING_KEYS if k in task}
        unnamed = [one for one, row in there.items() if row.get("title") == task["title"] and not row.get("id")]
        if unnamed and "since" not in there[unnamed[0]]:  # it was written there by hand, and is this one
            self._edit(key, cell, unnamed[0], named)
        else:
            self.values.append(ImportedValue(key=key, path=("tasks",), value=table, cell=cell))

    def _report(self, cell: SourceCell, expected: str, remedy: str) -> None:
        self.problems.append(cell.problem(self.name, expected, remedy))

    def _add(  # noqa: PLR0917
        self,
        field: FieldRead,
        cell: SourceCell,
        ref: str,
        present: Mapping[str, Any],
        values: Mapping[str, Any],
        after: str = "",
    ) -> None:
        """Change a task of the page of the day. A routine that the page does not have is added."""
        key = field.date.isoformat()
        if ref:
            self._edit(key, cell, ref, {k: v for k, v in values.items() if k not in present or k == "status"}, after)
            return
        table = {**present, **values}
        self.values.append(ImportedValue(key=key, path=("tasks",), value=table, cell=cell, after=after))

    def _edit(self, key: str, cell: SourceCell, ref: str, values: Mapping[str, Any], after: str = "") -> None:
        self.values += [
            ImportedValue(key=key, path=("tasks", ref, name), value=value, cell=cell, after=after)
            for name, value in values.items()
        ]

    def _is_later(self, task: Mapping[str, Any], field: FieldRead) -> bool:
        """Whether a task is on a later page than its sheet, or among the undated ones."""
        first = began(task, field.date.isoformat())
        tasks, undated = self.book.tables.tasks, self.book.undated
        if carryover.open_places(tasks, undated, task, first) - {field.date.isoformat()}:
            return True
        named = (pl.col("title") == task["title"]) & (pl.coalesce("since", "date") == pl.lit(first, pl.Date))
        return not tasks.filter(pl.col("date") > field.date, (pl.col("id") == task["id"]) | named).is_empty()


def _estimate(minutes: float | None) -> dict[str, float]:
    return {} if minutes is None else {"estimate": minutes}
