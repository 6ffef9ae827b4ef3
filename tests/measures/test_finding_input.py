"""The frames of some days, made of those days alone, are those of the whole journal, and so are the findings."""

from __future__ import annotations

import datetime as dt
import random

import msgspec
import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from journal import Journal, periods
from journal.entry import Entry, Hours, Span, Status, Task
from journal.measures import tasks
from journal.measures.findings import findings
from tests.benchmarks import bench_findings
from tests.journals import of_tables
from tests.measures.test_findings import FIRST, SETTINGS, day, tables

STATUSES: tuple[Status, ...] = ("carried", "done", "dropped", "open")
BY_DATE = ("days", "occasions", "nights", "pairs", "hours", "tasks")


def restless(seed: int, n: int) -> Journal:
    """Days with sleeps that go on past midnight, or all day, journeys, planned days, and tasks that are carried."""
    dice = random.Random(seed)
    entries = {}
    carried: list[tuple[str, dt.date, str | None]] = []
    for i in range(n):
        asleep = dice.choice([((0, 420),), ((0, 400), (430, 1440)), ((1380, 1440),), ((0, 1440),), ()])
        begun = [(f"Task {dice.randint(0, 9)}", day(i), None) for _ in range(dice.randint(0, 2))]
        shown, carried = [*carried, *begun], []
        rows = []
        for title, since, key in shown:
            status: Status = dice.choice(STATUSES)
            rows.append(Task(title=title, status=status, since=since if since < day(i) else None, id=key))
            if status == "carried":
                carried.append((title, since, key or dice.choice([None, f"k{dice.randint(0, 999)}"])))
        strip = {"sleep": tuple(Span(*span) for span in asleep), "work": (Span(600, 700),)}
        entries[i] = Entry(
            mood=dice.choice([1, 3, 5, None]),
            place=dice.choice([None, None, "away"]),
            habits=None if dice.random() < 0.1 else {"walk": dice.random() < 0.7, "swim": i % 3 == 0},
            hours=Hours(planned=strip, actual={k: v for k, v in strip.items() if v} if dice.random() < 0.9 else {}),
            tasks=tuple(rows),
        )
    away = msgspec.structs.replace(SETTINGS.places[0], key="away", timezone="America/New_York")
    known = msgspec.structs.replace(SETTINGS, places=(*SETTINGS.places, away))
    return of_tables(tables(entries, n - 1 - dice.randint(0, 9), known), known)


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.integers(20, 90), st.data())
def test_frames_of_some_days_are_cut_from_those_of_all(seed: int, n: int, data: st.DataObject) -> None:
    book = restless(seed, n)
    first = data.draw(st.integers(0, n - 1))
    last = data.draw(st.integers(first, n + 5))
    inside = pl.col("date").is_between(day(first), day(last))
    near = book.facts.between(day(first), day(last))
    nearer = book.facts.between(FIRST, day(n)).between(day(first), day(last))
    for name in BY_DATE:
        expected = getattr(book.facts, name).filter(inside)
        assert_frame_equal(getattr(near, name), expected)
        assert_frame_equal(getattr(nearer, name), expected)


def test_the_facts_of_the_newest_spans_are_made_once() -> None:
    """A page is opened again with the same span, and a page of a year takes the same for its months."""
    facts = restless(1, 40).facts
    spans = [(day(first), day(30)) for first in range(6)]
    made = [facts.between(*span) for span in spans]
    assert [facts.between(*span) is one for span, one in zip(spans[-4:], made[-4:], strict=True)] == [True] * 4
    again = facts.between(*spans[0])
    assert again is not made[0] and again.nights.equals(made[0].nights), "no more are kept than a page needs"


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.integers(5, 60))
def test_the_spans_of_tasks_are_those_of_their_lives(seed: int, n: int) -> None:
    book = restless(seed, n)
    columns = ["since", "status", "last"]
    lives = tasks.lives(book.tables.tasks, today=book.today).select(columns).sort(columns)
    assert_frame_equal(tasks.spans(book.tables.tasks, today=book.today).select(columns).sort(columns), lives)


@pytest.mark.parametrize(("kind", "years", "step"), [("week", 2, 13), ("month", 4, 5)])
def test_a_page_says_the_same_alone_and_among_all(kind: periods.PeriodKind, years: int, step: int) -> None:
    """With more earlier weeks and months than a page is compared with."""
    book = bench_findings.steady(np.random.default_rng(8), 0.5, years)
    pages = periods.between(dt.date(2022, 1, 1), book.today, kind, week_starts="monday")
    together = findings(book.facts, pages)
    for page in pages[::step]:
        assert_frame_equal(findings(book.facts, [page]), together.filter(pl.col("page") == page.key))
    assert together.height > 1
