"""Confidence intervals of a proportion and of the difference of two proportions, as polars expressions.

Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209-212: the score interval. Newcombe, R. G. (1998a), Stat. Med. 17,
857-872, lists it as method 3 and recommends it. Newcombe, R. G. (1998b), Stat. Med. 17, 873-890, method 10: the
interval of the difference of two independent proportions, from their Wilson intervals.
"""

from __future__ import annotations

from statistics import NormalDist

import polars as pl

LEVEL = 0.95


def _normal(level: float) -> float:
    return NormalDist().inv_cdf(0.5 + level / 2)


def wilson(done: pl.Expr, counted: pl.Expr, level: float = LEVEL) -> tuple[pl.Expr, pl.Expr]:
    """Low and high end (Float64, 0 to 1) of the score interval of `done` out of `counted`; null where counted is 0.

    >>> low, high = wilson(pl.col("k"), pl.col("n"))
    >>> pl.DataFrame({"k": [81], "n": [263]}).select(low=low.round(4), high=high.round(4)).row(0)
    (0.2553, 0.3662)
    """
    z = _normal(level)
    n = counted.cast(pl.Float64)
    share = done / n
    middle = (share + z**2 / (2 * n)) / (1 + z**2 / n)
    half = (share * (1 - share) / n + z**2 / (4 * n**2)).sqrt() * (z / (1 + z**2 / n))
    # With none or all done, one end is exactly 0 or 1. Rounding must not move it outside.
    low = pl.when(done == 0).then(0.0).otherwise(middle - half)
    high = pl.when(done == counted).then(1.0).otherwise(middle + half)
    some = counted > 0  # else null instead of a division by zero; shared by both ends to save time
    return pl.when(some).then(low), pl.when(some).then(high)


def newcombe(
    done_a: pl.Expr, counted_a: pl.Expr, done_b: pl.Expr, counted_b: pl.Expr, level: float = LEVEL
) -> tuple[pl.Expr, pl.Expr]:
    """Low and high end (Float64, -1 to 1) of the interval of share a - share b; null where a count is 0.

    >>> low, high = newcombe(pl.lit(56), pl.lit(70), pl.lit(48), pl.lit(80))
    >>> pl.select(low=low.round(4), high=high.round(4)).row(0)
    (0.0524, 0.3339)
    """
    low_a, high_a = wilson(done_a, counted_a, level)
    low_b, high_b = wilson(done_b, counted_b, level)
    a, b = done_a / counted_a, done_b / counted_b
    down = ((a - low_a) ** 2 + (high_b - b) ** 2).sqrt()
    up = ((high_a - a) ** 2 + (b - low_b) ** 2).sqrt()
    return a - b - down, a - b + up
