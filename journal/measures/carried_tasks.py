"""Tasks that keep being put off: what was carried most, and which of them ask to be decided on."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.measures import tasks as measure

UNDATED = {"title": pl.String, "estimate": pl.Float64, "since": pl.Date, "id": pl.String}
"""The columns of a frame of tasks without a day."""

OFTEN = 2  # times carried: once is a day that was too full, twice begins to be a habit
LONG = 28  # days without a day


def carried_most(tasks: pl.DataFrame, first: dt.date, last: dt.date, *, today: dt.date) -> pl.DataFrame:
    """The tasks that were put on another day within a period, the most often first.

    In: `Tables.tasks`. Out, a row per task carried on a page from `first` to `last`, up to `today`: title (String, the
    newest), since (Date), carried (Int64, times within the period), dates (List(Date), the days it was carried from),
    in_all (Int64, times up to today), status (String, as of today: open, done, dropped), last (Date, its newest page up
    to today), days (Int64, since it began, as in `tasks.lives`). Equal counts go by `in_all`, then by `since`. A day
    whose page does not say that it carried a task counts nothing.

    >>> day = dt.date(2025, 3, 10)
    >>> rows = pl.DataFrame({"date": [day, day + dt.timedelta(1), day + dt.timedelta(4)], "position": 0, "id": "t7",
    ...     "title": "Quote", "status": ["carried", "carried", "done"], "rank": None, "estimate": 45.0, "took": None,
    ...     "since": [None, day, day]}, schema_overrides={"since": pl.Date, "took": pl.Float64})
    >>> carried_most(rows, day, day, today=dt.date(2025, 3, 16)).select("carried", "in_all", "status", "last").row(0)
    (1, 2, 'done', datetime.date(2025, 3, 14))
    """
    known = measure.chains(tasks, today=today).select(
        "task", "title", "since", "status", "last", "days", pl.col("carried").alias("in_all")
    )
    within = pl.col("date").is_between(first, min(last, today)) & (pl.col("status") == "carried")
    return (
        measure.identified(tasks)
        .filter(within)
        .sort("date")
        .group_by("task", maintain_order=True)
        .agg(pl.len().cast(pl.Int64).alias("carried"), pl.col("date").alias("dates"))
        .join(known, on="task", how="left", maintain_order="left")
        .sort("carried", "in_all", "since", descending=[True, True, False], maintain_order=True)
        .select("title", "since", "carried", "dates", "in_all", "status", "last", "days")
    )


def to_decide(
    tasks: pl.DataFrame, undated: pl.DataFrame, *, today: dt.date, often: int = OFTEN, long: int = LONG
) -> pl.DataFrame:
    """The tasks that ask to be decided on: the most often carried first, then those that wait the longest.

    In: `Tables.tasks`, and a frame of `UNDATED`. Out, a row per task that is open as of `today`, began by then, and

    - was carried `often` times or more; or
    - was left behind: the newest page that has it is before `today`, and it does not wait without a day; or
    - has waited without a day for `long` days or more, or for nobody knows how long:

    title (String, the newest wording, be it of a page still to come or of the list without days), since (Date; null
    where none was written), days (Int64, since then), carried (Int64, times), estimate (Float64, minutes), on (Date:
    the page on which it is open, the newest, be it still to come; where none has it open, the page that carried it
    to nowhere; null where it waits without a day), pages (List(Date): all on which it is open, or that one), id
    (String). A task that a page after `today` calls done or dropped is settled.

    >>> rows = pl.DataFrame({"date": [dt.date(2025, 3, 10)], "position": 0, "id": None, "title": "Quote",
    ...     "status": "open", "rank": None, "estimate": 45.0, "took": None, "since": None},
    ...     schema_overrides={"since": pl.Date, "took": pl.Float64, "id": pl.String})
    >>> tin = pl.DataFrame({"title": "Sort the tin", "estimate": None, "since": dt.date(2025, 1, 2), "id": "u2"},
    ...     schema=UNDATED)
    >>> to_decide(rows, tin, today=dt.date(2025, 3, 16)).select("title", "days", "carried", "on").rows()
    [('Sort the tin', 73, 0, None), ('Quote', 6, 0, datetime.date(2025, 3, 10))]
    """
    rows = measure.identified(tasks).sort("date", "position")
    is_open = pl.col("status") == "open"
    places = rows.group_by("task").agg(
        pl.col("date").filter(is_open).max().alias("open_on"),
        pl.col("date").filter(is_open).alias("open_pages"),
        pl.col("date").last().alias("newest"),
        pl.col("status").last().alias("final"),
        pl.col("title").last().alias("called"),
    )
    known = measure.chains(tasks, today=today).join(places, on="task", how="left", maintain_order="left")
    waiting = _named_as(rows, undated).with_columns(waits=True)
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


def _named_as(rows: pl.DataFrame, undated: pl.DataFrame) -> pl.DataFrame:
    """Undated tasks under the names that their rows on pages have, one of a name. In: the frame of `identified`."""
    known = rows.unique(["title", "first"], keep="first", maintain_order=True).select("title", "first", "task")
    return (
        undated.join(known, left_on=["title", "since"], right_on=["title", "first"], how="left", maintain_order="left")
        .with_columns(
            task=pl.when(pl.col("id").is_not_null() | pl.col("task").is_null())
            .then(measure.named(pl.col("id"), "since", "title"))
            .otherwise("task")
        )
        .unique("task", keep="first", maintain_order=True)
    )
