"""Time off (`[[rests]]` of journal.toml), from the file to streaks, rates, grids and sheets."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal import periods
from journal.charts import year_pixels
from journal.evening import form_build, month_fill
from journal.export import audience, day_sheet, month_sheet
from journal.measures import completion, streaks
from journal.sections import habit_grids
from tests.journals import write

FIRST = dt.date(2025, 3, 3)  # a Monday
TODAY = dt.date(2025, 3, 14)
FLU = {"from": dt.date(2025, 3, 6), "until": dt.date(2025, 3, 10)}
HABITS: list[dict[str, Any]] = [
    {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": FIRST},
    {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": FIRST, "target": 20, "unit": "pages"},
    {"key": "swim", "name": "Swim", "times": 3, "per": "week", "from": FIRST},
]


def opened(folder: Path, *rests: dict[str, Any], today: dt.date = TODAY) -> journal.Journal:
    """Days with every habit done, but for the 6th to the 9th (a page without marks) and the 10th (no page)."""
    done = {"habits": {"walk": True, "read": 24, "swim": True}}
    days = {FIRST + dt.timedelta(days=i): done for i in (0, 1, 2, 8, 9, 10)}
    days |= {FIRST + dt.timedelta(days=i): {"mood": 1} for i in (3, 4, 5, 6)}  # type: ignore[dict-item]
    return journal.open(write(folder, days, habits=HABITS, rests=list(rests)), today=today, cache=False)


def states_of(book: journal.Journal, habit: str, first: dt.date = FIRST, days: int = 11) -> str:
    """The states of some days in a row, by their first letters."""
    rows = book.states.filter(pl.col("date").is_between(first, first + dt.timedelta(days=days - 1)), habit=habit)
    return " ".join(state[0] for state in rows.get_column("state").to_list())


def test_without_time_off_days_are_missed_or_blank(tmp_path: Path) -> None:
    book = opened(tmp_path)
    assert states_of(book, "walk") == "d d d m m m m b d d d"


def test_a_due_day_inside_rests_logged_or_not(tmp_path: Path) -> None:
    book = opened(tmp_path, FLU)
    assert (states_of(book, "walk"), states_of(book, "read")) == ("d d d r r r r r d d d",) * 2
    (walk, *_) = streaks.streaks(book.occasions, today=TODAY, blank="breaks").iter_rows(named=True)
    assert (walk["current"], walk["current_from"]) == (6, FIRST)
    (rate, *_) = completion.rates(book.occasions, by="all", week_starts="monday").iter_rows(named=True)
    assert (rate["done"], rate["missed"], rate["blank"], rate["rest"]) == (6, 0, 0, 5)


def test_only_the_named_habits_rest(tmp_path: Path) -> None:
    book = opened(tmp_path, FLU | {"habits": ["walk"], "reason": "flu"})
    assert states_of(book, "walk") == "d d d r r r r r d d d"
    assert states_of(book, "read") == "d d d m m m m b d d d"


def test_what_was_done_inside_counts_as_done(tmp_path: Path) -> None:
    book = opened(tmp_path, {"from": FIRST, "until": TODAY})
    assert states_of(book, "walk") == "d d d r r r r r d d d"


def test_a_week_without_enough_days_for_its_quota_rests(tmp_path: Path) -> None:
    book = opened(tmp_path, {"from": dt.date(2025, 3, 5), "until": dt.date(2025, 3, 9)})
    weeks = book.occasions.filter(habit="swim").select("from", "state").rows()
    assert weeks[:2] == [(FIRST, "done"), (dt.date(2025, 3, 10), "done")]  # three days done in each
    nothing = write(tmp_path / "c", {FIRST: {"mood": 3}}, habits=HABITS, rests=[{"from": FIRST, "until": TODAY}])
    book = journal.open(nothing, today=dt.date(2025, 3, 20), cache=False)
    assert book.occasions.filter(habit="swim").get_column("state").to_list()[0] == "rest"


def test_days_to_come_rest_on_the_sheet_and_on_the_form(tmp_path: Path) -> None:
    ahead = {"from": dt.date(2025, 4, 1), "until": dt.date(2025, 4, 5)}
    book = opened(tmp_path, ahead)
    sheet = month_sheet.of(book, periods.parse("2025-04", week_starts="monday"))[0]
    walk = next(column for column in sheet.words.columns if column.name == "Walk")
    assert walk.days[:6] == ("rest", "rest", "rest", "rest", "rest", "due")
    then = opened(tmp_path / "b", ahead, today=dt.date(2025, 4, 2))
    walk_offer = next(habit for habit in form_build.offer(then, dt.date(2025, 4, 2)).habits if habit.key == "walk")
    assert {walk_offer.said[mark] for mark in ("none", "not", "rest")} == {"rest day"}
    assert walk_offer.said["done"] == "done"


def test_every_page_and_sheet_takes_the_days_as_rest(tmp_path: Path) -> None:
    """What does not read the states: the week's list, the year of a habit, a day's sheet, a month to fill."""
    book = opened(tmp_path, {"from": FIRST, "until": dt.date(2025, 3, 9)} | {"habits": ["walk"]}, FLU)
    week = periods.parse("2025-W10", week_starts="monday")
    assert "3 of 3" in str(habit_grids.week(book, week))
    pixels = year_pixels.draw(book.states, 2025, "walk", name="Walk", today=TODAY)
    states = {row["date"]: row["state"] for row in pixels.table.iter_rows(named=True)}
    assert [states[FIRST + dt.timedelta(days=i)] for i in range(7)] == ["done"] * 3 + ["rest"] * 4
    grid = month_fill.month(book, "2025-03")
    assert [day for day, due in grid.due["walk"].items() if due] == [f"2025-03-{n}" for n in (11, 12, 13, 14)]
    (sheet,) = day_sheet.of(opened(tmp_path / "b", {"from": TODAY, "until": TODAY}), TODAY)
    assert {habit.kind for habit in sheet.words.habits} == {"rest"}


def test_an_evening_on_such_a_day_asks_nothing(tmp_path: Path) -> None:
    day = dt.date(2025, 3, 7)
    habits = form_build.offer(opened(tmp_path, FLU | {"habits": ["walk"]}, today=day), day).habits
    assert {habit.key: habit.off for habit in habits} == {"walk": True, "read": False, "swim": False}


def test_a_reader_of_an_export_learns_the_days_and_never_the_reason(tmp_path: Path) -> None:
    book = opened(tmp_path, FLU | {"habits": ["walk"], "reason": "flu"})
    anyone = audience.seen_by(book, "anyone")
    assert anyone.settings.rests == ()
    assert states_of(anyone, anyone.settings.habit_keys[0]) == "d d d r r r r r d d d"


@pytest.mark.parametrize(
    ("rest", "line"),
    [
        (
            FLU | {"until": dt.date(2025, 3, 1)},
            "rests[0].until: expected a day from 2025-03-06 on, got 2025-03-01; swap",
        ),
        (
            FLU | {"habits": ["wlak"]},
            'rests[0].habits[0]: expected a habit of journal.toml, got "wlak"; write "walk"',
        ),
    ],
)  # fmt: skip
def test_a_fault_is_reported_at_its_place_and_costs_that_rest_alone(
    tmp_path: Path, rest: dict[str, Any], line: str
) -> None:
    book = opened(tmp_path, rest, {"from": dt.date(2025, 3, 10), "until": dt.date(2025, 3, 10)})
    (problem,) = book.problems
    assert line in str(problem)
    assert states_of(book, "walk") == "d d d m m m m r d d d"
