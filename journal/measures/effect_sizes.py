"""Effect sizes of the association of two groups or two series, without a significance test."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from journal.measures.circular_shift import Numbers


def superiority(one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """The probability that a random value of `one` exceeds a random value of `other`; ties count half.

    Cliff, N. (1993), Psychol. Bull. 114, 494-509: his delta is 2 s - 1, with s this number. Mann and Whitney's U is s
    times the number of pairs. 0.5 means no difference. Raises ValueError if a group is empty.

    >>> superiority([4, 5, 4], [3, 4])
    0.8333333333333334
    """
    a, b = np.asarray(one, np.float64), np.sort(np.asarray(other, np.float64))
    if not a.size or not b.size:
        raise ValueError("a group is empty")
    below, upto = np.searchsorted(b, a, "left"), np.searchsorted(b, a, "right")
    return float((below.sum() + upto.sum()) / (2 * a.size * b.size))


def ranks(values: npt.ArrayLike) -> Numbers:
    """The rank of each value, from 1; ties get the mean of their ranks.

    >>> ranks([7, 5, 7, 9]).tolist()
    [2.5, 1.0, 2.5, 4.0]
    """
    _, place, count = np.unique(np.asarray(values, np.float64), return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    middle: Numbers = last - (count - 1) / 2
    return middle[place]


def spearman(one: npt.ArrayLike, other: npt.ArrayLike) -> float | None:
    """The rank correlation of two series; None if a series is constant or has fewer than two values.

    Spearman, C. (1904), Am. J. Psychol. 15, 72-101; ties get their mean rank.

    >>> round(spearman([1, 2, 3, 4, 5], [5, 6, 7, 8, 7]), 4), spearman([3, 3], [1, 2])
    (0.8208, None)
    """
    a, b = ranks(one), ranks(other)
    if a.size < 2 or a.min() == a.max() or b.min() == b.max():
        return None
    a, b = a - a.mean(), b - b.mean()
    return float(np.clip(a @ b / np.sqrt((a @ a) * (b @ b)), -1, 1))


def share_between(values: npt.ArrayLike, groups: npt.ArrayLike) -> float | None:
    """Eta squared: the sum of squares between groups, divided by the total sum of squares; None for constant values.

    Fisher, R. A. (1925), Statistical Methods for Research Workers.

    >>> share_between([1, 1, 4, 4], [0, 0, 1, 1]), share_between([1, 4, 1, 4], [0, 0, 1, 1])
    (1.0, 0.0)
    """
    numbers, labels = np.asarray(values, np.float64), np.asarray(groups)
    if not numbers.size or numbers.min() == numbers.max():
        return None
    deviations = numbers - numbers.mean()
    _, index, count = np.unique(labels, return_inverse=True, return_counts=True)
    between = (np.bincount(index, deviations) ** 2 / count).sum()
    return float(min(between / (deviations @ deviations), 1.0))
