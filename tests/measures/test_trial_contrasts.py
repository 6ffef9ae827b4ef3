"""The days of a trial against generalised least squares written out with whole matrices."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures.trial_contrasts import MEMORIES, WEEKDAYS_FROM, PairedDays

Floats = npt.NDArray[np.float64]


@st.composite
def days(draw: st.DrawFn) -> tuple[PairedDays, npt.NDArray[np.int64], Floats, npt.NDArray[np.int64]]:
    """A trial with some days without an outcome: its days, their positions, the outcomes, and the seeds' signs."""
    block = draw(st.integers(2, 5))
    count = draw(st.integers(4 * block, 60))
    dice = np.random.default_rng(draw(st.integers(0, 10**6)))
    at = np.flatnonzero(dice.random(count) > 0.2)
    blocks = at // block
    pairs = np.unique(blocks // 2, return_inverse=True)[1]
    outcomes = np.rint(3 + np.cumsum(dice.standard_normal(at.size)) / 3)
    return PairedDays(at, pairs, 1 - 2 * (blocks % 2)), at, outcomes, np.where(blocks % 2, -1, 1) * 1


def designed(at: npt.NDArray[np.int64]) -> Floats:
    columns = [np.ones(at.size), at.astype(np.float64)]
    if at.size >= WEEKDAYS_FROM:
        columns += [(at % 7 == day).astype(np.float64) for day in range(6)]
    return np.column_stack(columns)


@settings(deadline=None, max_examples=40)
@given(days(), st.data())
def test_the_sums_are_those_of_generalised_least_squares(
    case: tuple[PairedDays, npt.NDArray[np.int64], Floats, npt.NDArray[np.int64]], data: st.DataObject
) -> None:
    paired, at, outcomes, side = case
    if not paired.can_tell:
        return
    found = paired.pair_sums(outcomes)
    drawn = np.array(
        data.draw(st.lists(st.sampled_from([-1.0, 1.0]), min_size=found.sums.size, max_size=found.sums.size))
    )
    z = (1 + side * drawn[paired.pair]) / 2
    covariance = found.phi ** np.abs(at[:, None] - at[None, :]).astype(np.float64)
    inverse = np.linalg.inv(covariance)
    x = designed(at)
    a = inverse - inverse @ x @ np.linalg.pinv(x.T @ inverse @ x) @ x.T @ inverse
    assert np.isclose(drawn @ found.sums, z @ a @ outcomes, atol=1e-6)
    assert np.isclose(drawn @ found.products @ drawn, z @ a @ z, atol=1e-6)
    assert found.phi in MEMORIES


@settings(deadline=None, max_examples=20)
@given(days())
def test_the_memory_is_the_most_likely_of_the_grid(
    case: tuple[PairedDays, npt.NDArray[np.int64], Floats, npt.NDArray[np.int64]],
) -> None:
    paired, at, outcomes, _ = case
    if not paired.can_tell or np.unique(outcomes).size < 3:
        return
    x = designed(at)
    x = x[:, np.linalg.qr(x)[1].diagonal().__abs__() > 1e-8]
    likelihoods = []
    for phi in MEMORIES:
        covariance = phi ** np.abs(at[:, None] - at[None, :]).astype(np.float64)
        inverse = np.linalg.inv(covariance)
        within = x.T @ inverse @ x
        a = inverse - inverse @ x @ np.linalg.solve(within, x.T @ inverse)
        rest = max(float(outcomes @ a @ outcomes), 1e-12)
        logs = np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(within)[1]
        likelihoods.append(-(logs + (at.size - x.shape[1]) * np.log(rest)) / 2)
    assert likelihoods[MEMORIES.index(paired.pair_sums(outcomes).phi)] >= max(likelihoods) - 1e-6


def test_a_trend_and_the_weekdays_are_no_effect() -> None:
    at = np.arange(84)
    paired = PairedDays(at, at // 4, 1 - 2 * (at // 2 % 2))
    outcomes = 3 + 0.01 * at + np.tile([0, 0.5, 0.2, -0.3, 0.1, 0.8, 0.4], 12)
    assert np.abs(paired.pair_sums(outcomes).sums).max() < 1e-9
