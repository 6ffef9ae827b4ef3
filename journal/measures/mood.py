"""Mood (or energy) over time. Every number comes with its count of days."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import polars as pl

from journal.call_arguments import checked
from journal.frames import Row
from journal.measures.mood_levels import HIGH_FROM, LOW_UP_TO
from journal.measures.period_columns import with_period
from journal.settings import WEEKDAYS, Weekday

MoodBy = Literal["all", "day", "week", "month", "year", "weekday"]

TRAILING = {"trailing_7": (7, 4), "trailing_28": (28, 14)}
"""Column to the window in days and the least rated days in it (just over half, and half)."""


@checked
def trailing(
    days: pl.DataFrame, *, column: str = "mood", windows: Mapping[str, tuple[int, int]] = TRAILING
) -> pl.DataFrame:
    """The value of each day with its trailing means.

    In: `Tables.days` (a row per calendar day, without gaps; `date`, and `column` Float64); `windows`, the name of a
    mean to its length in days and the rated days it needs. Out, for the default windows: date (Date), value (Float64),
    trailing_7 and trailing_28 (Float64: the mean of the rated days among this day and the 6, or 27, before it; null
    with fewer than 4, or 14, rated days). An unrated day has a null value and may still have means.

    >>> import datetime as dt
    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 5), eager=True),
    ...     "mood": [3.0, 4.0, None, 4.0, 5.0]})
    >>> trailing(days).get_column("trailing_7").to_list()
    [None, None, None, None, 4.0]
    """
    value = pl.col(column)
    return days.select(
        "date",
        value.alias("value"),
        *(
            value.rolling_mean(window_size=window, min_samples=needed).alias(name)
            for name, (window, needed) in windows.items()
        ),
    )


@checked
def summary(
    days: pl.DataFrame,
    *,
    by: MoodBy = "all",
    column: str = "mood",
    low: float = 1,
    high: float = 5,
    week_starts: Weekday,
) -> pl.DataFrame:
    """Summary statistics of mood in each period.

    In: `Tables.days`; `low` and `high` are the ends of the scale. Out, a row per period in order:

    - period (String: ISO 8601 name, a weekday's name, or "all"), from, to (Date)
    - n (Int64, rated days), days (Int64, calendar days)
    - mean, median, sd (Float64, sample standard deviation; null with n of 0, sd also with n of 1)
    - low_share, high_share (Float64: share of the rated days in the lower, upper two fifths of the scale)
    - mssd (Float64: mean square of successive differences, von Neumann and others 1941, over pairs of neighbouring
      days that are both rated; null without such a pair)
    - by day also date, value, trailing_7 and trailing_28, as in `trailing`

    By weekday, every weekday has a row, from `week_starts` on, and mssd is null, since its days are not neighbours.
    Raises UsageError if `by` is unknown.

    >>> import datetime as dt
    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 3), eager=True),
    ...     "mood": [3.0, 5.0, None]})
    >>> summary(days, week_starts="monday").select("n", "days", "mean", "median", "high_share", "mssd").row(0)
    (2, 3, 4.0, 4.0, 0.5, 4.0)
    """
    # Differences are taken before grouping, so the first day of a month still has its difference to the day before.
    stepped = days.select("date", pl.col(column).alias("value"), pl.col(column).diff().alias("step"))
    if by == "weekday":
        return _by_weekday(stepped, low, high, week_starts)
    if by == "day":
        day = stepped.with_columns(
            pl.col("date").dt.strftime("%Y-%m-%d").alias("period"),
            pl.col("date").alias("from"),
            pl.col("date").alias("to"),
        )
        single = _summed(day, low, high)
        return single.hstack(trailing(days, column=column).get_columns())
    return _summed(with_period(stepped, by, week_starts=week_starts), low, high)


def _summed(frame: pl.DataFrame, low: float, high: float) -> pl.DataFrame:
    value = pl.col("value")
    position = (value - low) / (high - low)
    return frame.group_by("period", maintain_order=True).agg(
        pl.col("from").min(),
        pl.col("to").max(),
        value.count().cast(pl.Int64).alias("n"),
        pl.len().cast(pl.Int64).alias("days"),
        value.mean().alias("mean"),
        value.median().alias("median"),
        value.std().alias("sd"),
        (position <= LOW_UP_TO).mean().alias("low_share"),
        (position >= HIGH_FROM).mean().alias("high_share"),
        (pl.col("step") ** 2).mean().alias("mssd"),
    )


def _by_weekday(stepped: pl.DataFrame, low: float, high: float, week_starts: Weekday) -> pl.DataFrame:
    start = WEEKDAYS.index(week_starts)
    order = WEEKDAYS[start:] + WEEKDAYS[:start]
    named = stepped.with_columns(
        pl.col("date")
        .dt.weekday()
        .replace_strict(dict(enumerate(WEEKDAYS, 1)), return_dtype=pl.String)
        .alias("period"),
        pl.lit(None, pl.Float64).alias("step"),
        pl.col("date").min().alias("from"),
        pl.col("date").max().alias("to"),
    )
    return (
        pl.DataFrame({"period": order})
        .join(_summed(named, low, high), on="period", how="left", maintain_order="left")
        .with_columns(pl.col("n", "days").fill_null(0))
    )


def is_low(row: Row, low: float, high: float) -> bool:
    """Whether a row of `summary` has at least three rated days and a mean in the lower two fifths of the scale.

    >>> is_low({"n": 5, "mean": 2.2}, 1, 5), is_low({"n": 2, "mean": 1}, 1, 5)
    (True, False)
    """
    return bool(row["n"] >= 3 and (row["mean"] - low) / (high - low) <= 0.4)
