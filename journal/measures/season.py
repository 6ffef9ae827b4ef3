"""The association of mood with day length: both by month, and a test that needs three years.

One year has one winter. A mood that fell and rose again for any other reason looks the same, and a shift within the
year only moves it to another month. So the test needs several years, each with a winter at the same time.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.call_arguments import checked
from journal.measures.circular_shift import Numbers, covariances
from journal.measures.correlates import DRIVERS, TURNS
from journal.measures.effect_sizes import ranks, spearman
from journal.measures.false_discovery import together

DayMask = npt.NDArray[np.bool_]

DAY_LENGTH = "day length"
"""The name of the driver."""
YEARS = 3
"""The least number of years. With one year the test detects an effect of half a standard deviation in 22 of 100
journals, with two in 82, with three in all. If mood lags the light by a month, it does so in 4, 20 and 71:
tests/benchmarks/links.md."""
_RATED = 0.5
"""The least share of a calendar year's days with a mood: with fewer, whole seasons may be missing."""

SEASON = DRIVERS | {"years": pl.Int64, "needed_years": pl.Int64}


@checked
def months(days: pl.DataFrame, light: pl.DataFrame, *, column: str = "mood") -> pl.DataFrame:
    """The mean mood and the mean day length of each month.

    In: `Tables.days` (`date`, and `column` Float64), filtered to the days of interest; `light`, date (Date) and
    day_minutes (Float64, 0 to 1440, null where unknown), as in `sun.rise_set`. Out, a row per month of `light` in
    order: month (Date, its first day), n (Int64, days with a mood), mean (Float64, null with n of 0), day_minutes
    (Float64, the mean over the days of `light`). Days without a mood do not count in n and mean.

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


@checked
def day_length(
    days: pl.DataFrame,
    light: pl.DataFrame,
    *,
    column: str = "mood",
    years: int = YEARS,
    turns: int = TURNS,
    seed: int = 1,
) -> pl.DataFrame:
    """The correlation of day length with mood, as a driver.

    In: as for `months`, for the whole journal. Out: `SEASON`, one row: driver ("day length"), lag_days (0), n (days
    with both, in years that count), years (calendar years that count: a mood on half of their days), needed_years,
    correlation (-1 to 1, of ranks), p, q, clear; low and high are null, p_fine is p.

    The moods of each year are rotated within that year, by a random number drawn per year, `turns` times. p is the
    share of the rotations, the observed order among them, with at least as strong an association with day length
    (Dwass, M. (1957), Ann. Math. Stat. 28, 181-187). A year's mean level does not affect p. With fewer than `years`
    years, or a constant mood, all but the counts is null.

    >>> import datetime as dt
    >>> dates = pl.date_range(dt.date(2022, 1, 1), dt.date(2024, 12, 31), eager=True)
    >>> wave = [600 - 200 * np.cos((date.timetuple().tm_yday + 9) / 365.25 * 2 * np.pi) for date in dates]
    >>> moods = pl.DataFrame({"date": dates, "mood": [2 + round(minutes / 400) + i * 7 % 3 for i, minutes in
    ...     enumerate(wave)]})
    >>> table = day_length(moods, pl.DataFrame({"date": dates, "day_minutes": wave}))
    >>> table.select("years", pl.col("correlation").round(2), "clear").row(0)
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
    correlation = spearman(minutes, felt) if counted >= max(years, 1) else None  # also None for a constant mood
    if correlation is not None:
        year = both.get_column("year").to_numpy()
        p = _rotation_p(ranks(minutes), ranks(felt), [year == value for value in np.unique(year)], turns, seed)
        row |= {"correlation": correlation, "p": p, "p_fine": p}
    (frame,) = together(pl.DataFrame([row], schema=SEASON))
    return frame.select(*SEASON)


def _rotation_p(minutes: Numbers, felt: Numbers, years: list[DayMask], turns: int, seed: int) -> float:
    """The p of `day_length`: each rotation adds up one random shift per year."""
    rng = np.random.default_rng(seed)
    covariances_by_year = [covariances(minutes[year], felt[year]) / year.sum() for year in years]
    drawn = sum(shifts[rng.integers(0, shifts.size, turns)] for shifts in covariances_by_year)
    observed = abs(sum(float(shifts[0]) for shifts in covariances_by_year)) * (1 - 1e-9)
    return float((1 + (np.abs(drawn) >= observed).sum()) / (1 + turns))
