"""Which definition of a habit holds on a day: against a walk from day to day, and one answer in every module."""

from __future__ import annotations

import datetime as dt

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.folder import page_names
from journal.settings import Habit, Settings
from journal.tables import build, record
from tests.choosing import Chooser
from tests.journals import days_between

FIRST = dt.date(2025, 3, 1)
DAY = dt.timedelta(days=1)
SPAN = [FIRST + i * DAY for i in range(40)]


@st.composite
def definitions(draw: st.DrawFn) -> tuple[Habit, ...]:
    """Definitions of two habits in any order in the file: some end, some take over on the same day as another."""
    chooser = Chooser(draw)
    found = []
    for nth in range(chooser.one(range(7))):
        start = chooser.one(SPAN[:30])
        until = start + chooser.one(range(12)) * DAY if chooser.flip() else None
        key = chooser.one(("walk", "read"))
        found.append(Habit(key=key, name=f"{key} {nth}", start=start, until=until, every="FREQ=DAILY", target=nth + 1))
    return tuple(found)


def walked(habits: tuple[Habit, ...], key: str, day: dt.date) -> Habit | None:
    """From the first day on, day by day: who starts takes over, and who ends leaves nobody."""
    holds = None
    for date in days_between(FIRST, day):
        for habit in habits:
            if habit.key == key and habit.start == date:
                holds = habit
        if holds is not None and holds.until is not None and holds.until < date:
            holds = None
    return holds


@given(definitions())
def test_the_definition_of_a_day_is_the_one_that_a_walk_comes_to(habits: tuple[Habit, ...]) -> None:
    settings = Settings(title="Small", places=(), habits=habits)
    for key in ("walk", "read", "swim"):
        for day in [FIRST - DAY, *SPAN]:
            assert settings.habit_on(key, day) is walked(habits, key, day)


@given(definitions())
def test_tables_and_the_check_of_a_page_have_the_same_days(habits: tuple[Habit, ...]) -> None:
    settings = Settings(title="Small", places=(), habits=habits)
    marks = build(record([]), settings, SPAN[-1]).marks
    held = {(row["habit"], row["date"]): row["target"] for row in marks.iter_rows(named=True)}
    known = page_names.known(settings, {"habits": [{"key": habit.key} for habit in habits]}).habits
    assert known is not None
    for key in settings.habit_keys:
        for day in SPAN:
            habit = settings.habit_on(key, day)
            assert held.get((key, day)) == (habit.target if habit else None)
            assert any(force.first <= day <= force.last for force in known[key]) == (habit is not None)


def test_what_is_worked_out_is_not_kept_by_other_settings() -> None:
    old = Habit(key="walk", name="Walk", start=FIRST, every="FREQ=DAILY", until=FIRST)
    before = Settings(title="Small", places=(), habits=(old,))
    assert before.habit_on("walk", FIRST + DAY) is None
    longer = msgspec.structs.replace(old, until=None)
    after = msgspec.structs.replace(before, habits=(longer,))
    assert after.habit_on("walk", FIRST + DAY) is longer
    assert before == msgspec.structs.replace(before)
    with pytest.raises(AttributeError):
        before.title = "Other"  # type: ignore[misc]
