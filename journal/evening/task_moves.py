"""The moves of an evening's tasks: done, carried, moved to another day, made undated, dropped, new.

A task keeps its id, its first day and its estimate on every page. A task without id gets one when it first moves, on
both pages, so that it is recognised under another title.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Collection, Mapping
from typing import Any

from msgspec import UNSET

from journal.evening import carryover
from journal.evening.entered import Entered, PlannedEntered, TaskEntered
from journal.evening.page_changes import NewTable, PageWrites
from journal.folder.three_way_merge import REMOVE
from journal.folder.writing import UNDATED
from journal.saving.base_pages import DAY, Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import ChangeSet

_STATUS = {
    "open": "open",
    "done": "done",
    "drop": "dropped",
    "carry": "carried",
    "move": "carried",
    "undated": "carried",
}
_MOVED_TEXT = {
    "done": "is done today",
    "drop": "is dropped today",
    "move": "goes to another day",
    "undated": "goes without a day",
}
_NOT_FOUND = "does not stand where this page found it; open the page anew."
_DAY_NAME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
LASTING_KEYS = ("title", "estimate", "since", "id")  # properties of the task, not of its day


class Moves:
    """Turns the entered tasks into steps. `troubles` are the problems.

    `broken` are the pages that cannot be read. What needs one of them is left as it is, and the page is then in `held`.
    """

    def __init__(
        self,
        entered: Entered,
        pages: Pages,
        steps: PageWrites,
        *,
        in_use: Mapping[str, tuple[str, dt.date]],
        later: Callable[[str], list[str]],
        broken: Collection[str] = (),
    ) -> None:
        self.entered, self.pages, self.steps = entered, pages, steps
        self.day, self.next = entered.day.isoformat(), entered.next_day.isoformat()
        self.broken = broken
        self.held = set[str]()
        self.troubles: list[Trouble] = []
        self._later = later  # by id, the later pages that have the task
        self._names = carryover.Naming(in_use)
        next_tasks = entered.tomorrow.tasks if entered.tomorrow is not None else UNSET
        self._planned: list[PlannedEntered] | None = None if next_tasks is UNSET else next_tasks
        self._carried = {
            task.source_ref: task for task in self._planned or [] if task.origin == "carried" and task.ref is None
        }

    def take(self) -> None:
        """Add the steps of all tasks."""
        entered_refs = set()
        for task in self.entered.tasks:
            entered_refs.add(task.ref)
            self._task(task)
        for ref, planned in self._carried.items():
            if ref is not None and ref not in entered_refs:
                self._task(
                    TaskEntered(
                        position=planned.position,
                        ref=ref,
                        title=planned.title,
                        what="carry",
                        to=None,
                        took=UNSET,
                        estimate=UNSET,
                    )
                )
        self._next_day()

    def _task(self, task: TaskEntered) -> None:
        planned = self._carried.get(task.ref) if task.ref is not None else None
        action = task.what
        if planned is not None and action in _MOVED_TEXT:
            self._report(
                f"tomorrow.tasks.{planned.position}",
                f'"{task.title}" {_MOVED_TEXT[action]}; take it off tomorrow, or carry it there.',
            )
            return
        action = "carry" if planned is not None else action
        to = self._target(action, task)
        if self._is_held(task, action, to):
            return
        if task.ref is None:
            self._new(task, to)
            return
        page, ref = self._place(task.ref)
        row = self.pages.tasks(page).get(ref)
        if row is None:
            self._report(
                f"tasks.{task.position}",
                f'"{task.title}" {_NOT_FOUND}',
            )
        elif page != self.day:
            self._of_earlier(task, action, (page, ref), row, to)
        else:
            self._of_day(task, action, ref, row, to)

    def _is_held(self, task: TaskEntered, action: str, to: str | None) -> bool:
        """Whether a task needs a broken page. The page is then in `held`, unless nothing is asked of it."""
        is_earlier = task.ref is not None and self._place(task.ref)[0] != self.day
        needs = {to} if to is not None else set()
        needs |= {self.day} if not is_earlier or action == "done" else set()
        broken = needs & set(self.broken)
        self.held |= broken if action != "open" or task.ref is None else set()
        return bool(broken)

    def _place(self, ref: str) -> tuple[str, str]:
        """Return the page of a ref, and the identity there. The ref of an earlier day's task begins with that day."""
        page, slash, rest = ref.partition("/")
        earlier = slash and ref not in self.pages.tasks(self.day) and _DAY_NAME.fullmatch(page)
        return (page, rest) if earlier else (self.day, ref)

    def _target(self, action: str, task: TaskEntered) -> str | None:
        if action == "move" and task.to is not None:
            return task.to.isoformat()
        return {"carry": self.next, "move": self.next, "undated": UNDATED}.get(action)

    def _new(self, task: TaskEntered, to: str | None) -> None:
        """Add a task that was typed for the day itself."""
        table: NewTable = {"title": task.title, "status": _STATUS[task.what]}
        for name in ("estimate", "took"):
            value = getattr(task, name)
            if value is not UNSET and value is not None:
                table[name] = value
        if to is not None:
            table |= self._naming(table, self.entered.day)
            self._arrive(to, table, None)
        self.steps.add(self.day, {("tasks", f"new {task.position}"): table})

    def _of_day(self, task: TaskEntered, action: str, ref: str, row: NewTable, to: str | None) -> None:
        changes = edits(row, title=task.title, took=task.took, estimate=task.estimate)
        old_status = row.get("status", "open")
        elsewhere = self._continuation(row) if old_status == "carried" else None
        if to is None:
            if elsewhere is not None:
                self.steps.remove(elsewhere[0], {("tasks", elsewhere[1]): REMOVE})
            changes |= edits(row, status=_STATUS[action]) if old_status != _STATUS[action] else {}
        elif elsewhere is not None and (action == "carry" or elsewhere[0] == to):
            if elsewhere[0] == self.next and self._is_taken_off(elsewhere[1]):
                changes["status",] = "open"
        else:
            naming = self._naming(row, self.entered.day)
            changes |= edits(row, status="carried", **naming)
            self._arrive(to, row | naming | {"title": task.title}, self._carried.get(task.ref))
            if elsewhere is not None:
                self.steps.remove(elsewhere[0], {("tasks", elsewhere[1]): REMOVE})
        self.steps.mark(self.day, {("tasks", ref, *path): value for path, value in changes.items()})

    def _of_earlier(
        self, task: TaskEntered, action: str, place: tuple[str, str], row: NewTable, to: str | None
    ) -> None:
        """Move a task that an earlier day left open. That day marks it as carried."""
        if action == "open":
            return
        page, ref = place
        changes: ChangeSet = {}
        if action == "drop":
            changes = edits(row, status="dropped")
        else:
            naming = self._naming(row, dt.date.fromisoformat(page))
            changes = edits(row, status="carried", **naming)
            moved = row | naming | {"title": task.title}
            if to is not None:
                self._arrive(to, moved, self._carried.get(task.ref))
            elif self.pages.same(self.day, moved) is None:
                done = {name: moved[name] for name in LASTING_KEYS if name in moved} | {"status": "done"}
                done |= {"took": task.took} if task.took not in (UNSET, None) else {}
                self.steps.add(self.day, {("tasks", f"done {task.position}"): done})
        self.steps.mark(page, {("tasks", ref, *path): value for path, value in changes.items()})

    def _naming(self, row: Mapping[str, Any], page: dt.date) -> NewTable:
        """Return the first day and the id that identify a task on every page."""
        beside = [table["id"] for table in self.pages.tasks(self.day).values() if "id" in table]
        return self._names.assign(row, page, beside=beside)

    def _arrive(self, key: str, task: NewTable, planned: PlannedEntered | None) -> None:
        """Add a task to a page that does not have it."""
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
        """Return page and identity of the open task that a carried task of the day continues as, or None."""
        after = (self.entered.day + DAY).isoformat()  # not the next day of the form if that day is over
        for key in dict.fromkeys((self.next, after, UNDATED, *self._later(str(row.get("id", ""))))):
            same = self.pages.same(key, row)
            if same is not None and same[1].get("status", "open") == "open":
                return key, same[0]
        return None

    def _is_taken_off(self, ref: str) -> bool:
        return self._planned is not None and all(planned.ref != ref for planned in self._planned)

    def _next_day(self) -> None:
        if self._planned is None:
            return
        if self.next in self.broken:
            self.held |= {self.next} if self._planned else set()
            return
        rows = self.pages.tasks(self.next)
        for ref, row in rows.items():
            if self._is_taken_off(ref):
                self._take_off(ref, row)
        for planned in self._planned:
            if planned.ref is not None and planned.ref in rows:
                row = rows[planned.ref]
                changes = edits(row, title=planned.title, rank=planned.rank, estimate=planned.estimate)
                self.steps.mark(self.next, {("tasks", planned.ref, *path): value for path, value in changes.items()})
            elif planned.ref is not None:
                self._report(
                    f"tomorrow.tasks.{planned.position}",
                    f'"{planned.title}" {_NOT_FOUND}',
                )
            elif planned.origin == "undated":
                self._pull(planned)
            elif planned.origin != "carried" or planned.source_ref is None:
                table = {"title": planned.title, "status": "open"} | _filled(
                    rank=planned.rank, estimate=planned.estimate
                )
                self.steps.add(self.next, {("tasks", f"new {planned.position}"): table})

    def _take_off(self, ref: str, row: NewTable) -> None:
        """Remove a task from the next day. An older task goes back to where it came from, or becomes undated."""
        since = row.get("since")
        began_before = isinstance(since, dt.date) and since.isoformat() < self.next
        is_undated = row.get("status", "open") == "open" and began_before and self.pages.same(self.day, row) is None
        needs = {UNDATED} if is_undated else set()
        needs |= {self.day} if began_before else set()  # a page that cannot be read may have it
        if needs & set(self.broken):
            self.held |= needs & set(self.broken)
            return
        self.steps.remove(self.next, {("tasks", ref): REMOVE})
        if is_undated:
            self._arrive(UNDATED, row | self._naming(row, self.entered.day), None)

    def _pull(self, planned: PlannedEntered) -> None:
        if UNDATED in self.broken:
            self.held.add(UNDATED)
            return
        rows = self.pages.tasks(UNDATED)
        row = rows.get(planned.source_ref or "")
        if row is None:
            self._report(
                f"tomorrow.tasks.{planned.position}",
                f'"{planned.title}" {_NOT_FOUND}',
            )
            return
        if self.pages.same(self.next, row) is None:
            table = {name: row[name] for name in LASTING_KEYS if name in row}
            table |= {"title": planned.title, "status": "open"} | _filled(rank=planned.rank, estimate=planned.estimate)
            self.steps.add(self.next, {("tasks", f"pulled {planned.position}"): table})
        self.steps.remove(UNDATED, {("tasks", planned.source_ref or ""): REMOVE})

    def _report(self, field: str, message: str) -> None:
        self.troubles.append(Trouble(field, message))


def _filled(**values: Any) -> NewTable:
    return {name: value for name, value in values.items() if value is not None}


def edits(row: Mapping[str, Any], **values: Any) -> ChangeSet:
    """Return the changed values of a row, by key. REMOVE empties one, UNSET leaves it unchanged."""
    return {
        (name,): REMOVE if value is None else value
        for name, value in values.items()
        if value is not UNSET and value != row.get(name)
    }
