"""The changes that a habit's record proposes, by exact tables."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest

from journal.settings import Habit
from journal.setup import change_proposals, habit_words, schedule_fields
from tests.charts import frames

MONDAY = dt.date(2025, 3, 3)
TODAY = dt.date(2025, 4, 20)
WEEKDAYS_DUE = "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"


def habit(every: str | None = "FREQ=DAILY", **more: Any) -> Habit:
    return Habit(key="h", name="H", start=MONDAY, every=every, **more)


def said(definition: Habit, letters: str) -> list[tuple[str, str]]:
    """The proposals in words with their reasons, from a record of one letter a day (`frames.marks`)."""
    fields: dict[str, Any] = {"times": definition.times, "per": definition.per} if definition.per else {}
    if definition.target is not None:
        fields |= {"target": definition.target, "aim": definition.aim}
    record = frames.states([frames.marks("h", MONDAY, letters, **fields)], TODAY)
    return [
        (habit_words.words(_after(definition, change)), change.because)
        for change in change_proposals.proposals(definition, record, week_starts="monday")
    ]


def _after(before: Habit, change: change_proposals.ProposedChange) -> Habit:
    every, times, per = schedule_fields.keys(change.schedule, MONDAY)
    named = {"key": "h", "name": "H", "start": MONDAY, "unit": before.unit, "aim": before.aim}
    return Habit(**named, every=every, times=times, per=per, target=change.target)  # type: ignore[arg-type]


TWICE_A_WEEK = "dnndnnn" * 4  # done on 4 Mondays and 4 Thursdays

EXACT: dict[str, tuple[Habit, str, list[tuple[str, str]]]] = {
    "every day, done on two weekdays": (
        habit(),
        TWICE_A_WEEK,
        [
            ("Mondays and Thursdays", "done on 8 of 8 of these days"),
            ("twice a week", "done 8 times in 4 weeks"),
            ("every other day", ""),
        ],
    ),
    "nothing logged": (habit(), "b" * 28, []),
    "no day at all": (habit(), "", []),
    "rest all month": (habit(), "r" * 28, []),
    "never done": (habit(), "n" * 28, [("every other day", "")]),
    "always done": (habit(), "d" * 28, [("every other day", "")]),
    "always done on weekdays": (
        habit(WEEKDAYS_DUE),
        "ddddd--" * 4,
        [
            ("5 times a week", "done 20 times in 4 weeks"),
            ("Mondays, Wednesdays and Fridays", ""),
            ("every day", ""),
        ],
    ),
    "three logged days": (habit(), "dnd" + "b" * 25, [("every other day", "")]),
    "two weekdays, half of them": (
        habit("FREQ=WEEKLY;BYDAY=MO,WE"),
        "d-n----" * 4,
        [
            ("every Monday", "done on 4 of 4 of these days"),
            ("once a week", "done 4 times in 4 weeks"),
            ("every other week on Monday and Wednesday", ""),
        ],
    ),
    "every other Friday, mostly missed": (
        habit("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
        ("----n--" + "-------") * 3 + "----d--",
        [("once a month", "done once in 7 weeks"), ("every 4 weeks on Friday", "")],
    ),
    "every other Friday, always done": (
        habit("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
        ("----d--" + "-------") * 4,
        [
            ("twice a month", "done 4 times in 8 weeks"),
            ("every 4 weeks on Friday", ""),
            ("every Friday", ""),
        ],
    ),
    "a quota that was not reached": (
        habit(None, times=4, per="week"),
        "dsdssss" * 4,
        [
            ("Mondays and Wednesdays", "done on 8 of 8 of these days"),
            ("twice a week", "done 8 times in 4 weeks"),
        ],
    ),
    "a quota that was always reached": (
        habit(None, times=2, per="week"),
        "dsdssss" * 4,
        [
            ("Mondays and Wednesdays", "done on 8 of 8 of these days"),
            ("once a week", ""),
            ("3 times a week", ""),
        ],
    ),
    "once a week, never done": (habit(None, times=1, per="week"), "s" * 28, [("once a month", "")]),
    "an amount that is too much": (
        habit(target=9.0, unit="pages"),
        "5n57n6n" * 4,
        [
            ("every day, 5 pages", "half of the times it was 5 pages or more"),
            ("every other day, 9 pages", ""),
        ],
    ),
    "a limit that is too low": (
        habit(target=2.0, unit="hours", aim="at most"),
        "4445444" * 4,
        [
            ("every day, at most 4 hours", "half of the times it was 4 hours or less"),
            ("every other day, at most 2 hours", ""),
        ],
    ),
    "a rule without a pattern": (habit("FREQ=MONTHLY;BYDAY=1MO,-1FR"), "d---n--" * 4, []),
    "once a year": (habit("FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=5"), "--d----" * 4, []),
}


@pytest.mark.parametrize("name", list(EXACT))
def test_proposals_of_a_record(name: str) -> None:
    definition, letters, expected = EXACT[name]
    assert said(definition, letters) == expected


def test_a_week_that_starts_on_sunday_breaks_ties_from_there() -> None:
    record = frames.states([frames.marks("h", MONDAY, "dnnnnnd" + "nnnnnnn" + "dnnnnnd" + "nnnnnnn")], TODAY)
    for week_starts, code in (("sunday", "SU"), ("monday", "MO")):
        first = change_proposals.proposals(habit(), record, week_starts=week_starts)[0]  # type: ignore[arg-type]
        assert first.schedule.weekdays == (code,)


@pytest.mark.parametrize(
    ("values", "target", "aim", "proposed"),
    [
        ([12.0, 13.0, 14.0, 18.0], 20.0, "at least", 10.0),  # the middle is 13.5; a round amount that was reached
        ([25.0, 30.0, 30.0, 40.0], 20.0, "at least", None),  # more than asked
        ([12.0, 13.0, 14.0], 20.0, "at least", None),  # too few
        ([0.0, 0.0, 0.0, 0.0], 20.0, "at least", None),
        ([420.0, 430.0, 440.0, 460.0], 500.0, "at least", 400.0),
        ([41.0, 42.0, 43.0, 44.0], 30.0, "at most", 45.0),
        ([10.0, 20.0, 20.0, 25.0], 30.0, "at most", None),
        ([0.2, 0.3, 0.4, 0.5], 1.0, "at least", None),  # no round amount below
    ],
)
def test_an_amount_is_round_and_was_reached(values: list[float], target: float, aim: Any, proposed: object) -> None:
    definition = habit(target=target, aim=aim, unit="min")
    days = [MONDAY + dt.timedelta(days=i) for i in range(len(values))]
    kept = [value >= target if aim == "at least" else value <= target for value in values]
    record = pl.DataFrame(
        {"date": days, "logged": True, "due": True, "mark": "number", "value": values}
        | {"state": ["done" if one else "missed" for one in kept]}
    )
    changes = change_proposals.proposals(definition, record, week_starts="monday")
    assert [change.target for change in changes if change.target != target] == ([proposed] if proposed else [])
