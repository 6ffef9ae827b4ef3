"""What is decided of tasks that keep being put off, written: do it tomorrow, make it smaller, set a day, drop it.

- *do* puts it on tomorrow, *day* on the day that is chosen, without a rank: the evening before gives one.
- *shrink* gives it a new title, a new estimate or both, where it stands; a task that a past day left goes to tomorrow
  under them, and that day keeps the old ones. It stays one task.
- *drop* says so on the page where it stands, and on today's for a task without a day, which leaves a record.

The new page takes a task in before any other lets go of it, and all that held it do: a past day's page says that it
carried it, a page still to come and the list without days no longer have it. So whatever stops in between leaves it on
two pages, never on none, and the same decision once more comes to the same end.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

import msgspec
import polars as pl
from msgspec import UNSET, UnsetType

from journal.entry import Task
from journal.errors import JournalError, UsageError
from journal.evening import base_pages, carryover
from journal.evening.base_pages import DAY, Pages
from journal.evening.form_values import FormValues, Trouble, told
from journal.evening.page_changes import NewTable, PageWrites
from journal.evening.save_pages import SaveResult, Together
from journal.evening.task_moves import LASTING_KEYS, edits
from journal.evening.triage_list import began, same
from journal.folder import check_day
from journal.folder.page_versions import UNDATED
from journal.folder.three_way_merge import REMOVE
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal

TriageAction = Literal["do", "shrink", "day", "drop"]
WHATS: tuple[TriageAction, ...] = ("do", "shrink", "day", "drop")


_KEYS = frozenset(Task.__struct_fields__)


class Decided(msgspec.Struct, frozen=True, kw_only=True):
    """What becomes of one task; `position` is its place in the form, which messages name. `title` and `estimate` are
    those of a smaller one, UNSET where they stay."""

    position: int
    ref: str
    what: TriageAction
    to: dt.date | None
    title: str | UnsetType
    estimate: float | UnsetType | None


def decide(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Write decisions: {"base" and "day" of the offer, "decisions": [{"ref", "what", and "to", or "title" and
    "estimate"}]}.

    Fields are named "decisions.0.to". Nothing is written while anything is wrong, or was changed elsewhere since; nor
    where another day began since, to which "tomorrow" would be another.

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
            raise UsageError("what was decided is no list; open the page anew")
        if raw.get("day") != book.today.isoformat():
            raise UsageError(
                f"it is {book.today} by now, and tomorrow another day; look over the list, then save again"
            )
        versions = book.files.pages
        pages = Pages(base_pages.brought(raw.get("base"), versions), versions.current)
        names = carryover.Naming(carryover.ids_in_use(book.tables.tasks, book.undated))
        deciding = Deciding(pages, book.today, book.tables.tasks, names)
        for one in read(raw.get("decisions"), book.today, fields):
            deciding.take(one)
        troubles = [*fields.troubles, *deciding.troubles]
    except JournalError as error:
        troubles = [*fields.troubles, Trouble("", f"{error}.")]
    if troubles:
        return SaveResult(saved=False, problems=troubles)
    together = Together(book.files, pages, raw, field=deciding.field, now=now)
    return together.save(deciding.steps.in_order())


def read(raw: object, today: dt.date, fields: FormValues) -> list[Decided]:
    """The decisions, typed; what is wrong in them is said in `fields`, each of it in place of its decision."""
    found: list[Decided] = []
    for i, table in fields.tables(raw, "decisions"):
        field, before = f"decisions.{i}", len(fields.troubles)
        ref = fields.name(table.get("ref"), f"{field}.ref")
        what = fields.word(table.get("what"), f"{field}.what", WHATS)
        to = fields.date(table.get("to"), f"{field}.to") if what == "day" else None
        title: str | UnsetType = UNSET
        estimate: float | UnsetType | None = UNSET
        if what == "shrink":
            title = fields.title({"ref": ref, **table}, field, "task") or UNSET
            estimate = fields.number(table, "estimate", field)
            for fault in check_day.minutes(None if estimate is UNSET else estimate, (field, "estimate")):
                fields.say(f"{field}.estimate", told(fault))
        elif what == "day" and to is not None and to < today:
            fields.say(f"{field}.to", f"Expected a day from {today} on, got {to}; give a later one.")
        elif what == "day" and not table.get("to"):
            fields.say(f"{field}.to", f"Expected the day to set it on, got none; write e.g. {today + 7 * DAY}.")
        if ref is None or any(ref == one.ref for one in found):
            fields.say(f"{field}.ref", "This task is not one to decide on, or stands twice; open the page anew.")
        elif len(fields.troubles) == before:
            found.append(Decided(position=i, ref=ref, what=what, to=to, title=title, estimate=estimate))
    return found


class Deciding:
    """Turns decisions into steps; `troubles` are what cannot be. `tasks` are the rows of `Tables.tasks`."""

    def __init__(self, pages: Pages, today: dt.date, tasks: pl.DataFrame, names: carryover.Naming) -> None:
        self.pages, self.today, self.next = pages, today.isoformat(), (today + DAY).isoformat()
        self.steps = PageWrites(today)
        self.troubles: list[Trouble] = []
        self._tasks, self._names = tasks, names
        self._keys = tuple(pages.bases)  # those that were looked at: any other is only written to
        self._positions: dict[tuple[str, str], int] = {}

    def take(self, one: Decided) -> None:
        """One decision, into the steps."""
        page, _, ref = one.ref.partition("/")
        row = self.pages.tasks(page).get(ref) if page in self._keys else None
        if row is None or row.get("status", "open") not in ("open", "carried"):
            self._say(one, "This task does not stand where this page found it; open the page anew.")
            return
        first = began(row, page)
        target = self._target(one, page)
        is_moved, is_reworded = target != page, one.title not in (UNSET, row["title"])
        naming = self._naming(row, page, one) if is_moved or is_reworded else {}
        there = (ref, row) if not is_moved else same(self.pages, target, row | naming, first=first)
        if there is not None and there[1].get("status") == "done":
            self._say(one, f"It is done on {target} already; open the page anew.")
            return
        said = naming | {"status": "dropped" if one.what == "drop" else "open"}
        if one.what == "shrink":
            said |= {"title": one.title} | ({} if one.estimate is UNSET else {"estimate": one.estimate})
        if is_reworded and not row.get("id"):
            self._name_before(row, first, page, naming)
        if there is None:
            self._add(one, target, str(naming["id"]), self._arriving(row, said))
        else:
            self._edit(one, target, there, said)
        held = {key: found for key in self._keys if (found := self._holds(key, row | naming, first)) is not None}
        for key, (name, holder) in ({page: (ref, row)} | held).items():
            if key != target:
                self._let_go(one, key, name, holder, naming)

    def _target(self, one: Decided, page: str) -> str:
        """The page on which the task is to stand."""
        if one.what == "day" and one.to is not None:
            return one.to.isoformat()
        if one.what == "shrink" and (page == UNDATED or page >= self.today):
            return page
        if one.what == "drop":
            return self.today if page == UNDATED else page
        return self.next

    def _naming(self, row: NewTable, page: str, one: Decided) -> NewTable:
        """The first day and the id of a task; the id of its other pages, where this one has none."""
        beside = [table["id"] for table in self.pages.tasks(page).values() if "id" in table]
        first = began(row, page)
        ids = self._rows(row["title"], first).get_column("id").drop_nulls()
        known = [own for own in ids if own not in beside][-1:] if not row.get("id") else []
        title = None if one.title is UNSET else one.title
        return self._names.of(row | ({"id": known[0]} if known else {}), first, beside=beside, title=title)

    def _rows(self, title: object, first: dt.date | None) -> pl.DataFrame:
        """The rows of all pages that have a task of a title and a first day, in the order of the days."""
        return self._tasks.filter(pl.col("title") == title, pl.coalesce("since", "date") == first).sort("date")

    def _name_before(self, row: NewTable, first: dt.date | None, page: str, naming: NewTable) -> None:
        """A task that was carried by hand, without an id, gets one on the page before too: it is about to be called
        otherwise, and would be another task there."""
        dates = self._rows(row["title"], first).get_column("date").cast(pl.String)
        for key in [date for date in dates if date != page][-1:]:
            found = same(self.pages, key, {"title": row["title"]}, first=first)
            if found is not None and not found[1].get("id"):
                self.steps.add(key, {("tasks", found[0], "id"): naming["id"]})

    def _arriving(self, row: NewTable, said: NewTable) -> NewTable:
        """The row of a task on a page that has not got it."""
        table = {"title": row["title"], "status": said["status"]} | {k: row[k] for k in LASTING_KEYS if k in row} | said
        return {name: value for name, value in table.items() if value is not None}

    def _holds(self, key: str, task: NewTable, first: dt.date | None) -> tuple[str, NewTable] | None:
        """The row by which a page has the task waiting."""
        found = same(self.pages, key, task, first=first)
        return found if found is not None and found[1].get("status", "open") == "open" else None

    def _let_go(self, one: Decided, key: str, ref: str, row: NewTable, naming: NewTable) -> None:
        self._positions[key, ref] = one.position
        if key == UNDATED or key > self.today:
            unknown = [name for name in row if name not in _KEYS]
            if unknown:  # no page takes them in, and they are not ours to drop
                names = numbers.listed(f'"{name}"' for name in unknown)
                self._say(one, f"It has {names} in {self.pages.base(key).path}, which would be lost; move it by hand.")
            self.steps.remove(key, {("tasks", ref): REMOVE})
        else:
            changes = edits(row, status="carried", **naming)
            self.steps.remove(key, {("tasks", ref, *path): value for path, value in changes.items()})

    def _add(self, one: Decided, key: str, ref: str, table: NewTable) -> None:
        self._positions[key, ref] = one.position
        self.steps.add(key, {("tasks", ref): table})

    def _edit(self, one: Decided, key: str, there: tuple[str, NewTable], said: NewTable) -> None:
        ref, row = there
        self._positions[key, ref] = one.position
        if key == UNDATED or (row.get("status", "open"), said["status"]) == ("open", "open"):
            said = {name: value for name, value in said.items() if name != "status"}
        changes = edits(row, **said)
        self.steps.add(key, {("tasks", ref, *path): value for path, value in changes.items()})

    def field(self, key: str, path: Sequence[str | int]) -> str:
        """The field of the form that a way in a page is of."""
        parts = [str(part) for part in path]
        position = self._positions.get((key, parts[1])) if len(parts) > 1 else None
        return "" if position is None else ".".join(["decisions", str(position), *parts[2:]])

    def _say(self, one: Decided, message: str) -> None:
        self.troubles.append(Trouble(f"decisions.{one.position}", message))
