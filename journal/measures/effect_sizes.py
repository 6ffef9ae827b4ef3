"""How far two groups, or two series, go together: sizes without a verdict."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from journal.measures.circular_shift import Numbers


def superiority(one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """The chance that a value drawn from one group beats one drawn from the other, ties counted half.

    Cliff, N. (1993), Psychol. Bull. 114, 494-509: his delta is twice this less one; Mann and Whitney's U is this times
    the number of pairs. 0.5 where neither beats the other. Raises ValueError where a group is empty.

    >>> superiority([4, 5, 4], [3, 4])
    0.8333333333333334
    """
    a, b = np.asarray(one, np.float64), np.sort(np.asarray(other, np.float64))
    if not a.size or not b.size:
        raise ValueError("there is nothing to compare with")
    below, upto = np.searchsorted(b, a, "left"), np.searchsorted(b, a, "right")
    return float((below.sum() + upto.sum()) / (2 * a.size * b.size))


def ranks(values: npt.ArrayLike) -> Numbers:
    """The rank of each value among all, from 1; equal values share the middle of their ranks.

    >>> ranks([7, 5, 7, 9]).tolist()
    [2.5, 1.0, 2.5, 4.0]
    """
    found = np.asarray(values, np.float64)
    _, place, count = np.unique(found, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    middle: Numbers = last - (count - 1) / 2
    return middle[place]


def spearman(one: npt.ArrayLike, other: npt.ArrayLike) -> float | None:
    """The correlation of the ranks of two series (Spearman, C. (1904), Am. J. Psychol. 15, 72-101), ties at their
    middle rank; None where a series is constant or has fewer than two values.

    >>> round(spearman([1, 2, 3, 4, 5], [5, 6, 7, 8, 7]), 4), spearman([3, 3], [1, 2])
    (0.8208, None)
    """
    a, b = ranks(one), ranks(other)
    if a.size < 2 or a.min() == a.max() or b.min() == b.max():
        return None
    a, b = a - a.mean(), b - b.mean()
    return float(np.clip(a @ b / np.sqrt((a @ a) * (b @ b)), -1, 1))


def share_between(values: npt.ArrayLike, groups: npt.ArrayLike) -> float | None:
    """The share of the spread of values that lies between groups: the sum of squares between over the whole (eta
    squared; Fisher, R. A. (1925), Statistical Methods for Research Workers). None where all values are the same.

    >>> share_between([1, 1, 4, 4], [0, 0, 1, 1]), share_between([1, 4, 1, 4], [0, 0, 1, 1])
    (1.0, 0.0)
    """
    found, place = np.asarray(values, np.float64), np.asarray(groups)
    if not found.size or found.min() == found.max():
        return None
    apart = found - found.mean()
    _, index, count = np.unique(place, return_inverse=True, return_counts=True)
    between = (np.bincount(index, apart) ** 2 / count).sum()
    return float(min(between / (apart @ apart), 1.0))
