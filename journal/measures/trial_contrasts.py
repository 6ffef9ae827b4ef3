"""What the days of a trial say of on and off, pair by pair, allowing for trend, weekday and memory from day to day.

The model is y = X b + d z + e: z is 1 on days on and 0 on days off, X has a constant, a straight trend and, from
`WEEKDAYS_FROM` days on, the weekdays, and e is autoregressive of the first order. For a given memory phi the estimate
of d by generalised least squares is z·Ay / z·Az, with A the inverse covariance after X is projected out.

The p of the test does not rest on this model. Any A that does not depend on which days were on gives an exact test
(`sign_flips`); a good one finds an effect in fewer days. So phi is estimated from the outcomes alone, without z, by
restricted maximum likelihood over a grid (Patterson and Thompson 1971, Biometrika 58, 545-554).
"""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np

from journal.measures.circular_shift import Numbers, Whole

MEMORIES = tuple(i / 10 for i in range(10))
"""The grid of phi."""
WEEKDAYS_FROM = 28
"""Days with an outcome from which the weekdays are allowed for. They take six degrees of freedom."""

_TINY = 1e-10
_FEWEST_LEFT = 3


class PairSums(NamedTuple):
    """`sums` (u) and `products` (V) of the pairs, for `sign_flips`, and the memory phi that they were weighted by.

    With s the signs of the pairs, z·Ay is s·u and z·Az is s·Vs.
    """

    sums: Numbers
    products: Numbers
    phi: float


class WeighedDays(NamedTuple):
    """The days under one phi: `q` spans X, `pairs` has the signs of the pairs; both whitened, and X projected out."""

    phi: float
    q: Numbers
    pairs: Numbers
    likelihood: float


class PairedDays:
    """The days of a trial that have an outcome.

    `at` is the position of each day from the first of the trial, ascending; `pair` the number of its pair, from 0
    without a gap; `side` is 1 in the first block of the pair and -1 in the second.

    >>> days = PairedDays(np.arange(8), np.repeat([0, 1], 4), np.tile([1, 1, -1, -1], 2))
    >>> pairs = days.pair_sums(np.array([4.0, 5, 2, 3, 5, 4, 3, 2]))
    >>> signs = np.ones(2)
    >>> round(float(signs @ pairs.sums / (signs @ pairs.products @ signs)), 2), pairs.phi
    (2.0, 0.2)
    """

    def __init__(self, at: Whole, pair: Whole, side: Whole) -> None:
        self.at, self.pair, self.side = at, pair, side

    @property
    def can_tell(self) -> bool:
        """Whether days are left over once the trend and the weekdays are estimated."""
        return int(self.at.size) - int(self._columns.shape[1]) >= _FEWEST_LEFT

    def pair_sums(self, outcomes: Numbers) -> PairSums:
        """The sums and products of the pairs, weighted by the memory of the outcomes."""
        centred = (outcomes - outcomes.mean())[None, :]  # exactly 0 for an outcome that never changes
        weighed = self.grid[int(self.memories(centred)[0])]
        return PairSums(self.sums(centred, weighed)[0], self.products(weighed), weighed.phi)

    def memories(self, outcomes: Numbers) -> Whole:
        """The position in the grid of the most likely phi of each row of outcomes."""
        likelihoods = []
        for weighed in self.grid:
            white = self._white(outcomes.T, weighed.phi)
            rest = (white**2).sum(axis=0) - ((weighed.q.T @ white) ** 2).sum(axis=0)
            freedom = self.at.size - weighed.q.shape[1]
            likelihoods.append(weighed.likelihood - freedom / 2 * np.log(np.maximum(rest, _TINY)))
        best: Whole = np.argmax(likelihoods, axis=0)
        return best

    def sums(self, outcomes: Numbers, weighed: WeighedDays) -> Numbers:
        """u for each row of outcomes."""
        sums: Numbers = self._white(outcomes.T, weighed.phi).T @ weighed.pairs / 2
        return sums

    def products(self, weighed: WeighedDays) -> Numbers:
        """V, which does not depend on the outcomes."""
        products: Numbers = weighed.pairs.T @ weighed.pairs / 4
        return products

    @cached_property
    def grid(self) -> tuple[WeighedDays, ...]:
        """The days under each phi of the grid."""
        return tuple(map(self.weighed, MEMORIES))

    @cached_property
    def _columns(self) -> Numbers:
        """X: a constant, the trend, and the weekdays. Their order in the week changes nothing."""
        columns = [np.ones(self.at.size), (self.at - self.at.mean()) / max(self.at.size, 1)]
        if self.at.size >= WEEKDAYS_FROM:
            columns += [(self.at % 7 == day).astype(np.float64) for day in range(6)]
        return np.column_stack(columns)

    def weighed(self, phi: float) -> WeighedDays:
        """The days under one phi."""
        q, sizes, _ = np.linalg.svd(self._white(self._columns, phi), full_matrices=False)
        kept = sizes > _TINY * sizes[0]
        q = q[:, kept]
        signs = np.zeros((self.at.size, int(self.pair.max()) + 1))
        signs[np.arange(self.at.size), self.pair] = self.side
        white = self._white(signs, phi)
        return WeighedDays(phi, q, white - q @ (q.T @ white), self._scale(phi) - float(np.log(sizes[kept]).sum()))

    def _steps(self, phi: float) -> tuple[Numbers, Numbers]:
        """For each day but the first, its correlation with the one before and the scale that makes the rest unit."""
        correlation = phi ** np.diff(self.at).astype(np.float64)
        return correlation, 1 / np.sqrt(1 - correlation**2)

    def _white(self, values: Numbers, phi: float) -> Numbers:
        """Rows in the order of days, turned into rows without memory and of equal spread."""
        correlation, scale = self._steps(phi)
        rest = (values[1:] - correlation[:, None] * values[:-1]) * scale[:, None]
        return np.concatenate([values[:1], rest])

    def _scale(self, phi: float) -> float:
        return float(np.log(self._steps(phi)[1]).sum())
