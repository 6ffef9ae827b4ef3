"""The record of links: told once, the same on whichever day it is asked for, rarely by chance, and ended when over."""

from __future__ import annotations

import datetime as dt

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures import link_findings, link_record, links, looks
from journal.measures.link_record import record, standing
from journal.periods import month, year
from tests.benchmarks.bench_links_ever import pairs_of, planted, unrelated
from tests.benchmarks.wandering import FIRST, frames, marks, series
from tests.journals import days_between
from tests.measures.test_links import felt, marked


def lived(dice: np.random.Generator, n: int, effect: list[float]) -> tuple[pl.DataFrame, pl.DataFrame]:
    """A journal whose first habit goes with mood by `effect` standard deviations, day by day; the second does not."""
    first = dice.random(n) < 0.5
    return frames(dice, [first, marks(dice, 0.5, n)], series(dice, 0.5, n) + np.array(effect) * (first - 0.5))


@pytest.fixture(scope="module")
def turned() -> tuple[pl.DataFrame, pl.DataFrame]:
    """Two years of a habit that goes with higher mood, then two in which it does not, and mood sinks a little."""
    return lived(np.random.default_rng(2), 1460, [0.7] * 730 + [-0.2] * 730)


def last(n: int) -> dt.date:
    return FIRST + dt.timedelta(days=n - 1)


def test_a_link_is_told_once_and_told_again_when_it_no_longer_holds(turned: tuple[pl.DataFrame, pl.DataFrame]) -> None:
    events = record(*turned, today=last(1460)).filter(pl.col("lag_days") == 0, pl.col("habit") == "habit 0")
    assert events.get_column("ended").to_list() == [False, True]
    told, ended = events.get_column("date")
    assert FIRST + dt.timedelta(days=59) <= told < dt.date(2026, 7, 1)
    assert dt.date(2027, 1, 1) <= ended
    assert events.get_column("told").to_list() == [told, told]
    assert standing(events, told).height == standing(events, ended - dt.timedelta(days=1)).height == 1
    assert standing(events, told - dt.timedelta(days=1)).height == standing(events, ended).height == 0


def test_what_an_earlier_month_says_does_not_change(turned: tuple[pl.DataFrame, pl.DataFrame]) -> None:
    """Opened at any later day, or with the later pages not yet written, each month says the same."""
    states, days = turned
    whole = record(states, days, today=last(1460))
    for end in (dt.date(2025, 6, 30), dt.date(2025, 7, 11), dt.date(2026, 8, 31), dt.date(2027, 12, 30)):
        cut = record(states.filter(pl.col("date") <= end), days.filter(pl.col("date") <= end), today=end)
        then = whole.filter(pl.col("date") <= end)
        assert cut.drop("evidence").equals(then.drop("evidence"))
        assert cut.get_column("evidence").to_list() == pytest.approx(then.get_column("evidence").to_list())
        assert record(states, days, today=end).equals(cut), "later pages are ignored"


def test_an_open_month_is_not_judged() -> None:
    states, days = lived(np.random.default_rng(4), 400, [2.0] * 400)
    (event,) = record(states, days, today=dt.date(2025, 2, 28), lags=(0,)).rows(named=True)
    assert event["date"] == dt.date(2025, 2, 28)
    assert record(states, days, today=dt.date(2025, 2, 27), lags=(0,)).is_empty()


def test_clear_needs_the_record_not_a_small_q() -> None:
    """Three months of a habit and mood in step by chance: q of one look is small, and no link is clear."""
    small = 0
    for seed in range(40):
        dice = np.random.default_rng([7, seed])
        states, days = frames(dice, [marks(dice, 0.5, 90), marks(dice, 0.5, 90)], series(dice, 0.5, 90))
        table = links.links(states, days, today=last(90))
        record_of = standing(record(states, days, today=last(90)), last(90))
        assert table.get_column("clear").sum() == record_of.height
        assert (table.get_column("told").is_not_null() == table.get_column("clear").fill_null(False)).all()
        small += int((table.get_column("q") <= 0.05).sum())
        assert not table.get_column("clear").any()
    assert small >= 1, "some journal has a small q by chance"


def test_a_link_that_stands_is_not_clear_over_days_that_say_the_opposite() -> None:
    states, days = lived(np.random.default_rng(5), 445, [1.0] * 400 + [-0.8] * 45)
    stands = standing(record(states, days, today=last(445), lags=(0,)), last(445))
    assert stands.get_column("habit").to_list() == ["habit 0"]
    since = pl.col("date") > last(400)
    table = links.links(states.filter(since), days.filter(since), today=last(445), lags=(0,), standing=stands)
    assert table.get_column("difference")[0] < 0 and table.get_column("clear").to_list() == [False, False]


# --- The sentences


class Facts:
    """What `link_findings` reads of the facts of a journal."""

    def __init__(self, states: pl.DataFrame, days: pl.DataFrame, today: dt.date) -> None:
        self.states, self.days, self.today = states, days, today
        self.settings = self

    def habit_name(self, key: str) -> str:
        return key.capitalize()

    def link_events(self) -> pl.DataFrame:
        return record(self.states, self.days, today=self.today)


def test_each_month_tells_what_became_clear_or_ended_in_it(turned: tuple[pl.DataFrame, pl.DataFrame]) -> None:
    facts = Facts(*turned, last(1460))
    told, ended = facts.link_events().filter(pl.col("lag_days") == 0, pl.col("habit") == "habit 0").get_column("date")
    texts = {}
    for day in days_between(FIRST, last(1460)):
        if day.day == 1:
            for finding in link_findings.of_period(facts, month(day)):  # type: ignore[arg-type]
                texts[day.year, day.month] = finding.text
                assert finding.dates and finding.n == len(finding.dates)
                assert max(finding.dates) <= month(day).last
    assert texts[told.year, told.month].endswith("it goes with higher mood.")
    gone = texts[ended.year, ended.month]
    assert gone.startswith("Habit 0: its link with higher mood, clear since ")
    assert gone.endswith("That is clearly less than half of the difference found then.")
    in_year = [f.text for f in link_findings.of_period(facts, year(ended.year))]  # type: ignore[arg-type]
    assert gone in in_year


# --- The e-values


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 1), st.integers(1, 9)), min_size=2, max_size=14))
def test_e_values_average_one_over_the_shifts_of_a_block(rows: list[tuple[int, int]]) -> None:
    one, other = (np.array([row[k] for row in rows], np.float64) for k in (0, 1))
    turns = [np.exp(looks.log_e(one[None], np.roll(other, k)[None]))[0] for k in range(one.size)]
    assert np.mean(turns, axis=0) == pytest.approx(np.ones((2, looks.STRENGTHS.size)))
    # Against a loop, for one strength.
    if one.std() and other.std():
        a, b = (one - one.mean()) / one.std(), (other - other.mean()) / other.std()
        sums = [float(a @ np.roll(b, -k)) for k in range(one.size)]
        expected = np.exp(0.2 * sums[0]) / np.mean(np.exp(0.2 * np.array(sums)))
        assert turns[0][0, 1] == pytest.approx(expected)


def test_the_evidence_of_a_block_stays_as_it_was(turned: tuple[pl.DataFrame, pl.DataFrame]) -> None:
    dice = np.random.default_rng(1)
    (pair, *_) = pairs_of([marks(dice, 0.5, 300)], np.rint(series(dice, 0.5, 300)))
    whole = looks.residuals(pair, looks.blocks(pair.month, int(pair.month[-1])))
    cut = looks.residuals(pair, looks.blocks(pair.month, int(pair.month[0]) + 4))
    known = np.isfinite(cut)
    assert 100 < known.sum() < 200 and np.allclose(cut[known], whole[known])


def test_a_habit_of_sundays_has_blocks_of_several_months() -> None:
    sundays = np.array([d.year * 12 + d.month - 1 for d in days_between(FIRST, last(365)) if d.weekday() == 6])
    closed = looks.blocks(sundays, int(sundays[-1]))
    assert [end - start for start, end in zip(closed.start, closed.end, strict=True)] == [17, 18, 17]


# --- A small part of tests/benchmarks/links_ever.md


def test_few_journals_without_a_link_are_ever_told_one() -> None:
    """Over three years of month ends. A q of 0.05 at any end tells one in 10 of these 60 journals."""
    told = [any(unrelated("first order", 0.9, 4, 1095, run=run)) for run in range(60)]
    assert sum(told) <= 7


def test_links_of_half_a_standard_deviation_are_told_and_do_not_end() -> None:
    courses = [planted(4, 0.5, 0, 1095, run) for run in range(30)]
    assert sum(course.told is not None for course in courses) >= 29
    assert sum(course.ended is not None for course in courses) <= 2


def test_a_constant_mood_and_an_empty_journal_have_no_events() -> None:
    kinds = ["done" if i * i % 7 < 3 else "missed" for i in range(200)]
    assert record(marked(kinds), felt([3.3] * 200), today=dt.date(2026, 6, 1)).is_empty()
    assert dict(record(marked([]), felt([]), today=dt.date(2026, 6, 1)).schema) == link_record.EVENTS
