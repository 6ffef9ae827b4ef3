"""The seven days from tomorrow, as exact tables: what stands on each, and whether it has time for its tasks."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from journal.evening import form_build
from journal.planning import week_ahead
from journal.planning.week_ahead import WeekAhead
from tests import journals
from tests.evening.evenings import CATEGORIES, SETTINGS, opened, text, written

TODAY = dt.date(2025, 3, 16)  # a Sunday
NEXT = dt.date(2025, 3, 17)
FRIDAY = dt.date(2025, 3, 21)

QUOTE: dict[str, Any] = {"title": "Quote", "estimate": 45, "since": dt.date(2025, 3, 3), "id": "t7k2"}


def ahead(folder: Path, today: dt.date = TODAY) -> WeekAhead:
    return week_ahead.offer(opened(folder, today))


def regular(offer: WeekAhead) -> list[tuple[str, list[str]]]:
    return [(habits.when, habits.names) for habits in offer.regular]


def test_a_sunday_shows_the_coming_week_with_all_that_stands_on_it(tmp_path: Path) -> None:
    pages: dict[dt.date, dict[str, Any]] = {
        NEXT: {"tasks": [{"title": "Cut", "estimate": 90}, {"title": "Glue"}, {"title": "Fold", "status": "done"}]},
        FRIDAY: {
            "tasks": [{"title": "Sweep"}],
            "appointments": [{"title": "Paper merchant", "start": "08:30", "end": "09:30"}],
            "habits": {"walk": "rest"},
            "hours": {"planned": {"workshop": ["09:00-12:00"]}},
        },
    }
    offer = ahead(written(tmp_path, pages))
    assert [day.title for day in offer.days][::3] == ["Monday 17 March", "Thursday 20 March", "Sunday 23 March"]
    table = {
        day.weekday: (
            [task.title for task in day.tasks],
            [routine.title for routine in day.routines],
            [(habit.name, habit.state) for habit in day.habits],
            [(one.start, one.title) for one in day.appointments],
            (day.open, day.work, day.planned_from),
        )
        for day in offer.days
    }
    usual = (24 * 60 - 375 - 90 - 210, 210, "usual")
    assert table == {
        "Monday": (["Cut", "Glue", "Fold"], [], [], [], usual),
        "Tuesday": ([], [], [], [], usual),
        "Wednesday": ([], [], [], [], usual),
        "Thursday": ([], [], [], [], usual),
        "Friday": (["Sweep"], [], [("Walk", "rest")], [("08:30", "Paper merchant")], (24 * 60 - 210, 150, "page")),
        "Saturday": ([], [], [], [], (24 * 60 - 450, 0, "weekday")),
        "Sunday": ([], [], [("Call home", "due")], [], usual),
    }
    assert regular(offer) == [("Every day", ["Walk", "Read"]), ("3 times a week", ["Swim"])]
    assert offer.days[0].fit == "1 h 30 min of tasks; 1 more task has no estimate."
    assert offer.days[1].fit == "No open task."
    assert offer.days[1].room == "12 h 45 min of open time and 3 h 30 min of planned work."
    assert offer.days[4].room == "20 h 30 min of open time and 2 h 30 min of planned work, as planned."


def test_tomorrow_is_told_as_the_evening_tells_it(tmp_path: Path) -> None:
    timed = {"tasks": [{"title": f"Done {i}", "status": "done", "estimate": 60, "took": 75 + i} for i in range(4)]}
    past = {TODAY - dt.timedelta(days=i): timed for i in range(1, 8)}
    folder = written(tmp_path, {**past, NEXT: {"tasks": [QUOTE | {"estimate": 800}, {"title": "Cut"}]}})
    evening, day = form_build.offer(opened(folder, TODAY), TODAY).fit, ahead(folder).days[0]
    assert (day.open, day.work) == (evening.open, evening.work)
    estimated = "; one without an estimate counts as the median of its like."
    assert day.fit == f"14 h 20 min of tasks{estimated} That does not fit."
    assert evening.sentence.startswith("14 h 20 min of tasks in ") and evening.sentence.endswith(estimated)
    assert "That does not fit." in evening.detail
    assert day.holds is False


@pytest.mark.parametrize(
    ("tasks", "hours", "fit", "holds"),
    [
        ([{"title": "Cut", "estimate": 1000}], True, "16 h 40 min of tasks. The plain sum does not fit.", False),
        ([{"title": "Cut", "estimate": 60}], True, "1 h of tasks.", True),
        ([{"title": "Cut"}], True, "1 open task without an estimate.", None),
        ([{"title": "Cut", "estimate": 2000}], False, "33 h 20 min of tasks.", None),
        ([], False, "No open task.", None),
    ],
)
def test_what_a_day_holds_is_told_in_few_words(
    tmp_path: Path, tasks: list[dict[str, Any]], hours: bool, fit: str, holds: bool | None
) -> None:
    """A journal without any hours says so: 24 hours of open time would be an invention."""
    settings = {"categories": CATEGORIES} | ({"hours": SETTINGS["hours"]} if hours else {})
    day = ahead(journals.write(tmp_path, {NEXT: {"tasks": tasks}}, **settings)).days[0]
    assert (day.fit, day.holds) == (fit, holds)
    assert hours or (day.open, day.room) == (None, "No hours are planned, and no usual hours are set.")


def test_tasks_to_decide_on_come_first_and_those_on_a_day_are_not_repeated(tmp_path: Path) -> None:
    carried = {"tasks": [QUOTE | {"status": "carried"}]}
    pages: dict[dt.date, dict[str, Any]] = {
        dt.date(2025, 3, 10): carried,
        dt.date(2025, 3, 11): carried,
        dt.date(2025, 3, 14): {"tasks": [{"title": "Fold"}]},
        FRIDAY: {"tasks": [QUOTE]},
    }
    undated = '[[tasks]]\ntitle = "Tin"\nsince = 2025-03-12\nestimate = 20\n[[tasks]]\ntitle = "Tin"\n'
    offer = ahead(written(tmp_path, pages, undated))
    assert [(task.ref, task.title, task.said, task.where) for task in offer.waiting] == [
        ("2025-03-14/Fold", "Fold", "since Friday", "left on Friday 14 March"),
        ("undated/Tin 2025-03-12", "Tin", "since Wednesday, 20 min", "without a day"),
        ("undated/Tin", "Tin", "", "without a day"),
    ]
    assert [task.said for task in offer.days[4].tasks] == ["since 3 March, carried twice"]


def test_time_off_rests_habits_and_a_quota_habit_too(tmp_path: Path) -> None:
    off = {"from": dt.date(2025, 3, 18), "until": dt.date(2025, 3, 19), "habits": ["walk", "swim"]}
    offer = ahead(journals.write(tmp_path, {}, **SETTINGS, rests=[off]))
    rest = [("Walk", "rest"), ("Swim", "rest")]
    assert [[(habit.name, habit.state) for habit in day.habits] for day in offer.days[:3]] == [
        [], rest, rest,
    ]  # fmt: skip


def test_a_habit_of_most_days_is_named_once_by_its_rule(tmp_path: Path) -> None:
    """One that rests on all of the days, or whose rule changes among them, stands with each day."""
    week, start = {"every": "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"}, {"from": dt.date(2025, 3, 1)}
    habits = [
        {"key": "bench", "name": "Bench"} | week | start,
        {"key": "call", "name": "Call", "every": "FREQ=WEEKLY;BYDAY=MO,TU,WE"} | start,
        {"key": "walk", "name": "Walk"} | week | start,
        {"key": "read", "name": "Read", "every": "FREQ=DAILY"} | start,
        {"key": "read", "name": "Read", "every": "FREQ=WEEKLY;BYDAY=SU", "from": dt.date(2025, 3, 19)},
    ]
    off = {"from": NEXT, "until": dt.date(2025, 3, 23), "habits": ["walk"]}
    offer = ahead(journals.write(tmp_path, {}, habits=habits, rests=[off]))
    assert regular(offer) == [("Every weekday", ["Bench"])]
    named = [[f"{habit.name} {habit.state}" for habit in day.habits] for day in offer.days]
    first, walk = ["Call due", "Walk rest", "Read due"], ["Walk rest"]
    assert named == [first, first, ["Call due", *walk], walk, walk, [], ["Read due"]]


def test_the_last_day_of_a_month_and_of_the_tables_has_habits_of_the_days_after(tmp_path: Path) -> None:
    """Sunday 31 August 2025: the tables of a journal without later pages end there."""
    offer = ahead(written(tmp_path), dt.date(2025, 8, 31))
    assert regular(offer)[0] == ("Every day", ["Walk", "Read"])
    assert offer.days[6].habits[0].name == "Call home"


CLOCKS = "The clocks go {} by 1 h at {}"


@pytest.mark.parametrize(
    ("today", "note", "open_minutes"),
    [
        (dt.date(2025, 3, 29), CLOCKS.format("forward", "02:00"), 23 * 60),
        (dt.date(2025, 10, 25), CLOCKS.format("back", "03:00"), 24 * 60),
    ],
)
def test_a_day_of_a_clock_change_is_noted_and_a_skipped_hour_is_not_open(
    tmp_path: Path, today: dt.date, note: str, open_minutes: int
) -> None:
    day = ahead(journals.write(tmp_path, {}, hours={"usual": {}}), today).days[0]
    assert (day.notes, day.open) == ([note], open_minutes)


def test_a_day_away_says_where_and_by_which_clock(tmp_path: Path) -> None:
    places = [
        journals.PLACE,
        {"key": "graz", "name": "Graz", "latitude": 47.07, "longitude": 15.44, "timezone": "Europe/Vienna"},
        {"key": "vienna", "name": "Wien", "latitude": 48.2, "longitude": 16.4, "timezone": "Europe/Ljubljana"},
    ]
    pages = {NEXT: {"place": "graz"}, FRIDAY: {"place": "vienna"}}
    offer = ahead(journals.write(tmp_path, pages, places=places))
    assert offer.days[0].notes == ["In Graz; calendars by the clock of Ljubljana"]
    assert offer.days[4].notes == ["In Wien"]


CALENDAR = """BEGIN:VCALENDAR
BEGIN:VEVENT
UID:1
SUMMARY:Choir
DTSTART:20250321T180000Z
DTEND:20250321T190000Z
END:VEVENT
BEGIN:VEVENT
UID:2
SUMMARY:Broken
DTSTART:soon
END:VEVENT
END:VCALENDAR
"""


def test_a_broken_calendar_a_broken_page_and_broken_undated_tasks_are_told(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"mood": 4}}, "tasks = [")
    (folder / "work.ics").write_text(CALENDAR.replace("\n", "\r\n"), encoding="utf-8", newline="")
    (folder / "2025" / f"{NEXT}.toml").write_text("tasks = [", encoding="utf-8")
    offer = ahead(folder)
    assert [(one.start, one.end, one.title) for one in offer.days[4].appointments] == [("19:00", "20:00", "Choir")]
    assert [day.broken for day in offer.days] == [True] + [False] * 6
    assert offer.days[0].problems[0].startswith("2025/2025-03-17.toml:1")
    assert [problem.partition(":")[0] for problem in offer.problems] == ["work.ics", "undated.toml"]
    assert offer.waiting == []
    assert text(folder, NEXT) == "tasks = ["


@pytest.mark.parametrize(
    ("starts", "today", "first"), [("sunday", "2025-03-15", "Sunday"), ("saturday", "2025-03-14", "Saturday")]
)
def test_the_evening_before_another_start_of_the_week_shows_that_week(
    tmp_path: Path, starts: str, today: str, first: str
) -> None:
    offer = ahead(journals.write(tmp_path, {}, week_starts=starts), dt.date.fromisoformat(today))
    assert (offer.days[0].weekday, len({day.weekday for day in offer.days})) == (first, 7)
