"""The tasks of the day that an evening opens: those that stay, those that come to it, and those that are taken off it.

A task that is taken off is nowhere lost. It goes back where it came from: open again on the day it was carried from, or
to the tasks without a day. Only a routine leaves nothing: it comes round again. Only dropping ends a task.
"""

from __future__ import annotations

import datetime as dt

from journal.evening.entered import PlannedEntered
from journal.evening.page_changes import NewTable
from journal.evening.task_steps import LASTING_KEYS, TaskSteps, edits, filled
from journal.evening.triage_list import began
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import _


class NextDayTasks:
    """Turns the tasks of the next day into steps."""

    def __init__(self, steps: TaskSteps) -> None:
        self.of = steps
        self._sent = {task.ref for task in steps.entered.tasks}

    def take(self) -> None:
        """Add the steps of all tasks of the next day."""
        of = self.of
        if of.planned is not None and of.next in of.broken:
            of.held |= {of.next} if of.planned else set()
        elif of.planned is not None:
            self._take(of.planned)
        self._set_aside()

    def _take(self, planned_tasks: list[PlannedEntered]) -> None:
        of = self.of
        rows = of.pages.tasks(of.next)
        for ref, row in rows.items():
            if of.is_taken_off(ref):
                self._take_off(ref, row)
        for planned in planned_tasks:
            if planned.ref is not None and planned.ref in rows:
                row = rows[planned.ref]
                changes = edits(row, title=planned.title, rank=planned.rank, estimate=planned.estimate)
                of.steps.mark(of.next, {("tasks", planned.ref, *path): value for path, value in changes.items()})
            elif planned.ref is not None:
                of.report(
                    f"tomorrow.tasks.{planned.position}",
                    _('"{title}" does not stand where this page found it; open the page anew.', title=planned.title),
                )
            elif planned.origin == "undated":
                self._pull(planned)
            elif planned.origin != "carried" or planned.source_ref is None:
                table = {"title": planned.title, "status": "open"} | filled(
                    rank=planned.rank, estimate=planned.estimate
                )
                of.steps.add(of.next, {("tasks", f"new {planned.position}"): table})

    def _take_off(self, ref: str, row: NewTable) -> None:
        """Take a task off the next day. What is done, dropped or carried stays as the record of it."""
        of = self.of
        if row.get("status", "open") != "open" or not self._stands_there(row):
            return
        is_back = self._goes_back(ref, row)
        is_undated = not is_back and not self._comes_round(row)
        since = row.get("since")
        began_before = isinstance(since, dt.date) and since.isoformat() < of.next
        needs = {UNDATED} if is_undated else set()
        needs |= {of.day} if began_before else set()  # a page that cannot be read may have it
        if needs & set(of.broken):
            of.held |= needs & set(of.broken)
        elif of.remove(of.next, ref, "tomorrow.tasks", at_once=not is_back) and is_undated:
            first = min(since or of.entered.next_day, of.today)
            of.arrive(UNDATED, row | of.naming(row | {"since": first}, first, UNDATED, source=of.next), None)

    def _stands_there(self, row: NewTable) -> bool:
        """Return whether the page on disk has the task by now. If not, another window or an editor has moved it."""
        return any(
            other["id"] == row["id"]
            if other.get("id") and row.get("id")
            else (other.get("title"), began(other, self.of.next)) == (row.get("title"), began(row, self.of.next))
            for other in self.of.pages.now(self.of.next)
        )

    def _goes_back(self, ref: str, row: NewTable) -> bool:
        """Return whether the page of the day has the task too, and its own row says what becomes of it."""
        of = self.of
        same = of.pages.same(of.day, row)
        if same is None:
            return False
        is_carried = same[1].get("status", "open") == "carried"
        if not is_carried and not row.get("id") and not row.get("since"):  # another one, which was written on that day
            return False
        return not is_carried or (same[0] in self._sent and of.continuation(same[1]) == (of.next, ref))

    def _comes_round(self, row: NewTable) -> bool:
        """Return whether a task is one of a routine of that day, and began on it."""
        return row.get("title") in self.of.routines and began(row, self.of.next) == self.of.entered.next_day

    def _pull(self, planned: PlannedEntered) -> None:
        """Move a task without a day to the next day."""
        of, field = self.of, f"tomorrow.tasks.{planned.position}"
        if UNDATED in of.broken:
            of.held.add(UNDATED)
            return
        row = of.pages.tasks(UNDATED).get(planned.source_ref or "")
        if row is None:
            of.report(
                field, _('"{title}" does not stand where this page found it; open the page anew.', title=planned.title)
            )
        elif ("tasks", planned.source_ref) in of.steps.removed.get(UNDATED, {}):
            of.report(
                field,
                _(
                    '"{title}" goes elsewhere on the list of the day; take it off tomorrow, or carry it.',
                    title=planned.title,
                ),
            )
        elif of.is_moved(row, UNDATED, of.next, field=field):
            return
        elif of.remove(UNDATED, planned.source_ref or "", field):
            named = row | of.naming(row, row.get("since"), of.next, source=UNDATED)
            same = of.pages.same(of.next, named)
            table = {name: named[name] for name in LASTING_KEYS if name in named}
            table |= {"title": planned.title, "status": "open"} | filled(rank=planned.rank, estimate=planned.estimate)
            if same is None:
                of.steps.add(of.next, {("tasks", f"pulled {planned.position}"): table})
            else:  # that day had let it go
                changes = edits(same[1], **table)
                of.steps.add(of.next, {("tasks", same[0], *path): value for path, value in changes.items()})

    def _set_aside(self) -> None:
        """Add the tasks that were typed for the next day and taken off before they were saved."""
        of = self.of
        set_aside = of.entered.tomorrow.set_aside if of.entered.tomorrow is not None else []
        if set_aside and UNDATED in of.broken:
            of.held.add(UNDATED)
            return
        for task in set_aside:
            table = {"title": task.title} | filled(estimate=task.estimate)
            of.arrive(UNDATED, table | of.naming(table, min(of.entered.next_day, of.today), UNDATED), None)
