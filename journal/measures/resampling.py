"""Intervals for series whose neighbours are alike: whole blocks of days are drawn again, not single days.

Blocks of consecutive days, from any day on and round the end, laid one after another to the length of the series:
Politis, D. N. and Romano, J. P. (1992), in LePage and Billard, Exploring the Limits of Bootstrap, 263-270, after
Künsch, H. R. (1989), Ann. Stat. 17, 1217-1241. The length of a block is that of Politis and White (2004), Econom. Rev.
23, 53-70, for a series of first order: long where days resemble their neighbours.
"""

from __future__ import annotations

import numpy as np

from journal.measures.shifting import Numbers

RESAMPLES = 2000
LEVEL = 0.95
_FEWEST_BLOCKS = 4


def block_length(parts: Numbers) -> int:
    """Days in a block, for a statistic to which each day adds its part.

    (6 (r / (1 - r^2))^2 n)^(1/3) with r the correlation of neighbours, but n^(1/3) at the least, the order that
    Künsch's blocks have, and a quarter of the series at the most.

    >>> block_length(np.tile([1.0, -1.0], 180)), block_length(np.sin(np.arange(360) / 10))
    (8, 90)
    """
    n = parts.size
    apart = parts - parts.mean()
    spread = float(apart @ apart)
    r = float(np.clip(apart[1:] @ apart[:-1] / spread, 0, 0.99)) if spread > 0 else 0.0
    best = (6 * (r / (1 - r * r)) ** 2 * n) ** (1 / 3)
    return int(np.clip(np.ceil(max(best, n ** (1 / 3))), 1, max(n // _FEWEST_BLOCKS, 1)))


def resampled_sums(columns: list[Numbers], block: int, resamples: int, seed: int) -> list[Numbers]:
    """The sum of each column over each resample, all columns over the same days.

    >>> (sums,) = resampled_sums([np.ones(10)], block=3, resamples=4, seed=0)
    >>> sums.tolist()
    [10.0, 10.0, 10.0, 10.0]
    """
    n = columns[0].size
    whole, rest = divmod(n, block)
    dice = np.random.default_rng(seed)
    starts, last = dice.integers(0, n, (whole, resamples)), dice.integers(0, n, resamples)
    found = []
    for column in columns:
        # Sums over stretches as differences of running sums, twice round.
        run = np.concatenate([[0.0], np.cumsum(np.concatenate([column, column]))])
        found.append((run[starts + block] - run[starts]).sum(axis=0) + run[last + rest] - run[last])
    return found


def difference_interval(done: Numbers, values: Numbers, resamples: int, seed: int) -> tuple[float, float] | None:
    """The 95 % percentile interval of mean(values where done is 1) - mean(values where it is 0); None without
    resamples.

    A resample that has no day on one side, which only happens with few days, says nothing and is left out.

    >>> marks, moods = np.tile([1.0, 0.0, 0.0], 30), np.tile([4.0, 3.0, 3.0, 5.0, 3.0, 4.0], 15)
    >>> low, high = difference_interval(marks, moods, resamples=500, seed=1)
    >>> low < 1.25 < high
    True
    """
    if not resamples:
        return None
    missed = 1 - done
    means = (done @ values / done.sum(), missed @ values / missed.sum())
    parts = done * (values - means[0]) / done.mean() - missed * (values - means[1]) / missed.mean()
    kept, left, kept_sum, left_sum = resampled_sums(
        [done, missed, done * values, missed * values], block_length(parts), resamples, seed
    )
    both = (kept > 0.5) & (left > 0.5)
    return _percentiles(kept_sum[both] / kept[both] - left_sum[both] / left[both])


def correlation_interval(one: Numbers, other: Numbers, resamples: int, seed: int) -> tuple[float, float] | None:
    """The 95 % percentile interval of the correlation of two series (for Spearman's: of their ranks in the whole
    series, which are kept); None without resamples. Neither series may be constant.

    >>> low, high = correlation_interval(np.arange(60.0), np.arange(60.0) % 50, resamples=500, seed=1)
    >>> -1 <= low < high <= 1
    True
    """
    if not resamples:
        return None
    a, b = (one - one.mean()) / one.std(), (other - other.mean()) / other.std()
    n, r = a.size, float((a * b).mean())
    parts = a * b - r * (a * a + b * b) / 2
    sums = resampled_sums([a, b, a * a, b * b, a * b], block_length(parts), resamples, seed)
    sa, sb, saa, sbb, sab = (total / n for total in sums)
    spread = (saa - sa * sa) * (sbb - sb * sb)
    spread_out = spread > 1e-12  # a resample of one value over and over has no correlation
    return _percentiles(np.clip((sab - sa * sb)[spread_out] / np.sqrt(spread[spread_out]), -1, 1))


def _percentiles(found: Numbers) -> tuple[float, float] | None:
    if not found.size:
        return None
    low, high = np.quantile(found, [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    return float(low), float(high)
