"""How alike one day's sleep is to the next: the Sleep Regularity Index.

Phillips, A. J. K. and others (2017), Sci. Rep. 7:3216: the chance of being in the same state, asleep or awake, at two
times 24 hours apart, stretched so that 100 is every day alike, 0 is chance and -100 every day the reverse of the last;
-100 + 200 x (pairs of epochs in the same state / pairs of epochs). An epoch is a minute here, as fine as a strip is
written, and naps count. 24 hours apart is by the clock, whose change moves nothing: who goes to bed at 23:00 on either
side of it is regular. Days of whose sleep nothing is told are in no pair (`sleep.told`), rather than awake.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.entry import MINUTES_A_DAY
from journal.measures.sleep import told
from journal.measures.stretches import lengths, merged


def pairs(hours: pl.DataFrame, *, sleep: str, today: dt.date) -> pl.DataFrame:
    """Every pair of neighbouring days that are both told and over.

    In: `Tables.hours`, whole; `sleep`, the key of that category; `today`, which is not over. Out: date (Date, the later
    of the two), same_minutes (Int64, 0 to 1440: asleep on both days or awake on both), by date.

    >>> days = [dt.date(2025, 3, 14), dt.date(2025, 3, 15)]
    >>> strip = pl.DataFrame({"date": days, "layer": "actual", "category": "sleep", "start_minute": [0, 60],
    ...     "end_minute": [400, 480]})
    >>> pairs(strip, sleep="sleep", today=dt.date(2025, 3, 16)).rows()  # 0:00 to 1:00 and 6:40 to 8:00 differ
    [(datetime.date(2025, 3, 15), 1300)]
    """
    over = hours.filter(pl.col("date") < today)
    spans = merged(over.filter(pl.col("layer") == "actual", pl.col("category") == sleep), ["date"])
    asleep = (
        told(over, sleep=sleep)
        .select("date")
        .join(lengths(spans, ["date"]), on="date", how="left")
        .with_columns(pl.col("minutes").fill_null(0))
    )
    first = pl.max_horizontal("start_minute", "start_minute_right")
    last = pl.min_horizontal("end_minute", "end_minute_right")
    both = (
        spans.join(spans.with_columns(pl.col("date").dt.offset_by("1d")), on="date")
        .group_by("date")
        .agg((last - first).clip(0).sum().cast(pl.Int64).alias("both"))
    )
    # Asleep on one day and not on the other: what each has, less twice what they share.
    apart = pl.col("minutes") + pl.col("minutes_right") - 2 * pl.col("both").fill_null(0)
    return (
        asleep.join(asleep.with_columns(pl.col("date").dt.offset_by("1d")), on="date")
        .join(both, on="date", how="left")
        .select("date", same_minutes=MINUTES_A_DAY - apart)
        .sort("date")
    )


def index(same_minutes: pl.Expr) -> pl.Expr:
    """The index (Float64, -100 to 100) of the pairs whose `same_minutes` is not null; null where there is none.

    >>> pl.DataFrame({"same": [1300, 1440]}).select(index(pl.col("same")).round(2)).item()
    90.28
    """
    return -100 + 200 * same_minutes.mean() / MINUTES_A_DAY
