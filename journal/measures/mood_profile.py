"""Patterns of mood: the mean of each weekday with its interval, and runs of low or high days."""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked
from journal.measures.mood import summary
from journal.measures.mood_levels import HIGH_FROM, LOW_UP_TO
from journal.measures.t_interval import mean_interval
from journal.settings import Weekday


@checked
def weekdays(days: pl.DataFrame, *, column: str = "mood", week_starts: Weekday) -> pl.DataFrame:
    """The mean mood of each weekday with its 95 % interval.

    In: `Tables.days` (`date`, and `column` Float64), filtered to the days of interest. Out, seven rows from
    `week_starts` on: period (String, the weekday), n, days (Int64: rated days, calendar days), mean, sd, low, high
    (Float64: the mean with its 95 % interval by Student's t; null with n under 2). Unrated days are ignored.

    With seven intervals, one that excludes the mean of all days is not yet evidence.

    >>> import datetime as dt
    >>> dates = [dt.date(2025, 3, 3) + dt.timedelta(days=7 * i) for i in range(4)]
    >>> mondays = pl.DataFrame({"date": dates, "mood": [3.0, 4.0, 4.0, 5.0]})
    >>> weekdays(mondays, week_starts="monday").select("period", "n", "mean", pl.col("low", "high").round(2)).row(0)
    ('monday', 4, 4.0, 2.7, 5.3)
    """
    table = summary(days, by="weekday", column=column, week_starts=week_starts)
    low, high = mean_interval(pl.col("mean"), pl.col("sd"), pl.col("n"))
    return table.select("period", "n", "days", "mean", "sd", low=low, high=high)


@checked
def runs(days: pl.DataFrame, *, low: float = 1, high: float = 5, column: str = "mood") -> pl.DataFrame:
    """Runs of low days and runs of high days.

    In: `Tables.days` (`date`, and `column` Float64); `low` and `high` are the ends of the scale, low days are
    in its lower two fifths, high days in its upper two fifths. Out, a row per run in order: kind ("low" or "high"),
    from, to (Date), length (Int64, days). An unrated day ends a run, since its mood is unknown.

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
