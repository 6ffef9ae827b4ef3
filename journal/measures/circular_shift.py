"""Two series and every circular shift of one along the other: a test that slow drifts cannot fool.

Moods of neighbouring days are alike, and so are marks. A test that takes the days for independent then finds links
between any two series that merely wander. Turning one series against the other, its end following on its beginning,
keeps what each is by itself and breaks only what they have in common: DeRuiter, S. and Solow, A. (2008), Anim. Behav.
76, 1137-1143 (a rotation test). All shifts are taken, at once by FFT, so nothing is drawn at random.

The test is exact where the beginning and the end of a series are no further apart than any two neighbours. A series
with a trend has a seam there; what that costs is measured in tests/benchmarks/links.md.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

_FINEST = 1e-6
"""Values that are nearer than this are the same: nothing in a journal is written to more places."""
_STEPS = 10**8
"""Steps from the least to the greatest value, at most."""
_GREATEST_SUM = 5 * 10**13
"""A sum of products up to which an FFT in double precision is off by far less than the half that rounding mends."""


def on_a_grid(values: npt.ArrayLike) -> Whole:
    """Values as whole steps above the least of them, in the widest steps that hold them all.

    Sums of whole numbers have no rounding, so that a tie is a tie whichever way it was added up.

    >>> on_a_grid([3.1, 2.9, 3.3]).tolist(), on_a_grid([4, 2, 5]).tolist(), on_a_grid([3, 3]).tolist()
    ([1, 0, 2], [2, 0, 3], [0, 0])
    """
    found = np.asarray(values, dtype=np.float64)
    if not found.size:
        return np.zeros(0, np.int64)
    above = found - found.min()
    finest = _FINEST
    while above.max() > finest * _STEPS:
        finest *= 10  # never by another number: steps of 1/3 would take 0.1 and 0.2 apart from 0 and 0.3
    steps: Whole = np.rint(above / finest).astype(np.int64)
    steps //= max(int(np.gcd.reduce(steps)), 1)
    return steps


def covariances(one: npt.ArrayLike, other: npt.ArrayLike) -> Whole:
    """n squared times the covariance of two series at each of the n shifts of the first, on the grids of both.

    Shift s puts the first's value i beside the other's value i + s, round the end; shift 0 is the observed order. The
    difference between the mean of `other` where a mark stands and where none does is this number divided by a constant,
    as is the correlation of two series (of ranks: Spearman's): all of them order the shifts alike.

    >>> covariances([1, 1, 0, 0], [5, 4, 2, 1]).tolist()
    [12, 0, -12, 0]
    """
    a, b = on_a_grid(one), on_a_grid(other)
    n = a.size
    if not n:
        return np.zeros(0, np.int64)
    # Never so with a mark or with ranks of less than 60 years: two series of long fractions are made coarser.
    while n * max(int(a.max()), 1) * max(int(b.max()), 1) > _GREATEST_SUM:
        a, b = (_coarser(a), b) if a.max() > b.max() else (a, _coarser(b))
    turned = np.fft.irfft(np.conj(np.fft.rfft(a.astype(np.float64))) * np.fft.rfft(b.astype(np.float64)), n)
    products: Whole = np.rint(turned).astype(np.int64)
    return n * products - int(a.sum()) * int(b.sum())


def _coarser(steps: Whole) -> Whole:
    return (steps + 5) // 10


def shift_p(one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """The share of all n shifts, the observed order among them, at which two series go together at least as much as
    observed, in either direction.

    It is 1/n at the least: an order that is the most extreme of 300 is one in 300 and no rarer. Where every shift is
    the same, as with a constant series, it is 1.

    >>> shift_p([1, 1, 1, 0, 0, 0, 0, 0], [5, 4, 5, 2, 3, 2, 3, 3])
    0.125
    >>> shift_p([1, 0, 1, 0, 1, 0], [4, 2, 4, 2, 4, 2])
    1.0
    """
    found = np.abs(covariances(one, other))
    return float((found >= found[0]).sum() / found.size) if found.size else 1.0
