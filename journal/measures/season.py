"""Whether mood goes with the length of the day: month by month beside it, and from three years on with an answer.

One year holds one winter. A mood that sank for any reason and rose again looks like it, and a shift along the year
only moves it to another month; so it takes several years, each with its own winter at the same time.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.measures.circular_shift import Numbers, covariances
from journal.measures.correlates import DRIVERS, TURNS
from journal.measures.effect_sizes import ranks, spearman
from journal.measures.false_discovery import together

DayMask = npt.NDArray[np.bool_]

DAY_LENGTH = "day length"
"""The driver's name."""
YEARS = 3
"""Years needed. One finds half a standard deviation in 22 of 100 journals, two in 82, three in all; where mood is a
month behind the light, in 4, 20 and 71: tests/benchmarks/links.md."""
_RATED = 0.5
"""Share of a calendar year's days that must have a mood: with fewer, whole seasons may be missing."""

SEASON = DRIVERS | {"years": pl.Int64, "needed_years": pl.Int64}


def months(days: pl.DataFrame, light: pl.DataFrame, *, column: str = "mood") -> pl.DataFrame:
    """Mood and the length of the day, month by month.

    In: `Tables.days` (`date`, and `column` Float64), cut to the days that are meant; `light`, date (Date) and
    day_minutes (Float64, 0 to 1440, null where not known), as `evening.sun` has them. Out, a row per month of `light`
    in order: month (Date, its first day), n (Int64, days with a mood), mean (Float64, null with n of 0), day_minutes
    (Float64, the mean over the days of `light`). A day without a mood counts nowhere.

    >>> import datetime as dt
    >>> january = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 1, 31), eager=True)
    >>> light = pl.DataFrame({"date": january, "day_minutes": [520.0 + i for i in range(31)]})
    >>> months(pl.DataFrame({"date": january[:2], "mood": [3.0, 4.0]}), light).rows()
    [(datetime.date(2025, 1, 1), 2, 3.5, 535.0)]
    """
    month = pl.col("date").dt.truncate("1mo").alias("month")
    felt = days.group_by(month).agg(
        pl.col(column).count().cast(pl.Int64).alias("n"), pl.col(column).mean().alias("mean")
    )
    return (
        light.group_by(month)
        .agg(pl.col("day_minutes").mean())
        .join(felt, on="month", how="left")
        .select("month", pl.col("n").fill_null(0), "mean", "day_minutes")
        .sort("month")
    )


def day_length(
    days: pl.DataFrame,
    light: pl.DataFrame,
    *,
    column: str = "mood",
    years: int = YEARS,
    turns: int = TURNS,
    seed: int = 1,
) -> pl.DataFrame:
    """The length of the day with mood, as a driver.

    In: as for `months`, of the whole journal. Out: `SEASON`, one row: driver ("day length"), lag_days (0), n (days that
    have both, in years that count), years (calendar years that count: a mood on half of their days), needed_years,
    correlation (-1 to 1, of ranks), p, q, clear; low and high are null, p_fine is p.

    The moods of each year are turned by themselves along that year, by a number drawn for each, `turns` times; p is the
    share of the turns, the observed order among them, that go with day length at least as much (Dwass, M. (1957), Ann.
    Math. Stat. 28, 181-187). What a year is as a whole counts no more than that. With fewer than `years` years, or one
    mood, all but the counts is null.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2022, 1, 1), dt.date(2024, 12, 31), eager=True)
    >>> wave = [600 - 200 * np.cos((date.timetuple().tm_yday + 9) / 365.25 * 2 * np.pi) for date in dates]
    >>> moods = pl.DataFrame({"date": dates, "mood": [2 + round(minutes / 400) + i * 7 % 3 for i, minutes in
    ...     enumerate(wave)]})
    >>> found = day_length(moods, pl.DataFrame({"date": dates, "day_minutes": wave}))
    >>> found.select("years", pl.col("correlation").round(2), "clear").row(0)
    (3, 0.44, True)
    """
    both = (
        days.select("date", pl.col(column).cast(pl.Float64).alias("felt"))
        .join(light.select("date", "day_minutes"), on="date")
        .drop_nulls()
        .sort("date")
        .with_columns(year=pl.col("date").dt.year())
        .filter(pl.len().over("year") >= 365 * _RATED)
    )
    counted = both.get_column("year").n_unique()
    row = {
        "driver": DAY_LENGTH, "lag_days": 0, "n": both.height, "years": counted, "needed_years": years,
        "needed": round(365 * _RATED) * years,
    }  # fmt: skip
    felt, minutes = (both.get_column(c).to_numpy() for c in ("felt", "day_minutes"))
    correlation = spearman(minutes, felt) if counted >= max(years, 1) else None  # None too where mood never changes
    if correlation is not None:
        year = both.get_column("year").to_numpy()
        p = _turned_p(ranks(minutes), ranks(felt), [year == one for one in np.unique(year)], turns, seed)
        row |= {"correlation": correlation, "p": p, "p_fine": p}
    (found,) = together(pl.DataFrame([row], schema=SEASON))
    return found.select(*SEASON)


def _turned_p(minutes: Numbers, felt: Numbers, years: list[DayMask], turns: int, seed: int) -> float:
    """The sums of each year's shifts, one drawn from each."""
    dice = np.random.default_rng(seed)
    shifts = [covariances(minutes[year], felt[year]) / year.sum() for year in years]
    drawn = sum(found[dice.integers(0, found.size, turns)] for found in shifts)
    observed = abs(sum(float(found[0]) for found in shifts)) * (1 - 1e-9)
    return float((1 + (np.abs(drawn) >= observed).sum()) / (1 + turns))
