"""Weekdays with intervals (against scipy), runs (against a loop), and trailing means of sleep-restriction data."""

from __future__ import annotations

import datetime as dt
import statistics
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

import journal
from journal.measures.mood import summary, trailing
from journal.measures.mood_profile import runs, weekdays
from journal.measures.t_interval import quantile, within
from tests.journals import write
from tests.references import load

FIRST = dt.date(2025, 3, 3)
ratings = st.lists(st.none() | st.integers(1, 5).map(float), min_size=1, max_size=60)


def diary(values: list[float | None]) -> pl.DataFrame:
    dates = [FIRST + dt.timedelta(days=i) for i in range(len(values))]
    return pl.DataFrame({"date": dates, "mood": values}, schema={"date": pl.Date, "mood": pl.Float64})


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 6, 7, 10, 29, 30, 51, 52, 364, 2600])
@pytest.mark.parametrize("level", [0.5, 0.95, 0.99])
def test_quantiles_match_scipy(freedom: int, level: float) -> None:
    assert quantile(freedom, level) == pytest.approx(stats.t.ppf(0.5 + level / 2, freedom), rel=1e-9)


@given(st.floats(0, 50), st.integers(1, 80))
def test_probabilities_match_scipy(t: float, freedom: int) -> None:
    assert within(t, freedom) == pytest.approx(2 * stats.t.cdf(t, freedom) - 1, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(ratings)
def test_a_weekday_interval_uses_only_its_own_days(values: list[float | None]) -> None:
    table = weekdays(diary(values), week_starts="monday")
    assert table.get_column("period").to_list()[0] == "monday"
    for i, row in enumerate(table.iter_rows(named=True)):
        own = [value for value in values[i::7] if value is not None]
        assert (row["n"], row["days"]) == (len(own), len(values[i::7]))
        if len(own) < 2:
            assert row["low"] is row["high"] is None
        else:
            mean, se = statistics.mean(own), statistics.stdev(own) / len(own) ** 0.5
            half = stats.t.ppf(0.975, len(own) - 1) * se
            assert (row["low"], row["high"]) == pytest.approx((mean - half, mean + half), abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(ratings)
def test_runs_match_a_plain_loop(values: list[float | None]) -> None:
    found = []
    before = None
    for i, value in enumerate(values):
        kind = None if value is None or value == 3 else "low" if value < 3 else "high"
        day = FIRST + dt.timedelta(days=i)
        if kind and kind == before:
            found[-1] = (*found[-1][:2], day, found[-1][3] + 1)
        elif kind:
            found.append((kind, day, day, 1))
        before = kind
    assert runs(diary(values)).rows() == found


def test_a_missing_day_ends_a_run() -> None:
    days = diary([2.0, 2.0, 2.0]).filter(pl.col("date") != FIRST + dt.timedelta(days=1))
    assert runs(days).get_column("length").to_list() == [1, 1]


def test_runs_follow_the_scale() -> None:
    assert runs(diary([0.0, 4.0, 5.0, 6.0]), low=0, high=10).select("kind", "length").rows() == [
        ("low", 2),
        ("high", 1),
    ]


@pytest.mark.parametrize(
    "check", [c for c in load("sleepstudy") if "rolling3" in c["expected"]], ids=lambda check: check["name"]
)
def test_trailing_means_of_reaction_times(tmp_path: Path, check: dict[str, Any]) -> None:
    """Ten days of three hours in bed (Belenky and others 2003); reaction times in milliseconds are the mood."""
    reaction, expected = check["inputs"]["reaction"], check["expected"]
    pages = {FIRST + dt.timedelta(days=i): {"mood": value} for i, value in enumerate(reaction)}
    write(tmp_path, pages, mood={"low": 0, "high": 1000, "words": []})
    days = journal.open(tmp_path, today=max(pages), cache=False).tables.days.filter(pl.col("written"))
    means = trailing(days, windows={"three": (3, 3)}).get_column("three").to_list()
    assert means[:2] == [None, None]
    assert means[2:] == pytest.approx(expected["rolling3"], abs=check["tolerance"])
    assert summary(days, low=0, high=1000, week_starts="monday").get_column("mean").item() == pytest.approx(
        expected["mean"], abs=check["tolerance"]
    )
