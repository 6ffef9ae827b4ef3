"""Putting a task on a day to come, or back among the undated: saved at once, and taken back as fast.

A task without an id gets one first, where it stands, in a write of its own. Then the day gets it, and only then do the
pages that have it let go of it: a past page or today's marks it as carried, a later page and the undated tasks remove
it. If writing stops in between, the task is on two pages, never on none, and its id says that it is one. The rank stays
behind: the evening before a day gives the ranks.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import msgspec
import polars as pl

from journal.errors import JournalError, UsageError, WriteError
from journal.evening import carryover
from journal.evening.page_changes import NewTable, PageWrites
from journal.evening.task_steps import LASTING_KEYS, edits, lost_keys
from journal.evening.triage_list import began
from journal.folder.page_versions import UNDATED, PageVersions
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import N_, _
from journal.saving import base_pages, save_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues, Trouble
from journal.saving.save_pages import PagesSave, PageWrite, SaveResult
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal

_GONE = N_(
    "{task} does not stand there any more: it was moved, done or reworded elsewhere. The days are as they are now"
)


class PutResult(msgspec.Struct, frozen=True, kw_only=True):
    """The result of a put. `undo` is sent back to take it back, empty if nothing was written. `title` is the task's."""

    answer: SaveResult
    undo: str = ""
    title: str = ""


def put(book: Journal, raw: object, *, now: dt.datetime) -> PutResult:
    """Put a task on a day, or among the undated.

    `raw` is {"base" and "day" of the offer, "ref": "undated/u2p5", "to": "2025-03-17" or "undated"}. Nothing is written
    if there is any problem or conflict, or if another day has begun since.

    >>> import journal, pathlib, tempfile
    >>> from journal.planning.week_ahead import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 16, 18, 5, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> _ = pathlib.Path(folder.name, "undated.toml").write_text('[[tasks]]\\ntitle = "Sort the tin"\\nid = "u2p5"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 16))
    >>> ahead = offer(book)
    >>> moved = {"base": ahead.base, "day": ahead.day, "ref": "undated/u2p5", "to": "2025-03-17"}
    >>> put(book, moved, now=now).answer.said
    'Saved to 2025/2025-03-17.toml and undated.toml at 18:05.'
    >>> folder.cleanup()
    """
    try:
        if not isinstance(raw, Mapping) or not isinstance(raw.get("ref"), str):
            raise UsageError(_("what was moved is no task; open the page anew"))
        if raw.get("day") != book.today.isoformat():
            raise UsageError(_("it is {day} by now; look over the days, then put it again", day=book.today))
        versions = book.files.pages
        pages = Pages(base_pages.submitted(raw.get("base"), versions), versions.current)
        to = _target(raw.get("to"), book.today)
        pages, ref = _as_of_now(pages, versions, raw["ref"])
        return _put(book, pages, ref, to, raw=raw, now=now)
    except JournalError as error:
        return PutResult(answer=SaveResult(saved=False, problems=[Trouble("", f"{error}.")]))


def _target(value: object, today: dt.date) -> str:
    """Return the key of the page that a task goes to. Raises UsageError for a day that is not to come."""
    if value == UNDATED:
        return UNDATED
    fields = FormValues()
    day = fields.date(value, "to")
    if day is None or day <= today:
        raise UsageError(
            _("expected a day after {day}, got {typed}; choose one of the days to come", day=today, typed=value)
        )
    return day.isoformat()


def _as_of_now(pages: Pages, versions: PageVersions, ref: str) -> tuple[Pages, str]:
    """Return the pages as they are on disk, and the ref of the task there. It is moved as it is by now.

    Raises UsageError if its page has it no more, open: another window may have moved it meanwhile.
    """
    key, _slash, name = ref.partition("/")
    now = Pages(tuple(map(versions.current, pages.bases)), versions.current)
    row = pages.tasks(key).get(name) if key in pages.bases else None
    if row is None:
        raise _gone(None)
    shown, there = (_alike(key, row, of.tasks(key)) for of in (pages, now))
    if not there or len(there) < len(shown):  # of two with one title, it may be the one that has left
        raise _gone(row)
    return now, f"{key}/{name if name in there else there[0]}"


def _gone(row: NewTable | None) -> UsageError:
    """Return the error for a task that is not where the page found it."""
    task = _('"{text}"', text=row["title"]) if row else _("This task")
    return UsageError(_(_GONE, task=task))


def _alike(key: str, row: NewTable, rows: Mapping[str, NewTable]) -> list[str]:
    """Return the refs of the rows that may be this task: by id, or by title and first day."""
    return [
        ref
        for ref, other in rows.items()
        if other.get("status", "open") == row.get("status", "open")
        and (
            other["id"] == row["id"]
            if other.get("id") and row.get("id")
            else (other.get("title"), began(other, key)) == (row.get("title"), began(row, key))
        )
    ]


def _put(book: Journal, pages: Pages, ref: str, to: str, *, raw: object, now: dt.datetime) -> PutResult:
    moves = TaskDay(book, pages, ref, to)
    save = PagesSave(book.files, pages, raw, field=_no_field, now=now, by="week")
    failure = save.rehearse(moves.steps())
    if failure is not None:
        return PutResult(answer=failure)
    naming = moves.naming()
    replaced = []
    if naming.changes:
        # A write of its own: two tasks of one title could not be told apart if the next write did not come.
        answer = save.save([naming])
        if not answer.saved:
            return PutResult(answer=answer)
        replaced = save.replaced
        named = Pages((*pages.bases.values(), book.files.pages.current(naming.key)), book.files.pages.current)
        moves = TaskDay(book, named, f"{naming.key}/{moves.id}", to)
        save = PagesSave(book.files, named, raw, field=_no_field, now=now, by="week")
    answer = save.save(moves.steps())
    replaced = [*replaced, *save.replaced]
    return PutResult(answer=answer, undo=save_pages.packed(replaced), title=str(moves.row["title"]))


def _no_field(key: str, path: Sequence[str | int]) -> str:
    return ""


class TaskDay:
    """One task on its way to a page: where it stands, its id and first day, and the pages to write.

    Raises UsageError if the task is not where the page found it, or holds what the new page cannot.
    """

    def __init__(self, book: Journal, pages: Pages, ref: str, to: str) -> None:
        self._book, self._pages, self.to = book, pages, to
        self.page, _slash, self.ref = ref.partition("/")
        row = pages.tasks(self.page).get(self.ref) if self.page in pages.bases else None
        if row is None or row.get("status", "open") not in ("open", "carried"):
            raise _gone(row)
        if not isinstance(row.get("title"), str):
            raise UsageError(_("the task has no title in {path}; give it one there", path=pages.base(self.page).path))
        self.row: dict[str, Any] = row
        self.first = began(row, self.page)
        known = carryover.IdsInUse(book.tables.tasks, book.undated)
        own_id = {"id": task_id} if (task_id := self._id_before()) else {}
        named = carryover.Naming(known).assign(row | own_id, self.first, beside=known)
        self.id = str(named["id"])
        self._named = named
        self._check_keys(row, self.page)

    def naming(self) -> PageWrite:
        """The write that gives the task its id and first day where it stands, without changes if it has them."""
        changes = edits(self.row, **self._named) if not self.row.get("id") else {}
        return PageWrite(self.page, {("tasks", self.ref, *path): value for path, value in changes.items()})

    def steps(self) -> list[PageWrite]:
        """The pages to write once the task has its id, in order."""
        steps = PageWrites(self._book.today)
        there = next(((ref, row) for ref, row in self._rows(self.to).items() if row.get("id") == self.id), None)
        if there is None and self.page != self.to:
            kept = {key: self.row[key] for key in LASTING_KEYS if key in self.row} | self._named | self._since()
            status = {} if self.to == UNDATED else {"status": "open"}
            steps.add(self.to, {("tasks", self.id): {"title": self.row["title"]} | status | kept})
        elif there is not None and there[1].get("status", "open") != "open":
            if there[1]["status"] == "done":
                raise UsageError(
                    _('"{title}" is done on {day} already; open the page anew', title=self.row["title"], day=self.to)
                )
            steps.add(self.to, {("tasks", there[0], "status"): "open"})
        if self.page != self.to:
            self._let_go(steps, self.page, self.ref, self.row)
        for key in dict.fromkeys([*self._pages.bases, *self._dates_open()]):
            if key not in (self.page, self.to):
                for ref, row in self._rows(key).items():
                    if self._is_same(key, row):
                        self._let_go(steps, key, ref, row)
        return steps.in_order()

    def _since(self) -> NewTable:
        """The first day on the new page: no later than that day, and for an undated task no later than today."""
        latest = self._book.today if self.to == UNDATED else dt.date.fromisoformat(self.to)
        since = self._named.get("since")
        return {} if since is None else {"since": min(since, latest)}

    def _let_go(self, steps: PageWrites, key: str, ref: str, row: NewTable) -> None:
        if key != UNDATED and key <= self._book.today.isoformat():
            changes = edits(row, status="carried", **self._named)
            steps.remove(key, {("tasks", ref, *path): value for path, value in changes.items()})
            return
        self._check_keys(row, key)
        steps.remove(key, {("tasks", ref): REMOVE})

    def _is_same(self, key: str, row: NewTable) -> bool:
        """Return whether a row is this task too, open on another page. Without an id it is another of its title."""
        return row.get("status", "open") == "open" and bool(row.get("id") == self.id)

    def _check_keys(self, row: NewTable, key: str) -> None:
        """Raise UsageError if a row that is removed has keys that do not go along."""
        stays = key != UNDATED and key <= self._book.today.isoformat()
        lost = lost_keys(row)
        if lost and not stays:
            raise UsageError(
                _(
                    '"{title}" has {names} in {path}, which would be lost; move it by hand',
                    title=row["title"],
                    names=numbers.listed(_('"{text}"', text=name) for name in lost),
                    path=self._pages.base(key).path,
                )
            )

    def _id_before(self) -> str | None:
        """Return the id that the task has on an earlier page, if it has none here. An id that is open on another page
        may be that of another task with this title."""
        if self.row.get("id"):
            return None
        tasks = self._book.tables.tasks
        chain = tasks.filter(
            pl.col("title") == self.row["title"], pl.coalesce("since", "date") == pl.lit(self.first, pl.Date)
        )
        ids = chain.sort("date").get_column("id").drop_nulls()
        free = [one for one in ids if not self._is_open(one)]
        return free[-1] if free else None

    def _dates_open(self) -> list[str]:
        """The pages of the journal on which this task is open, as after a save that was stopped."""
        tasks = self._book.tables.tasks.filter(pl.col("status") == "open")
        named = (pl.col("title") == self.row["title"]) & (pl.coalesce("since", "date") == pl.lit(self.first, pl.Date))
        return tasks.filter((pl.col("id") == self.id) | named).get_column("date").cast(pl.String).to_list()

    def _is_open(self, task_id: str) -> bool:
        tasks = self._book.tables.tasks
        is_open = not tasks.filter(pl.col("id") == task_id, pl.col("status") == "open").is_empty()
        return is_open or any(task.id == task_id for task in self._book.undated.tasks)

    def _rows(self, key: str) -> dict[str, NewTable]:
        """Return the tasks of a page, none of a broken one: only the page that is written must be readable."""
        try:
            return self._pages.tasks(key)
        except WriteError:
            return {}
