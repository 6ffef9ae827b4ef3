"""How a challenge is getting on: its ticks, day by day."""

from __future__ import annotations

import datetime as dt

import polars as pl


def totals(ticks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """Ticks of each challenge up to a day.

    In: `Tables.ticks` (challenge String, date Date, ticked Boolean, a row per day of its span; null where nothing
    was said). Out, a row per challenge that has begun, in the order of the first day: challenge, from, to (Date, its
    whole span), days (Int64, of its span up to and with `today`; today itself only once it is ticked), ticks
    (Int64), rate (Float64, ticks / days), longest (Int64, most days in a row ticked).

    A day on which nothing was said is a day without a tick. Raises nothing; no ticks give no rows.

    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> ticks = pl.DataFrame({"challenge": "letters", "date": days, "ticked": [True, True, None, None]})
    >>> totals(ticks, today=dt.date(2025, 3, 4)).select("days", "ticks", "longest").row(0)
    (3, 2, 2)
    """
    date, ticked = pl.col("date"), pl.col("ticked").fill_null(False)
    said = ticks.sort("challenge", "date").with_columns(ticked=ticked)
    counted = (date < today) | ((date == today) & pl.col("ticked"))
    run = pl.col("ticked").rle_id().over("challenge")
    return (
        said.with_columns(counted=counted, run=run)
        .with_columns(length=(pl.col("ticked") & pl.col("counted")).sum().over("challenge", "run"))
        .group_by("challenge", maintain_order=True)
        .agg(
            date.min().alias("from"),
            date.max().alias("to"),
            pl.col("counted").sum().cast(pl.Int64).alias("days"),
            (pl.col("ticked") & pl.col("counted")).sum().cast(pl.Int64).alias("ticks"),
            pl.col("length").max().cast(pl.Int64).alias("longest"),
        )
        .filter(pl.col("from") <= today)
        .with_columns(rate=pl.col("ticks") / pl.when(pl.col("days") > 0).then(pl.col("days")))
        .select("challenge", "from", "to", "days", "ticks", "rate", "longest")
        .sort("from", maintain_order=True)
    )
