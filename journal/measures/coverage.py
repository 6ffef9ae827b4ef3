"""The share of days on which the journal was kept."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.measures.period_columns import By, with_period
from journal.settings import Weekday


@checked
def coverage(days: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """The share of days logged in each period.

    In: `Tables.days` (a row per calendar day; `date`, `logged`), filtered to the days of interest. Out, a row per
    period in order: period (String), from, to (Date: its first and last day among those given), days, logged (Int64),
    coverage (Float64, logged / days), longest_gap (Int64, the most unlogged days in a row within the period). A day
    without a page counts as not logged.

    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True),
    ...     "logged": [True, False, False, True]})
    >>> coverage(days, week_starts="monday").select("days", "logged", "coverage", "longest_gap").row(0)
    (4, 2, 0.5, 2)
    """
    gap = ~pl.col("logged")
    return (
        with_period(days.select("date", "logged"), by, week_starts=week_starts)
        .with_columns(run=pl.struct("period", "logged").rle_id())
        .with_columns(length=gap.sum().over("run"))
        .group_by("period", maintain_order=True)
        .agg(
            pl.col("date").min().alias("from"),
            pl.col("date").max().alias("to"),
            pl.len().cast(pl.Int64).alias("days"),
            pl.col("logged").sum().cast(pl.Int64).alias("logged"),
            pl.col("logged").mean().alias("coverage"),
            pl.col("length").max().cast(pl.Int64).alias("longest_gap"),
        )
    )


def kept(days: pl.DataFrame, *, opened: dt.date, today: dt.date) -> pl.DataFrame:
    """The days from the first page (`opened`) to today, both inclusive.

    In and out: `Tables.days`.

    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 9), eager=True)})
    >>> kept(days, opened=dt.date(2025, 3, 3), today=dt.date(2025, 3, 4)).height
    2
    """
    return days.filter(pl.col("date").is_between(opened, today))
