"""States, occasions and streaks against a slow day-by-day oracle and small tables worked by hand."""

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import asdict
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures.completion import changes, rates, totals
from journal.measures.states import occasions, states
from journal.measures.streaks import runs, streaks
from journal.settings import WEEKDAYS
from journal.tables import MARKS
from journal.wording import habits as habit_words
from journal.wording import rate_changes
from tests.choosing import Chooser
from tests.measures import oracle
from tests.measures.oracle import Day
from tests.references import load

START = dt.date(2024, 2, 20)  # a leap year, so months of 29 days occur


def frame(days: list[Day], habit: str = "walk") -> pl.DataFrame:
    columns = {name: [getattr(day, name) for day in days] for name in MARKS if name != "habit"}
    return pl.DataFrame({"habit": [habit] * len(days)} | columns, schema=MARKS)


PLAIN = [None, ("done", None), ("not done", None), ("rest", None)]
MARKED = [mark for mark in PLAIN for _ in range(5)] + [("number", number) for number in (0.0, 0.5, 19.0, 20.0, 31.0)]
"""The possible marks of a habit; a number is as frequent as any other mark."""
DAY_OPTIONS = list(itertools.product([False, True], [False, False, True], [False, True], MARKED))
"""Combinations of logged, unasked, due and mark."""


def habit_days(choose: Chooser) -> list[Day]:
    """The days of one random habit over up to four months: one or two definitions, any marks, days logged or not."""
    first = START + dt.timedelta(days=choose.one(range(41)))
    length, change = choose.one(range(1, 121)), choose.one(range(1, 121))
    kinds = [choose.one(["rule", "week", "month"]) for _ in range(2)]
    times = [choose.one(range(1, 8)) for _ in range(2)]
    target, aim = choose.one([(None, None), (20.0, "at least"), (20.0, "at most")])
    rest_from, rest_days = choose.one(range(121)), choose.one(range(31))
    days = []
    for i in range(length):
        part = 0 if i < change else 1
        quota = kinds[part] != "rule"
        logged, unasked, due, mark = choose.one(DAY_OPTIONS)
        if not logged and mark is not None and mark[0] != "rest":
            mark = None  # a page with a mark has a habits table, so it is logged
        days.append(
            Day(
                date=first + dt.timedelta(days=i),
                logged=logged,
                unasked=unasked,
                due=None if quota else due,
                times=times[part] if quota else None,
                per=kinds[part] if quota else None,
                off=rest_from <= i < rest_from + rest_days,
                target=target,
                aim=aim,
                mark=mark[0] if mark else None,
                value=mark[1] if mark else None,
            )
        )
    return days


def test_a_stretch_without_a_logged_day_has_no_rate() -> None:
    """What was not logged is unknown, not 0 %."""
    november = [Day(dt.date(2025, 11, day), logged=True, mark=("done", "not done")[day % 2]) for day in range(1, 31)]
    december = [Day(dt.date(2025, 12, day), logged=False) for day in range(1, 32)]
    today = dt.date(2026, 1, 10)
    kept = occasions(states(frame(november + december), today=today), today=today, week_starts="monday")
    told = rates(kept, by="month", week_starts="monday")
    assert told.select("done", "counted", "rate").rows() == [(15, 30, 0.5), (0, 31, None)]
    assert told.select("low", "high", "logged_rate").row(1) == (None, None, None)
    change = changes(
        kept,
        before=(dt.date(2025, 11, 1), dt.date(2025, 11, 30)),
        after=(dt.date(2025, 12, 1), dt.date(2025, 12, 31)),
    ).row(0, named=True)
    assert (change["rate_before"], change["counted_after"]) == (0.5, 31)
    assert {change[name] for name in ("rate_after", "difference", "low", "high", "clear")} == {None}
    assert rate_changes.change(change) == "not recorded; 15 of 30 the month before"
    assert habit_words.rate(told.row(1, named=True)) == "not recorded"


def totalled(days: list[Day], today: dt.date) -> dict[str, Any]:
    return totals(states(frame(days, "read"), today=today), week_starts="monday").row(0, named=True)


def test_the_mean_of_a_counted_habit_is_over_the_days_on_which_it_was_due() -> None:
    """Due on odd days: 20 pages on three, one without, one of rest; 30 pages on a day on which it was not due."""
    counted: dict[str, Any] = {"target": 20.0, "aim": "at least", "logged": True}
    said: dict[int, tuple[str, float | None]] = dict.fromkeys((1, 3, 5), ("number", 20.0))
    said |= {4: ("number", 30.0), 9: ("rest", None)}
    days = []
    for day in range(1, 12):
        mark, value = said.get(day, (None, None))
        days.append(Day(dt.date(2025, 3, day), due=day % 2 == 1, mark=mark, value=value, **counted))
    row = totalled(days, today=dt.date(2025, 3, 11))  # the 11th is due and still to come, the 7th was missed
    assert (row["total"], row["recorded"], row["days"], row["mean"]) == (90.0, 4, 4, 15.0)
    assert habit_words.total(row, "pages", "at least").startswith("90 pages, 15 a logged due day, most on 4 March")


def test_the_mean_of_a_counted_quota_is_over_the_days_with_a_number() -> None:
    """No day of a quota is due by itself."""
    quota: dict[str, Any] = {"due": None, "times": 2, "per": "week", "target": 20.0, "aim": "at least", "logged": True}
    values = {10: 20.0, 13: 30.0}
    days = [
        Day(dt.date(2025, 3, day), mark="number" if day in values else None, value=values.get(day), **quota)
        for day in range(10, 17)
    ]
    row = totalled(days, today=dt.date(2025, 3, 20))
    assert (row["total"], row["days"], row["mean"]) == (50.0, 2, 25.0)
    assert habit_words.total(row, "pages", "at least", "week").startswith("50 pages, 25 a day with a number, most on")


@settings(max_examples=50, deadline=None)
@given(st.data())
def test_states_occasions_and_streaks_match_the_oracle(data: st.DataObject) -> None:
    """Twelve habits per example, since twelve take hardly longer than one."""
    choose = Chooser(data.draw, at_once=1600)
    week_starts, bridges = choose.one(range(7)), choose.flip()
    habits = {f"habit {i}": habit_days(choose) for i in range(12)}
    today = habits["habit 0"][-1].date - dt.timedelta(days=choose.one(range(-5, 61)))
    told = states(pl.concat(frame(days, habit) for habit, days in habits.items()), today=today)
    counted = occasions(told, today=today, week_starts=WEEKDAYS[week_starts])
    found = streaks(counted, today=today, blank="bridges" if bridges else "breaks")
    rate = rates(counted, week_starts="monday")
    whole = {"states": told, "occasions": counted, "streaks": found, "rates": rate}
    parts = {name: frame.partition_by("habit", as_dict=True) for name, frame in whole.items()}
    for habit, days in habits.items():
        mine = {name: parts[name].get((habit,), frame.clear()) for name, frame in whole.items()}
        agrees_with_the_oracle(days, today, week_starts, bridges, **mine)


def agrees_with_the_oracle(
    days: list[Day], today: dt.date, week_starts: int, bridges: bool, **found: pl.DataFrame
) -> None:
    assert found["states"].get_column("state").to_list() == [oracle.state(day, today) for day in days]

    slow = oracle.occasions(days, today, week_starts)
    quick = list(found["occasions"].select("from", "to", "state").iter_rows())
    assert sorted(quick) == sorted((o.first, o.last, o.state) for o in slow)

    begun = [occasion for occasion in slow if occasion.first <= today]
    if begun:
        row = found["streaks"].row(0, named=True)
        stretches = oracle.stretches(days)
        newest = max(begun, key=lambda occasion: occasion.first)
        *_, mine = (stretch for stretch in stretches if stretch[0].date <= newest.first)
        same_unit = [stretch for stretch in stretches if stretch[0].per == mine[0].per]
        told = [oracle.streak(oracle.occasions(stretch, today, week_starts), today, bridges) for stretch in same_unit]
        ended = mine is not stretches[-1] and mine[-1].date < today
        current = (0, None) if ended else told[same_unit.index(mine)][:2]
        assert (row["current"], row["current_from"]) == current
        longest, best = max(((length, span) for *_, length, span in told), key=lambda one: one[0])
        assert (row["longest"], [row["longest_from"], row["longest_to"]]) == (longest, best)

    if slow:
        row = found["rates"].row(0, named=True)
        count = [o.state for o in slow].count
        assert row["due"] == len(slow) == row["counted"] + row["rest"] + row["pending"]
        assert row["missed"] == count("missed") + count("partial")
        assert (row["done"], row["blank"]) == (count("done"), count("blank"))
        assert row["rate"] == (row["done"] / row["counted"] if row["done"] + row["missed"] else None)
    else:
        assert found["rates"].is_empty()


LETTERS: dict[str, dict[str, Any]] = {
    "D": {"mark": "done"},
    "M": {"mark": "not done"},
    "S": {"mark": "rest"},
    "-": {"due": False},
    "?": {},
}


@pytest.mark.parametrize("check", load("streak-rule"), ids=lambda check: check["name"])
def test_streaks_match_the_references(check: dict[str, Any]) -> None:
    letters = check["inputs"]["days"]
    days = [Day(START + dt.timedelta(days=i), logged=True, **LETTERS[letter]) for i, letter in enumerate(letters)]
    today = days[-1].date
    counted = occasions(states(frame(days), today=today), today=today, week_starts="monday")
    streak, rate = (
        streaks(counted, today=today).row(0, named=True),
        rates(counted, week_starts="monday").row(0, named=True),
    )
    found = {name: streak[name] for name in ("longest", "current")} | {n: rate[n] for n in ("done", "missed", "rate")}
    assert found == pytest.approx(check["expected"], abs=check["tolerance"])


def row(text: str, today: int, **more: Any) -> pl.DataFrame:
    """States of days from letters: `.` is an unlogged day, `_` a logged day without a mark."""
    known = LETTERS | {".": {"logged": False}, "_": {}}
    days = [Day(START + dt.timedelta(days=i), **({"logged": True} | more | known[c])) for i, c in enumerate(text)]
    return states(frame(days), today=START + dt.timedelta(days=today))


def test_blank_breaks_or_bridges() -> None:
    counted = occasions(row("DD.DD", 10), today=START + dt.timedelta(days=10), week_starts="monday")
    today = START + dt.timedelta(days=4)
    assert streaks(counted, today=today).get_column("longest").item() == 2
    assert streaks(counted, today=today, blank="bridges").get_column("longest").item() == 4


def test_a_logged_today_without_a_mark_is_pending() -> None:
    # The page may be logged at noon. A mark that is missing by then is not a miss.
    assert row("D_", 1).get_column("state").to_list() == ["done", "pending"]
    assert row("D_", 2).get_column("state").to_list() == ["done", "missed"]


def test_a_number_over_a_limit_is_missed_and_one_at_the_limit_is_done() -> None:
    cups = [0.0, 2.0, 3.0]
    days = [
        Day(START + dt.timedelta(days=i), True, target=2.0, aim="at most", mark="number", value=v)
        for i, v in enumerate(cups)
    ]
    told = states(frame(days), today=START + dt.timedelta(days=9))
    assert told.get_column("state").to_list() == ["done", "done", "missed"]


MONDAY = dt.date(2024, 3, 4)


def week(text: str, today: int, times: int = 3) -> str:
    known = LETTERS | {".": {"logged": False}, "_": {}}
    days = [
        Day(MONDAY + dt.timedelta(days=i), **({"logged": True} | known[c]), times=times, per="week")
        for i, c in enumerate(text)
    ]
    days = [Day(**(asdict(day) | {"due": None})) for day in days]
    now = MONDAY + dt.timedelta(days=today)
    state: str = occasions(states(frame(days), today=now), today=now, week_starts="monday").get_column("state").item()
    return state


def test_a_week_with_a_quota() -> None:
    assert week("D_D_D__", 7) == "done"
    assert week("D_D____", 7) == "missed"
    assert week("D_D....", 7) == "blank"  # one of the four unlogged days could be the third
    assert week("D______", 5) == "pending"  # Saturday and Sunday are left
    assert week("D______", 6) == "missed"  # Sunday alone cannot complete three
    assert week("DDD....", 4) == "done"  # met early, on Friday
    assert week("DSSSSSM", 7) == "rest"  # three cannot be required of two days
    assert week("SSSSDDD", 7) == "done"


def test_a_week_cut_by_a_habits_start_is_not_counted() -> None:
    days = [Day(MONDAY + dt.timedelta(days=i), True, due=None, times=1, per="week", mark="done") for i in range(2, 14)]
    counted = occasions(states(frame(days), today=MONDAY + dt.timedelta(days=20)), today=MONDAY, week_starts="monday")
    assert counted.get_column("from").to_list() == [MONDAY + dt.timedelta(days=7)]


def test_a_streak_ends_at_a_change_of_unit() -> None:
    single = [Day(MONDAY + dt.timedelta(days=i), True, mark="done") for i in range(7)]
    weekly = [
        Day(MONDAY + dt.timedelta(days=i), True, due=None, times=3, per="week", mark="done") for i in range(7, 21)
    ]
    today = MONDAY + dt.timedelta(days=20)
    found = streaks(
        occasions(states(frame(single + weekly), today=today), today=today, week_starts="monday"), today=today
    )
    assert found.select("unit", "current", "longest").row(0) == ("week", 2, 2)


def units(*stretches: tuple[int, str | None, str], blank: str = "breaks", today: int) -> list[tuple[Any, ...]]:
    """The running or longest run of a habit with these stretches of days: their number, `per`, and the mark of each."""
    days: list[Day] = []
    for length, per, letter in stretches:
        state: dict[str, Any] = {"logged": letter != ".", "mark": {"D": "done", "S": "rest"}.get(letter)}
        start = MONDAY + dt.timedelta(days=len(days))
        times = 3 if per else None
        days += [
            Day(start + dt.timedelta(days=i), **state, due=None if per else True, times=times, per=per)
            for i in range(length)
        ]
    now = MONDAY + dt.timedelta(days=today)
    counted = occasions(states(frame(days), today=now), today=now, week_starts="monday")
    return streaks(counted, today=now, blank=blank).select("unit", "current", "longest").rows()  # type: ignore[arg-type]


def test_a_streak_does_not_run_on_over_another_unit() -> None:
    # Single days, a summer of a quota that is rest, not recorded or cut, and single days again.
    assert units((18, None, "D"), (59, "week", "S"), (14, None, "D"), today=90) == [("occasion", 14, 18)]
    assert units((17, None, "D"), (59, "month", "_"), (14, None, "D"), today=90) == [("occasion", 14, 17)]
    assert units((18, None, "D"), (59, "week", "."), (14, None, "D"), blank="bridges", today=90)[0][1:] == (14, 18)
    # From Wednesday on a quota applies: the streak of days is past, though no whole week has begun.
    assert units((9, None, "D"), (20, "week", "D"), today=10) == [("occasion", 0, 9)]
    assert units((9, None, "D"), (20, "week", "D"), today=8) == [("occasion", 9, 9)]


def test_a_week_in_which_the_quota_changes_is_not_counted() -> None:
    five, two = (dict[str, Any](times=times, due=None, per="week") for times in (5, 2))
    days = [
        Day(MONDAY + dt.timedelta(days=i), True, mark="done" if i % 7 < kept else None, **quota)
        for i, (kept, quota) in enumerate([(5, five)] * 9 + [(2, two)] * 12)
    ]
    now = MONDAY + dt.timedelta(days=30)
    counted = occasions(states(frame(days), today=now), today=now, week_starts="monday")
    assert counted.select("from", "state").rows() == [(MONDAY, "done"), (MONDAY + dt.timedelta(days=14), "done")]
    assert streaks(counted, today=now).select("current").item() == 2


def test_every_run_has_its_first_and_last_day() -> None:
    counted = occasions(row("DDMD_", 9), today=START + dt.timedelta(days=9), week_starts="monday")
    found = runs(counted, today=START + dt.timedelta(days=9))
    assert found.get_column("length").to_list() == [2, 1]
    assert found.get_column("to").to_list() == [START + dt.timedelta(days=1), START + dt.timedelta(days=3)]
    assert found.get_column("running").to_list() == [False, False]


def test_no_habits_at_all() -> None:
    empty = states(pl.DataFrame(schema=MARKS), today=START)
    counted = occasions(empty, today=START, week_starts="monday")
    assert counted.is_empty()
    assert streaks(counted, today=START).is_empty()
    assert rates(counted, by="month", week_starts="monday").is_empty()
