"""What the lot says on the evening, the page of a day and the week ahead, against a draw written out by hand."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.evening import form_build, lots_of_day
from journal.planning import day_offer, week_ahead
from journal.setup import trial_form
from journal.wording import trial_notes, trial_words
from tests import journals

FIRST = dt.date(2025, 3, 10)
TODAY = dt.date(2025, 3, 13)
# SHA-256 of "4711:0", "4711:1" and "4711:2" begin with 69, a5 and c6: odd, odd, even. So in blocks of two days:
DRAWN = ["on", "on", "off", "off", "on", "on", "off", "off", "off", "off", "on", "on"]
TRIAL: dict[str, Any] = {
    "key": "w", "question": "?", "habit": "call", "from": FIRST, "days": 60, "block": 2, "seed": 4711,
}  # fmt: skip
HABITS: list[dict[str, Any]] = [
    {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1)},
    {"key": "call", "name": "Call home", "every": "FREQ=WEEKLY;BYDAY=SU", "from": dt.date(2025, 1, 1)},
    {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": dt.date(2025, 1, 1), "target": 20},
]


def opened(folder: Path, trial: dict[str, Any] | None = None, days: Any = None, today: dt.date = TODAY) -> Any:
    pages = days if days is not None else {}
    journals.write(folder, pages, habits=HABITS, trials=[TRIAL | (trial or {})])
    return journal.open(folder, today=today, cache=False)


def test_the_evening_asks_as_drawn_and_says_what_is_drawn_for_tomorrow(tmp_path: Path) -> None:
    for place, arm in enumerate(DRAWN[:-1]):
        day = FIRST + dt.timedelta(days=place)
        offer = form_build.offer(opened(tmp_path, today=day), day)
        by_key = {habit.key: habit for habit in offer.habits}
        assert by_key["walk"].lot is None
        lot = by_key["call"].lot
        assert lot is not None and (lot.arm, lot.said) == (arm, f"By lot: {arm}")
        (tomorrow,) = offer.tomorrow.lots
        assert (tomorrow.name, tomorrow.arm) == ("Call home", DRAWN[place + 1])
        assert offer.habits.index(by_key["call"]) < 3  # asked with the due ones, though it is due on Sundays


def test_a_day_that_the_lot_leaves_free_is_a_rest_and_breaks_no_streak(tmp_path: Path) -> None:
    days = {FIRST + dt.timedelta(days=place): {"habits": {"walk": True}} for place in range(2)}  # both drawn on
    day = FIRST + dt.timedelta(days=2)
    offer = form_build.offer(opened(tmp_path, {"habit": "walk"}, days, today=day), day)
    (walk,) = (habit for habit in offer.habits if habit.key == "walk")
    assert walk.off and walk.lot is not None and walk.lot.arm == "off"
    assert walk.said["not"] == walk.said["none"] == "rest day, streak of 2 kept"


def test_before_the_first_day_only_tomorrow_is_drawn(tmp_path: Path) -> None:
    day = FIRST - dt.timedelta(days=1)
    offer = form_build.offer(opened(tmp_path, today=day), day)
    assert [habit.lot for habit in offer.habits] == [None] * 3
    assert [lot.said for lot in offer.tomorrow.lots] == ["By lot: on"]


def test_days_that_went_otherwise_are_counted_with_the_one_that_is_asked(tmp_path: Path) -> None:
    trial = {"habit": "walk"}
    marks = {0: True, 1: False, 2: True}  # drawn: on, on, off
    days = {FIRST + dt.timedelta(days=i): {"habits": {"walk": mark}} for i, mark in marks.items()}
    book = opened(tmp_path, trial, days)
    (lot,) = lots_of_day.of_day(book, TODAY)
    assert lot.otherwise == "counts as drawn; 3 of 4 days went otherwise than drawn"


def test_a_day_that_is_coming_says_what_is_drawn_beside_its_rule(tmp_path: Path) -> None:
    book = opened(tmp_path, {"habit": "read", "outcome": "mood"})
    friday = TODAY + dt.timedelta(days=1)
    noon = dt.datetime(2025, 3, 13, 11, tzinfo=dt.UTC)
    assert [(one.name, one.said) for one in day_offer.offer(book, friday, noon).coming_habits] == [
        ("Walk", ""),
        ("Read", "By lot: on · 20"),
    ]
    monday = friday + dt.timedelta(days=3)  # drawn off
    assert [one.said for one in day_offer.offer(book, monday, noon).coming_habits] == ["", "By lot: off"]
    book = opened(tmp_path, {"washout": 1})
    assert ("Call home", "By lot: on, left out of the result") in [
        (one.name, one.said) for one in day_offer.offer(book, friday, noon).coming_habits
    ]


def test_the_week_ahead_names_a_drawn_habit_on_each_of_its_days(tmp_path: Path) -> None:
    offer = week_ahead.offer(opened(tmp_path, {"habit": "walk"}))
    drawn = [[(habit.name, habit.lot) for habit in day.habits if habit.name == "Walk"] for day in offer.days]
    assert drawn == [[("Walk", f"By lot: {arm}")] for arm in DRAWN[4:11]]
    assert [(habits.when, habits.names) for habits in offer.regular] == [("Every day", ["Walk", "Read"])]


@pytest.mark.parametrize("end", [{"stopped": TODAY}, {"days": 3}])
def test_after_its_end_nothing_is_drawn(tmp_path: Path, end: dict[str, Any]) -> None:
    book = opened(tmp_path, end)
    assert lots_of_day.of_day(book, TODAY) == []
    assert len(lots_of_day.of_day(book, TODAY - dt.timedelta(days=1))) == 1


def test_a_trial_that_care_interrupted_says_so_and_draws_no_more(tmp_path: Path) -> None:
    book = opened(tmp_path, {"interrupted": TODAY})
    (lot,) = lots_of_day.of_day(book, TODAY)
    assert (lot.arm, lot.said) == ("", trial_notes.interruption(["?"]))
    assert lots_of_day.by_habit(book, TODAY) == {}


def test_a_stretch_of_low_days_interrupts_a_trial_on_the_day_after_it_is_seen(tmp_path: Path) -> None:
    """Twelve low days of fourteen are the sign. The first of them may lie before the trial."""
    pages = {FIRST + dt.timedelta(days=place): {"mood": 1} for place in range(-4, 12)}
    seen = FIRST + dt.timedelta(days=9)  # the fourteenth low day
    before = opened(tmp_path, None, pages, today=seen - dt.timedelta(days=1))
    (lot,) = lots_of_day.of_day(before, seen)
    assert lot.arm == "off"
    (lot,) = lots_of_day.of_day(opened(tmp_path, None, pages, today=seen), seen + dt.timedelta(days=1))
    assert (lot.arm, lot.said) == ("", trial_notes.interruption(["?"]))
    offer = form_build.offer(opened(tmp_path, None, pages, today=seen), seen)
    assert [lot.said for lot in offer.tomorrow.lots] == [trial_notes.interruption(["?"])]
    (row,) = trial_form.offer(opened(tmp_path, None, pages, today=seen + dt.timedelta(days=1))).trials
    assert row.said[1].startswith(trial_words.INTERRUPTED)
    assert [way.what for way in row.ways] == []


def test_in_a_stretch_of_low_days_no_trial_begins(tmp_path: Path) -> None:
    pages = {FIRST - dt.timedelta(days=place): {"mood": 1} for place in range(1, 16)}
    book = opened(tmp_path, None, pages, today=FIRST)
    assert lots_of_day.by_habit(book, FIRST) == {}
    assert trial_form.offer(book).no_new == trial_form.LOW_DAYS
