"""What the moves of an evening's tasks share: the pages, the steps, the ids, and the rules of a move.

A task keeps its id, its first day and its estimate on every page. A task without id gets one when it first moves, on
both pages, so that it is recognised under another title.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from msgspec import UNSET

from journal.evening import carryover
from journal.evening.entered import Entered, PlannedEntered
from journal.evening.page_changes import NewTable, PageWrites
from journal.evening.triage_list import began
from journal.folder.page_versions import UNDATED
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.saving.base_pages import DAY, Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import ChangeSet
from journal.wording import numbers

LASTING_KEYS = ("title", "estimate", "since", "id")  # properties of the task, not of its day
_OF_THE_DAY = ("status", "rank")  # left behind on the page of a day


class TaskSteps:
    """The tasks of an evening on their way into `steps`. `troubles` are the problems.

    `broken` are the pages that cannot be read. What needs one of them is left as it is, and the page is then in `held`.
    `routines` are the titles that come round on the next day. `later` returns the later pages that have an id, and
    `places` the pages on which a task is open by now. `open_ids` returns the pages of each id that is open, which takes
    a look at the tasks of all years, `arrived` the ids that have come to a page from others than the one that a task
    leaves.
    """

    def __init__(
        self,
        entered: Entered,
        pages: Pages,
        steps: PageWrites,
        *,
        today: dt.date,
        in_use: Mapping[str, carryover.TitleAndDay],
        later: Callable[[str], list[str]],
        places: Callable[[NewTable, dt.date | None], set[str]],
        open_ids: Callable[[], Mapping[str, set[str]]],
        arrived: Callable[[str, str], set[str]],
        routines: Collection[str] = (),
        broken: Collection[str] = (),
    ) -> None:
        self.entered, self.pages, self.steps, self.today = entered, pages, steps, today
        self.day, self.next = entered.day.isoformat(), entered.next_day.isoformat()
        self.routines, self.broken = routines, broken
        self.held = set[str]()
        self.troubles: list[Trouble] = []
        self._later, self._places, self._find_open_ids, self._arrived = later, places, open_ids, arrived
        self._seen = frozenset(pages.bases)
        self._names = carryover.Naming(in_use)
        next_tasks = entered.tomorrow.tasks if entered.tomorrow is not None else UNSET
        self.planned: list[PlannedEntered] | None = None if next_tasks is UNSET else next_tasks
        self.carried = {
            task.source_ref: task for task in self.planned or [] if task.origin == "carried" and task.ref is None
        }

    @functools.cached_property
    def _open_ids(self) -> Mapping[str, set[str]]:
        return self._find_open_ids()

    def naming(self, row: Mapping[str, Any], page: dt.date | None, to: str, *, source: str = "") -> NewTable:
        """Return the first day and the id that identify a task on every page. `source` is the page that it leaves.

        The same title may have been written twice. The id of a task that is open on another page than `to`, that has
        come there from a third page, or that the window saw there, is none that a save which failed has given to this
        one.
        """
        others = {task_id for task_id, keys in self._open_ids.items() if keys - {to}} | self._arrived(to, source)
        for key in {self.day, to} & self._seen:
            others |= {table["id"] for table in self.pages.tasks(key).values() if "id" in table}
        if page is None and not row.get("id"):  # without a first day, it began on `to` if it is there already
            task_id = carryover.new_id(row["title"], dt.date.min)
            if task_id not in others and self._open_ids.get(task_id) == {to}:
                return {"id": task_id}
        return self._names.assign(row, page, beside=others)

    def arrive(self, key: str, task: NewTable, planned: PlannedEntered | None) -> None:
        """Add a task to a page that does not have it. A row of it that let it go is open again."""
        if (same := self.pages.same(key, task)) is not None:
            if same[1].get("status", "open") != "open":
                lasting = {name: task[name] for name in LASTING_KEYS if name in task}
                changes = edits(same[1], **lasting, status="open")
                self.steps.add(key, {("tasks", same[0], *path): value for path, value in changes.items()})
            return
        if key == UNDATED:
            table = {name: task[name] for name in LASTING_KEYS if name in task}
        else:
            table = {"title": task["title"], "status": "open"} | {k: task[k] for k in LASTING_KEYS if k in task}
            if planned is not None:
                table |= {"title": planned.title} | filled(rank=planned.rank, estimate=planned.estimate)
        self.steps.add(key, {("tasks", str(task["id"])): table})

    def remove(self, key: str, ref: str, field: str, *, at_once: bool = False) -> bool:
        """Remove a task from a page once it is on another one. A key that the other cannot hold stops it: a problem.

        `at_once` removes it together with the additions to its page, after those to the tasks without a day. In a write
        of its own, an addition of the same title would be taken for the task.
        """
        row = self.pages.tasks(key)[ref]
        lost = lost_keys(row)
        if lost:
            names = numbers.listed(_('"{text}"', text=name) for name in lost)
            path = self.pages.base(key).path
            self.report(
                field,
                _(
                    '"{title}" has {names} in {path}, which would be lost; move it by hand.',
                    title=row.get("title"),
                    names=names,
                    path=path,
                ),
            )
            return False
        (self.steps.add if at_once else self.steps.remove)(key, {("tasks", ref): REMOVE})
        return True

    def continuation(self, row: NewTable) -> tuple[str, str] | None:
        """Return page and identity of the open task that a carried task of the day continues as, or None."""
        after = (self.entered.day + DAY).isoformat()  # not the next day of the form if that day is over
        for key in dict.fromkeys((self.next, after, UNDATED, *self._later(str(row.get("id", ""))))):
            same = self.pages.same(key, row)
            if same is not None and same[1].get("status", "open") == "open":
                return key, same[0]
        return None

    def is_moved(self, row: NewTable, page: str, *known: str | None, field: str) -> bool:
        """Report a task that another window has moved since: it is open elsewhere, and on none of the `known` pages.

        `page` is that of the row. It is one of them if the row is open.
        """
        places = self._places(row, began(row, page))
        here = {page} if row.get("status", "open") == "open" else set()
        if not places or places & {*here, *known}:
            return False
        names = numbers.listed(sorted(places))
        self.report(
            field,
            _(
                '"{title}" stands on {names} by now; look at what changed, then save again.',
                title=row["title"],
                names=names,
            ),
        )
        return True

    def is_over(self, row: NewTable, *, field: str) -> bool:
        """Report a carried task that is open nowhere by now: another window has done or dropped it."""
        if self._places(row, began(row, self.day)):
            return False
        self.report(
            field, _('"{title}" is done or dropped by now; look at what changed, then save again.', title=row["title"])
        )
        return True

    def is_taken_off(self, ref: str) -> bool:
        """Return whether a task of the next day's page is not on the form any more."""
        return self.planned is not None and all(planned.ref != ref for planned in self.planned)

    def report(self, field: str, message: str) -> None:
        self.troubles.append(Trouble(field, message))


def lost_keys(row: Iterable[str]) -> list[str]:
    """Return the keys of a task that do not go along when it is removed from its page.

    >>> lost_keys({"title": "Quote", "status": "open", "project": "spring"})
    ['project']
    """
    return [name for name in row if name not in (*LASTING_KEYS, *_OF_THE_DAY)]


def filled(**values: Any) -> NewTable:
    """Return the values that are not None."""
    return {name: value for name, value in values.items() if value is not None}


def edits(row: Mapping[str, Any], **values: Any) -> ChangeSet:
    """Return the changed values of a row, by key. REMOVE empties one, UNSET leaves it unchanged."""
    return {
        (name,): REMOVE if value is None else value
        for name, value in values.items()
        if value is not UNSET and value != row.get(name)
    }
