"""Correlates of mood: energy, sleep, weather, hours and the weekday."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import polars as pl

from journal.entry import DAY_FIELDS
from journal.measures.circular_shift import Numbers, Whole, shift_p
from journal.measures.compared_days import LEAST, weekday_and_before
from journal.measures.effect_sizes import ranks, share_between, spearman
from journal.measures.false_discovery import together
from journal.measures.half_shift import fine_p
from journal.measures.shift_interval import shift_interval

DRIVERS: dict[str, Any] = {
    "driver": pl.String,
    "lag_days": pl.Int64,
    "n": pl.Int64,
    "correlation": pl.Float64,
    "p": pl.Float64,
    "q": pl.Float64,
    "clear": pl.Boolean,
    "low": pl.Float64,
    "high": pl.Float64,
    "needed": pl.Int64,
    "p_fine": pl.Float64,
}

WEEKDAY: dict[str, Any] = {
    "driver": pl.String,
    "lag_days": pl.Int64,
    "n": pl.Int64,
    "fewest": pl.Int64,
    "share": pl.Float64,
    "p": pl.Float64,
    "q": pl.Float64,
    "clear": pl.Boolean,
    "needed": pl.Int64,
}

TURNS = 1999
"""Random rotations of the weekdays. With the observed order they make 2000, so p has steps of 1/2000."""


def recorded(days: pl.DataFrame, hours: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """The drivers on a journal's pages: "energy", "high" (the day's highest temperature), "hours of ..." a category.

    In: `Tables.days` and `Tables.hours`. Out: driver name to a frame of date (Date) and value (Float64; hours of a
    category in minutes). A day without actual hours has no row. On a day with actual hours, a category without a span
    has 0, since the strip covers the whole day.

    >>> import datetime as dt
    >>> day = dt.date(2025, 3, 14)
    >>> days = pl.DataFrame({"date": [day], "energy": [3.0], "high": [None]}, schema_overrides={"high": pl.Float64})
    >>> strip = pl.DataFrame({"date": [day, day], "layer": "actual", "category": ["sleep", "sleep"],
    ...     "start_minute": [0, 1380], "end_minute": [375, 1440]})
    >>> {name: frame.height for name, frame in recorded(days, strip).items()}
    {'energy': 1, 'high': 0, 'hours of sleep': 1}
    """
    measured = {
        name: days.select("date", pl.col(name).cast(pl.Float64).alias("value")).drop_nulls()
        for name in (field.name for field in DAY_FIELDS if field.driver)
        if name in days.columns
    }
    actual = hours.filter(pl.col("layer") == "actual")
    written = actual.select(pl.col("date").unique()).sort("date")
    minutes = (pl.col("end_minute") - pl.col("start_minute")).sum().cast(pl.Float64)
    for category in actual.get_column("category").unique(maintain_order=True):
        spent = actual.filter(pl.col("category") == category).group_by("date").agg(minutes.alias("value"))
        dated = written.join(spent, on="date", how="left", maintain_order="left")
        measured[f"hours of {category}"] = dated.with_columns(pl.col("value").fill_null(0.0))
    return measured


def drivers(
    days: pl.DataFrame,
    measured: Mapping[str, pl.DataFrame],
    *,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = 2 * LEAST,
) -> pl.DataFrame:
    """The correlation of each driver with the mood of the same day, and of the next day.

    In: `Tables.days` (`date`, and `column` Float64); `measured`, driver name to a frame of date (Date, unique) and
    value (a number; null where unknown). Out: `DRIVERS`, a row per driver and lag, in their order:

    - driver (String), lag_days (0: the mood of the day itself; 1: of the day after), n (days that have both)
    - correlation (-1 to 1, of ranks: Spearman 1904), low, high (its 95 % interval by `shift_interval`, not adjusted
      for the number of rows; null where the days cannot bound it)
    - p (share of all circular shifts with a correlation at least as far from zero; DeRuiter and Solow 2008),
      q (Benjamini and Hochberg 1995 over the p_fine of all rows here), clear (q is 0.05 or less)
    - needed (days that n must reach), p_fine (0 to 1: as in `links`, of ranks)

    With fewer than `least` days, or a constant mood or driver, every statistic is null and q ignores the row. A driver
    with a yearly cycle, such as day length, belongs in `season`: a shift only moves its summer.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 3, 1), eager=True)
    >>> slept = [420.0 + (i * 37 % 23) for i in range(60)]
    >>> days = pl.DataFrame({"date": dates, "mood": [s // 5 for s in slept]})
    >>> table = drivers(days, {"sleep": pl.DataFrame({"date": dates, "value": slept})})
    >>> table.select("driver", "n", pl.col("correlation").round(2)).row(0)
    ('sleep', 60, 0.98)
    """
    rows = []
    earlier = days.select(pl.col("date") + pl.duration(days=1), pl.col(column).alias("before"))
    for name, values in measured.items():
        for lag in lags:
            later = days.select((pl.col("date") - pl.duration(days=lag)).alias("date"), pl.col(column).alias("felt"))
            both = values.select("date", "value").join(later, on="date").drop_nulls()
            pairs = both.join(earlier, on="date", how="left").sort("date")
            row = {"driver": name, "lag_days": lag, "n": pairs.height, "needed": least}
            rows.append(row | (_correlated(pairs) if pairs.height >= least else {}))
    (frame,) = together(pl.DataFrame(rows, schema=DRIVERS))
    return frame.select(*DRIVERS)


def _correlated(pairs: pl.DataFrame) -> dict[str, Any]:
    driver, felt = (pairs.get_column(c).cast(pl.Float64).to_numpy() for c in ("value", "felt"))
    correlation = spearman(driver, felt)
    if correlation is None:
        return {}
    a, b = ranks(driver), ranks(felt)
    interval = shift_interval(a, b)
    slope = float(a.std() / b.std())  # the interval is that of ranks per rank; a correlation has standard scores
    low, high = (None, None) if interval is None else (max(interval[0] * slope, -1.0), min(interval[1] * slope, 1.0))
    p = shift_p(a, b)
    fine = fine_p(a, b, *weekday_and_before(pairs), p=p, size=correlation)
    return {"correlation": correlation, "low": low, "high": high, "p": p, "p_fine": fine}


def weekday(
    days: pl.DataFrame, *, column: str = "mood", least: int = LEAST, turns: int = TURNS, seed: int = 1
) -> pl.DataFrame:
    """A test of whether mood depends on the day of the week.

    In: `Tables.days` (`date`, and `column` Float64). Out: `WEEKDAY`, one row: driver ("weekday"), lag_days (0), n
    (rated days), fewest (rated days of the weekday that has the fewest), share (0 to 1, the share of the spread of mood
    that lies between weekdays: eta squared), p, q, clear, needed (days that `fewest` must reach).

    Shifts of the whole journal cannot test this. A shift by a day turns all Mondays into Tuesdays and leaves the share
    as it was. Instead the rated days of each week are rotated within that week, by a random number drawn per week,
    `turns` times. Neighbours within a week stay neighbours. p is the share of the rotations, the observed order among
    them, with a share at least as large (Dwass, M. (1957), Ann. Math. Stat. 28, 181-187). With slowly varying moods the
    test is conservative: tests/benchmarks/links.md. All but the counts is null with fewer than `least` days of some
    weekday, or with a constant mood.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2025, 1, 6), dt.date(2025, 5, 25), eager=True)
    >>> mood = [3.0 + (i % 7 >= 5) + i * 5 % 3 / 2 for i in range(140)]
    >>> weekday(pl.DataFrame({"date": dates, "mood": mood})).select("n", "fewest", "p", "clear").row(0)
    (140, 20, 0.0005, True)
    """
    rated = days.select("date", pl.col(column).cast(pl.Float64).alias("value")).drop_nulls().sort("date")
    values = rated.get_column("value").to_numpy()
    weekday_of = (rated.get_column("date").dt.weekday().to_numpy() - 1).astype(np.int64)
    # Day 0, 1970-01-01, is a Thursday: adding three makes the weeks begin on Mondays.
    week = (rated.get_column("date").to_physical().to_numpy().astype(np.int64) + 3) // 7
    fewest = int(np.bincount(weekday_of, minlength=7).min())
    row = {"driver": "weekday", "lag_days": 0, "n": rated.height, "fewest": fewest, "needed": least}
    share = share_between(values, weekday_of) if fewest >= max(least, 1) else None
    if share is not None:
        row |= {"share": share, "p": _rotation_p(values, weekday_of, week, turns, seed)}
    (frame,) = together(pl.DataFrame([row], schema=WEEKDAY))
    return frame


def _rotation_p(values: Numbers, weekday_of: Whole, week: Whole, turns: int, seed: int) -> float:
    """The p of `weekday`, from the sum of squares between weekdays instead of the share.

    Both order the rotations alike, since a rotation does not change the number of days per weekday.
    """
    _, first, place, count = np.unique(week, return_index=True, return_inverse=True, return_counts=True)
    within, size, start = np.arange(weekday_of.size) - first[place], count[place], first[place]
    days_per_weekday = np.bincount(weekday_of, minlength=7)
    deviations = values - values.mean()
    rng = np.random.default_rng(seed)

    def between(order: Whole) -> float:
        return float((np.bincount(weekday_of[order], deviations, minlength=7) ** 2 / days_per_weekday).sum())

    observed = between(np.arange(weekday_of.size)) * (1 - 1e-9)  # a tie counts in spite of rounding
    drawn = (rng.integers(0, count)[place] for _ in range(turns))
    as_large = sum(between(start + (within + turn) % size) >= observed for turn in drawn)
    return (1 + as_large) / (1 + turns)
