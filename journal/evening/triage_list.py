"""What a Sunday's list shows: the tasks that ask to be decided on, each with what is known of it and where it waits."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

import msgspec
import polars as pl

from journal.errors import WriteError
from journal.evening import base_pages, carryover
from journal.evening.base_pages import DAY, Pages
from journal.folder.page_versions import UNDATED
from journal.measures import carried_tasks
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

_MOST = 50  # as of those that earlier days left: more than that nobody decides on in one sitting


class UndecidedTask(msgspec.Struct, frozen=True, kw_only=True):
    """A task to decide on. `ref` is the key of the page where it waits and what it goes by there, "2025-03-10/t7k2" or
    "undated/u2p5"; `where` says so in words, and `kind` whether that page is past, is today's or later, or is none."""

    ref: str
    title: str
    estimate: float | None
    said: str
    where: str
    kind: Literal["behind", "ahead", "undated"]


class UndecidedOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The list as of `day`; `more` is how many tasks it leaves out, being longer than anyone decides on at once."""

    base: str
    day: str
    tomorrow: str
    tasks: list[UndecidedTask]
    more: int


def offer(book: Journal) -> UndecidedOffer:
    """The tasks of a journal to decide on as of its today, as its pages lie there now, the most often carried first.

    >>> import journal, tempfile, pathlib
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> _ = pathlib.Path(folder.name, "2025-03-10.toml").write_text('[[tasks]]\\ntitle = "Quote"\\nestimate = 45')
    >>> task, = offer(journal.open(folder.name, today=dt.date(2025, 3, 16))).tasks
    >>> task.ref, task.said, task.where, task.kind
    ('2025-03-10/Quote', 'since Monday, 45 min', 'left on Monday 10 March', 'behind')
    >>> folder.cleanup()
    """
    today = book.today
    found = carried_tasks.to_decide(book.tables.tasks, undated_frame(book), today=today)
    listed = found.head(_MOST)
    dates = listed.select(pl.col("pages").explode().drop_nulls().unique().sort()).to_series()
    keys = [*base_pages.of_evening(today), *(date.isoformat() for date in dates)]
    versions = book.files.pages
    bases = base_pages.look(versions, tuple(dict.fromkeys(keys)))
    pages = Pages(bases, versions.look)
    tasks = [task for row in listed.iter_rows(named=True) if (task := _task(row, pages, today)) is not None]
    return UndecidedOffer(
        base=base_pages.packed(bases),
        day=today.isoformat(),
        tomorrow=(today + DAY).isoformat(),
        tasks=tasks,
        more=found.height - listed.height,
    )


def undated_frame(book: Journal) -> pl.DataFrame:
    """The tasks without a day, as `measures.carrying` reads them."""
    rows = [(task.title, task.estimate, task.since, task.id) for task in book.undated.tasks]
    return pl.DataFrame(rows, schema=carried_tasks.UNDATED, orient="row")


def same(
    pages: Pages, key: str, task: Mapping[str, Any], *, first: dt.date | None
) -> tuple[str, dict[str, Any]] | None:
    """The row of a page that is the same task, an open one if there is: of its id, or of its title and first day.

    As in `measures.tasks`, a row without a first day began on the day of its page. None too where the page cannot be
    read: what it holds is not known then.
    """
    try:
        rows = pages.tasks(key)
    except WriteError:
        return None
    found = [(ref, row) for ref, row in rows.items() if _is_one(row, key, task, first)]
    return next((one for one in found if one[1].get("status", "open") == "open"), next(iter(found), None))


def _is_one(row: Mapping[str, Any], key: str, task: Mapping[str, Any], first: dt.date | None) -> bool:
    if row.get("id") and task.get("id"):
        return bool(row["id"] == task["id"])
    return (row.get("title"), began(row, key)) == (task.get("title"), first)


def began(row: Mapping[str, Any], key: str) -> dt.date | None:
    """The first day of a task, from its row on a page; None where a task without a day says none."""
    since = row.get("since")
    if isinstance(since, dt.date):
        return since
    return None if key == UNDATED else dt.date.fromisoformat(key)


def _task(row: Mapping[str, Any], pages: Pages, today: dt.date) -> UndecidedTask | None:
    on = row["on"]
    key = UNDATED if on is None else on.isoformat()
    found = same(pages, key, row, first=row["since"])
    if found is None:  # it went while the journal was read
        return None
    since = carryover.since_words(row["since"], today, row["carried"]) if row["since"] else "its first day is not noted"
    said = [since, dates.minutes(row["estimate"]) if row["estimate"] else ""]
    return UndecidedTask(
        ref=f"{key}/{found[0]}",
        title=row["title"],
        estimate=row["estimate"],
        said=", ".join(part for part in said if part),
        where=_where(on, today),
        kind="undated" if on is None else "behind" if on < today else "ahead",
    )


def _where(on: dt.date | None, today: dt.date) -> str:
    """Where a task waits.

    >>> today = dt.date(2025, 3, 16)
    >>> [_where(day, today) for day in (None, today, today + DAY, dt.date(2025, 3, 20), dt.date(2024, 12, 30))]
    ['without a day', 'today', 'tomorrow', 'on Thursday 20 March', 'left on Monday 30 December 2024']
    """
    if on is None:
        return "without a day"
    if on in (today, today + DAY):
        return "today" if on == today else "tomorrow"
    return ("left " if on < today else "") + f"on {dates.day(on, year=on.year != today.year)}"
