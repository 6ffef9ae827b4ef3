"""Intervals for series whose neighbours are alike: whole blocks of days are drawn again, not single days.

Blocks of consecutive days, from any day on and round the end, laid one after another to the length of the series:
Politis, D. N. and Romano, J. P. (1992), in LePage and Billard, Exploring the Limits of Bootstrap, 263-270, after
Künsch, H. R. (1989), Ann. Stat. 17, 1217-1241. The length of a block is that of Politis and White (2004), Econom. Rev.
23, 53-70, for a series of first order: long where days resemble their neighbours.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np

from journal.measures.circular_shift import Numbers
from journal.measures.confidence_intervals import LEVEL
from journal.measures.t_interval import quantile

RESAMPLES = 2000
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
    """The 95 % interval of mean(values where done is 1) - mean(values where it is 0); None without resamples.

    A resample that has no day on one side, which only happens with few days, says nothing and is left out.

    >>> marks, moods = np.tile([1.0, 0.0, 0.0], 30), np.tile([4.0, 3.0, 3.0, 5.0, 3.0, 4.0], 15)
    >>> low, high = difference_interval(marks, moods, resamples=500, seed=1)
    >>> low < 1.25 < high
    True
    """
    if not resamples:
        return None
    block, missed = block_length(difference_parts(done, values)), 1 - done
    kept, left, kept_sum, left_sum = resampled_sums(
        [done, missed, done * values, missed * values], block, resamples, seed
    )
    both = (kept > 0.5) & (left > 0.5)
    return _ends(kept_sum[both] / kept[both] - left_sum[both] / left[both], done.size // block)


def correlation_interval(one: Numbers, other: Numbers, resamples: int, seed: int) -> tuple[float, float] | None:
    """The 95 % interval of the correlation of two series (for Spearman's: of their ranks in the whole series, which are
    kept); None without resamples. Neither series may be constant.

    >>> low, high = correlation_interval(np.arange(60.0), np.arange(60.0) % 50, resamples=500, seed=1)
    >>> -1 <= low < high <= 1
    True
    """
    if not resamples:
        return None
    n, block = one.size, block_length(correlation_parts(one, other))
    a, b = _standard(one), _standard(other)
    sums = resampled_sums([a, b, a * a, b * b, a * b], block, resamples, seed)
    sa, sb, saa, sbb, sab = (total / n for total in sums)
    spread = (saa - sa * sa) * (sbb - sb * sb)
    changing = spread > 1e-12  # a resample of one value over and over has no correlation
    return _ends(np.clip((sab - sa * sb)[changing] / np.sqrt(spread[changing]), -1, 1), n // block)


def difference_parts(done: Numbers, values: Numbers) -> Numbers:
    """What each day adds to the difference of the means, about 0: n times less is how far it would move without the
    day.

    >>> difference_parts(np.array([1.0, 1.0, 0.0, 0.0]), np.array([5.0, 3.0, 2.0, 1.0])).tolist()
    [2.0, -2.0, -1.0, 1.0]
    """
    missed = 1 - done
    means = done @ values / done.sum(), missed @ values / missed.sum()
    parts: Numbers = done * (values - means[0]) / done.mean() - missed * (values - means[1]) / missed.mean()
    return parts


def correlation_parts(one: Numbers, other: Numbers) -> Numbers:
    """What each day adds to the correlation, likewise."""
    a, b = _standard(one), _standard(other)
    parts: Numbers = a * b - (a * b).mean() * (a * a + b * b) / 2
    return parts


def _standard(values: Numbers) -> Numbers:
    found: Numbers = (values - values.mean()) / values.std()
    return found


def _ends(found: Numbers, blocks: int) -> tuple[float, float] | None:
    """Percentiles, set wider where there are few blocks: at plus and minus sqrt(k / (k - 1)) t(k - 1) of a normal
    distribution in place of 1.96 (Hesterberg, T. C. (2015), Am. Stat. 69, 371-386, with blocks for days)."""
    if not found.size or blocks < 2:
        return None
    below = NormalDist().cdf(-math.sqrt(blocks / (blocks - 1)) * quantile(blocks - 1, LEVEL))
    low, high = np.quantile(found, [below, 1 - below])
    return float(low), float(high)
