"""The tasks of a day, and the tasks that earlier days left open and no later page has.

A done task is not offered again, nor is one that is on a later page or among the undated tasks.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

import polars as pl

from journal.entry import Entry, Task, Undated
from journal.evening.form_schema import TaskOffer
from journal.folder.identity import identities
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import _
from journal.wording import dates, entries

TitleAndDay = tuple[str, dt.date]
"""The title and the first day of a task, which tell an id's task from others."""

_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"  # without characters that look alike
_ID_LENGTH = 4  # 31 ** 4 is 924 thousand ids, so among ten thousand tasks few first choices collide
_MOST_LEFT = 50
_OTHER = ("", dt.date.min)  # differs from the title and first day of every task


def new_id(title: str, since: dt.date, holder: Callable[[str], TitleAndDay | None] = lambda _: None) -> str:
    """Return an id for a task with this title and first day. `holder` gives those of the task that has an id, or None.

    The id is computed from title and day, so a save repeated after a failure gives the same id.

    >>> own = new_id("Quote for the choir", dt.date(2025, 3, 11))
    >>> len(own), own == new_id("Quote for the choir", dt.date(2025, 3, 11))
    (4, True)
    """
    salt = 0
    while True:
        seed = f"{title}\n{since}\n{salt}".encode()
        rest = int.from_bytes(hashlib.blake2b(seed, digest_size=8).digest())
        letters = []
        for _place in range(_ID_LENGTH):
            rest, at = divmod(rest, len(_ALPHABET))
            letters.append(_ALPHABET[at])
        candidate = "".join(letters)
        if holder(candidate) in (None, (title, since)):
            return candidate
        salt += 1


class Naming:
    """Assigns tasks the first day and the id that identify them on every page. `in_use` is `IdsInUse`.

    >>> naming, monday = Naming({}), dt.date(2025, 3, 10)
    >>> naming.assign({"title": "Quote", "id": "t7k2"}, monday)
    {'since': datetime.date(2025, 3, 10), 'id': 't7k2'}
    >>> naming.assign({"title": "Fold"}, monday)["id"] == naming.assign({"title": "Fold"}, monday)["id"]  # two tasks
    False
    """

    def __init__(self, in_use: Mapping[str, TitleAndDay]) -> None:
        self._in_use = in_use
        self._assigned = set[str]()  # never assigned twice

    def assign(
        self, task: Mapping[str, Any], page: dt.date | None, *, beside: Iterable[object] = (), title: str | None = None
    ) -> dict[str, Any]:
        """Return `since` (if known) and `id` for a task on the page of a day, or on none.

        `beside` are the ids on its page; they belong to other tasks, whatever their titles. `title` is the task's new
        title: an id for that title and first day may come from an interrupted save of the same change.
        """
        since = task.get("since") or page
        result = {} if since is None else {"since": since}
        task_id = task.get("id")
        if not task_id:
            others = beside if isinstance(beside, Mapping) else set(map(str, beside))
            first = since or dt.date.min

            def holder(candidate: str) -> TitleAndDay | None:
                if candidate in others or candidate in self._assigned:
                    return _OTHER
                held = self._in_use.get(candidate)
                return None if held == (title, first) else held

            task_id = new_id(str(task["title"]), first, holder)
        self._assigned.add(task_id)
        return result | {"id": task_id}


class IdsInUse(Mapping[str, TitleAndDay]):
    """Every id of the journal, with the title and first day of its task. In: `Tables.tasks`.

    One id is looked up in the frame: a journal has tens of thousands, and a save needs a few.
    """

    def __init__(self, tasks: pl.DataFrame, undated: Undated) -> None:
        self._tasks = tasks
        self._undated = {task.id: (task.title, task.since or dt.date.min) for task in undated.tasks if task.id}

    def __getitem__(self, task_id: str) -> TitleAndDay:
        if task_id in self._undated:
            return self._undated[task_id]
        rows = self._tasks.filter(pl.col("id") == task_id).select("title", pl.coalesce("since", "date")).tail(1).rows()
        if not rows:
            raise KeyError(task_id)
        return rows[0]

    def __iter__(self) -> Iterator[str]:
        return iter(self._undated.keys() | set(self._tasks.get_column("id").drop_nulls()))

    def __len__(self) -> int:
        return len(list(iter(self)))


def open_ids(tasks: pl.DataFrame, undated: Undated) -> dict[str, set[str]]:
    """Return every id that is open, with the keys of its pages. In: `Tables.tasks`.

    An id of the same title and first day that is open on a further page is another task: both were written.
    """
    rows = tasks.filter(pl.col("id").is_not_null(), pl.col("status") == "open").select("id", "date").iter_rows()
    places: dict[str, set[str]] = {}
    for task_id, key in [*rows, *((task.id, UNDATED) for task in undated.tasks if task.id)]:
        places.setdefault(task_id, set()).add(str(key))
    return places


def arrived_ids(tasks: pl.DataFrame, undated: Undated, *, to: str, source: str) -> set[str]:
    """Return the ids that are open on the page `to` and have come there from a third page. In: `Tables.tasks`.

    One of the same title and first day as a task that goes from `source` to `to` is another task.
    """
    is_here = pl.col("date").cast(pl.String) == to
    there = tasks.filter(is_here, pl.col("status") == "open").get_column("id").drop_nulls().to_list()
    if to == UNDATED:
        there = [task.id for task in undated.tasks if task.id]
    is_third = ~pl.col("date").cast(pl.String).is_in([to, source])
    return set(tasks.filter(pl.col("id").is_in(there), is_third).get_column("id"))


def open_places(tasks: pl.DataFrame, undated: Undated, row: Mapping[str, Any], first: dt.date | None) -> set[str]:
    """Return the keys of the pages on which a task is open: by id, or by title and first day where one has no id.

    In: `Tables.tasks`. A window that was opened before another one moved the task does not know its place. An undated
    task without a first day got one when it was moved.
    """
    began = pl.coalesce("since", "date").eq_missing(pl.lit(first, pl.Date)) if first else pl.lit(value=True)
    alike = (pl.col("title") == row["title"]) & began
    own_id = row.get("id")
    if own_id:
        alike = (pl.col("id") == own_id) | (alike & pl.col("id").is_null())
    places = tasks.filter(pl.col("status") == "open", alike).get_column("date").cast(pl.String).to_list()
    for task in undated.tasks:
        named = (task.title, task.since) == (row["title"], first)
        if task.id == own_id if task.id and own_id else named:
            places.append(UNDATED)
    return set(places)


def task_refs(tasks: Sequence[Task]) -> list[str]:
    """Return the identity of each task on its page."""
    return identities("tasks", [{k: v for k, v in _named(task).items() if v is not None} for task in tasks])


def _named(task: Task) -> dict[str, object]:
    return {"title": task.title, "since": task.since, "id": task.id}


def since_words(since: dt.date, day: dt.date, carried: int = 0) -> str:
    """Return how long a task has waited, as of a day.

    >>> today = dt.date(2025, 3, 13)
    >>> since_words(dt.date(2025, 3, 11), today, 2), since_words(dt.date(2025, 3, 2), today), since_words(today, today)
    ('since Tuesday, carried twice', 'since 2 March', '')
    """
    days = (day - since).days
    if days <= 0:
        age = ""
    elif days < 7:
        age = _("since {day}", day=dates.weekday(since.weekday()))
    else:
        age = _("since {day}", day=dates.day(since, weekday=False, year=since.year != day.year))
    return ", ".join(part for part in (age, entries.carried(carried)) if part)


def offers_of_page(entry: Entry, day: dt.date, lives: pl.DataFrame, *, as_of: dt.date | None = None) -> list[TaskOffer]:
    """Return the tasks of a day's page, with how long each has waited. In: the frame of `measures.tasks.lives`."""
    if not entry.tasks:
        return []
    carried_by_name = _carried_by_name(lives_like([(task, day) for task in entry.tasks], lives))
    return [
        _offer(task, ref, day, _carried(carried_by_name, task, day), as_of or day)
        for task, ref in zip(entry.tasks, task_refs(entry.tasks), strict=True)
    ]


def lives_like(tasks: Iterable[tuple[Task, dt.date]], lives: pl.DataFrame) -> pl.DataFrame:
    """The rows of `measures.tasks.lives` by which tasks, each with the day of its page, can be looked up.

    They are few of tens of thousands: those with the id of a task, or with a first day and a title.
    """
    on_pages = list(tasks)
    ids = [task.id for task, _day in on_pages if task.id is not None]
    firsts, titles = {task.since or day for task, day in on_pages}, {task.title for task, _day in on_pages}
    return lives.filter(pl.col("id").is_in(ids) | (pl.col("since").is_in(firsts) & pl.col("title").is_in(titles)))


def _carried_by_name(lives: pl.DataFrame) -> dict[object, int]:
    """Return how often each task was carried, by its id and by its title and first day."""
    counts: dict[object, int] = {}
    for task_id, title, since, carried in lives.select("id", "title", "since", "carried").iter_rows():
        counts[task_id if task_id is not None else (title, since)] = carried
        counts.setdefault((title, since), carried)
    return counts


def _carried(carried_by_name: Mapping[object, int], task: Task, day: dt.date) -> int:
    return carried_by_name.get(task.id, carried_by_name.get((task.title, task.since or day), 0))


def _offer(task: Task, ref: str, page: dt.date, carried: int, day: dt.date) -> TaskOffer:
    return TaskOffer(
        ref=ref,
        title=task.title,
        status=task.status,
        rank=task.rank,
        estimate=task.estimate,
        took=task.took,
        since=str(task.since) if task.since else None,
        id=task.id,
        said=since_words(task.since or page, day, carried),
        page=page.isoformat(),
    )


def left_open(tasks: pl.DataFrame, lives: pl.DataFrame, undated: Undated, day: dt.date) -> list[TaskOffer]:
    """Return open tasks of earlier days that are not on the day, on a later page or among the undated tasks.

    In: `Tables.tasks`, and its `measures.tasks.lives` as of the day. Newest first, at most `_MOST_LEFT`. `ref` is the
    day of the task's page and its identity there, e.g. "2025-03-10/t7k2".
    """
    later = tasks.filter(pl.col("date") > day)
    waiting_names: set[object] = {
        name for task_id, title, since in _names(later) for name in (task_id, (title, since)) if name is not None
    }
    waiting_names |= {task.id for task in undated.tasks if task.id} | {
        (task.title, task.since) for task in undated.tasks
    }
    rows = (
        lives.filter(pl.col("status") == "open", pl.col("last") < day)
        .sort("last", descending=True, maintain_order=True)
        .iter_rows(named=True)
    )
    rows_left = [
        row for row in rows if row["id"] not in waiting_names and (row["title"], row["since"]) not in waiting_names
    ]
    offers: list[TaskOffer] = []
    pages = _tasks_by_day(tasks, {row["last"] for row in rows_left[:_MOST_LEFT]})
    for row in rows_left[:_MOST_LEFT]:
        page = pages[row["last"]]
        own = [i for i, task in enumerate(page) if task.id is not None and task.id == row["id"]]
        index = next(iter(own or [i for i, task in enumerate(page) if _is_same_task(task, row)]), None)
        if index is not None:
            offer = _offer(page[index], f"{row['last']}/{task_refs(page)[index]}", row["last"], row["carried"], day)
            offers.append(offer)
    return offers


def _names(rows: pl.DataFrame) -> Iterable[tuple[str | None, str, dt.date]]:
    return rows.select("id", "title", pl.coalesce("since", "date").alias("since")).iter_rows()


def _tasks_by_day(tasks: pl.DataFrame, days: Collection[dt.date]) -> dict[dt.date, list[Task]]:
    """The tasks of some days, in order, from `Tables.tasks`."""
    by_day: dict[dt.date, list[Task]] = {day: [] for day in days}
    for row in tasks.filter(pl.col("date").is_in(days)).sort("date", "position").drop("position").iter_rows(named=True):
        by_day[row.pop("date")].append(Task(**row))
    return by_day


def _is_same_task(task: Task, row: Mapping[str, object]) -> bool:
    if task.id is not None and row["id"] is not None:
        return task.id == row["id"]
    return task.title == row["title"] and task.status in ("open", "carried")
