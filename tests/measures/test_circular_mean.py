"""Circular means against the references, in degrees and minutes, and against scipy."""

from __future__ import annotations

import math
import warnings
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from journal.entry import minute_of_day
from journal.measures import circular_mean
from tests.references import load


@pytest.mark.parametrize("check", load("circular-mean"), ids=lambda check: check["name"])
def test_circular_means_match_the_references(check: dict[str, Any]) -> None:
    given_, expected = check["inputs"], check["expected"]
    in_degrees = "degrees" in given_
    period = 360 if in_degrees else 1440
    values = given_["degrees"] if in_degrees else [minute_of_day(time) for time in given_["times"]]
    value = pl.col("value")
    row = pl.DataFrame({"value": values}).select(
        mean=circular_mean.mean(value, period),
        r=circular_mean.concentration(value, period),
        sd=circular_mean.deviation(value, period),
    )
    mean, r, sd = row.row(0)
    assert r == pytest.approx(expected["R"], abs=1e-6 if in_degrees else check["tolerance"]["R"])
    if expected.get("defined") is False:
        assert mean is sd is None
        return
    wanted = expected["mean_degrees"] if in_degrees else expected["mean_minutes"]
    assert mean == pytest.approx(wanted, abs=1e-6)
    assert 0 <= mean < period
    if not in_degrees:
        assert sd == pytest.approx(expected["circular_sd_minutes"], abs=1e-5)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-1440, 2879), min_size=1, max_size=30))
def test_circular_means_match_scipy(minutes: list[int]) -> None:
    value = pl.col("value")
    frame = pl.DataFrame({"value": minutes})
    mean, r, sd = frame.select(
        circular_mean.mean(value), r=circular_mean.concentration(value), sd=circular_mean.deviation(value)
    ).row(0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wanted = float(stats.circmean(minutes, high=1440))
        spread = float(stats.circvar(minutes, high=1440))
    assert r == pytest.approx(1 - spread, abs=1e-9)
    if r > 1e-6:
        assert math.cos(math.tau * (mean - wanted) / 1440) == pytest.approx(1, abs=1e-9)
        assert 0 <= mean < 1440
        assert sd == pytest.approx(1440 / math.tau * math.sqrt(max(0, -2 * math.log(r))), abs=1e-6)


@given(st.integers(-3000, 3000), st.integers(-3000, 3000))
def test_differences_take_the_shorter_way_round(later: int, earlier: int) -> None:
    found = pl.select(circular_mean.difference(pl.lit(later), pl.lit(earlier))).item()
    assert -720 < found <= 720
    assert (found - (later - earlier)) % 1440 == 0


def test_no_values_have_no_mean() -> None:
    none = pl.DataFrame({"value": [None, None]}, schema={"value": pl.Int64})
    value = pl.col("value")
    r, sd = circular_mean.concentration(value), circular_mean.deviation(value)
    assert none.select(circular_mean.mean(value), r=r, sd=sd).row(0) == (None, None, None)
