"""A shift test with a smaller minimum p than `circular_shift`: the two halves of the days are shifted separately.

The test uses the residuals of mood, after the weekday and the mood of the day before.

- Halves: n days have n circular shifts, so p is at least 1/n, and a year cannot show one link among twenty. Shifting
  the halves separately gives n^2/4 arrangements. Each half keeps its autocorrelation, as the whole series does.
  Differences between the halves, such as a slow drift, no longer count.
- Weekday: if a series and mood both have a weekly cycle, they agree at every seventh shift, in both halves. So the
  weekday is removed from mood first.
- Day before: nothing of this day can have changed the mood of the day before. Removing it weakens no link and reduces
  the noise.

The residuals are those of least squares, and the residuals are shifted: Freedman, D. and Lane, D. (1983), J. Bus. Econ.
Stat. 1, 292-298. tests/benchmarks/links.md has the power and the false positive rate, DECISIONS.md beside this
module the reasons.
"""

from __future__ import annotations

import math

import numpy as np

from journal.measures.circular_shift import Numbers, Whole
from journal.measures.false_discovery import CLEAR

_TIE = 1 - 1e-9
"""Rounding tolerance: a sum that is nearer to zero by this factor may be the same sum in another order of addition."""


def residuals(values: Numbers, weekday: Whole, before: Numbers) -> Numbers:
    """The least-squares residuals of `values` after weekday means and a linear term in the value of the day before.

    In: `weekday` 0 to 6, `before` (NaN where unknown; the linear term is then 0). Out: an array of the same size with
    mean 0.

    >>> moods, weekday = np.array([1.0, 3.0, 2.0, 4.0]), np.array([0, 5, 0, 5])
    >>> residuals(moods, weekday, np.full(4, np.nan)).round(9).tolist()
    [-0.5, -0.5, 0.5, 0.5]
    """
    known = np.isfinite(before)
    mean = before[known].mean() if known.any() else 0.0
    indicators = weekday[:, None] == np.unique(weekday)
    design = np.column_stack([indicators.astype(np.float64), np.where(known, before - mean, 0.0)])
    remainder: Numbers = values - design @ np.linalg.lstsq(design, values, rcond=None)[0]
    return remainder


def halves_count(one: Numbers, other: Numbers) -> tuple[float, int]:
    """The observed within-half covariance, and the number of arrangements where it is at least as far from zero.

    The covariance is a sum of products: n times the covariance within the halves. Each arrangement shifts each half
    separately. The first n // 2 of n days are one half. There are `arrangements(n)`, the observed one included.

    >>> halves_count(np.array([1.0, 0, 0, 1, 0, 0]), np.array([4.0, 2, 2, 4, 2, 2]))
    (2.6666666666666665, 1)
    """
    first, second = (_shifted_sums(one[half], other[half]) for half in _halves(one.size))
    observed = float(first[0] + second[0])
    far, second = abs(observed) * _TIE, np.sort(second)
    above = second.size - np.searchsorted(second, far - first, "left")
    below = np.searchsorted(second, -far - first, "right")
    # If the observed sum is zero, every arrangement qualifies on both sides and would count twice.
    return observed, min(int(above.sum() + below.sum()), first.size * second.size)


def arrangements(n: int) -> int:
    """The number of arrangements of n days, with each half shifted separately.

    >>> arrangements(340), arrangements(29)
    (28900, 210)
    """
    return (n // 2) * (n - n // 2)


def days_for_one(pairs: int) -> int:
    """The least number of days at which a single link among so many pairs can be called clear.

    The least p among m must be 0.05 / m or less, and with n days the minimum is 1 / arrangements(n).

    >>> days_for_one(2), days_for_one(20), days_for_one(100)
    (13, 40, 90)
    """
    needed = math.ceil(pairs / CLEAR * (1 - 1e-12))
    return math.isqrt(4 * max(needed, 1) - 1) + 1  # the least n with n^2 / 4 >= needed


def fine_p(one: Numbers, values: Numbers, weekday: Whole, before: Numbers, *, p: float, size: float) -> float:
    """The p over all arrangements by halves, of the association of `one` with the `residuals` of `values`.

    In: `p`, the p of the whole shifts, and `size`, the displayed difference or correlation of the unadjusted values.
    The result never contradicts these: a p over 0.05 is not made smaller, and if the residuals have the opposite sign
    of `size`, the result is 1. Its minimum is 1 / arrangements(n).

    >>> done = np.array([1.0, 0, 0, 1, 1, 0, 1, 0, 0, 0, 1, 0] * 4)
    >>> round(fine_p(done, 3 + done, np.arange(48) % 7, np.full(48, np.nan), p=1 / 48, size=1.0), 6)
    0.006944
    """
    observed, count = halves_count(one, residuals(values, weekday, before))
    if observed * size <= 0:
        return 1.0
    share = count / arrangements(one.size)
    return share if p <= CLEAR else max(p, share)


def _halves(n: int) -> tuple[slice, slice]:
    return slice(0, n // 2), slice(n // 2, n)


def _shifted_sums(one: Numbers, other: Numbers) -> Numbers:
    """The sum of products of deviations from the means, at each circular shift."""
    a, b = one - one.mean(), other - other.mean()
    sums: Numbers = np.fft.irfft(np.conj(np.fft.rfft(a)) * np.fft.rfft(b), one.size)
    return sums
