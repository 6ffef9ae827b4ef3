"""Saving of triage decisions: do a task tomorrow, make it smaller, set a day, or drop it.

- *do* puts it on tomorrow, *day* on the chosen day, both without a rank: the evening before that day gives one.
- *shrink* gives it a new title, a new estimate or both, where it is. A task of a past day moves to tomorrow with them,
  and the past day keeps the old ones. It stays one task.
- *drop* marks it on its page, or on today's page for an undated task, so that a record is left.

The new page gets the task before all pages that have it open let go of it: a past day's page marks it as carried, a
future page and the undated list remove it. So if writing stops in between, the task is on two pages, never on none, and
repeating the decision gives the same result.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

import msgspec
import polars as pl
from msgspec import UNSET, UnsetType

from journal.entry import Undated
from journal.errors import JournalError, UsageError
from journal.evening import carryover
from journal.evening.page_changes import NewTable, PageWrites
from journal.evening.task_steps import LASTING_KEYS, edits, lost_keys
from journal.evening.triage_list import began, same
from journal.folder import check_day
from journal.folder.page_versions import UNDATED
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.base_pages import DAY, Pages
from journal.saving.form_values import FormValues, Trouble, fault_message
from journal.saving.save_pages import PagesSave, SaveResult
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal

TriageAction = Literal["do", "shrink", "day", "drop"]
ACTIONS: tuple[TriageAction, ...] = ("do", "shrink", "day", "drop")


class Decided(msgspec.Struct, frozen=True, kw_only=True):
    """The decision about one task. `position` is its row in the form, for messages.

    `title` and `estimate` are those of a smaller task, UNSET if they stay.
    """

    position: int
    ref: str
    what: TriageAction
    to: dt.date | None
    title: str | UnsetType
    estimate: float | UnsetType | None


def decide(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Write decisions, and return what was saved, or the problems.

    `raw` is {"base" and "day" of the offer, "decisions": [{"ref", "what", and "to", or "title" and "estimate"}]}.
    Fields are named "decisions.0.to". Nothing is written if there is any problem or conflict, or if another day has
    begun since, because "tomorrow" would be another day.

    >>> import journal, pathlib, tempfile
    >>> from journal.evening.triage_list import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 16, 18, 5, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> _ = pathlib.Path(folder.name, "2025-03-10.toml").write_text('[[tasks]]\\ntitle = "Quote"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 16))
    >>> page = offer(book)
    >>> tomorrow = {"ref": page.tasks[0].ref, "what": "do"}
    >>> decide(book, {"base": page.base, "day": page.day, "decisions": [tomorrow]}, now=now).said
    'Saved to 2025/2025-03-17.toml and 2025-03-10.toml at 18:05.'
    >>> folder.cleanup()
    """
    fields = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("what was decided is no list; open the page anew"))
        if raw.get("day") != book.today.isoformat():
            raise UsageError(
                _(
                    "it is {day} by now, and tomorrow another day; look over the list, then save again",
                    day=book.today,
                )
            )
        versions = book.files.pages
        pages = Pages(base_pages.submitted(raw.get("base"), versions), versions.current)
        names = carryover.Naming(carryover.IdsInUse(book.tables.tasks, book.undated))
        triage = TriageSteps(pages, book.today, book.tables.tasks, book.undated, names)
        for decision in read(raw.get("decisions"), book.today, fields):
            triage.take(decision)
        troubles = [*fields.troubles, *triage.troubles]
    except JournalError as error:
        troubles = [*fields.troubles, Trouble("", f"{error}.")]
    if troubles:
        return SaveResult(saved=False, problems=troubles)
    save = PagesSave(book.files, pages, raw, field=triage.field, now=now, by="week")
    return save.save(triage.steps.in_order())


def read(raw: object, today: dt.date, fields: FormValues) -> list[Decided]:
    """Return the typed decisions. Invalid ones are left out and reported in `fields`."""
    decisions: list[Decided] = []
    for i, table in fields.tables(raw, "decisions"):
        field, problems_before = f"decisions.{i}", len(fields.troubles)
        ref = fields.name(table.get("ref"), f"{field}.ref")
        action = fields.word(table.get("what"), f"{field}.what", ACTIONS)
        to = fields.date(table.get("to"), f"{field}.to") if action == "day" else None
        title: str | UnsetType = UNSET
        estimate: float | UnsetType | None = UNSET
        if action == "shrink":
            title = fields.title({"ref": ref, **table}, field, "task") or UNSET
            estimate = fields.number(table, "estimate", field)
            for fault in check_day.minutes(None if estimate is UNSET else estimate, (field, "estimate")):
                fields.report(f"{field}.estimate", fault_message(fault))
        elif action == "day" and to is not None and to < today:
            early = _("Expected a day from {first} on, got {day}; give a later one.", first=today, day=to)
            fields.report(f"{field}.to", early)
        elif action == "day" and not table.get("to"):
            none = _("Expected the day to set it on, got none; write e.g. {day}.", day=today + 7 * DAY)
            fields.report(f"{field}.to", none)
        if ref is None or any(ref == decision.ref for decision in decisions):
            fields.report(f"{field}.ref", _("This task is not one to decide on, or stands twice; open the page anew."))
        elif len(fields.troubles) == problems_before:
            decisions.append(Decided(position=i, ref=ref, what=action, to=to, title=title, estimate=estimate))
    return decisions


class TriageSteps:
    """Turns decisions into steps. `troubles` are the problems. `tasks` are the rows of `Tables.tasks`."""

    def __init__(
        self, pages: Pages, today: dt.date, tasks: pl.DataFrame, undated: Undated, names: carryover.Naming
    ) -> None:
        self.pages, self.today, self.next = pages, today.isoformat(), (today + DAY).isoformat()
        self.steps = PageWrites(today)
        self.troubles: list[Trouble] = []
        self._tasks, self._undated, self._names = tasks, undated, names
        self._keys = tuple(pages.bases)  # the pages that were read; others are only written to
        self._positions: dict[tuple[str, str], int] = {}

    def take(self, decision: Decided) -> None:
        """Add the steps of one decision."""
        page, _slash, ref = decision.ref.partition("/")
        row = self.pages.tasks(page).get(ref) if page in self._keys else None
        if row is None or row.get("status", "open") not in ("open", "carried"):
            self._report(decision, _("This task does not stand where this page found it; open the page anew."))
            return
        first = began(row, page)
        target = self._target(decision, page)
        places = carryover.open_places(self._tasks, self._undated, row, first)
        if places and not places & {page, target}:  # another window has moved it since
            self._stands_on(numbers.listed(sorted(places)), decision)
            return
        if page == UNDATED and not places and self._is_dropped(row, decision):
            return
        if target in places and page not in places:  # it is there already, under whatever id
            if decision.title not in (UNSET, row["title"]):
                self._stands_on(target, decision)
            return
        is_moved, is_reworded = target != page, decision.title not in (UNSET, row["title"])
        naming = self._naming(row, page, decision) if is_moved or is_reworded else {}
        existing = (ref, row) if not is_moved else self._found(target, row, naming, first)
        if existing is not None and existing[1].get("status") == "done":
            self._report(decision, _("It is done on {day} already; open the page anew.", day=target))
            return
        values = naming | {"status": "dropped" if decision.what == "drop" else "open"}
        if decision.what == "shrink":
            values |= {"title": decision.title} | (
                {} if decision.estimate is UNSET else {"estimate": decision.estimate}
            )
        if is_reworded and not row.get("id"):
            self._name_before(row, first, page, naming)
        if existing is None:
            self._add(decision, target, str(naming["id"]), self._arriving(row, values))
        else:
            lasting = {name: row[name] for name in LASTING_KEYS if name in row} if is_moved else {}
            self._edit(decision, target, existing, lasting | values)
        holders = {key: holding for key in self._keys if (holding := self._holds(key, row, naming, first)) is not None}
        for key, (name, holder) in ({page: (ref, row)} | holders).items():
            if key != target:
                self._let_go(decision, key, name, holder, naming)

    def _target(self, decision: Decided, page: str) -> str:
        """Return the page that the task goes to."""
        if decision.what == "day" and decision.to is not None:
            return decision.to.isoformat()
        if decision.what == "shrink" and (page == UNDATED or page >= self.today):
            return page
        if decision.what == "drop":
            return self.today if page == UNDATED else page
        return self.next

    def _naming(self, row: NewTable, page: str, decision: Decided) -> NewTable:
        """Return the first day and the id of a task: its row's id, or the one it has on another page."""
        beside = {table["id"] for table in self.pages.tasks(page).values() if "id" in table}
        target = self._target(decision, page)
        beside |= {
            task_id for task_id, keys in carryover.open_ids(self._tasks, self._undated).items() if keys - {page, target}
        }
        if decision.title is UNSET:  # a task that is reworded gets its id on its former page first
            beside |= carryover.arrived_ids(self._tasks, self._undated, to=target, source=page)
        first = began(row, page)
        ids = self._rows(row["title"], first).get_column("id").drop_nulls()
        known_ids = [task_id for task_id in ids if task_id not in beside][-1:] if not row.get("id") else []
        title = None if decision.title is UNSET else decision.title
        return self._names.assign(row | ({"id": known_ids[0]} if known_ids else {}), first, beside=beside, title=title)

    def _is_dropped(self, row: NewTable, decision: Decided) -> bool:
        """Return whether another window, or this one, has dropped an undated task today. Another decision is told."""
        today = dt.date.fromisoformat(self.today)
        if self._tasks.filter(date=today, title=row["title"], status="dropped").is_empty():
            return False
        if decision.what != "drop":
            self._report(decision, _("It is dropped by now; open the page anew."))
        return True

    def _rows(self, title: object, first: dt.date | None) -> pl.DataFrame:
        """Return the rows of all pages with a task of this title and first day, sorted by day."""
        began = pl.coalesce("since", "date").eq_missing(pl.lit(first, pl.Date))
        return self._tasks.filter(pl.col("title") == title, began).sort("date")

    def _name_before(self, row: NewTable, first: dt.date | None, page: str, naming: NewTable) -> None:
        """Set the id on the previous page of a task that was carried by hand without one.

        Its title is about to change, and without an id it would count as another task there.
        """
        dates = self._rows(row["title"], first).get_column("date").cast(pl.String)
        for key in [date for date in dates if date != page][-1:]:
            match = same(self.pages, key, {"title": row["title"]}, first=first)
            if match is not None and not match[1].get("id"):
                self.steps.add(key, {("tasks", match[0], "id"): naming["id"]})

    def _arriving(self, row: NewTable, values: NewTable) -> NewTable:
        """Return the row of a task for a page that does not have it."""
        table = (
            {"title": row["title"], "status": values["status"]} | {k: row[k] for k in LASTING_KEYS if k in row} | values
        )
        return {name: value for name, value in table.items() if value is not None}

    def _found(self, key: str, row: NewTable, naming: NewTable, first: dt.date | None) -> tuple[str, NewTable] | None:
        """Return the row of the task on a page, or None. One of its title with another id, or none, is another task."""
        own_id = (row | naming).get("id")
        match = same(self.pages, key, {"id": own_id}, first=first) if own_id else None
        return match if match is not None and match[1].get("id") == own_id else None

    def _holds(self, key: str, row: NewTable, naming: NewTable, first: dt.date | None) -> tuple[str, NewTable] | None:
        """Return the row of the open task on a page, or None."""
        match = self._found(key, row, naming, first)
        return match if match is not None and match[1].get("status", "open") == "open" else None

    def _let_go(self, decision: Decided, key: str, ref: str, row: NewTable, naming: NewTable) -> None:
        self._positions[key, ref] = decision.position
        if key == UNDATED or key > self.today:
            lost = lost_keys(row)
            if lost:  # no page can take these keys, and they must not be lost
                lost_with_it = _(
                    "It has {names} in {path}, which would be lost; move it by hand.",
                    names=numbers.listed(_('"{text}"', text=name) for name in lost),
                    path=self.pages.base(key).path,
                )
                self._report(decision, lost_with_it)
            self.steps.remove(key, {("tasks", ref): REMOVE})
        else:
            changes = edits(row, status="carried", **naming)
            self.steps.remove(key, {("tasks", ref, *path): value for path, value in changes.items()})

    def _add(self, decision: Decided, key: str, ref: str, table: NewTable) -> None:
        self._positions[key, ref] = decision.position
        self.steps.add(key, {("tasks", ref): table})

    def _edit(self, decision: Decided, key: str, existing: tuple[str, NewTable], values: NewTable) -> None:
        ref, row = existing
        self._positions[key, ref] = decision.position
        if key == UNDATED or (row.get("status", "open"), values["status"]) == ("open", "open"):
            values = {name: value for name, value in values.items() if name != "status"}
        changes = edits(row, **values)
        self.steps.add(key, {("tasks", ref, *path): value for path, value in changes.items()})

    def field(self, key: str, path: Sequence[str | int]) -> str:
        """Return the form field of a path in a page."""
        parts = [str(part) for part in path]
        position = self._positions.get((key, parts[1])) if len(parts) > 1 else None
        return "" if position is None else ".".join(["decisions", str(position), *parts[2:]])

    def _stands_on(self, names: str, decision: Decided) -> None:
        self._report(decision, _("It stands on {names} by now; open the page anew.", names=names))

    def _report(self, decision: Decided, message: str) -> None:
        self.troubles.append(Trouble(f"decisions.{decision.position}", message))
