"""The shift test by halves: a count of every arrangement, and no false links from weekly cycles."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import numpy.typing as npt
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.regression.linear_model import OLS

from journal.measures.half_shift import arrangements, fine_p, halves_count, residuals
from journal.measures.links import links
from tests.measures.test_links import LATER, felt, marked, span

Floats = npt.NDArray[np.float64]
PAIRS = st.lists(st.tuples(st.integers(0, 9), st.integers(-5, 5)), min_size=2, max_size=24)


def shifted(one: list[int], other: list[int]) -> list[Fraction]:
    n, mean, other_mean = len(one), Fraction(sum(one), len(one)), Fraction(sum(other), len(other))
    apart, other_apart = [value - mean for value in one], [value - other_mean for value in other]
    return [sum((apart[i] * other_apart[(i + s) % n] for i in range(n)), Fraction()) for s in range(n)]


@given(PAIRS)
def test_all_arrangements_by_halves_match_two_loops(pairs: list[tuple[int, int]]) -> None:
    one, other = ([pair[k] for pair in pairs] for k in (0, 1))
    middle = len(pairs) // 2
    both = list(
        itertools.product(shifted(one[:middle], other[:middle]), shifted(one[middle:], other[middle:]))
    )  # the first is the observed order
    observed = sum(both[0], Fraction())
    found, count = halves_count(np.array(one, np.float64), np.array(other, np.float64))
    assert found == pytest.approx(float(observed), abs=1e-9)
    if observed:
        assert count == sum(abs(first + second) >= abs(observed) for first, second in both)
    assert len(both) == arrangements(len(pairs))


@pytest.mark.parametrize("seed", [1, 2])
def test_residuals_match_those_of_a_regression(seed: int) -> None:
    dice = np.random.default_rng(seed)
    values, on = dice.integers(1, 6, 60).astype(np.float64), dice.integers(0, 7, 60)
    before = np.where(dice.random(60) < 0.1, np.nan, dice.integers(1, 6, 60))
    line = np.nan_to_num(before - np.nanmean(before))  # an unknown mood counts as the mean
    left = residuals(values, on, before)
    assert left.tolist() == pytest.approx(OLS(values, np.column_stack([np.eye(7)[on], line])).fit().resid.tolist())
    # A single weekday and a constant mood of the day before are handled.
    assert np.abs(residuals(values, on * 0, np.full(60, 3.0)) - (values - values.mean())).max() < 1e-9


def test_fine_p_never_contradicts_the_displayed_p_and_size() -> None:
    """A habit that follows low moods and lifts them to the mean has no raw link, but a strong one in the residuals."""
    done = np.array([i * 7 % 11 < 5 for i in range(200)], np.float64)
    values, on, unknown = 3 + done + np.arange(200) % 3, np.arange(200) % 7, np.full(200, np.nan)
    assert fine_p(done, values, on, unknown, p=0.005, size=1.0) < 0.001
    assert fine_p(done, values, on, unknown, p=0.4, size=0.01) == 0.4
    assert fine_p(done, values, on, unknown, p=0.005, size=-1.0) == 1.0
    assert fine_p(done, np.full(200, 3.3), on, unknown, p=1.0, size=0.0) == 1.0


def journal_of(dice: np.random.Generator, habits: int, *, weekly: float, effect: float) -> pl.DataFrame:
    """A year with a random weekly cycle in each habit and in mood. The first habit is random and has an effect."""
    days = np.arange(len(span(365)))
    kept = [dice.random(365) < 0.5] + [
        dice.standard_normal(365) + weekly * dice.uniform(-2, 2, 7)[days % 7] < 0 for _ in range(habits - 1)
    ]
    mood = 3 + 0.8 * (dice.standard_normal(365) + weekly * dice.normal(0, 1, 7)[days % 7] + effect * (kept[0] - 0.5))
    states = pl.concat(marked(np.where(one, "done", "missed").tolist(), f"habit {i}") for i, one in enumerate(kept))
    return links(states, felt(np.clip(np.rint(mood), 1, 5).tolist()), today=LATER)


def test_ten_weekly_habits_give_no_false_links_and_a_single_link_is_detected() -> None:
    """With whole shifts, weekly cycles give a false link in every third such year, and a single link is never clear."""
    weeks = [journal_of(np.random.default_rng(seed), 10, weekly=1.0, effect=0.0) for seed in range(8)]
    assert sum(frame.get_column("clear").any() for frame in weeks) <= 1
    assert sum((frame.get_column("difference").abs() > 0.4).any() for frame in weeks) >= 6
    for seed in range(4):
        frame = journal_of(np.random.default_rng(seed), 10, weekly=0.0, effect=0.8)
        assert ("habit 0", 0) in frame.filter("clear").select("habit", "lag_days").rows()
