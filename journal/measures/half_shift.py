"""A finer count than that of `shifting`: each half of the days is turned by itself, against what a day's mood has
beyond its weekday and the mood of the day before.

Turned whole, n days have n arrangements, so that no p is under 1/n, and a year cannot show one link among twenty.
Turned by halves they have n^2/4; a half keeps what it is by itself just as the whole does, and what sets one half
apart from the other, as a slow drift does, counts no more. Where one thing and mood both keep to the week, they go
together at every seventh shift and in both halves, so the weekday is taken out of mood first; so is the mood of the day
before, which nothing of this day can have changed: it halves no link and makes the rest less noisy. Taken out by least
squares, the rest then turned: Freedman, D. and Lane, D. (1983), J. Bus. Econ. Stat. 1, 292-298.

tests/benchmarks/links.md has what is found so and what is claimed falsely, DECISIONS.md beside this module why.
"""

from __future__ import annotations

import math

import numpy as np

from journal.measures.circular_shift import Numbers, Whole
from journal.measures.false_discovery import CLEAR

_TIE = 1 - 1e-9
"""A sum this much nearer to zero is as far from it: the same days, added up in another order."""


def beyond(values: Numbers, weekday: Whole, before: Numbers) -> Numbers:
    """What is left of values when each weekday's mean and a straight line on the value of the day before are taken out.

    In: `weekday` 0 to 6, `before` (NaN where not known, which then says nothing). Out: as many, their mean 0.

    >>> moods, on = np.array([1.0, 3.0, 2.0, 4.0]), np.array([0, 5, 0, 5])
    >>> beyond(moods, on, np.full(4, np.nan)).round(9).tolist()
    [-0.5, -0.5, 0.5, 0.5]
    """
    known = np.isfinite(before)
    mean = before[known].mean() if known.any() else 0.0
    days = weekday[:, None] == np.unique(weekday)
    known_by = np.column_stack([days.astype(np.float64), np.where(known, before - mean, 0.0)])
    found: Numbers = values - known_by @ np.linalg.lstsq(known_by, values, rcond=None)[0]
    return found


def halves_count(one: Numbers, other: Numbers) -> tuple[float, int]:
    """n times the covariance of two series within the halves of the days, and how many of all arrangements, each half
    turned by itself, have one at least as far from zero.

    Of n days the first n // 2 are one half; there are `arrangements` of n, the observed one counted.

    >>> halves_count(np.array([1.0, 0, 0, 1, 0, 0]), np.array([4.0, 2, 2, 4, 2, 2]))
    (2.6666666666666665, 1)
    """
    first, second = (_turned(one[half], other[half]) for half in _halves(one.size))
    observed = float(first[0] + second[0])
    far, second = abs(observed) * _TIE, np.sort(second)
    above = second.size - np.searchsorted(second, far - first, "left")
    below = np.searchsorted(second, -far - first, "right")
    # At a sum of zero every arrangement is as far, and would be counted from both sides.
    return observed, min(int(above.sum() + below.sum()), first.size * second.size)


def arrangements(n: int) -> int:
    """In how many ways n days are arranged by turning each half.

    >>> arrangements(340), arrangements(29)
    (28900, 210)
    """
    return (n // 2) * (n - n // 2)


def days_for_one(pairs: int) -> int:
    """The days that a link must rest on to be called clear among so many pairs when it is the only link there is.

    The least p among m has to be m times rarer than 0.05, and n days give none under 1 / arrangements(n).

    >>> days_for_one(2), days_for_one(20), days_for_one(100)
    (13, 40, 90)
    """
    needed = math.ceil(pairs / CLEAR * (1 - 1e-12))
    return math.isqrt(4 * max(needed, 1) - 1) + 1  # the least n with n^2 / 4 at or over it


def fine_p(one: Numbers, values: Numbers, weekday: Whole, before: Numbers, *, p: float, size: float) -> float:
    """The share of all arrangements by halves at which `one` goes together at least as much with what values have
    beyond the weekday and the day before.

    In: `p`, the share of whole shifts, and `size`, the difference or correlation that is shown, of the values as they
    are. What those do not show is not brought in here: a p over 0.05 is not made smaller, and where the rest goes the
    other way than `size` it is 1. Out: 1 / arrangements(n) at the least.

    >>> done = np.array([1.0, 0, 0, 1, 1, 0, 1, 0, 0, 0, 1, 0] * 4)
    >>> round(fine_p(done, 3 + done, np.arange(48) % 7, np.full(48, np.nan), p=1 / 48, size=1.0), 6)
    0.006944
    """
    observed, count = halves_count(one, beyond(values, weekday, before))
    if observed * size <= 0:
        return 1.0
    found = count / arrangements(one.size)
    return found if p <= CLEAR else max(p, found)


def _halves(n: int) -> tuple[slice, slice]:
    return slice(0, n // 2), slice(n // 2, n)


def _turned(one: Numbers, other: Numbers) -> Numbers:
    """The sum of products at each shift, of deviations from the means."""
    a, b = one - one.mean(), other - other.mean()
    turned: Numbers = np.fft.irfft(np.conj(np.fft.rfft(a)) * np.fft.rfft(b), one.size)
    return turned
