"""The statistics of a link against published values, scipy and statsmodels."""

from __future__ import annotations

import datetime as dt
import warnings
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import polars as pl
import pytest
import scipy.signal
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests
from vega_datasets import local_data

import journal
from journal.measures.circular_shift import covariances, on_a_grid, shift_p
from journal.measures.correlates import drivers
from journal.measures.effect_sizes import ranks, share_between, spearman, superiority
from journal.measures.false_discovery import benjamini_hochberg, is_clear, together
from journal.measures.half_shift import arrangements, days_for_one
from journal.measures.links import links
from journal.measures.shift_interval import shift_interval
from journal.measures.states import states
from tests.journals import days_between, write
from tests.references import load, named

Floats = npt.NDArray[np.float64]

# --- Superiority


@pytest.mark.parametrize("check", load("mann-whitney-cliff"), ids=lambda check: check["name"])
def test_superiority_matches_published_values(check: dict[str, Any]) -> None:
    x, y, expected = check["inputs"]["x"], check["inputs"]["y"], check["expected"]
    found = superiority(x, y)
    assert found == pytest.approx(expected["prob_superior"], abs=check["tolerance"]["delta"])
    assert 2 * found - 1 == pytest.approx(expected["cliffs_delta"], abs=check["tolerance"]["delta"])
    assert found * len(x) * len(y) == pytest.approx(expected["u"], abs=1e-9)


def test_superiority_of_moods_of_many_people() -> None:
    (check,) = load("mood-real")
    x, y = (np.repeat(np.arange(4), check["inputs"][counts]) for counts in ("counts_x", "counts_y"))
    expected = check["expected"]
    assert (x.size, y.size) == (expected["n_x"], expected["n_y"])
    found = superiority(x, y)
    assert found == pytest.approx(expected["prob_superior"], abs=check["tolerance"]["delta"])
    assert found * x.size * y.size == pytest.approx(expected["u"], abs=1e-6)


MOODS = st.lists(st.integers(1, 9).map(lambda half: half / 2), min_size=1, max_size=40)


@given(MOODS, MOODS)
def test_superiority_matches_scipy(x: list[float], y: list[float]) -> None:
    u = scipy.stats.mannwhitneyu(x, y, method="asymptotic").statistic
    assert superiority(x, y) == pytest.approx(u / (len(x) * len(y)), abs=1e-12)
    assert superiority(x, y) + superiority(y, x) == pytest.approx(1, abs=1e-12)


def test_superiority_with_an_empty_group_raises() -> None:
    with pytest.raises(ValueError, match="a group is empty"):
        superiority([1], [])


# --- Ranks


@pytest.mark.parametrize("check", load("spearman"), ids=lambda check: check["name"])
def test_spearman_matches_published_values(check: dict[str, Any]) -> None:
    near = check["tolerance"]["rho"] if isinstance(check["tolerance"], dict) else check["tolerance"]
    assert spearman(check["inputs"]["x"], check["inputs"]["y"]) == pytest.approx(check["expected"]["rho"], abs=near)


@given(st.lists(st.tuples(st.integers(1, 5), st.floats(-100, 100)), min_size=1, max_size=60))
def test_ranks_and_spearman_match_scipy(pairs: list[tuple[int, float]]) -> None:
    x, y = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    assert ranks(y).tolist() == scipy.stats.rankdata(y).tolist()
    found = spearman(x, y)
    if len(set(x)) == 1 or len(set(y)) == 1:
        assert found is None
    else:
        assert found == pytest.approx(scipy.stats.spearmanr(x, y).statistic, abs=1e-9)


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(1, 5)), min_size=8, max_size=80))
def test_the_share_between_groups_matches_an_analysis_of_variance(pairs: list[tuple[int, int]]) -> None:
    groups = [[value for group, value in pairs if group == which] for which in {group for group, _ in pairs}]
    found = share_between([value for _, value in pairs], [group for group, _ in pairs])
    if len({value for _, value in pairs}) == 1:
        assert found is None
        return
    assert found is not None and 0 <= found <= 1
    between, within = len(groups) - 1, len(pairs) - len(groups)
    if between and within and found < 1 - 1e-9:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # scipy warns about groups of one value, which are fine here
            f = scipy.stats.f_oneway(*groups).statistic
        assert found / between / ((1 - found) / within) == pytest.approx(f, rel=1e-9, abs=1e-9)


# --- Shifts


def digits(text: str) -> list[int]:
    return [int(letter) for letter in text]


@pytest.mark.parametrize(
    "check", [check for check in load("circular-shift") if "mood" in check["inputs"]], ids=lambda check: check["name"]
)
def test_shifts_match_an_enumeration_in_fractions(check: dict[str, Any]) -> None:
    habit, mood = digits(check["inputs"]["habit"]), digits(check["inputs"]["mood"])
    expected, n = check["expected"], len(check["inputs"]["habit"])
    assert (n, sum(habit)) == (expected["n"], expected["n_done"])
    assert shift_p(habit, mood) == pytest.approx(expected["p_circular_mean"], abs=1e-12)
    assert round(shift_p(habit, mood) * n) == expected["count_mean"]
    # Cliff's delta and the mean rank order the shifts alike.
    assert shift_p(habit, ranks(mood)) == pytest.approx(expected["p_circular_cliff"], abs=1e-12)
    assert round(shift_p(habit, ranks(mood)) * n) == expected["count_cliff"]
    dates = [dt.date(2025, 1, 1) + dt.timedelta(days=i) for i in range(n)]
    kept = pl.DataFrame(
        {
            "habit": "x", "date": dates, "asked": True, "per": None, "mark": None,
            "state": ["done" if done else "missed" for done in habit],
        },
        schema_overrides={"per": pl.String, "mark": pl.String},
    )  # fmt: skip
    days = pl.DataFrame({"date": dates, "mood": [float(value) for value in mood]})
    row = links(kept, days, today=dt.date(2026, 1, 1), lags=(0,), least=1).row(0, named=True)
    assert row["difference"] == pytest.approx(expected["mean_diff"], abs=1e-12)
    assert 2 * row["superiority"] - 1 == pytest.approx(expected["cliffs_delta"], abs=1e-12)
    assert row["p"] == pytest.approx(expected["p_circular_mean"], abs=1e-12)


def slow_covariances(one: list[Fraction], other: list[Fraction]) -> list[Fraction]:
    n = len(one)
    shifted = [sum((one[i] * other[(i + s) % n] for i in range(n)), Fraction()) for s in range(n)]
    return [n * total - sum(one) * sum(other) for total in shifted]


@given(
    st.lists(st.tuples(st.integers(0, 300), st.integers(-50, 50)), min_size=1, max_size=50),
    st.sampled_from([1, 10, 100]),
)
def test_every_shift_matches_a_loop_including_ties(pairs: list[tuple[int, int]], parts: int) -> None:
    """Floats cannot represent these decimals exactly. Ties in fractions must be ties here too."""
    one, other = ([Fraction(pair[k], parts) for pair in pairs] for k in (0, 1))
    slow = slow_covariances(one, other)
    a, b = [float(value) for value in one], [float(value) for value in other]
    found = covariances(a, b)
    scale = max(map(abs, slow), default=Fraction()) / max(int(np.abs(found).max()), 1)
    assert [value * scale for value in found.tolist()] == slow
    assert shift_p(a, b) == sum(abs(value) >= abs(slow[0]) for value in slow) / len(slow)


@pytest.mark.parametrize("n", [365, 367, 3653, 18262])
@pytest.mark.parametrize("kind", ["marks", "ranks"])
def test_the_sums_of_a_long_journal_are_exact_integers(n: int, kind: str) -> None:
    """A few shifts summed directly, also with a prime number of days and with 50 years."""
    dice = np.random.default_rng(n)
    minutes = np.round(dice.random(n) * 100, 6)
    one = dice.random(n) < 0.3 if kind == "marks" else ranks(dice.integers(0, n, n))
    other = minutes if kind == "marks" else ranks(minutes)
    a, b = on_a_grid(one), on_a_grid(other)
    found = covariances(one, other)
    for shift in (0, 1, n // 2, n - 1):
        product = sum(x * y for x, y in zip(a.tolist(), np.roll(b, -shift).tolist(), strict=True))
        assert found[shift] == n * product - int(a.sum()) * int(b.sum())


def test_two_series_with_many_decimals_are_approximated_closely() -> None:
    dice = np.random.default_rng(2)
    one, other = dice.random(3653) * 1e9, dice.random(3653) / 3
    found = covariances(one, other)
    plain = [np.mean(one * np.roll(other, -shift)) - one.mean() * other.mean() for shift in range(50)]
    assert np.corrcoef(found[:50], plain)[0, 1] > 1 - 1e-6


@given(st.lists(st.tuples(st.booleans(), st.integers(1, 5)), min_size=1, max_size=60), st.integers(0, 59))
def test_p_is_within_its_bounds_and_invariant_under_a_joint_shift(pairs: list[tuple[bool, int]], turn: int) -> None:
    done, mood = [d for d, _ in pairs], [m for _, m in pairs]
    p = shift_p(done, mood)
    assert 1 / len(pairs) <= p <= 1
    assert shift_p(np.roll(done, turn), np.roll(mood, turn)) == p
    assert shift_p(mood, done) == p
    assert shift_p([not d for d in done], mood) == p


def wandering(dice: np.random.Generator, phi: float, n: int) -> Floats:
    """A stationary first-order series, after a burn-in."""
    found: Floats = scipy.signal.lfilter([1], [1, -phi], dice.standard_normal(n + 200))[200:]
    return found


def test_unrelated_autocorrelated_series_have_the_nominal_false_positive_rate() -> None:
    check = named("circular-shift", "type I error")
    given_, bounds = check["inputs"], check["expected"]
    dice = np.random.default_rng(20240101)
    shifted = independent = 0
    for _ in range(given_["runs"]):
        habit = wandering(dice, given_["phi"], given_["n"]) > 0
        mood = np.clip(np.rint(3 + wandering(dice, given_["phi"], given_["n"]) / 2), 1, 5)
        if habit.all() or not habit.any():
            continue
        shifted += shift_p(habit, mood) <= given_["alpha"]
        independent += (
            scipy.stats.mannwhitneyu(mood[habit], mood[~habit], method="asymptotic").pvalue <= given_["alpha"]
        )
    assert shifted / given_["runs"] <= bounds["circular_at_most"]
    assert independent / given_["runs"] >= bounds["iid_at_least"]


def test_rain_and_warmth_of_seattle(tmp_path: Path) -> None:
    """The data as a journal: wet days are marks, the daily high is the mood."""
    (check,) = load("association-real")
    expected, near = check["expected"], check["tolerance"]["others"]
    weather = {row["date"].date(): row for row in local_data.seattle_weather().to_dict("records")}
    first, last = dt.date(2012, 1, 1), dt.date(2012, 12, 31)
    pages = {
        day: {"weather": {"high": weather[day]["temp_max"]}, "habits": {"wet": weather[day]["precipitation"] > 0}}
        for day in days_between(first, last)
    }
    wet = {"key": "wet", "name": "Wet", "every": "FREQ=DAILY", "from": first, "until": last}
    tables = journal.open(write(tmp_path, pages, habits=[wet]), today=last, cache=False).tables
    kept = states(tables.marks, today=last)
    row = links(kept, tables.days, today=last, column="high", lags=(0,)).row(0, named=True)
    assert (row["n_done"] + row["n_missed"], row["n_done"]) == (expected["n"], expected["n_wet"])
    assert row["superiority"] == pytest.approx(expected["prob_superior"], abs=near)
    assert row["superiority"] * row["n_done"] * row["n_missed"] == pytest.approx(expected["u"], abs=1e-6)
    assert 2 * row["superiority"] - 1 == pytest.approx(expected["cliffs_delta"], abs=near)
    # The difference of mean mid-ranks and the rank correlation with 0 and 1 order the shifts alike.
    marks = kept.filter(pl.col("date") <= last).select("date", value=pl.col("state") == "done")
    ranked = drivers(tables.days, {"wet": marks}, column="high", lags=(0,)).row(0, named=True)
    assert ranked["p"] == pytest.approx(expected["p_circular"], abs=near)
    assert round(ranked["p"] * ranked["n"]) == expected["circular_count"]


# --- Many comparisons


@pytest.mark.parametrize("check", load("benjamini-hochberg"), ids=lambda check: check["name"])
def test_q_matches_the_paper(check: dict[str, Any]) -> None:
    p, expected = check["inputs"]["p"], check["expected"]
    q = benjamini_hochberg(pl.Series("p", p))
    assert q.to_list() == pytest.approx(expected["adjusted"], abs=check["tolerance"])
    clear = pl.DataFrame({"q": q}).select(is_clear(pl.col("q"))).to_series()
    assert clear.sum() == expected.get("rejected", sum(expected.get("reject", [])))
    if "reject" in expected:
        assert clear.to_list() == expected["reject"]


@given(st.lists(st.one_of(st.none(), st.floats(0, 1), st.sampled_from([1 / 340, 0.01, 0.05])), max_size=40))
def test_q_matches_statsmodels_with_missing_values(p: list[float | None]) -> None:
    q = benjamini_hochberg(pl.Series("p", p, dtype=pl.Float64)).to_list()
    known = [value for value in p if value is not None]
    assert [value is None for value in q] == [value is None for value in p]
    if known:
        expected = multipletests(known, method="fdr_bh")[1].tolist()
        assert [value for value in q if value is not None] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("n", "pairs", "clear"), [(28, 9, True), (28, 10, False), (40, 20, True), (39, 20, False)])
def test_days_for_one_is_where_a_single_link_can_be_clear(n: int, pairs: int, clear: bool) -> None:
    (frame,) = together(pl.DataFrame({"p": [1 / n] * pairs, "p_fine": [1 / arrangements(n)] + [1.0] * (pairs - 1)}))
    assert frame.get_column("clear")[0] is clear
    assert (n >= days_for_one(pairs)) is clear


# --- Intervals


def slow_interval_holds(one: list[Fraction], other: list[Fraction], size: Fraction) -> bool:
    """Whether the shift test does not reject `size`, shift by shift in exact fractions."""
    covariances_left = slow_covariances(one, [b - size * a for a, b in zip(one, other, strict=True)])
    as_far = sum(abs(c) >= abs(covariances_left[0]) for c in covariances_left)
    return 20 * as_far > len(one)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 1), st.integers(2, 10)), min_size=20, max_size=45), st.integers(-12, 12))
def test_the_interval_holds_what_the_shift_test_does_not_reject(pairs: list[tuple[int, int]], sixths: int) -> None:
    one, other = [Fraction(a) for a, _ in pairs], [Fraction(b, 2) for _, b in pairs]
    size = Fraction(sixths, 6)
    interval = shift_interval([float(a) for a in one], [float(b) for b in other])
    if interval is None:
        return
    low, high = interval
    if min(abs(low - float(size)), abs(high - float(size))) > 1e-9 or size == 0:
        assert (low <= float(size) <= high) == slow_interval_holds(one, other, size)


def test_the_interval_excludes_zero_exactly_where_p_is_at_most_5_percent() -> None:
    dice = np.random.default_rng(8)
    excluded = 0
    for _ in range(200):
        done, values = dice.random(100) < 0.4, dice.integers(1, 6, 100).astype(np.float64)
        low, high = shift_interval(done, values + 0.5 * done) or (0.0, 0.0)
        assert (low > 0 or high < 0) == (shift_p(done, values + 0.5 * done) <= 0.05)
        excluded += low > 0
    assert 20 < excluded < 180


def test_intervals_of_independent_days_match_the_usual_ones() -> None:
    dice = np.random.default_rng(11)
    done = (dice.random(1000) < 0.5).astype(np.float64)
    values = dice.standard_normal(1000) + done
    kept, left = values[done > 0], values[done == 0]
    welch = scipy.stats.ttest_ind(kept, left, equal_var=False).confidence_interval()
    assert shift_interval(done, values) == pytest.approx(tuple(welch), abs=0.03)


def test_days_that_cannot_bound_a_size_have_no_interval() -> None:
    """Every second shift of alternating marks is the observed order."""
    values = np.arange(100.0) * 7 % 5
    assert shift_interval(np.arange(100) % 2, values) is None
    assert shift_interval(np.arange(19) % 3 == 0, values[:19]) is None
    assert shift_interval(np.ones(100), values) is None


@pytest.mark.parametrize(("phi", "n", "size"), [(0.0, 120, 0.5), (0.9, 120, 0.0), (0.9, 365, 0.5)])
def test_the_interval_holds_the_true_size_in_about_95_percent(phi: float, n: int, size: float) -> None:
    """A part of tests/benchmarks/intervals.md. A bootstrap of blocks holds 86 % of these at phi 0.9 and 120 days."""
    dice = np.random.default_rng(5)
    inside = 0
    for _ in range(300):
        done = wandering(dice, phi, n) < 0.3
        moods = np.rint(2 * (wandering(dice, phi, n) + size * done)) / 2
        low, high = shift_interval(done, moods) or (0.0, 0.0)
        inside += low <= size <= high
    assert 0.92 <= inside / 300 <= 0.985
