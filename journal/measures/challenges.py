"""The progress of challenges: totals, ticks by day, and ticks made late."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.measures.confidence_intervals import wilson

CHALLENGES = {
    "challenge": pl.String,
    "from": pl.Date,
    "to": pl.Date,
    "days": pl.Int64,
    "ticks": pl.Int64,
    "rate": pl.Float64,
    "longest": pl.Int64,
    "caught_up": pl.Int64,
    "low": pl.Float64,
    "high": pl.Float64,
}


@checked
def totals(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The totals of each challenge up to a day, one row per challenge.

    In: `Tables.ticks` (challenge String, date Date, ticked Boolean, caught_up Date; a row per day of the challenge's
    span; null where nothing is recorded). Out, `CHALLENGES`, a row per challenge that has begun, by its first day:

    - challenge, from, to (Date, its whole span), days (Int64, days of the span up to `today` inclusive; today counts
      only once it is ticked), ticks (Int64, ticked days among these)
    - rate, low, high (Float64): ticks / days with its Wilson 95 % interval; null before the first day is over
    - longest (Int64, most ticked days in a row), caught_up (Int64, ticks that were earned on a later day)

    An unrecorded day counts as not ticked. A tick caught up on after `today` does not count yet. Raises nothing. An
    empty frame gives no rows.

    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": days, "ticked": [True, True, None, None],
    ...     "caught_up": [None, days[2], None, None]})
    >>> totals(ticks, today=dt.date(2025, 3, 4)).select("days", "ticks", "longest", "caught_up").row(0)
    (3, 2, 2, 1)
    """
    counts = (
        by_day(ticks, today=today)
        .with_columns(run=pl.col("ticked").rle_id().over("challenge"))
        .with_columns(length=pl.col("ticked").sum().over("challenge", "run"))
        .group_by("challenge", maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("days"),
            pl.col("ticked").sum().cast(pl.Int64).alias("ticks"),
            pl.col("length").max().cast(pl.Int64).alias("longest"),
            pl.col("caught_up").count().cast(pl.Int64).alias("caught_up"),
        )
    )
    days, ticked = pl.col("days"), pl.col("ticks")
    low, high = wilson(ticked, days)
    spans = ticks.group_by("challenge").agg(pl.col("date").min().alias("from"), pl.col("date").max().alias("to"))
    return (
        spans.filter(pl.col("from") <= today)
        .join(counts, on="challenge", how="left")
        .with_columns(pl.col("days", "ticks", "longest", "caught_up").fill_null(0))
        .with_columns(rate=ticked / pl.when(days > 0).then(days), low=low, high=high)
        .select(pl.col(name).cast(dtype) for name, dtype in CHALLENGES.items())
        .sort("from", "challenge")
    )


@checked
def by_day(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """A row per challenge and day of its span so far.

    In: as `totals`. Out, by challenge and date: challenge, date (Date), number (Int64, the day's number within the
    challenge, from 1), ticked (Boolean), caught_up (Date, the later day on which the tick was earned; null for a tick
    earned on the day itself and for no tick), ticks (Int64, running total, this day included). Today has a row only
    once it is ticked.

    Use `number` to compare challenges that ran at different times.

    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": days, "ticked": [True, True, None, None],
    ...     "caught_up": [None, days[2], None, None]})
    >>> by_day(ticks, today=dt.date(2025, 3, 2)).select("number", "ticked", "ticks").rows()
    [(1, True, 1)]
    """
    date, caught_up_on = pl.col("date"), pl.col("caught_up")
    earned = (pl.col("ticked") & (caught_up_on.is_null() | (caught_up_on <= today))).fill_null(False)
    return (
        ticks.sort("challenge", "date")
        .with_columns(number=pl.int_range(1, pl.len() + 1).over("challenge").cast(pl.Int64), ticked=earned)
        .filter((date < today) | ((date == today) & pl.col("ticked")))
        .select(
            "challenge",
            "date",
            "number",
            "ticked",
            pl.when("ticked").then(caught_up_on).alias("caught_up"),
            pl.col("ticked").cum_sum().over("challenge").cast(pl.Int64).alias("ticks"),
        )
    )


def caught_up(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The ticks that were earned on a later day.

    In: as `totals`. Out, by challenge and date: challenge, date (Date, the day ticked), caught_up (Date, the day it was
    earned), later (Int64, days between the two).

    >>> day = dt.date(2025, 3, 1)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": [day], "ticked": True, "caught_up": [day.replace(day=3)]})
    >>> caught_up(ticks, today=dt.date(2025, 3, 4)).select("later").row(0)
    (2,)
    """
    late = by_day(ticks, today=today).filter(pl.col("caught_up").is_not_null())
    return late.select("challenge", "date", "caught_up", later=(pl.col("caught_up") - pl.col("date")).dt.total_days())
