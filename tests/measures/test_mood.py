"""Mood, coverage and totals on small tables, and mood on the constructed diaries of the references."""

from __future__ import annotations

import datetime as dt
import itertools
import statistics
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.measures.completion import totals
from journal.measures.coverage import coverage
from journal.measures.lines import lines
from journal.measures.mood import TRAILING, summary, trailing
from journal.settings import WEEKDAYS
from tests.references import load


def diary(first: dt.date, ratings: list[float | None]) -> pl.DataFrame:
    dates = [first + dt.timedelta(days=i) for i in range(len(ratings))]
    return pl.DataFrame({"date": dates, "mood": ratings}, schema={"date": pl.Date, "mood": pl.Float64})


@pytest.mark.parametrize("check", load("mood"), ids=lambda check: check["name"])
def test_the_mood_summary_matches_the_references(check: dict[str, Any]) -> None:
    given_, expected = check["inputs"], check["expected"]
    days = diary(
        dt.date.fromisoformat(given_["first_date"]), [None if c == "-" else float(c) for c in given_["ratings"]]
    )
    near = check["tolerance"]
    whole = summary(days, week_starts="monday").row(0, named=True)
    for name, key in (("n", "n"), ("days", "days"), ("mean", "mean"), ("median", "median"), ("sd", "sd_sample")):
        assert whole[name] == pytest.approx(expected[key], abs=near), name
    counts = {int(step): n for step, n in expected["counts"].items()}
    if whole["n"]:
        assert whole["low_share"] * whole["n"] == pytest.approx(counts[1] + counts[2])
        assert whole["high_share"] * whole["n"] == pytest.approx(counts[4] + counts[5])

    moving = trailing(days).get_column("trailing_7").to_list()
    assert moving == [pytest.approx(value, abs=near) for value in expected["trailing7_need4"]]
    eager = trailing(days, windows={"eager": (7, 1)}).get_column("eager").to_list()
    assert eager == [pytest.approx(value, abs=near) for value in expected["trailing7_need1"]]

    profile = summary(days, by="weekday", week_starts="monday")
    assert profile.get_column("period").to_list() == list(WEEKDAYS)
    assert profile.get_column("n").to_list() == expected["weekday_n"]
    assert profile.get_column("mean").to_list() == [pytest.approx(v, abs=near) for v in expected["weekday_mean"]]

    months = summary(days, by="month", week_starts="monday").filter(pl.col("n") > 0)
    assert dict(months.select("period", "mean").iter_rows()) == pytest.approx(expected["month_mean"], abs=near)


@given(st.lists(st.none() | st.integers(1, 5).map(float), min_size=1, max_size=80))
def test_the_mood_summary_matches_a_plain_loop(ratings: list[float | None]) -> None:
    days = diary(dt.date(2024, 2, 1), ratings)
    rated = [r for r in ratings if r is not None]
    steps = [(b - a) ** 2 for a, b in itertools.pairwise(ratings) if a is not None and b is not None]
    found = summary(days, week_starts="monday").row(0, named=True)
    assert found["mean"] == (pytest.approx(statistics.mean(rated)) if rated else None)
    assert found["sd"] == (pytest.approx(statistics.stdev(rated)) if len(rated) > 1 else None)
    assert found["mssd"] == (pytest.approx(statistics.mean(steps)) if steps else None)
    for name, (window, needed) in TRAILING.items():
        seen = [[r for r in ratings[max(0, i - window + 1) : i + 1] if r is not None] for i in range(len(ratings))]
        slow = [pytest.approx(statistics.mean(w)) if len(w) >= needed else None for w in seen]
        assert trailing(days).get_column(name).to_list() == slow


def test_by_day_has_values_and_trailing_means() -> None:
    days = diary(dt.date(2024, 2, 1), [3.0, None, 4.0, 5.0, 4.0])
    table = summary(days, by="day", week_starts="monday")
    assert table.columns[:4] == ["period", "from", "to", "n"]
    assert table.get_column("value").to_list() == [3.0, None, 4.0, 5.0, 4.0]
    assert table.row(4, named=True)["trailing_7"] == 4.0
    assert table.row(1, named=True)["n"] == 0


def test_weekdays_start_with_the_journals_week_start() -> None:
    table = summary(diary(dt.date(2024, 2, 1), [3.0] * 7), by="weekday", week_starts="sunday")
    assert table.get_column("period").to_list()[:2] == ["sunday", "monday"]


def test_low_and_high_follow_the_scale() -> None:
    days = diary(dt.date(2024, 2, 1), [0.0, 4.0, 5.0, 6.0, 10.0])
    found = summary(days, low=0, high=10, week_starts="monday").row(0, named=True)
    assert (found["low_share"], found["high_share"]) == (0.4, 0.4)


def test_an_unknown_period_raises() -> None:
    with pytest.raises(UsageError, match='by: there is no "fortnight"; write "all", "day", '):
        summary(diary(dt.date(2024, 2, 1), [3.0]), by="fortnight", week_starts="monday")  # type: ignore[arg-type]


def test_coverage_counts_gaps_inside_each_period() -> None:
    logged = [True] * 28 + [False] * 2 + [False] * 3 + [True] * 7
    dates = [dt.date(2025, 4, 1) + dt.timedelta(days=i) for i in range(len(logged))]
    days = pl.DataFrame({"date": dates, "logged": logged})
    assert coverage(days, by="month", week_starts="monday").select(
        "period", "days", "logged", "longest_gap"
    ).rows() == [
        ("2025-04", 30, 28, 2),
        ("2025-05", 10, 7, 3),
    ]
    assert coverage(days, week_starts="monday").get_column("longest_gap").item() == 5


@given(st.lists(st.booleans(), min_size=1, max_size=60))
def test_the_longest_gap_matches_a_plain_loop(logged: list[bool]) -> None:
    dates = [dt.date(2025, 4, 1) + dt.timedelta(days=i) for i in range(len(logged))]
    longest = run = 0
    for day in logged:
        run = 0 if day else run + 1
        longest = max(longest, run)
    row = coverage(pl.DataFrame({"date": dates, "logged": logged}), week_starts="monday").row(0, named=True)
    assert (row["logged"], row["longest_gap"]) == (sum(logged), longest)


def test_the_best_of_a_limit_is_the_minimum() -> None:
    dates = [dt.date(2025, 4, 1) + dt.timedelta(days=i) for i in range(4)]
    cups = pl.DataFrame(
        {
            "habit": "coffee",
            "date": dates,
            "logged": True,
            "target": 2.0,
            "aim": "at most",
            "per": None,
            "value": [3.0, 1.0, None, 1.0],
            "state": ["missed", "done", "missed", "done"],
        }
    )
    row = totals(cups, week_starts="monday").row(0, named=True)
    assert (row["days"], row["recorded"], row["total"], row["mean"]) == (4, 3, 5.0, 1.25)
    assert (row["best"], row["best_date"]) == (1.0, dates[1])


def test_a_habit_without_numbers_has_no_total() -> None:
    silent = pl.DataFrame(
        {"habit": ["read"], "date": [dt.date(2025, 4, 1)], "logged": [True], "target": [20.0], "aim": ["at least"],
         "per": [None], "value": pl.Series([None], dtype=pl.Float64), "state": ["missed"]}
    )  # fmt: skip
    assert totals(silent, week_starts="monday").select("total", "mean", "best", "best_date").row(0) == (
        None,
        None,
        None,
        None,
    )


def test_lines_keep_their_order() -> None:
    day = dt.date(2025, 4, 1)
    rows = [(day, "memory", 0, "m"), (day, "gratitude", 1, "b"), (day, "gratitude", 0, "a"), (day, "note", 0, "n")]
    frame = pl.DataFrame(rows, schema=["date", "kind", "position", "text"], orient="row")
    assert lines(frame).get_column("text").to_list() == ["a", "b", "m", "n"]
