"""What is counted or measured beside a mood, and whether it goes with it: energy, sleep, weather, hours, the
weekday."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import polars as pl

from journal.entry import DAY_FIELDS
from journal.measures.block_bootstrap import RESAMPLES, correlation_interval
from journal.measures.circular_shift import Numbers, Whole, shift_p
from journal.measures.effect_sizes import ranks, share_between, spearman
from journal.measures.false_discovery import together
from journal.measures.half_shift import fine_p
from journal.measures.links import LEAST, weekday_and_before

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
"""Random turns of the weekdays beside the observed one: p in steps of 1/2000."""


def recorded(days: pl.DataFrame, hours: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """What a journal's own pages measure: "energy", "high" (the day's highest temperature), "hours of ..." a category.

    In: `Tables.days` and `Tables.hours`. Out: name to date (Date) and value (Float64; hours of a category in minutes).
    A day whose hours were not written as they went has none; where they were, a category that has no stretch has 0,
    since a strip tells the whole day.

    >>> import datetime as dt
    >>> day = dt.date(2025, 3, 14)
    >>> days = pl.DataFrame({"date": [day], "energy": [3.0], "high": [None]}, schema_overrides={"high": pl.Float64})
    >>> strip = pl.DataFrame({"date": [day, day], "layer": "actual", "category": ["sleep", "sleep"],
    ...     "start_minute": [0, 1380], "end_minute": [375, 1440]})
    >>> {name: frame.height for name, frame in recorded(days, strip).items()}
    {'energy': 1, 'high': 0, 'hours of sleep': 1}
    """
    found = {
        name: days.select("date", pl.col(name).cast(pl.Float64).alias("value")).drop_nulls()
        for name in (field.name for field in DAY_FIELDS if field.driver)
        if name in days.columns
    }
    actual = hours.filter(pl.col("layer") == "actual")
    written = actual.select(pl.col("date").unique()).sort("date")
    minutes = (pl.col("end_minute") - pl.col("start_minute")).sum().cast(pl.Float64)
    for category in actual.get_column("category").unique(maintain_order=True):
        spent = actual.filter(pl.col("category") == category).group_by("date").agg(minutes.alias("value"))
        found[f"hours of {category}"] = written.join(spent, on="date", how="left", maintain_order="left").with_columns(
            pl.col("value").fill_null(0.0)
        )
    return found


def drivers(
    days: pl.DataFrame,
    measured: Mapping[str, pl.DataFrame],
    *,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = 2 * LEAST,
    resamples: int = RESAMPLES,
    seed: int = 1,
) -> pl.DataFrame:
    """Each measured thing with the mood of the same day, and of the next.

    In: `Tables.days` (`date`, and `column` Float64); `measured`, name to a frame of date (Date, at most once) and value
    (a number; null where not known). Out: `DRIVERS`, a row per name and lag, in their order:

    - driver (String), lag_days (0: the mood of the day itself; 1: of the day after), n (days that have both)
    - correlation (-1 to 1, of ranks: Spearman 1904), low, high (its 95 % interval by block bootstrap, as `resampling`
      has it; of this one by itself; null with 0 `resamples`)
    - p (share of all circular shifts of the one along the other that go together at least as much; DeRuiter and Solow
      2008), q (Benjamini and Hochberg 1995 over the p_fine of all rows here), clear (q is 0.05 or less)
    - needed (days that n must reach), p_fine (0 to 1: as that of `links`, with ranks)

    With fewer than `least` days, or where mood or driver never changes, all but n is null and the row is not among
    those that q counts. What turns with the year, as day length does, is for `season`: a shift only moves its summer.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 3, 1), eager=True)
    >>> slept = [420.0 + (i * 37 % 23) for i in range(60)]
    >>> days = pl.DataFrame({"date": dates, "mood": [s // 5 for s in slept]})
    >>> found = drivers(days, {"sleep": pl.DataFrame({"date": dates, "value": slept})})
    >>> found.select("driver", "n", pl.col("correlation").round(2)).row(0)
    ('sleep', 60, 0.98)
    """
    rows = []
    earlier = days.select(pl.col("date") + pl.duration(days=1), pl.col(column).alias("before"))
    for name, frame in measured.items():
        for lag in lags:
            later = days.select((pl.col("date") - pl.duration(days=lag)).alias("date"), pl.col(column).alias("felt"))
            both = frame.select("date", "value").join(later, on="date").drop_nulls()
            pairs = both.join(earlier, on="date", how="left").sort("date")
            row = {"driver": name, "lag_days": lag, "n": pairs.height, "needed": least}
            rows.append(row | (_correlated(pairs, resamples, seed) if pairs.height >= least else {}))
    (found,) = together(pl.DataFrame(rows, schema=DRIVERS))
    return found.select(*DRIVERS)


def _correlated(pairs: pl.DataFrame, resamples: int, seed: int) -> dict[str, Any]:
    one, felt = (pairs.get_column(c).cast(pl.Float64).to_numpy() for c in ("value", "felt"))
    correlation = spearman(one, felt)
    if correlation is None:
        return {}
    a, b = ranks(one), ranks(felt)
    low, high = correlation_interval(a, b, resamples, seed) or (None, None)
    p = shift_p(a, b)
    fine = fine_p(a, b, *weekday_and_before(pairs), p=p, size=correlation)
    return {"correlation": correlation, "low": low, "high": high, "p": p, "p_fine": fine}


def weekday(
    days: pl.DataFrame, *, column: str = "mood", least: int = LEAST, turns: int = TURNS, seed: int = 1
) -> pl.DataFrame:
    """Whether mood goes with the day of the week.

    In: `Tables.days` (`date`, and `column` Float64). Out: `WEEKDAY`, one row: driver ("weekday"), lag_days (0), n
    (rated days), fewest (rated days of the weekday that has the fewest), share (0 to 1, of the spread of mood that lies
    between weekdays: eta squared), p, q, clear, needed (days that `fewest` must reach).

    Weekdays come round as a shift does: moved by a day, Mondays are all Tuesdays and the share is what it was, so that
    shifts along the whole journal can tell nothing. Here the rated days of each week are turned by themselves, by a
    number drawn for each week, `turns` times: neighbours stay neighbours within the week, and p is the share of the
    turns, the observed order among them, with a share at least as large (Dwass, M. (1957), Ann. Math. Stat. 28,
    181-187). Slow moods make it call less, not more: tests/benchmarks/links.md. Null with fewer than `least` days of
    some weekday, or one mood.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2025, 1, 6), dt.date(2025, 5, 25), eager=True)
    >>> mood = [3.0 + (i % 7 >= 5) + i * 5 % 3 / 2 for i in range(140)]
    >>> weekday(pl.DataFrame({"date": dates, "mood": mood})).select("n", "fewest", "p", "clear").row(0)
    (140, 20, 0.0005, True)
    """
    rated = days.select("date", pl.col(column).cast(pl.Float64).alias("value")).drop_nulls().sort("date")
    values = rated.get_column("value").to_numpy()
    on = (rated.get_column("date").dt.weekday().to_numpy() - 1).astype(np.int64)
    # Days since 1970-01-01, a Thursday: three more make the weeks begin on Mondays.
    week = (rated.get_column("date").to_physical().to_numpy().astype(np.int64) + 3) // 7
    fewest = int(np.bincount(on, minlength=7).min())
    row = {"driver": "weekday", "lag_days": 0, "n": rated.height, "fewest": fewest, "needed": least}
    share = share_between(values, on) if fewest >= max(least, 1) else None
    if share is not None:
        row |= {"share": share, "p": _turned_p(values, on, week, turns, seed)}
    (found,) = together(pl.DataFrame([row], schema=WEEKDAY))
    return found


def _turned_p(values: Numbers, on: Whole, week: Whole, turns: int, seed: int) -> float:
    """Every turn keeps how many days a weekday has, so the sums of squares order the turns as the shares do."""
    _, first, place, count = np.unique(week, return_index=True, return_inverse=True, return_counts=True)
    within, size, start = np.arange(on.size) - first[place], count[place], first[place]
    days_of = np.bincount(on, minlength=7)
    apart = values - values.mean()
    dice = np.random.default_rng(seed)

    def between(order: Whole) -> float:
        return float((np.bincount(on[order], apart, minlength=7) ** 2 / days_of).sum())

    observed = between(np.arange(on.size)) * (1 - 1e-9)  # a tie is one however it was added up
    drawn = (dice.integers(0, count)[place] for _ in range(turns))
    as_large = sum(between(start + (within + turn) % size) >= observed for turn in drawn)
    return (1 + as_large) / (1 + turns)
