"""The prediction test: against scipy, with one value left out as by Grubbs's test, and its rate of false alarms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from journal.measures.prediction import PeriodValues, mean_p, prediction_p
from tests.benchmarks.wandering import series

SOME = st.lists(st.integers(-20, 20).map(lambda n: n / 10), min_size=4, max_size=5)  # too few to leave one out


@given(SOME, st.floats(-3, 3), st.integers(1, 31))
def test_it_is_the_t_of_a_new_value_with_weights(values: list[float], new: float, weight: int) -> None:
    """A value of weight w is taken as the mean of w days: by hand with equal weights, the same as scipy's t."""
    earlier = np.array(values)
    spread = max(earlier.std(ddof=1), 1e-9)
    if spread < 1e-6:
        return
    t = (new - earlier.mean()) / (spread * np.sqrt(30 / weight + 1 / len(values)))
    p = prediction_p(new, weight, PeriodValues(earlier, np.full(len(values), 30.0)))
    assert p == pytest.approx(2 * stats.t.sf(abs(t), len(values) - 1), abs=1e-9)
    assert mean_p(PeriodValues(earlier, np.full(len(values), 7.0))) == pytest.approx(
        stats.ttest_1samp(earlier, 0).pvalue, abs=1e-9
    )


def test_one_value_far_out_among_the_earlier_ones_does_not_hide_the_next() -> None:
    """The critical value of Grubbs's test for 10 values is 2.290 (Grubbs, F. E. (1969), Technometrics 11, 1-21)."""
    near = np.array([3.1, 2.9, 3.0, 3.2, 2.8, 3.0, 3.1, 2.9, 3.0])
    thirty = np.full(9, 30.0)
    with_it = PeriodValues(np.append(near, 1.9), np.full(10, 30.0))
    assert abs(with_it.values - with_it.values.mean()).max() / with_it.values.std(ddof=1) > 2.29
    assert prediction_p(2.0, 30, with_it) == prediction_p(2.0, 30, PeriodValues(near, thirty)) < 0.001
    within = PeriodValues(np.append(near, 2.6), np.full(10, 30.0))
    assert abs(within.values - within.values.mean()).max() / within.values.std(ddof=1) < 2.29
    assert prediction_p(2.0, 30, within) != prediction_p(2.0, 30, PeriodValues(near, thirty))


def test_a_share_never_varies_less_than_by_lot() -> None:
    """Ten weeks all done and then 5 of 7: the earlier spread is 0, and a binomial one is taken (Anscombe 1948)."""
    angle = np.arcsin(np.sqrt((np.array([7.0, 5.0]) + 3 / 8) / 7.75))
    t = (angle[1] - angle[0]) / np.sqrt(1 / 30 * (1 + 1 / 10))
    weeks = PeriodValues(np.full(10, angle[0]), np.full(10, 30.0), least=1.0)
    assert prediction_p(angle[1], 30, weeks) == pytest.approx(2 * stats.t.sf(abs(t), 9))


@pytest.mark.parametrize(("memory", "days"), [(0.0, 7), (0.5, 7), (0.7, 30)])
def test_days_that_are_alike_bring_no_more_false_alarms(memory: float, days: int) -> None:
    """In 1000 series of 13 periods without a change, p is under 0.05 in about 5 of 100 (standard error 0.7)."""
    dice = np.random.default_rng(13)
    lived = series(dice, memory, 1000 * 13 * days).reshape(1000, 13, days).mean(axis=2)
    weights = np.full(12, float(days))
    low = sum(prediction_p(row[12], days, PeriodValues(row[:12], weights)) < 0.05 for row in lived)
    assert 30 <= low <= 80  # leaving out adds about 1 in 100


def test_a_stock_that_carries_on_is_not_compared_as_if_it_were_drawn_anew() -> None:
    """What waits is a walk: its newest value is often the highest of all."""
    steps = np.random.default_rng(2).standard_normal((300, 30)).cumsum(axis=1)
    rare = [
        sum(prediction_p(row[29], 1, PeriodValues(row[:29], np.ones(29), slow=slow)) < 0.02 for row in steps)
        for slow in (False, True)
    ]
    assert rare[0] > 0.03 * 300
    assert rare[1] < 0.02 * 300
