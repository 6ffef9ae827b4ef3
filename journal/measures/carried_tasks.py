"""Postponed tasks: the most often carried ones, and those that need a decision."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.entry import Undated
from journal.measures import task_identity
from journal.measures import tasks as measure

UNDATED = {"title": pl.String, "estimate": pl.Float64, "since": pl.Date, "id": pl.String}
"""The schema of a frame of undated tasks."""

OFTEN = 2  # times carried: once can be a full day, twice is a pattern
LONG = 28  # days on the undated list


def undated_frame(undated: Undated) -> pl.DataFrame:
    """The undated tasks as a frame of `UNDATED`.

    >>> from journal.entry import Undated, UndatedTask
    >>> undated_frame(Undated(tasks=(UndatedTask(title="Cut board", estimate=45),))).rows()
    [('Cut board', 45.0, None, None)]
    """
    rows = [(task.title, task.estimate, task.since, task.id) for task in undated.tasks]
    return pl.DataFrame(rows, schema=UNDATED, orient="row")


@checked
def carried_most(tasks: pl.DataFrame, first: dt.date, last: dt.date, *, today: dt.date) -> pl.DataFrame:
    """The tasks that were carried to another day within a period, most often carried first.

    In: `Tables.tasks`. Out, a row per task with the status "carried" on a page from `first` to `last`, up to `today`:
    title (String, the newest), since (Date), carried (Int64, times within the period), dates (List(Date), the days it
    was carried from), in_all (Int64, times up to today), status (String, as of today: open, done, dropped), last (Date,
    its newest page up to today), days (Int64, its age, as in `tasks.lives`). Ties are sorted by `in_all`, then by
    `since`. Only the status "carried" counts: a task that is merely open on an old page was not carried.

    >>> day = dt.date(2025, 3, 10)
    >>> rows = pl.DataFrame({"date": [day, day + dt.timedelta(1), day + dt.timedelta(4)], "position": 0, "id": "t7",
    ...     "title": "Quote", "status": ["carried", "carried", "done"], "rank": None, "estimate": 45.0, "took": None,
    ...     "since": [None, day, day]}, schema_overrides={"since": pl.Date, "took": pl.Float64})
    >>> carried_most(rows, day, day, today=dt.date(2025, 3, 16)).select("carried", "in_all", "status", "last").row(0)
    (1, 2, 'done', datetime.date(2025, 3, 14))
    """
    within = pl.col("date").is_between(first, min(last, today)) & (pl.col("status") == "carried")
    tasks = task_identity.related(tasks, tasks.filter(within))
    known = measure.chains(tasks, today=today).select(
        "task", "title", "since", "status", "last", "days", pl.col("carried").alias("in_all")
    )
    return (
        task_identity.identified(tasks)
        .filter(within)
        .sort("date", maintain_order=True)
        .group_by("task", maintain_order=True)
        .agg(pl.len().cast(pl.Int64).alias("carried"), pl.col("date").alias("dates"))
        .join(known, on="task", how="left", maintain_order="left")
        .sort("carried", "in_all", "since", descending=[True, True, False], maintain_order=True)
        .select("title", "since", "carried", "dates", "in_all", "status", "last", "days")
    )


def to_decide(
    tasks: pl.DataFrame, undated: pl.DataFrame, *, today: dt.date, often: int = OFTEN, long: int = LONG
) -> pl.DataFrame:
    """The tasks that need a decision: the most often carried first, then the longest waiting.

    In: `Tables.tasks`, and a frame of `UNDATED`. Out, a row per task that is open as of `today`, began by `today`, and
    meets one of these conditions:

    - It was carried `often` times or more.
    - It was left behind: its newest page is before `today`, and it is not on the undated list.
    - It has been on the undated list for `long` days or more, or has no start date there.

    Columns:

    - title (String, the newest one, from the undated list or any page, future pages included)
    - since (Date; null where no start date is recorded), days (Int64, since that date), carried (Int64, times)
    - estimate (Float64, minutes)
    - on (Date: the newest page on which it is open, future pages included; if it is open on no page, the page that
      carried it without a later row; null for an undated task)
    - pages (List(Date): all pages on which it is open, or the page in `on`), id (String)

    A task that is done or dropped on a page after `today` is settled and has no row.

    >>> rows = pl.DataFrame({"date": [dt.date(2025, 3, 10)], "position": 0, "id": None, "title": "Quote",
    ...     "status": "open", "rank": None, "estimate": 45.0, "took": None, "since": None},
    ...     schema_overrides={"since": pl.Date, "took": pl.Float64, "id": pl.String})
    >>> tin = pl.DataFrame({"title": "Sort the tin", "estimate": None, "since": dt.date(2025, 1, 2), "id": "u2"},
    ...     schema=UNDATED)
    >>> to_decide(rows, tin, today=dt.date(2025, 3, 16)).select("title", "days", "carried", "on").rows()
    [('Sort the tin', 73, 0, None), ('Quote', 6, 0, datetime.date(2025, 3, 10))]
    """
    tasks = _unsettled(tasks, undated)
    rows = task_identity.identified(tasks).sort("date", "position")
    is_open = pl.col("status") == "open"
    places = rows.group_by("task").agg(
        pl.col("date").filter(is_open).max().alias("open_on"),
        pl.col("date").filter(is_open).alias("open_pages"),
        pl.col("date").last().alias("newest"),
        pl.col("status").last().alias("final"),
        pl.col("title").last().alias("called"),
    )
    known = measure.chains(tasks, today=today).join(places, on="task", how="left", maintain_order="left")
    waiting = _with_task_names(rows, undated).with_columns(waits=True)
    both = known.join(waiting, on="task", how="full", coalesce=True, suffix="_undated", maintain_order="left_right")
    waits = pl.col("waits").fill_null(False)
    settled = (pl.col("status") != "open") | pl.col("final").is_in(["done", "dropped"])
    since = pl.coalesce("since", "since_undated")
    days = (today - since).dt.total_days()
    on = pl.coalesce("open_on", pl.when(~waits).then("newest"))
    pages = pl.when(pl.col("open_on").is_not_null()).then("open_pages").otherwise(pl.concat_list(on).list.drop_nulls())
    carried = pl.col("carried").fill_null(0)
    left_behind = on < today
    long_without = on.is_null() & ((days >= long) | since.is_null())
    asks = (carried >= often) | left_behind.fill_null(False) | long_without
    return (
        both.filter(waits | ~settled.fill_null(False), (since <= today) | since.is_null(), asks)
        .select(
            pl.coalesce("title_undated", "called").alias("title"),
            since.alias("since"),
            days.alias("days"),
            carried.alias("carried"),
            pl.coalesce("estimate_undated", "estimate").alias("estimate"),
            on.alias("on"),
            pages.alias("pages"),
            pl.coalesce("id", "id_undated").alias("id"),
        )
        .sort("carried", "days", descending=True, nulls_last=True, maintain_order=True)
    )


def _unsettled(tasks: pl.DataFrame, undated: pl.DataFrame) -> pl.DataFrame:
    """The rows without those of tasks that have ended on their newest page: most rows of a long journal.

    Those with the title of an undated task stay.
    """
    is_undated = pl.col("title").is_in(undated.get_column("title").implode())
    has_ended = pl.col("status").is_in(measure.ENDED)
    few = tasks.filter(~task_identity.is_alone(tasks) | ~has_ended | is_undated)
    rows = task_identity.identified(few).select("task", "date", "position", has_ended=has_ended, is_undated=is_undated)
    newest = rows.sort("date", "position").group_by("task").agg(pl.col("has_ended").last(), pl.col("is_undated").any())
    kept = newest.filter(~pl.col("has_ended") | pl.col("is_undated")).get_column("task")
    return few.filter(rows.get_column("task").is_in(kept.implode()))


def _with_task_names(rows: pl.DataFrame, undated: pl.DataFrame) -> pl.DataFrame:
    """Undated tasks with `task`, the name of their rows on pages; one row per name. In: the frame of `identified`."""
    known = rows.unique(["title", "first"], keep="first", maintain_order=True).select("title", "first", "task")
    return (
        undated.join(known, left_on=["title", "since"], right_on=["title", "first"], how="left", maintain_order="left")
        .with_columns(
            task=pl.when(pl.col("id").is_not_null() | pl.col("task").is_null())
            .then(task_identity.name(pl.col("id"), "since", "title"))
            .otherwise("task")
        )
        .unique("task", keep="first", maintain_order=True)
    )
