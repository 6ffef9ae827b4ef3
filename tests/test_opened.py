"""What follows from a journal's tables: worked out once, when it is asked for, and from that journal's tables alone."""

from __future__ import annotations

import datetime as dt
import gc
import weakref
from pathlib import Path
from typing import Any

import msgspec
import polars as pl
import pytest
from polars.testing import assert_frame_equal

import journal
from journal import Journal
from journal.derived import derived
from journal.measures import findings, sleep, states
from tests.journals import days_between, write

EXAMPLE = Path(__file__).parents[1] / "example_year"
TODAY = dt.date(2025, 3, 16)
DERIVED = (
    "lived", "trials", "marks", "states", "occasions", "dependence", "sleeps", "nights", "regularity_pairs", "facts",
    "lots", "trial_results",
)  # fmt: skip


def night(until: str = "06:15", from_: str = "22:30") -> dict[str, Any]:
    return {"hours": {"actual": {"sleep": [f"00:00-{until}", f"{from_}-24:00"]}}}


@pytest.fixture
def book(tmp_path: Path) -> Journal:
    """A fortnight of a habit by the week, whose weeks start on Sunday."""
    swim = {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": dt.date(2025, 3, 2)}
    pages = {day: night() | {"habits": {"swim": True}} for day in days_between(dt.date(2025, 3, 2), TODAY)}
    return journal.open(write(tmp_path, pages, habits=[swim], week_starts="sunday"), today=TODAY, cache=False)


def weeks(book: Journal) -> list[dt.date]:
    """The first days of the weeks that are counted, of those that have begun."""
    return book.occasions.filter(pl.col("from") <= TODAY).get_column("from").to_list()


def test_nothing_is_worked_out_before_it_is_asked_for_and_then_once(book: Journal) -> None:
    assert vars(book) == {}
    for name in DERIVED:
        assert getattr(book, name) is getattr(book, name)
    of_sleep = {"sleeps", "nights", "regularity_pairs"}  # they are kept by `slept`
    assert set(vars(book)) == set(DERIVED) - of_sleep | {"slept", "_link_history"}
    assert "_frames" not in vars(book._link_history)


def test_it_is_what_the_measures_make_of_the_tables_in_the_journals_own_week(book: Journal) -> None:
    marks, settings, hours = book.tables.marks, book.settings, book.tables.hours
    assert_frame_equal(book.states, states.states(marks, today=TODAY))
    assert_frame_equal(book.occasions, states.occasions(book.states, today=TODAY, week_starts="sunday"))
    assert weeks(book) == [dt.date(2025, 3, 2), dt.date(2025, 3, 9), TODAY]
    zones = settings.zones
    assert_frame_equal(
        book.nights, sleep.nights(hours, book.tables.days, sleep="sleep", zones=zones, today=TODAY, work=["work"])
    )
    assert book.nights.height == 14


def test_other_tables_and_other_settings_have_their_own(book: Journal) -> None:
    assert len(weeks(book)) == 3 and book.nights.height == 14  # asked for before
    without = msgspec.structs.replace(
        book, tables=msgspec.structs.replace(book.tables, hours=book.tables.hours.clear())
    )
    assert vars(without) == {} and without.nights.is_empty() and without.facts.nights.is_empty()
    monday = msgspec.structs.replace(book, settings=msgspec.structs.replace(book.settings, week_starts="monday"))
    assert weeks(monday) == [dt.date(2025, 3, 3), dt.date(2025, 3, 10)]


def test_as_of_an_earlier_day(book: Journal, tmp_path: Path) -> None:
    day = dt.date(2025, 3, 12)
    then, opened = book.as_of(day), journal.open(tmp_path, today=day, cache=False)
    assert (then.today, then.tables.today) == (day, day)
    assert_frame_equal(then.states.filter(pl.col("date") <= day), opened.states.filter(pl.col("date") <= day))
    assert then.occasions.filter(pl.col("from") == dt.date(2025, 3, 9)).item(0, "state") == "done"
    tried = then.as_of(day, marks=then.tables.marks.with_columns(mark=pl.lit("not done")))
    assert set(tried.states.get_column("state")) == {"not due"}
    assert set(then.states.filter(pl.col("date") <= day).get_column("state")) == {"done"}


def test_findings_of_an_earlier_day_know_no_hours_of_later_ones(tmp_path: Path) -> None:
    """Asleep from 22:00 to 23:40, and from 00:10 on: one night that ends the next morning, once that is written."""
    eve, first, second = (TODAY - dt.timedelta(days=n) for n in (2, 1, 0))
    evening, morning = night(from_="22:00"), night()
    evening["hours"]["actual"]["sleep"][1] = "22:00-23:40"
    morning["hours"]["actual"]["sleep"][0] = "00:10-07:00"
    pages = {eve: night(), first: evening, second: morning}
    whole = journal.open(write(tmp_path / "whole", pages), today=second, cache=False)
    until = journal.open(write(tmp_path / "until", {eve: night(), first: evening}), today=first, cache=False)
    then = whole.as_of(first)
    assert_frame_equal(then.facts.nights, until.facts.nights)
    assert_frame_equal(then.facts.pairs, until.facts.pairs)
    assert then.facts.nights.item(0, "nap_minutes") == 100
    assert then.nights.item(0, "nap_minutes") == 0, "a page that looks back knows how the night went on"
    planned = msgspec.structs.replace(whole.tables, hours=whole.tables.hours.with_columns(layer=pl.lit("planned")))
    ahead = msgspec.structs.replace(whole, tables=planned).as_of(first)
    assert ahead.facts.nights.is_empty()


def test_a_journal_is_let_go_at_once() -> None:
    """With an open page, each edit reads the journal anew. One that only the collector frees stays for many edits."""
    derivations = [name for name, value in vars(Journal).items() if isinstance(value, derived)]
    frames = []
    gc.collect()
    gc.disable()
    try:
        book = journal.open(EXAMPLE, today=dt.date(2025, 12, 16), cache=False)
        for name in derivations:
            getattr(book, name)
        findings.findings(book.facts, [book.period("2025-12"), book.period("2025")])
        frames += [weakref.ref(frame) for frame in (book.states, book.occasions, book.tables.days, book.facts.days)]
        del book
        assert [frame() is None for frame in frames] == [True] * len(frames)
    finally:
        gc.enable()
