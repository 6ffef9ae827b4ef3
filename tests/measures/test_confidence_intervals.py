"""Wilson and Newcombe intervals against published tables and statsmodels."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from journal.measures.confidence_intervals import newcombe, newcombe_p, wilson
from tests.references import load


def interval(low: pl.Expr, high: pl.Expr) -> tuple[float | None, float | None]:
    return pl.select(low=low, high=high).row(0)


@pytest.mark.parametrize("check", load("wilson"), ids=lambda check: check["name"])
def test_wilson_matches_the_published_tables(check: dict[str, Any]) -> None:
    given_, expected, tolerance = check["inputs"], check["expected"], check["tolerance"]
    found = interval(*wilson(pl.lit(given_["k"]), pl.lit(given_["n"]), given_["conf"]))
    near = tolerance["low_high"] if isinstance(tolerance, dict) else tolerance
    assert found == pytest.approx((expected["low"], expected["high"]), abs=near)
    if "printed" in expected:
        assert found == pytest.approx(expected["printed"], abs=tolerance["printed"])


@pytest.mark.parametrize("check", load("newcombe-diff"), ids=lambda check: check["name"])
def test_newcombe_matches_the_published_tables(check: dict[str, Any]) -> None:
    given_, expected, tolerance = check["inputs"], check["expected"], check["tolerance"]
    k1, n1, k2, n2 = (pl.lit(given_[name]) for name in ("k1", "n1", "k2", "n2"))
    found = interval(*newcombe(k1, n1, k2, n2, given_["conf"]))
    near = tolerance["low_high"] if isinstance(tolerance, dict) else tolerance
    assert found == pytest.approx((expected["low"], expected["high"]), abs=near)
    if "printed" in expected:
        assert found == pytest.approx(expected["printed"], abs=tolerance["printed"])
    if "excludes_zero" in expected:
        assert (found[0] > 0 or found[1] < 0) == expected["excludes_zero"]  # type: ignore[operator]


COUNTS = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@settings(max_examples=40, deadline=None)
@given(COUNTS)
def test_wilson_matches_statsmodels(counts: tuple[int, int]) -> None:
    found = interval(*wilson(pl.lit(counts[0]), pl.lit(counts[1])))
    assert found == pytest.approx(proportion_confint(*counts, method="wilson"), abs=1e-9)
    assert 0 <= found[0] <= counts[0] / counts[1] <= found[1] <= 1  # type: ignore[operator]


@settings(max_examples=40, deadline=None)
@given(COUNTS, COUNTS)
def test_newcombe_matches_statsmodels(a: tuple[int, int], b: tuple[int, int]) -> None:
    found = interval(*newcombe(pl.lit(a[0]), pl.lit(a[1]), pl.lit(b[0]), pl.lit(b[1])))
    expected = confint_proportions_2indep(*a, *b, compare="diff", method="newcomb")
    assert found == pytest.approx(expected, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(COUNTS, COUNTS)
def test_an_interval_of_the_level_of_p_ends_at_zero(a: tuple[int, int], b: tuple[int, int]) -> None:
    shares = [pl.Series([k / n]) for k, n in (a, b)]
    (p,) = newcombe_p(shares[0], pl.Series([a[1]]), shares[1], pl.Series([b[1]]))
    low, high = confint_proportions_2indep(*a, *b, compare="diff", method="newcomb")
    assert (p < 0.05) == (low > 0 or high < 0)
    if 1e-9 < p < 1:
        ends = confint_proportions_2indep(*a, *b, compare="diff", method="newcomb", alpha=p)
        assert min(abs(end) for end in ends) < 1e-6


def test_a_count_of_zero_has_no_interval() -> None:
    assert interval(*wilson(pl.lit(0), pl.lit(0))) == (None, None)
    assert interval(*newcombe(pl.lit(0), pl.lit(0), pl.lit(1), pl.lit(2))) == (None, None)
    shares, none = pl.Series([None, 0.5], dtype=pl.Float64), pl.Series([0, 0])
    assert newcombe_p(shares, none, shares, none + 2).to_list() == [None, None]
