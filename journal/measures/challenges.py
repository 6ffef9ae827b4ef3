"""How challenges are getting on: their ticks day by day, what was caught up on, and one beside another."""

from __future__ import annotations

import datetime as dt

import polars as pl

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


def totals(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """Ticks of each challenge up to a day: one challenge a row, to compare them.

    In: `Tables.ticks` (challenge String, date Date, ticked Boolean, caught_up Date; a row per day of its span; null
    where nothing was said). Out, `CHALLENGES`, a row per challenge that has begun, in the order of the first day:

    - challenge, from, to (Date, its whole span), days (Int64, of its span up to and with `today`; today itself only
      once it is ticked), ticks (Int64, of these days)
    - rate, low, high (Float64): ticks / days with its Wilson 95 % interval; null before a first day is over
    - longest (Int64, most days in a row ticked), caught_up (Int64, of the ticks, those earned on a later day)

    A day on which nothing was said is a day without a tick; one to be caught up on after `today` has none yet. Raises
    nothing; no ticks give no rows.

    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": days, "ticked": [True, True, None, None],
    ...     "caught_up": [None, days[2], None, None]})
    >>> totals(ticks, today=dt.date(2025, 3, 4)).select("days", "ticks", "longest", "caught_up").row(0)
    (3, 2, 2, 1)
    """
    found = (
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
        .join(found, on="challenge", how="left")
        .with_columns(pl.col("days", "ticks", "longest", "caught_up").fill_null(0))
        .with_columns(rate=ticked / pl.when(days > 0).then(days), low=low, high=high)
        .select(pl.col(name).cast(dtype) for name, dtype in CHALLENGES.items())
        .sort("from", "challenge")
    )


def by_day(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """Each challenge on each day of its span that counts so far.

    In: as `totals`. Out, by challenge and date: challenge, date (Date), number (Int64, which day of the challenge it
    is, from 1), ticked (Boolean), caught_up (Date, the later day on which the tick was earned; null for a tick of the
    day itself, and where there is none), ticks (Int64, so far, this day counted). Today is there once it is ticked.

    Days of challenges that ran at other times compare by `number`.

    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": days, "ticked": [True, True, None, None],
    ...     "caught_up": [None, days[2], None, None]})
    >>> by_day(ticks, today=dt.date(2025, 3, 2)).select("number", "ticked", "ticks").rows()
    [(1, True, 1)]
    """
    date, made = pl.col("date"), pl.col("caught_up")
    earned = (pl.col("ticked") & (made.is_null() | (made <= today))).fill_null(False)
    return (
        ticks.sort("challenge", "date")
        .with_columns(number=pl.int_range(1, pl.len() + 1).over("challenge").cast(pl.Int64), ticked=earned)
        .filter((date < today) | ((date == today) & pl.col("ticked")))
        .select(
            "challenge",
            "date",
            "number",
            "ticked",
            pl.when("ticked").then(made).alias("caught_up"),
            pl.col("ticked").cum_sum().over("challenge").cast(pl.Int64).alias("ticks"),
        )
    )


def caught_up(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The ticks that were made for an earlier day.

    In: as `totals`. Out, by challenge and date: challenge, date (Date, the day ticked), caught_up (Date, when), later
    (Int64, days between the two).

    >>> day = dt.date(2025, 3, 1)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": [day], "ticked": True, "caught_up": [day.replace(day=3)]})
    >>> caught_up(ticks, today=dt.date(2025, 3, 4)).select("later").row(0)
    (2,)
    """
    late = by_day(ticks, today=today).filter(pl.col("caught_up").is_not_null())
    return late.select("challenge", "date", "caught_up", later=(pl.col("caught_up") - pl.col("date")).dt.total_days())
