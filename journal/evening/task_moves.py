"""The moves of an evening's tasks: done, carried, moved to another day, made undated, dropped, new.

`task_steps` has what all moves share, `next_day_tasks` the tasks of the day that the evening opens.
"""

from __future__ import annotations

import datetime as dt
import re

from msgspec import UNSET

from journal.evening.entered import TaskEntered
from journal.evening.next_day_tasks import NextDayTasks
from journal.evening.page_changes import NewTable
from journal.evening.task_steps import LASTING_KEYS, TaskSteps, edits
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import N_, _
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
    "done": N_('"{title}" is done today; take it off tomorrow, or carry it there.'),
    "drop": N_('"{title}" is dropped today; take it off tomorrow, or carry it there.'),
    "move": N_('"{title}" goes to another day; take it off tomorrow, or carry it there.'),
    "undated": N_('"{title}" goes without a day; take it off tomorrow, or carry it there.'),
}
_DAY_NAME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Moves:
    """Turns the entered tasks into steps."""

    def __init__(self, steps: TaskSteps) -> None:
        self.of = steps

    def take(self) -> None:
        """Add the steps of all tasks."""
        entered_refs = set()
        for task in self.of.entered.tasks:
            entered_refs.add(task.ref)
            self._task(task)
        for ref, planned in self.of.carried.items():
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
        NextDayTasks(self.of).take()

    def _task(self, task: TaskEntered) -> None:
        planned = self.of.carried.get(task.ref) if task.ref is not None else None
        action = task.what
        if planned is not None and action in _MOVED_TEXT:
            self.of.report(
                f"tomorrow.tasks.{planned.position}",
                _(_MOVED_TEXT[action], title=task.title),
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
        row = self.of.pages.tasks(page).get(ref)
        if row is None:
            self.of.report(
                f"tasks.{task.position}",
                _('"{title}" does not stand where this page found it; open the page anew.', title=task.title),
            )
        elif page != self.of.day:
            self._of_earlier(task, action, (page, ref), row, to)
        else:
            self._of_day(task, action, ref, row, to)

    def _is_held(self, task: TaskEntered, action: str, to: str | None) -> bool:
        """Whether a task needs a broken page. The page is then in `held`, unless nothing is asked of it."""
        is_earlier = task.ref is not None and self._place(task.ref)[0] != self.of.day
        needs = {to} if to is not None else set()
        needs |= {self.of.day} if not is_earlier or action == "done" else set()
        broken = needs & set(self.of.broken)
        self.of.held |= broken if action != "open" or task.ref is None else set()
        return bool(broken)

    def _place(self, ref: str) -> tuple[str, str]:
        """Return the page of a ref, and the identity there. The ref of an earlier day's task begins with that day."""
        page, slash, rest = ref.partition("/")
        earlier = slash and ref not in self.of.pages.tasks(self.of.day) and _DAY_NAME.fullmatch(page)
        return (page, rest) if earlier else (self.of.day, ref)

    def _target(self, action: str, task: TaskEntered) -> str | None:
        if action == "move" and task.to is not None:
            return task.to.isoformat()
        return {"carry": self.of.next, "move": self.of.next, "undated": UNDATED}.get(action)

    def _new(self, task: TaskEntered, to: str | None) -> None:
        """Add a task that was typed for the day itself."""
        table: NewTable = {"title": task.title, "status": _STATUS[task.what]}
        for name in ("estimate", "took"):
            value = getattr(task, name)
            if value is not UNSET and value is not None:
                table[name] = value
        if to is not None:
            table |= self.of.naming(table, self.of.entered.day, to)
            self.of.arrive(to, table, None)
        self.of.steps.add(self.of.day, {("tasks", f"new {task.position}"): table})

    def _of_day(self, task: TaskEntered, action: str, ref: str, row: NewTable, to: str | None) -> None:
        changes = edits(row, title=task.title, took=task.took, estimate=task.estimate)
        old_status, field = row.get("status", "open"), f"tasks.{task.position}"
        elsewhere = self.of.continuation(row) if old_status == "carried" else None
        if to is None:
            if (
                action == "open"
                and old_status in ("done", "dropped")
                and self.of.is_moved(row, self.of.day, self.of.day, field=field)
            ):
                return
            if elsewhere is not None and self.of.is_moved(row, self.of.day, elsewhere[0], self.of.day, field=field):
                return
            if elsewhere is not None:
                changes = self._back(row, elsewhere, "title") | changes
                self.of.remove(*elsewhere, field)
            changes |= edits(row, status=_STATUS[action]) if old_status != _STATUS[action] else {}
        elif old_status == "carried" and (self._is_untouched(task, action) or (elsewhere and elsewhere[0] == to)):
            if elsewhere and elsewhere[0] == self.of.next and self.of.is_taken_off(elsewhere[1]):
                changes = self._back(row, elsewhere, "title") | changes | {("status",): "open"}
        elif elsewhere and self.of.is_over(row, field=field):
            return
        elif not self.of.is_moved(row, self.of.day, to, elsewhere[0] if elsewhere else None, field=field):
            naming = self.of.naming(row, self.of.entered.day, to, source=self.of.day)
            changes |= edits(row, status="carried", **naming)
            latest = {} if elsewhere is None else self._back(row, elsewhere, "title", "estimate")
            moved = row | naming | {"title": task.title} | {key: value for (key,), value in latest.items()}
            self.of.arrive(to, moved, self.of.carried.get(task.ref))
            if elsewhere is not None:
                self.of.remove(*elsewhere, field)
        self.of.steps.mark(self.of.day, {("tasks", ref, *path): value for path, value in changes.items()})

    def _is_untouched(self, task: TaskEntered, action: str) -> bool:
        """Return whether a carried task is left as it was carried, wherever it stands by now."""
        return action == "carry" and task.ref not in self.of.carried

    def _back(self, row: NewTable, elsewhere: tuple[str, str], *names: str) -> ChangeSet:
        """Return what a task got where it continued, e.g. another title, for the page that it comes back to."""
        latest = self.of.pages.tasks(elsewhere[0])[elsewhere[1]]
        return edits(row, **{name: latest[name] for name in names if name in latest})

    def _of_earlier(
        self, task: TaskEntered, action: str, place: tuple[str, str], row: NewTable, to: str | None
    ) -> None:
        """Move a task that an earlier day left open. That day marks it as carried."""
        if action == "open" or (row.get("status") == "carried" and self._is_untouched(task, action)):
            return
        page, ref = place
        if self.of.is_moved(row, page, to or self.of.day, field=f"tasks.{task.position}"):
            return
        changes: ChangeSet = {}
        if action == "drop":
            changes = edits(row, status="dropped")
        else:
            naming = self.of.naming(row, dt.date.fromisoformat(page), to or self.of.day, source=page)
            changes = edits(row, status="carried", **naming)
            moved = row | naming | {"title": task.title}
            if to is not None:
                self.of.arrive(to, moved, self.of.carried.get(task.ref))
            elif self.of.pages.same(self.of.day, moved) is None:
                done = {name: moved[name] for name in LASTING_KEYS if name in moved} | {"status": "done"}
                done |= {"took": task.took} if task.took not in (UNSET, None) else {}
                self.of.steps.add(self.of.day, {("tasks", f"done {task.position}"): done})
        self.of.steps.mark(page, {("tasks", ref, *path): value for path, value in changes.items()})
