"""The shape of a mood over time: days of the week with how sure they are, and runs of low or high days."""

from __future__ import annotations

import polars as pl

from journal.measures.mood import HIGH_FROM, LOW_UP_TO, summary
from journal.measures.t_interval import mean_interval
from journal.settings import Weekday


def weekdays(days: pl.DataFrame, *, column: str = "mood", week_starts: Weekday) -> pl.DataFrame:
    """The profile of the week.

    In: `Tables.days` (`date`, and `column` Float64), cut to the days that are meant. Out, seven rows from `week_starts`
    on: period (String, the weekday), n, days (Int64: rated days, calendar days), mean, sd, low, high (Float64: the mean
    with its 95 % interval by Student's t; null with n under 2). A day not rated counts nowhere.

    A week has seven of these intervals: that one of them leaves the mean of all days out is no finding yet.

    >>> import datetime as dt
    >>> dates = [dt.date(2025, 3, 3) + dt.timedelta(days=7 * i) for i in range(4)]
    >>> mondays = pl.DataFrame({"date": dates, "mood": [3.0, 4.0, 4.0, 5.0]})
    >>> weekdays(mondays, week_starts="monday").select("period", "n", "mean", pl.col("low", "high").round(2)).row(0)
    ('monday', 4, 4.0, 2.7, 5.3)
    """
    table = summary(days, by="weekday", column=column, week_starts=week_starts)
    low, high = mean_interval(pl.col("mean"), pl.col("sd"), pl.col("n"))
    return table.select("period", "n", "days", "mean", "sd", low=low, high=high)


def runs(days: pl.DataFrame, *, low: float = 1, high: float = 5, column: str = "mood") -> pl.DataFrame:
    """Low days in a row, and high days in a row.

    In: `Tables.days` (`date`, and `column` Float64); `low` and `high` are the ends of the scale, of which low days are
    in the lower two fifths and high days in the upper two. Out, a row per run in order: kind ("low" or "high"), from,
    to (Date), length (Int64, days). A day that was not rated ends a run, since nothing says what it was.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 6), eager=True)
    >>> runs(pl.DataFrame({"date": dates, "mood": [2.0, 1.0, 3.0, 5.0, None, 4.0]})).select("kind", "length").rows()
    [('low', 2), ('high', 1), ('high', 1)]
    """
    position = (pl.col(column) - low) / (high - low)
    kind = pl.when(position <= LOW_UP_TO).then(pl.lit("low")).when(position >= HIGH_FROM).then(pl.lit("high"))
    follows = pl.col("date").diff().dt.total_days() == 1
    named = days.sort("date").with_columns(kind=kind)
    same = (pl.col("kind").eq_missing(pl.col("kind").shift()) & follows).fill_null(False)
    return (
        named.with_columns(run=(~same).cum_sum())
        .filter(pl.col("kind").is_not_null())
        .group_by("run", "kind", maintain_order=True)
        .agg(
            pl.col("date").min().alias("from"),
            pl.col("date").max().alias("to"),
            pl.len().cast(pl.Int64).alias("length"),
        )
        .drop("run")
    )
