"""The period of each date, as columns."""

from __future__ import annotations

from typing import Literal

import polars as pl

from journal.errors import UsageError
from journal.settings import WEEKDAYS, Weekday

By = Literal["all", "week", "month", "year"]


def week_start(date: pl.Expr, week_starts: Weekday) -> pl.Expr:
    """The first day (Date) of the week of each `date`.

    >>> import datetime as dt
    >>> pl.select(week_start(pl.lit(dt.date(2025, 3, 14)), "sunday")).item()
    datetime.date(2025, 3, 9)
    """
    # polars numbers weekdays as ISO 8601 does, Monday as 1. Its % is never negative.
    return date - pl.duration(days=(date.dt.weekday().cast(pl.Int32) - 1 - WEEKDAYS.index(week_starts)) % 7)


def with_period(frame: pl.DataFrame, by: By, *, week_starts: Weekday) -> pl.DataFrame:
    """Add `period` (String, ISO 8601 name), `from` and `to` (Date) of the period of each row's `date`.

    For "all" the period is "all", from the earliest to the latest `date` of the frame. Raises UsageError if `by` is
    unknown.

    >>> import datetime as dt
    >>> days = pl.DataFrame({"date": [dt.date(2021, 1, 3)]})
    >>> with_period(days, "week", week_starts="monday").row(0)[1:3]
    ('2020-W53', datetime.date(2020, 12, 28))
    """
    date = pl.col("date")
    if by == "all":
        return frame.with_columns(pl.lit("all").alias("period"), date.min().alias("from"), date.max().alias("to"))
    if by == "week":
        first = week_start(date, week_starts)
        # A week has the ISO name of its middle day, for every start of the week.
        return frame.with_columns(
            (first + pl.duration(days=3)).dt.strftime("%G-W%V").alias("period"),
            first.alias("from"),
            (first + pl.duration(days=6)).alias("to"),
        )
    if by == "month":
        return with_month(frame)
    if by == "year":
        return frame.with_columns(
            date.dt.strftime("%Y").alias("period"),
            pl.date(date.dt.year(), 1, 1).alias("from"),
            pl.date(date.dt.year(), 12, 31).alias("to"),
        )
    raise UsageError(f'there is no period "{by}"; write "all", "week", "month" or "year"')


def with_month(frame: pl.DataFrame) -> pl.DataFrame:
    """Add `period`, `from` and `to` of the month of each row's `date`, as `with_period` does.

    >>> import datetime as dt
    >>> with_month(pl.DataFrame({"date": [dt.date(2021, 1, 3)]})).row(0)[1:3]
    ('2021-01', datetime.date(2021, 1, 1))
    """
    date = pl.col("date")
    return frame.with_columns(
        date.dt.strftime("%Y-%m").alias("period"),
        date.dt.month_start().alias("from"),
        date.dt.month_end().alias("to"),
    )
