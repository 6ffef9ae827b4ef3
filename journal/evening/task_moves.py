"""Where an evening's tasks go: done, carried, moved to another day, put back among those without a day, dropped, new.

A task keeps its id, its first day and its estimate wherever it goes; one that has no id yet is given one when it first
goes, on both pages, so that it is known again under another title.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from typing import Any

from msgspec import UNSET

from journal.evening import carryover
from journal.evening.base_pages import DAY, Pages
from journal.evening.form_read import Entered, PlannedEntered, TaskEntered
from journal.evening.form_values import Trouble
from journal.evening.page_changes import ChangeSet, NewTable, PageWrites
from journal.folder.three_way_merge import REMOVE
from journal.folder.writing import UNDATED

_STATUS = {
    "open": "open",
    "done": "done",
    "drop": "dropped",
    "carry": "carried",
    "move": "carried",
    "undated": "carried",
}
_WHERE = {
    "done": "is done today",
    "drop": "is dropped today",
    "move": "goes to another day",
    "undated": "goes without a day",
}
_ANEW = "does not stand where this page found it; open the page anew."
_DAY_NAME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
LASTING_KEYS = ("title", "estimate", "since", "id")  # what is of the task, not of its day on a page


class Moves:
    """Turns what was entered of tasks into steps; `troubles` are what cannot be."""

    def __init__(
        self,
        entered: Entered,
        pages: Pages,
        steps: PageWrites,
        *,
        in_use: Mapping[str, tuple[str, dt.date]],
        later: Callable[[str], list[str]],
    ) -> None:
        self.entered, self.pages, self.steps = entered, pages, steps
        self.day, self.next = entered.day.isoformat(), (entered.day + DAY).isoformat()
        self.troubles: list[Trouble] = []
        self._later = later  # the later pages that have a task of an id
        self._names = carryover.Naming(in_use)
        following = entered.tomorrow.tasks if entered.tomorrow is not None else UNSET
        self._planned: list[PlannedEntered] | None = None if following is UNSET else following
        self._carried = {
            one.source_ref: one for one in self._planned or [] if one.origin == "carried" and one.ref is None
        }

    def take(self) -> None:
        """All of it, into the steps."""
        said = set()
        for task in self.entered.tasks:
            said.add(task.ref)
            self._task(task)
        for ref, one in self._carried.items():
            if ref is not None and ref not in said:
                self._task(
                    TaskEntered(
                        position=one.position,
                        ref=ref,
                        title=one.title,
                        what="carry",
                        to=None,
                        took=UNSET,
                        estimate=UNSET,
                    )
                )
        self._next_day()

    def _task(self, task: TaskEntered) -> None:
        planned = self._carried.get(task.ref) if task.ref is not None else None
        what = task.what
        if planned is not None and what in _WHERE:
            self._say(
                f"tomorrow.tasks.{planned.position}",
                f'"{task.title}" {_WHERE[what]}; take it off tomorrow, or carry it there.',
            )
            return
        what = "carry" if planned is not None else what
        to = self._target(what, task)
        if task.ref is None:
            self._new(task, to)
            return
        page, ref = self._place(task.ref)
        row = self.pages.tasks(page).get(ref)
        if row is None:
            self._say(
                f"tasks.{task.position}",
                f'"{task.title}" {_ANEW}',
            )
        elif page != self.day:
            self._of_earlier(task, what, (page, ref), row, to)
        else:
            self._of_day(task, what, ref, row, to)

    def _place(self, ref: str) -> tuple[str, str]:
        """The page of a ref, and what the task goes by there: one of an earlier day begins with that day."""
        page, slash, rest = ref.partition("/")
        earlier = slash and ref not in self.pages.tasks(self.day) and _DAY_NAME.fullmatch(page)
        return (page, rest) if earlier else (self.day, ref)

    def _target(self, what: str, task: TaskEntered) -> str | None:
        if what == "move" and task.to is not None:
            return task.to.isoformat()
        return {"carry": self.next, "move": self.next, "undated": UNDATED}.get(what)

    def _new(self, task: TaskEntered, to: str | None) -> None:
        """A task that was typed for the day itself."""
        table: NewTable = {"title": task.title, "status": _STATUS[task.what]}
        for name in ("estimate", "took"):
            value = getattr(task, name)
            if value is not UNSET and value is not None:
                table[name] = value
        if to is not None:
            table |= self._naming(table, self.entered.day)
            self._arrive(to, table, None)
        self.steps.add(self.day, {("tasks", f"new {task.position}"): table})

    def _of_day(self, task: TaskEntered, what: str, ref: str, row: NewTable, to: str | None) -> None:
        changes = edits(row, title=task.title, took=task.took, estimate=task.estimate)
        was = row.get("status", "open")
        elsewhere = self._continuation(row) if was == "carried" else None
        if to is None:
            if elsewhere is not None:
                self.steps.remove(elsewhere[0], {("tasks", elsewhere[1]): REMOVE})
            changes |= edits(row, status=_STATUS[what]) if was != _STATUS[what] else {}
        elif elsewhere is not None and (what == "carry" or elsewhere[0] == to):
            if elsewhere[0] == self.next and self._is_taken_off(elsewhere[1]):
                changes["status",] = "open"
        else:
            naming = self._naming(row, self.entered.day)
            changes |= edits(row, status="carried", **naming)
            self._arrive(to, row | naming | {"title": task.title}, self._carried.get(task.ref))
            if elsewhere is not None:
                self.steps.remove(elsewhere[0], {("tasks", elsewhere[1]): REMOVE})
        self.steps.mark(self.day, {("tasks", ref, *path): value for path, value in changes.items()})

    def _of_earlier(self, task: TaskEntered, what: str, place: tuple[str, str], row: NewTable, to: str | None) -> None:
        """A task that an earlier day left open: it goes on from there, and that day says so."""
        if what == "open":
            return
        page, ref = place
        changes: ChangeSet = {}
        if what == "drop":
            changes = edits(row, status="dropped")
        else:
            naming = self._naming(row, dt.date.fromisoformat(page))
            changes = edits(row, status="carried", **naming)
            whole = row | naming | {"title": task.title}
            if to is not None:
                self._arrive(to, whole, self._carried.get(task.ref))
            elif self.pages.same(self.day, whole) is None:
                done = {name: whole[name] for name in LASTING_KEYS if name in whole} | {"status": "done"}
                done |= {"took": task.took} if task.took not in (UNSET, None) else {}
                self.steps.add(self.day, {("tasks", f"done {task.position}"): done})
        self.steps.mark(page, {("tasks", ref, *path): value for path, value in changes.items()})

    def _naming(self, row: Mapping[str, Any], page: dt.date) -> NewTable:
        """The first day and the id by which a task is known on every page."""
        beside = [table["id"] for table in self.pages.tasks(self.day).values() if "id" in table]
        return self._names.of(row, page, beside=beside)

    def _arrive(self, key: str, task: NewTable, planned: PlannedEntered | None) -> None:
        """Put a task on a page that has not got it."""
        if self.pages.same(key, task) is not None:
            return
        if key == UNDATED:
            table = {name: task[name] for name in LASTING_KEYS if name in task}
        else:
            table = {"title": task["title"], "status": "open"} | {k: task[k] for k in LASTING_KEYS if k in task}
            if planned is not None:
                table |= {"title": planned.title} | _filled(rank=planned.rank, estimate=planned.estimate)
        self.steps.add(key, {("tasks", str(task["id"])): table})

    def _continuation(self, row: NewTable) -> tuple[str, str] | None:
        """Where a carried task of the day waits: the page, and what it goes by there; None where it does so nowhere."""
        for key in (self.next, UNDATED, *self._later(str(row.get("id", "")))):
            same = self.pages.same(key, row)
            if same is not None and same[1].get("status", "open") == "open":
                return key, same[0]
        return None

    def _is_taken_off(self, ref: str) -> bool:
        return self._planned is not None and all(one.ref != ref for one in self._planned)

    def _next_day(self) -> None:
        if self._planned is None:
            return
        rows = self.pages.tasks(self.next)
        for ref, row in rows.items():
            if self._is_taken_off(ref):
                self._take_off(ref, row)
        for one in self._planned:
            if one.ref is not None and one.ref in rows:
                row = rows[one.ref]
                changes = edits(row, title=one.title, rank=one.rank, estimate=one.estimate)
                self.steps.mark(self.next, {("tasks", one.ref, *path): value for path, value in changes.items()})
            elif one.ref is not None:
                self._say(
                    f"tomorrow.tasks.{one.position}",
                    f'"{one.title}" {_ANEW}',
                )
            elif one.origin == "undated":
                self._pull(one)
            elif one.origin != "carried" or one.source_ref is None:
                table = {"title": one.title, "status": "open"} | _filled(rank=one.rank, estimate=one.estimate)
                self.steps.add(self.next, {("tasks", f"new {one.position}"): table})

    def _take_off(self, ref: str, row: NewTable) -> None:
        """A task leaves the next day; one that began before it goes back to where it came from, or without a day."""
        self.steps.remove(self.next, {("tasks", ref): REMOVE})
        since = row.get("since")
        began_before = isinstance(since, dt.date) and since.isoformat() < self.next
        if row.get("status", "open") == "open" and began_before and self.pages.same(self.day, row) is None:
            self._arrive(UNDATED, row | self._naming(row, self.entered.day), None)

    def _pull(self, one: PlannedEntered) -> None:
        rows = self.pages.tasks(UNDATED)
        row = rows.get(one.source_ref or "")
        if row is None:
            self._say(
                f"tomorrow.tasks.{one.position}",
                f'"{one.title}" {_ANEW}',
            )
            return
        if self.pages.same(self.next, row) is None:
            table = {name: row[name] for name in LASTING_KEYS if name in row}
            table |= {"title": one.title, "status": "open"} | _filled(rank=one.rank, estimate=one.estimate)
            self.steps.add(self.next, {("tasks", f"pulled {one.position}"): table})
        self.steps.remove(UNDATED, {("tasks", one.source_ref or ""): REMOVE})

    def _say(self, field: str, message: str) -> None:
        self.troubles.append(Trouble(field, message))


def _filled(**values: Any) -> NewTable:
    return {name: value for name, value in values.items() if value is not None}


def edits(row: Mapping[str, Any], **values: Any) -> ChangeSet:
    """What of a row is to be another value: by key, REMOVE where it is emptied. UNSET leaves it as it is."""
    return {
        (name,): REMOVE if value is None else value
        for name, value in values.items()
        if value is not UNSET and value != row.get(name)
    }
