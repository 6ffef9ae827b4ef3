"""Bootstrap intervals for autocorrelated series: blocks of days are resampled, not single days.

The method is the circular block bootstrap. A block is a run of consecutive days that starts on any day and wraps round
the end of the series. Blocks are joined until they have the length of the series: Politis, D. N. and Romano, J. P.
(1992), in LePage and Billard, Exploring the Limits of Bootstrap, 263-270, after Künsch, H. R. (1989), Ann. Stat. 17,
1217-1241. The block length is that of Politis and White (2004), Econom. Rev. 23, 53-70, for a first-order
autoregressive series. It grows with the autocorrelation.
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
"""A block is at most a quarter of the series, so a resample has at least four blocks."""


def block_length(parts: Numbers) -> int:
    """The block length in days, for a statistic that is a sum of the daily `parts`.

    It is (6 (r / (1 - r^2))^2 n)^(1/3), with r the lag-1 autocorrelation. The minimum is n^(1/3), the order of Künsch's
    blocks. The maximum is a quarter of the series.

    >>> block_length(np.tile([1.0, -1.0], 180)), block_length(np.sin(np.arange(360) / 10))
    (8, 90)
    """
    n = parts.size
    deviations = parts - parts.mean()
    spread = float(deviations @ deviations)
    r = float(np.clip(deviations[1:] @ deviations[:-1] / spread, 0, 0.99)) if spread > 0 else 0.0
    best = (6 * (r / (1 - r * r)) ** 2 * n) ** (1 / 3)
    return int(np.clip(np.ceil(max(best, n ** (1 / 3))), 1, max(n // _FEWEST_BLOCKS, 1)))


def resampled_sums(columns: list[Numbers], block: int, resamples: int, seed: int) -> list[Numbers]:
    """The sum of each column over each resample. Every column uses the same resampled days.

    >>> (sums,) = resampled_sums([np.ones(10)], block=3, resamples=4, seed=0)
    >>> sums.tolist()
    [10.0, 10.0, 10.0, 10.0]
    """
    n = columns[0].size
    whole, rest = divmod(n, block)
    rng = np.random.default_rng(seed)
    starts, last = rng.integers(0, n, (whole, resamples)), rng.integers(0, n, resamples)
    sums = []
    for column in columns:
        # A block's sum is a difference of two cumulative sums. The series is doubled, so blocks can wrap round its end.
        run = np.concatenate([[0.0], np.cumsum(np.concatenate([column, column]))])
        sums.append((run[starts + block] - run[starts]).sum(axis=0) + run[last + rest] - run[last])
    return sums


def difference_interval(done: Numbers, values: Numbers, resamples: int, seed: int) -> tuple[float, float] | None:
    """The 95 % interval of mean(values where done is 1) - mean(values where done is 0); None with 0 `resamples`.

    A resample without a day in one of the two groups is skipped. This happens only in short series.

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
    """The 95 % interval of the correlation of two series; None with 0 `resamples`.

    For Spearman's correlation, pass the ranks within the whole series. Resamples keep those ranks. Neither series may
    be constant.

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
    varying = spread > 1e-12  # a resample with a constant series has no correlation
    return _ends(np.clip((sab - sa * sb)[varying] / np.sqrt(spread[varying]), -1, 1), n // block)


def difference_parts(done: Numbers, values: Numbers) -> Numbers:
    """Each day's contribution to the difference of the means, centred on 0.

    Without a day, the difference would move by about 1/n of that day's contribution.

    >>> difference_parts(np.array([1.0, 1.0, 0.0, 0.0]), np.array([5.0, 3.0, 2.0, 1.0])).tolist()
    [2.0, -2.0, -1.0, 1.0]
    """
    missed = 1 - done
    means = done @ values / done.sum(), missed @ values / missed.sum()
    parts: Numbers = done * (values - means[0]) / done.mean() - missed * (values - means[1]) / missed.mean()
    return parts


def correlation_parts(one: Numbers, other: Numbers) -> Numbers:
    """Each day's contribution to the correlation, as in `difference_parts`."""
    a, b = _standard(one), _standard(other)
    parts: Numbers = a * b - (a * b).mean() * (a * a + b * b) / 2
    return parts


def _standard(values: Numbers) -> Numbers:
    scores: Numbers = (values - values.mean()) / values.std()
    return scores


def _ends(statistics: Numbers, blocks: int) -> tuple[float, float] | None:
    """The interval from the percentiles of the resampled statistics, widened for few blocks.

    With k blocks, the percentiles are those of plus and minus sqrt(k / (k - 1)) t(k - 1) in a normal distribution, in
    place of 1.96 (Hesterberg, T. C. (2015), Am. Stat. 69, 371-386, with blocks for days)."""
    if not statistics.size or blocks < 2:
        return None
    below = NormalDist().cdf(-math.sqrt(blocks / (blocks - 1)) * quantile(blocks - 1, LEVEL))
    low, high = np.quantile(statistics, [below, 1 - below])
    return float(low), float(high)
