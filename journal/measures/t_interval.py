"""A confidence interval of the mean of a few numbers, by Student's t.

Student (1908), Biometrika 6, 1-25. For whole degrees of freedom the distribution is a finite sum (Abramowitz and Stegun
1964, 26.7.3 and 26.7.4), so its quantile needs no library, only the sum and bisection.
"""

from __future__ import annotations

import math
from functools import lru_cache

import polars as pl

from journal.measures.confidence_intervals import LEVEL


def within(t: float, freedom: int) -> float:
    """The probability that Student's t with `freedom` degrees of freedom (1 or more) lies between -t and t.

    >>> round(within(12.706, 1), 4), round(within(2.0, 60), 4)
    (0.95, 0.95)
    """
    angle = math.atan2(t, math.sqrt(freedom))
    odd = freedom % 2
    term = math.cos(angle) if odd else 1.0
    total = term if freedom > 1 else 0.0
    for k in range(3 if odd else 2, freedom - 1, 2):
        term *= math.cos(angle) ** 2 * (k - 1) / k
        total += term
    total *= math.sin(angle)
    return 2 / math.pi * (angle + total) if odd else total


@lru_cache(maxsize=4096)
def quantile(freedom: int, level: float = LEVEL) -> float:
    """The t such that `level` of the distribution lies between -t and t, to 12 digits.

    >>> round(quantile(6), 4), round(quantile(1), 3)
    (2.4469, 12.706)
    """
    low, high = 0.0, 2.0
    while within(high, freedom) < level:
        low, high = high, 2 * high
    for _ in range(60):  # 60 bisections reduce an interval of some thousand to rounding error
        middle = (low + high) / 2
        low, high = (middle, high) if within(middle, freedom) < level else (low, middle)
    return (low + high) / 2


def mean_interval(mean: pl.Expr, sd: pl.Expr, n: pl.Expr, level: float = LEVEL) -> tuple[pl.Expr, pl.Expr]:
    """Low and high end (Float64) of the interval of a mean; null with n under 2.

    It assumes independent numbers. Days of one weekday are a week apart, which is close enough to independence.
    Consecutive days are not.

    >>> low, high = mean_interval(pl.lit(4.0), pl.lit(1.0), pl.lit(7))
    >>> pl.select(low=low.round(3), high=high.round(3)).row(0)
    (3.075, 4.925)
    """
    t = n.map_batches(
        lambda counts: pl.Series([quantile(k - 1, level) if k and k > 1 else None for k in counts], dtype=pl.Float64),
        return_dtype=pl.Float64,
    )
    half = t * sd / n.cast(pl.Float64).sqrt()
    return mean - half, mean + half
