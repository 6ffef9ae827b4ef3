"""What a day leaves: its tasks, and those that earlier days left open and no later day took.

A task that is done is not offered again, nor is one that stands on a later page or waits without a day.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import polars as pl

from journal.entry import Entry, Task, Undated
from journal.evening.form_schema import TaskOffer
from journal.folder.identity import identities
from journal.wording import dates, entries

_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"  # without signs that are read for one another
_ID_LENGTH = 4  # 31 ** 4 ids, 924 thousand: of the ten thousand tasks of a long life hardly two begin with the same
_MOST_LEFT = 50
_OTHER = ("", dt.date.min)  # the title and first day of no task


def new_id(title: str, since: dt.date, taken: Mapping[str, tuple[str, dt.date]]) -> str:
    """An id for a task of that title and first day; `taken` has the title and day of every id in use.

    It follows from the two, so that what is saved a second time after a failure gets the id it had.

    >>> own = new_id("Quote for the choir", dt.date(2025, 3, 11), {})
    >>> len(own), own == new_id("Quote for the choir", dt.date(2025, 3, 11), {})
    (4, True)
    """
    salt = 0
    while True:
        seed = f"{title}\n{since}\n{salt}".encode()
        rest = int.from_bytes(hashlib.blake2b(seed, digest_size=8).digest())
        letters = []
        for _ in range(_ID_LENGTH):
            rest, at = divmod(rest, len(_ALPHABET))
            letters.append(_ALPHABET[at])
        found = "".join(letters)
        if taken.get(found, (title, since)) == (title, since):
            return found
        salt += 1


class Naming:
    """Gives tasks the first day and the id by which they are known on every page. `in_use` is that of `ids_in_use`.

    >>> naming, monday = Naming({}), dt.date(2025, 3, 10)
    >>> naming.of({"title": "Quote", "id": "t7k2"}, monday)
    {'since': datetime.date(2025, 3, 10), 'id': 't7k2'}
    >>> naming.of({"title": "Fold"}, monday)["id"] == naming.of({"title": "Fold"}, monday)["id"]  # of two tasks
    False
    """

    def __init__(self, in_use: Mapping[str, tuple[str, dt.date]]) -> None:
        self._in_use = dict(in_use)

    def of(
        self, task: Mapping[str, Any], page: dt.date | None, *, beside: Iterable[object] = (), title: str | None = None
    ) -> dict[str, Any]:
        """For a task as it stands on the page of a day, or without one: since (where it is known) and id.

        `beside` are ids of its page, which are of other tasks, whatever these are called. `title` is what it is going
        to be called: an id of that title and first day may be what a save that stopped half-way gave it.
        """
        since = task.get("since") or page
        known = {} if since is None else {"since": since}
        own = task.get("id")
        if not own:
            first = since or dt.date.min
            taken = {k: named for k, named in self._in_use.items() if named != (title, first)}
            own = new_id(str(task["title"]), first, taken | dict.fromkeys(map(str, beside), _OTHER))
        self._in_use[own] = _OTHER  # it is given, and not to be given again
        return known | {"id": own}


def ids_in_use(tasks: pl.DataFrame, undated: Undated) -> dict[str, tuple[str, dt.date]]:
    """Every id of the journal, with the title and first day of its task. In: `Tables.tasks`."""
    rows = tasks.filter(pl.col("id").is_not_null()).select("id", "title", pl.coalesce("since", "date")).iter_rows()
    found = {own: (title, since) for own, title, since in rows}
    return found | {t.id: (t.title, t.since or dt.date.min) for t in undated.tasks if t.id}


def refs(tasks: Sequence[Task]) -> list[str]:
    """What each task of a page goes by there: its identity."""
    return identities("tasks", [{k: v for k, v in _named(task).items() if v is not None} for task in tasks])


def _named(task: Task) -> dict[str, object]:
    return {"title": task.title, "since": task.since, "id": task.id}


def since_words(since: dt.date, day: dt.date, carried: int = 0) -> str:
    """How long a task has waited, as of a day.

    >>> today = dt.date(2025, 3, 13)
    >>> since_words(dt.date(2025, 3, 11), today, 2), since_words(dt.date(2025, 3, 2), today), since_words(today, today)
    ('since Tuesday, carried twice', 'since 2 March', '')
    """
    days = (day - since).days
    if days <= 0:
        waited = ""
    elif days < 7:
        waited = f"since {dates.WEEKDAY_NAMES[since.weekday()]}"
    else:
        waited = f"since {dates.day(since, weekday=False, year=since.year != day.year)}"
    return ", ".join(part for part in (waited, entries.carried(carried)) if part)


def of_page(entry: Entry, day: dt.date, lives: pl.DataFrame, *, as_of: dt.date | None = None) -> list[TaskOffer]:
    """The tasks of a day's page, with how long each has waited. In: the frame of `measures.tasks.lives`."""
    known = _by_name(lives)
    return [
        _offer(task, ref, day, _carried(known, task, day), as_of or day)
        for task, ref in zip(entry.tasks, refs(entry.tasks), strict=True)
    ]


def _by_name(lives: pl.DataFrame) -> dict[object, int]:
    """How often each task was carried, by its id and by its title and first day."""
    found: dict[object, int] = {}
    for own, title, since, carried in lives.select("id", "title", "since", "carried").iter_rows():
        found[own if own is not None else (title, since)] = carried
        found.setdefault((title, since), carried)
    return found


def _carried(known: Mapping[object, int], task: Task, day: dt.date) -> int:
    return known.get(task.id, known.get((task.title, task.since or day), 0))


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
    """Tasks that an earlier day left and nothing took up: not on the day, not later, not among those without a day.

    In: `Tables.tasks` and its `measures.tasks.lives` as of the day. The newest first, `_MOST_LEFT` at most. `ref` is
    the day of their page and what they go by there, e.g. "2025-03-10/t7k2".
    """
    later = tasks.filter(pl.col("date") > day)
    waits: set[object] = {
        name for own, title, since in _names(later) for name in (own, (title, since)) if name is not None
    }
    waits |= {task.id for task in undated.tasks if task.id} | {(task.title, task.since) for task in undated.tasks}
    rows = (
        lives.filter(pl.col("status") == "open", pl.col("last") < day)
        .sort("last", descending=True, maintain_order=True)
        .iter_rows(named=True)
    )
    left = [row for row in rows if row["id"] not in waits and (row["title"], row["since"]) not in waits]
    found: list[TaskOffer] = []
    for row in left[:_MOST_LEFT]:
        page = page_of(tasks, row["last"])
        at = next((i for i, task in enumerate(page) if _is(task, row)), None)
        if at is not None:
            offer = _offer(page[at], f"{row['last']}/{refs(page)[at]}", row["last"], row["carried"], day)
            found.append(offer)
    return found


def _names(rows: pl.DataFrame) -> Iterable[tuple[str | None, str, dt.date]]:
    return rows.select("id", "title", pl.coalesce("since", "date").alias("since")).iter_rows()


def page_of(tasks: pl.DataFrame, date: dt.date) -> list[Task]:
    """The tasks of one day, in their order, from `Tables.tasks`."""
    rows = tasks.filter(pl.col("date") == date).sort("position").drop("date", "position").iter_rows(named=True)
    return [Task(**row) for row in rows]


def _is(task: Task, life: Mapping[str, object]) -> bool:
    if task.id is not None and life["id"] is not None:
        return task.id == life["id"]
    return task.title == life["title"] and task.status in ("open", "carried")
