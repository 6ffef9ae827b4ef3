"""A circular shift test of the association of two series that is valid under autocorrelation.

Moods of neighbouring days are correlated, and so are marks. A test that assumes independent days then finds links
between any two slowly varying series. A circular shift of one series against the other keeps the autocorrelation of
each and breaks only their association: DeRuiter, S. and Solow, A. (2008), Anim. Behav. 76, 1137-1143 (a rotation test).
All shifts are computed at once by FFT, so there is no random sampling.

The test is exact if the last and first day of a series are as alike as any two neighbours. A series with a trend has a
jump there. tests/benchmarks/links.md measures the cost of that jump.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

_FINEST = 1e-6
"""Values closer than this are equal: no value in a journal has more decimal places."""
_STEPS = 10**8
"""The maximum number of steps between the least and the greatest value."""
_GREATEST_SUM = 5 * 10**13
"""The largest sum of products for which a double-precision FFT has an error far below 0.5, so rounding is exact."""


def on_a_grid(values: npt.ArrayLike) -> Whole:
    """Values as integer steps above their minimum, with the widest step that represents all of them.

    Integer sums have no rounding error, so equal sums compare equal in any order of addition.

    >>> on_a_grid([3.1, 2.9, 3.3]).tolist(), on_a_grid([4, 2, 5]).tolist(), on_a_grid([3, 3]).tolist()
    ([1, 0, 2], [2, 0, 3], [0, 0])
    """
    numbers = np.asarray(values, dtype=np.float64)
    if not numbers.size:
        return np.zeros(0, np.int64)
    above = numbers - numbers.min()
    finest = _FINEST
    while above.max() > finest * _STEPS:
        finest *= 10  # only by powers of 10: with steps of 1/3, 0.1 and 0.2 would be spaced unlike 0 and 0.3
    steps: Whole = np.rint(above / finest).astype(np.int64)
    steps //= max(int(np.gcd.reduce(steps)), 1)
    return steps


def covariances(one: npt.ArrayLike, other: npt.ArrayLike) -> Whole:
    """n squared times the covariance of two series at each of the n circular shifts, in grid steps of both.

    Shift s pairs value i of `one` with value i + s (mod n) of `other`. Shift 0 is the observed order. For a series of
    marks, the difference of the means of `other` with and without a mark is this number divided by a constant. So is
    the correlation of two series (of ranks: Spearman's). All three statistics therefore order the shifts alike.

    >>> covariances([1, 1, 0, 0], [5, 4, 2, 1]).tolist()
    [12, 0, -12, 0]
    """
    a, b = on_a_grid(one), on_a_grid(other)
    n = a.size
    if not n:
        return np.zeros(0, np.int64)
    # Marks and ranks of less than 60 years stay below the limit. Only two series with many decimals are made coarser.
    while n * max(int(a.max()), 1) * max(int(b.max()), 1) > _GREATEST_SUM:
        a, b = (_coarser(a), b) if a.max() > b.max() else (a, _coarser(b))
    turned = np.fft.irfft(np.conj(np.fft.rfft(a.astype(np.float64))) * np.fft.rfft(b.astype(np.float64)), n)
    products: Whole = np.rint(turned).astype(np.int64)
    return n * products - int(a.sum()) * int(b.sum())


def _coarser(steps: Whole) -> Whole:
    return (steps + 5) // 10


def shift_p(one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """The two-sided p: the share of all n shifts whose covariance is at least as far from zero as the observed one.

    The observed order counts among the shifts, so the minimum is 1/n. With a constant series all shifts are equal and p
    is 1.

    >>> shift_p([1, 1, 1, 0, 0, 0, 0, 0], [5, 4, 5, 2, 3, 2, 3, 3])
    0.125
    >>> shift_p([1, 0, 1, 0, 1, 0], [4, 2, 4, 2, 4, 2])
    1.0
    """
    sizes = np.abs(covariances(one, other))
    return float((sizes >= sizes[0]).sum() / sizes.size) if sizes.size else 1.0
