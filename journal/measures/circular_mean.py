"""Means on a circle: 23:00 and 01:00 meet at midnight, not at noon.

Mardia, K. V. and Jupp, P. E. (2000), Directional Statistics, sections 2.2 and 2.3: each value is a unit vector, and the
circular mean is the direction of the mean vector. The length R of that vector measures concentration: 1 when all values
are equal, 0 when they cancel out. With R of 0 the mean is undefined.
"""

from __future__ import annotations

import math

import polars as pl

from journal.entry import MINUTES_A_DAY

NO_MEAN_UNDER = 1e-9
"""Rounding of sines leaves R of about 1e-16, not 0, when values cancel out. Real data stays far above this limit."""


def _sums(value: pl.Expr, period: float) -> tuple[pl.Expr, pl.Expr]:
    turn = value.cast(pl.Float64) * (math.tau / period)
    return turn.cos().mean(), turn.sin().mean()


def concentration(value: pl.Expr, period: float = MINUTES_A_DAY) -> pl.Expr:
    """R, the mean resultant length (Float64, 0 to 1) of the values that are not null; null where there are none.

    >>> pl.DataFrame({"minute": [1380, 60]}).select(concentration(pl.col("minute")).round(4)).item()
    0.9659
    """
    x, y = _sums(value, period)
    return (x**2 + y**2).sqrt().clip(0, 1)


def mean(value: pl.Expr, period: float = MINUTES_A_DAY) -> pl.Expr:
    """The circular mean (Float64, 0 <= mean < `period`); null where there are no values or they cancel out.

    >>> pl.DataFrame({"minute": [1380, 60, None]}).select(mean(pl.col("minute")).round(6)).item()
    0.0
    >>> pl.DataFrame({"minute": [360, 1080]}).select(mean(pl.col("minute"))).item() is None
    True
    """
    x, y = _sums(value, period)
    at = pl.arctan2(y, x) * (period / math.tau)
    # For a tiny negative angle, `at + period` rounds to `period`, which is out of range: use 0 instead.
    turned = pl.when((at < 0) & (at + period < period)).then(at + period).otherwise(at.clip(0))
    return pl.when(concentration(value, period) > NO_MEAN_UNDER).then(turned)


def deviation(value: pl.Expr, period: float = MINUTES_A_DAY) -> pl.Expr:
    """The circular standard deviation, sqrt(-2 ln R), in the unit of the values; null where the mean is null.

    >>> pl.DataFrame({"minute": [1380, 60]}).select(deviation(pl.col("minute")).round(2)).item()
    60.35
    """
    r = concentration(value, period)
    spread = (-2 * r.log()).clip(0).sqrt() * (period / math.tau)
    return pl.when(r > NO_MEAN_UNDER).then(spread)


def difference(later: pl.Expr, earlier: pl.Expr, period: float = MINUTES_A_DAY) -> pl.Expr:
    """The signed difference `later` - `earlier`, the shorter way round (Float64, in (-period / 2, period / 2]).

    >>> pl.select(difference(pl.lit(30), pl.lit(1410))).item(), pl.select(difference(pl.lit(1410), pl.lit(30))).item()
    (60.0, -60.0)
    """
    half = period / 2
    return half - (half - (later.cast(pl.Float64) - earlier.cast(pl.Float64))) % period


def clock_text(minute: pl.Expr) -> pl.Expr:
    """ "HH:MM" (String) of minutes since any midnight, rounded to the nearest minute; null stays null.

    >>> pl.DataFrame({"minute": [-30.0, 375.4, 1439.7]}).select(clock_text(pl.col("minute"))).to_series().to_list()
    ['23:30', '06:15', '00:00']
    """
    whole = minute.round().cast(pl.Int64) % MINUTES_A_DAY
    hour, rest = ((part.cast(pl.String).str.zfill(2)) for part in (whole // 60, whole % 60))
    return pl.concat_str(hour, rest, separator=":")
