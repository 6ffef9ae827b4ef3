"""Shares of tasks done and dropped, against a slow oracle and lifelines."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures.task_ends import ended_by

Task = tuple[int, str]
STATUSES = st.sampled_from(["done", "dropped", "open"])


def curve(tasks: list[Task]) -> list[dict[str, Any]]:
    days, statuses = [task[0] for task in tasks], [task[1] for task in tasks]
    return ended_by(pl.DataFrame({"days": days, "status": statuses}, schema_overrides={"days": pl.Int64})).to_dicts()


def test_dropped_tasks_do_not_count_as_done_later() -> None:
    rows = curve([(3, "done")] * 2 + [(1, "dropped")] * 8)
    assert [row["done_by"] for row in rows] == pytest.approx([0, 0.2])
    assert [row["half_days"] for row in rows] == [None, None]


def test_half_is_the_first_count_by_which_half_are_done() -> None:
    assert curve([(0, "done"), (4, "done"), (5, "open"), (6, "open")])[0]["half_days"] == 4
    assert curve([(0, "done"), (4, "dropped"), (5, "open"), (6, "open")])[0]["half_days"] is None


def test_there_is_no_curve_without_a_done_task() -> None:
    assert curve([(1, "dropped"), (2, "open")]) == []


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 12), STATUSES), min_size=1, max_size=30))
def test_shares_match_exact_fractions(tasks: list[Task]) -> None:
    rows = curve(tasks)
    waiting, done_by, dropped_by = Fraction(1), Fraction(0), Fraction(0)
    expected = []
    for days in sorted({days for days, _ in tasks}):
        at_risk = sum(1 for other, _ in tasks if other >= days)
        done, dropped = (tasks.count((days, status)) for status in ("done", "dropped"))
        done_by += waiting * done / at_risk
        dropped_by += waiting * dropped / at_risk
        waiting *= 1 - Fraction(done + dropped, at_risk)
        if done or dropped:
            expected.append((days, float(done_by), float(dropped_by), float(waiting)))
    if all(status != "done" for _, status in tasks):
        expected = []
    assert [row["days"] for row in rows] == [days for days, *_ in expected]
    for row, (_, *shares) in zip(rows, expected, strict=True):
        assert [row["done_by"], row["dropped_by"], row["waiting"]] == pytest.approx(shares)
        assert row["low"] is None or 0 <= row["low"] <= row["done_by"] <= row["high"] <= 1


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 400), STATUSES), min_size=2, max_size=40, unique_by=lambda task: task[0]))
def test_shares_and_intervals_match_lifelines(tasks: list[Task]) -> None:
    """Without ties, since lifelines moves tied times by a random amount."""
    from lifelines import AalenJohansenFitter  # takes two seconds, so only the worker of this test imports it

    rows = curve(tasks)
    times, codes = [days for days, _ in tasks], [["open", "done", "dropped"].index(status) for _, status in tasks]
    if 1 not in codes:
        assert rows == []
        return
    other = AalenJohansenFitter().fit(times, codes, event_of_interest=1)
    shares, intervals = other.cumulative_density_.to_dict()["CIF_1"], other.confidence_interval_.T.to_dict("list")
    for row in rows:
        assert row["done_by"] == pytest.approx(shares[row["days"]])
        ends = intervals[row["days"]]
        if row["low"] is not None and row["waiting"] > 0:  # lifelines has no interval once no task is left
            assert [row["low"], row["high"]] == pytest.approx(ends, abs=1e-9)
