"""Confidence intervals of a proportion and of the difference of two proportions, as polars expressions.

Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209-212: the score interval. Newcombe, R. G. (1998a), Stat. Med. 17,
857-872, lists it as method 3 and recommends it. Newcombe, R. G. (1998b), Stat. Med. 17, 873-890, method 10: the
interval of the difference of two independent proportions, from their Wilson intervals.

Counts may be fractions: `dependence` has the number of independent occasions that some occasions are worth.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import numpy.typing as npt
import polars as pl

LEVEL = 0.95
_Values = npt.NDArray[np.float64]


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


_MOST_ERRORS = 40.0
_HALVINGS = 50


def newcombe_p(share_a: pl.Series, n_a: pl.Series, share_b: pl.Series, n_b: pl.Series) -> pl.Series:
    """The p (Float64) of the difference of two shares: 1 - the level at which an end of `newcombe` is zero.

    So p is at most 0.05 if, and only if, the 95 % interval excludes zero. Null where a value is null or a number is 0.
    The intervals of a lower level lie within those of a higher one, so the level is found by bisection.

    >>> shares, numbers = pl.Series([56 / 70, 0.5]), pl.Series([70.0, 10.0])
    >>> newcombe_p(shares, numbers, pl.Series([48 / 80, 0.5]), pl.Series([80.0, 20.0])).round(4).to_list()
    [0.0081, 1.0]
    """
    a, n, b, m = (series.cast(pl.Float64).to_numpy() for series in (share_a, n_a, share_b, n_b))
    higher, lower, n_higher, n_lower = (
        np.maximum(a, b),
        np.minimum(a, b),
        np.where(a >= b, n, m),
        np.where(a >= b, m, n),
    )
    known = (n > 0) & (m > 0) & np.isfinite(higher - lower)
    with np.errstate(divide="ignore", invalid="ignore"):
        least, most = np.zeros_like(a), np.full_like(a, _MOST_ERRORS)
        for _ in range(_HALVINGS):
            z = (least + most) / 2
            down, up = _below(higher, n_higher, z), _below(1 - lower, n_lower, z)
            excludes = (higher - lower) ** 2 > down**2 + up**2
            least, most = np.where(excludes, z, least), np.where(excludes, most, z)
    p = [2 * NormalDist().cdf(-z) for z in least]
    return pl.Series("p", np.where(known, p, np.nan)).fill_nan(None)


def _below(share: _Values, n: _Values, z: _Values) -> _Values:
    """The distance from a share down to the lower end of its score interval, for 1 - share that to its upper end."""
    middle = (share + z**2 / (2 * n)) / (1 + z**2 / n)
    half = np.sqrt(share * (1 - share) / n + z**2 / (4 * n**2)) * z / (1 + z**2 / n)
    down: _Values = share - (middle - half)
    return down
