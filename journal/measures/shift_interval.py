"""The 95 % interval of a slope or a difference of means, valid under autocorrelation: the shift test, inverted.

The interval holds every size d that the test of `circular_shift.shift_p` does not reject: those for which `other` minus
d times `one` goes with `one` at p over 0.05 (Lehmann, E. L. and Romano, J. P. (2005), Testing Statistical Hypotheses,
section 3.5). So it holds the true size as often as the test keeps to its level, whatever the size, and it excludes 0
exactly where p is 0.05 or less. It needs no random numbers. tests/benchmarks/intervals.md has its coverage.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from journal.measures.circular_shift import Numbers, covariances, on_a_grid
from journal.measures.confidence_intervals import LEVEL

_PLACES = 12


def shift_interval(one: npt.ArrayLike, other: npt.ArrayLike) -> tuple[float, float] | None:
    """The interval of the slope of `other` on `one`; for marks (1 and 0), of the difference of the means.

    For ranks divided by their standard deviation it is that of Spearman's correlation. None if the days cannot bound
    it: fewer than 20, a constant `one`, or marks that repeat themselves so that too many shifts are alike.

    At each shift s, the observed association is the nearer to zero for the sizes d between two bounds: with a the
    covariances of both and b those of `one` with itself, (a0 - as) / (b0 - bs) and (a0 + as) / (b0 + bs). As d leaves
    the observed slope a0 / b0, one shift after the other drops out. The ends are where just 5 % are left.

    >>> done, moods = np.arange(60) * 7 % 11 < 5, np.arange(60) * 13 % 17 / 4
    >>> low, high = shift_interval(done, moods + done)
    >>> low < 1 < high
    True
    >>> shift_interval(np.ones(60), moods) is None
    True
    """
    one, other = np.asarray(one, np.float64), np.asarray(other, np.float64)
    fewest = int(np.floor((1 - LEVEL) * one.size + 1e-9))
    if fewest < 1 or np.ptp(one) == 0:
        return None
    # Whole numbers, so that equal sums are equal and the ends agree with p.
    with_other = covariances(one, other).astype(np.float64)
    with_itself = covariances(one, one).astype(np.float64)
    (a, *_), (b, *_) = with_other, with_itself
    with np.errstate(divide="ignore", invalid="ignore"):
        bounds = np.stack([(a - with_other[1:]) / (b - with_itself[1:]), (a + with_other[1:]) / (b + with_itself[1:])])
    always = np.isnan(bounds).any(axis=0)  # this shift does not differ from the observed order, for any size
    lower = np.sort(np.where(always, -np.inf, bounds.min(axis=0)))[fewest - 1]
    upper = np.sort(np.where(always, np.inf, bounds.max(axis=0)))[-fewest]
    if not (np.isfinite(lower) and np.isfinite(upper)):
        return None
    step = _step(other) / _step(one)
    return round(float(lower * step), _PLACES) + 0.0, round(float(upper * step), _PLACES) + 0.0


def _step(values: Numbers) -> float:
    """The width of the steps of `on_a_grid`; 1 for a constant series."""
    greatest = int(on_a_grid(values).max())
    return float(np.ptp(values)) / greatest if greatest else 1.0
