"""The dependence between occasions: against a slow count, and what the intervals from it hold."""

from __future__ import annotations

import datetime as dt
import math
import random
from pathlib import Path

import numpy as np
import polars as pl
import pytest

import journal
from journal import periods
from journal.commands import show
from journal.export import table_files
from journal.export.year_data import YearData
from journal.measures.dependence import DEPENDENCE, dependence, effective
from journal.measures.states import OCCASIONS
from tests.benchmarks import changes as benchmark
from tests.benchmarks.habit_chains import chains, frame

EXAMPLE = Path(__file__).parents[2] / "example_year"


def occasions(states: list[str], first: dt.date = dt.date(2025, 1, 1)) -> pl.DataFrame:
    days = [first + dt.timedelta(days=i) for i in range(len(states))]
    columns = {"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days, "state": states}
    return pl.DataFrame(columns).cast(OCCASIONS)  # type: ignore[arg-type]


def slow(states: list[str], first: dt.date = dt.date(2025, 1, 1)) -> tuple[float, float]:
    """lag_1 and decay as the docstring of `dependence` says, one occasion at a time."""
    spans: list[list[float | None]] = []
    known, span_of, month = 0, -1, None
    for i, state in enumerate(states):
        day = first + dt.timedelta(days=i)
        if (day.year, day.month) != month:
            month = (day.year, day.month)
            if known // 24 != span_of:
                span_of = known // 24
                spans.append([])
        logged = state in {"done", "missed", "partial"}
        spans[-1].append(float(state == "done") if logged else None)
        known += logged
    off: list[list[float | None]] = []
    for span in spans:
        marks = [mark for mark in span if mark is not None]
        off.append([None if mark is None else mark - sum(marks) / len(marks) for mark in span])
    squares = [value**2 for span in off for value in span if value is not None]
    products = {
        lag: [a * b for span in off for a, b in zip(span, span[lag:], strict=False) if a is not None and b is not None]
        for lag in (1, 2)
    }
    variance = sum(squares) / known
    filled = sum(any(value is not None for value in span) for span in off)
    lag_1 = decay = 0.0
    first_, second = 0.0, 0.0
    for _ in range(20):
        n = known / filled
        grown = 1 + 2 * lag_1 * (1 / (1 - decay) - (1 - decay**n) / (n * (1 - decay) ** 2))
        bias = min(filled * grown / known, 0.5)
        raw = [sum(products[lag]) / max(len(products[lag]), 1) / variance * (1 - bias) + bias for lag in (1, 2)]
        first_, second = ((known * r + 10 * prior) / (known + 10) for r, prior in zip(raw, (0.2, 0.06), strict=True))
        lag_1 = min(max(first_, 0), 0.9)
        decay = min(max(second / lag_1 if lag_1 else 0, min(lag_1, 0.85)), 0.85)
    error = 0.5 / math.sqrt(known + 10)
    lag_1 = min(max(first_ + error * math.sqrt(1 - min(1, max(-1, first_)) ** 2), 0), 0.9)
    return lag_1, min(max((second + error) / lag_1, min(lag_1, 0.85)), 0.85)


@pytest.mark.parametrize("seed", range(6))
def test_the_dependence_is_that_of_a_slow_count(seed: int) -> None:
    """With blanks and rest between the marks, over two to twelve months."""
    dice = random.Random(seed)
    states, state = [], "done"
    for _ in range(dice.randint(60, 366)):
        if dice.random() < 0.4:
            state = dice.choice(["done", "done", "missed", "partial"])
        states.append(dice.choice(["blank", "rest"]) if dice.random() < 0.15 else state)
    (row,) = dependence(occasions(states)).rows(named=True)
    assert (row["lag_1"], row["decay"]) == pytest.approx(slow(states), abs=1e-9)
    assert row["logged"] == sum(state in {"done", "missed", "partial"} for state in states)


def test_a_habit_that_changes_from_month_to_month_does_not_hang_together() -> None:
    """Rates of 90 and 10 % in turn: the correlation is 0.6 over the whole record, and none within a month."""
    dice = np.random.default_rng(1)
    days = pl.date_range(dt.date(2024, 1, 1), dt.date(2025, 12, 31), eager=True)
    rate = np.where(days.dt.month().to_numpy() % 2 == 0, 0.1, 0.9)
    states = np.where(dice.random(days.len()) < rate, "done", "missed").tolist()
    marks = np.array(states) == "done"
    assert np.corrcoef(marks[1:], marks[:-1])[0, 1] > 0.5
    (row,) = dependence(occasions(states, days[0])).rows(named=True)
    assert row["lag_1"] < 0.15


def test_an_unknown_habit_counts_as_independent() -> None:
    """Also with nothing known at all, and a count of 0 or none stays what it is."""
    some = pl.DataFrame({"habit": ["walk", "swim", "read"], "unit": "occasion", "n": [30, 0, None]})
    for known in (None, pl.DataFrame(schema=DEPENDENCE)):
        assert effective(some, known, {"n": "worth"}).get_column("worth").to_list() == [30.0, 0.0, None]
    assert dependence(occasions([])).is_empty()


@pytest.mark.parametrize(("kind", "lag_1"), [("repeats", 0.2), ("slow", 0.5)])
def test_intervals_hold_and_little_is_called_clear_where_nothing_changes(kind: str, lag_1: float) -> None:
    """A small seeded part of `python -m tests.benchmarks.changes`, whose table has the rates."""
    _, now = benchmark.holds(kind, lag_1, 365, 60, seed=3)
    assert 92 <= float(now.split()[0]) <= 98
    done = chains(np.random.default_rng(4), kind, np.tile([0.1, 0.5, 0.7, 0.8, 0.95], 80), lag_1, 365)
    rows, alone = benchmark.called(frame(done), benchmark.pages("month")[10])
    clear = rows.group_by("journal").agg(pl.col("clear").any())["clear"]
    before = rows.with_columns(alone=alone).group_by("journal").agg(pl.col("alone").any())["alone"]
    assert clear.len() == 40
    assert int(clear.sum()) <= 5  # two expected at 5 %
    assert int(before.sum()) >= 10


def test_the_interval_of_half_a_year_of_weeks_holds() -> None:
    """The weeks of a quota habit, after three years."""
    _, now = benchmark.holds("repeats", 0.32, 156, 60, seed=3, unit="week", last=26)
    assert 92 <= float(now.split()[0]) <= 98


def test_a_change_of_most_days_is_told_among_ten_habits() -> None:
    assert float(benchmark.told("repeats", 0.2, 20, 5, month=10, to=0.1).split()[0]) >= 90


def test_the_interval_of_a_month_is_the_same_everywhere() -> None:
    """On the month page, in the year's chart, in the book and its tables, and in `duskbook show`."""
    book = journal.open(EXAMPLE, today=dt.date(2025, 12, 31), cache=False)
    month, days = periods.month(dt.date(2025, 5, 1)), (dt.date(2025, 5, 1), dt.date(2025, 5, 31))
    year = YearData(book, 2025)
    columns = ["habit", "rate", "low", "high", "n_effective"]
    in_month = pl.col("period") == "2025-05"
    told = {
        "page": book.rates(month),
        "chart": book.rates(periods.year(2025), by="month").filter(in_month),
        "book": year.rates.filter(in_month),
        "tables": table_files.frames(book)["rates_by_month"].filter(in_month),
        "show": show.rows(book, "rates", days, "all", against=None, search=None),
    }
    for where, rates in told.items():
        assert rates.select(columns).sort("habit").equals(told["page"].select(columns).sort("habit")), where
    assert (told["page"]["n_effective"] < told["page"]["counted"]).any()
    april = (dt.date(2025, 4, 1), dt.date(2025, 4, 30))
    assert show.rows(book, "changes", days, "", against=april, search=None).equals(book.changes(month))
