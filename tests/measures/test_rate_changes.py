"""A change of a rate: what evenings without a page do to it, and what it is compared with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import polars as pl
import pytest

from journal import Journal, periods
from journal.entry import Entry, Page
from journal.measures import completion, findings
from journal.measures.states import OCCASIONS
from journal.settings import Habit, Place, Settings
from journal.tables import build, record
from journal.wording import rate_changes
from tests import journals

HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
APRIL, MAY = periods.month(dt.date(2025, 4, 1)), periods.month(dt.date(2025, 5, 1))


def book(marks: Mapping[dt.date, bool], *, start: dt.date, today: dt.date) -> Journal:
    """A journal with a daily habit and a page for each given day."""
    walk = Habit(key="walk", name="Walk", start=start, every="FREQ=DAILY")
    settings = Settings(title="A test", places=(HOME,), habits=(walk,))
    pages = [
        Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=Entry(habits={"walk": done}))
        for day, done in marks.items()
    ]
    return journals.of_tables(build(record(pages), settings, today), settings)


def unwritten_may() -> Journal:
    """28 of 30 in April; then done on all 14 evenings that were written in May."""
    april = {dt.date(2025, 4, day): day not in (9, 20) for day in range(1, 31)}
    may = {dt.date(2025, 5, day): True for day in range(1, 15)}
    return book(april | may, start=dt.date(2025, 4, 1), today=dt.date(2025, 6, 1))


def test_evenings_without_a_page_are_no_clear_change() -> None:
    kept = unwritten_may()
    (row,) = kept.changes(MAY).rows(named=True)
    assert (row["done_after"], row["counted_after"], row["logged_after"]) == (14, 31, 14)
    assert row["high"] < 0  # among all due days the difference stands, and is shown
    assert row["clear"] is False
    assert rate_changes.change(row) == (
        "no clear change: 28 of 30, then 14 of 31; among logged days 28 of 30, then 14 of 14"
    )
    assert rate_changes.before(row) == "28 of 30, unclear: 17 blank"
    assert findings.findings(kept.facts, [MAY]).filter(pl.col("measure") == "changes").is_empty()


def test_a_change_among_logged_days_is_clear_and_says_what_the_blanks_do() -> None:
    april = {dt.date(2025, 4, day): day > 2 for day in range(1, 31)}
    may = {dt.date(2025, 5, day): day < 3 for day in range(1, 16)}
    kept = book(april | may, start=dt.date(2025, 4, 1), today=dt.date(2025, 6, 1))
    (row,) = kept.changes(MAY).rows(named=True)
    assert row["clear"] is True
    assert rate_changes.change(row) == (
        "down from 28 of 30 to 2 of 31, clear; among logged days 28 of 30, then 2 of 15"
    )
    (said,) = findings.findings(kept.facts, [MAY]).filter(pl.col("measure") == "changes")["text"]
    assert "; among logged days 28 of 30, then 2 of 15; a clear change" in said


def test_days_before_the_first_page_are_no_comparison() -> None:
    first = dt.date(2025, 4, 30)
    marks = {first: False} | {dt.date(2025, 5, day): True for day in range(1, 32)}
    (row,) = book(marks, start=dt.date(2025, 4, 1), today=dt.date(2025, 6, 1)).changes(MAY).rows(named=True)
    assert (row["done_before"], row["counted_before"]) == (0, 1)
    del marks[first]
    (row,) = book(marks, start=dt.date(2025, 4, 1), today=dt.date(2025, 6, 1)).changes(MAY).rows(named=True)
    assert row["difference"] is None
    assert rate_changes.change(row) == "31 of 31; not recorded the month before"


@pytest.mark.parametrize("unwritten", [10, 14])
def test_a_steady_habit_with_unwritten_evenings_is_seldom_called_clear(unwritten: int) -> None:
    """At 80 % on every evening, in 400 months; one by one, the changes were called clear in 60 and 92 %."""
    dice = np.random.default_rng(unwritten)
    done = np.where(dice.random((400, 61)) < 0.8, "done", "missed")
    done[:, 61 - unwritten :] = "blank"
    days = pl.date_range(dt.date(2025, 4, 1), dt.date(2025, 5, 31), eager=True)
    kept = pl.DataFrame(
        {
            "habit": [f"habit {i}" for i in range(400) for _ in range(61)],
            "unit": "occasion",
            **dict.fromkeys(("from", "to", "date"), pl.concat([days] * 400)),
            "state": done.ravel(),
        }
    ).cast(OCCASIONS)  # type: ignore[arg-type]
    changed = completion.changes(kept, before=(APRIL.first, APRIL.last), after=(MAY.first, MAY.last))
    assert int(changed["clear"].sum()) < 0.05 * 400


def test_days_and_weeks_are_not_compared() -> None:
    """A habit that was due daily in April and twice a week in May."""
    settings = Settings(
        title="A test",
        places=(HOME,),
        habits=(
            Habit(key="walk", name="Walk", start=dt.date(2025, 4, 1), every="FREQ=DAILY"),
            Habit(key="walk", name="Walk", start=dt.date(2025, 5, 5), times=2, per="week"),
        ),
    )
    pages = [
        Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=Entry(habits={"walk": False}))
        for day in journals.days_between(dt.date(2025, 4, 1), dt.date(2025, 5, 31))
    ]
    kept = journals.of_tables(build(record(pages), settings, dt.date(2025, 6, 1)), settings)
    (row,) = kept.changes(MAY).rows(named=True)
    assert (row["unit"], row["difference"], row["clear"]) == (None, None, None)
