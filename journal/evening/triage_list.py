"""The triage list: tasks to decide on, each with its history and the page where it waits."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

import msgspec
import polars as pl

from journal.errors import WriteError
from journal.evening import carryover
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import _
from journal.measures import carried_tasks
from journal.saving import base_pages
from journal.saving.base_pages import DAY, Pages
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

_MAX_TASKS = 50  # as for open tasks of earlier days: enough for one sitting


class UndecidedTask(msgspec.Struct, frozen=True, kw_only=True):
    """A task to decide on.

    `ref` is the key of the page where it waits and its identity there, "2025-03-10/t7k2" or "undated/u2p5". `where`
    says so in words. `kind` tells whether that page is past ("behind"), today's or later ("ahead"), or "undated".
    `waits` tells of an undated task whether it has waited for `carried_tasks.LONG` days; "unknown" without a first day.
    """

    ref: str
    title: str
    estimate: float | None
    said: str
    where: str
    kind: Literal["behind", "ahead", "undated"]
    waits: Literal["long", "short", "unknown"] | None


class UndecidedOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The list as of `day`. `more` is the number of further tasks, left out to keep the list short."""

    base: str
    day: str
    tomorrow: str
    tasks: list[UndecidedTask]
    more: int


def offer(book: Journal) -> UndecidedOffer:
    """Return the tasks to decide on as of the journal's today, from the current pages, the most often carried first.

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
    undecided = book.task_frames.undecided
    rows = undecided.head(_MAX_TASKS)
    dates = rows.select(pl.col("pages").explode().drop_nulls().unique().sort()).to_series()
    keys = [*base_pages.evening_keys(today), *(date.isoformat() for date in dates)]
    versions = book.files.pages
    bases = base_pages.look(versions, tuple(dict.fromkeys(keys)))
    pages = Pages(bases, versions.look)
    tasks = [task for row in rows.iter_rows(named=True) if (task := _task(row, pages, today)) is not None]
    return UndecidedOffer(
        base=base_pages.packed(bases),
        day=today.isoformat(),
        tomorrow=(today + DAY).isoformat(),
        tasks=tasks,
        more=undecided.height - rows.height,
    )


def same(
    pages: Pages, key: str, task: Mapping[str, Any], *, first: dt.date | None
) -> tuple[str, dict[str, Any]] | None:
    """Return identity and row of the same task on a page, preferably an open one: by id, or by title and first day.

    As in `measures.tasks`, a row without a first day began on the day of its page. None also if the page cannot be
    read.
    """
    try:
        rows = pages.tasks(key)
    except WriteError:
        return None
    matches = [(ref, row) for ref, row in rows.items() if _is_same_row(row, key, task, first)]
    return next((match for match in matches if match[1].get("status", "open") == "open"), next(iter(matches), None))


def _is_same_row(row: Mapping[str, Any], key: str, task: Mapping[str, Any], first: dt.date | None) -> bool:
    if row.get("id") and task.get("id"):
        return bool(row["id"] == task["id"])
    return (row.get("title"), began(row, key)) == (task.get("title"), first)


def began(row: Mapping[str, Any], key: str) -> dt.date | None:
    """Return the first day of a task from its row on a page, or None for an undated task without one."""
    since = row.get("since")
    if isinstance(since, dt.date):
        return since
    return None if key == UNDATED else dt.date.fromisoformat(key)


def _task(row: Mapping[str, Any], pages: Pages, today: dt.date) -> UndecidedTask | None:
    date = row["on"]
    key = UNDATED if date is None else date.isoformat()
    match = same(pages, key, row, first=row["since"])
    if match is None:  # it was removed while the journal was read
        return None
    since = (
        carryover.since_words(row["since"], today, row["carried"]) if row["since"] else _("its first day is not noted")
    )
    notes = [since, dates.minutes(row["estimate"]) if row["estimate"] else ""]
    return UndecidedTask(
        ref=f"{key}/{match[0]}",
        title=row["title"],
        estimate=row["estimate"],
        said=", ".join(part for part in notes if part),
        where=_where(date, today),
        kind="undated" if date is None else "behind" if date < today else "ahead",
        waits=_waits(row["days"]) if date is None else None,
    )


def _waits(days: int | None) -> Literal["long", "short", "unknown"]:
    """Return whether a task has waited long, from the days since its first day."""
    if days is None:
        return "unknown"
    return "long" if days >= carried_tasks.LONG else "short"


def _where(date: dt.date | None, today: dt.date) -> str:
    """Return in words where a task waits.

    >>> today = dt.date(2025, 3, 16)
    >>> [_where(day, today) for day in (None, today, today + DAY, dt.date(2025, 3, 20), dt.date(2024, 12, 30))]
    ['without a day', 'today', 'tomorrow', 'on Thursday 20 March', 'left on Monday 30 December 2024']
    """
    if date is None:
        return _("without a day")
    if date in (today, today + DAY):
        return _("today") if date == today else _("tomorrow")
    day = dates.day(date, year=date.year != today.year)
    return _("left on {day}", day=day) if date < today else _("on {day}", day=day)
