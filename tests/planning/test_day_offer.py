"""What the page of a day shows: past, today and coming."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl
import pytest

from tests.evening.evenings import entered, offered, opened, saved
from tests.planning.days import PAGE, PAGE_OF, TODAY, TOMORROW, edited, journal_at, shown

AT_NOON = dt.datetime(2025, 3, 13, 11, 20, tzinfo=dt.UTC)
AFTER_MIDNIGHT = dt.datetime(2025, 3, 13, 23, 30, tzinfo=dt.UTC)  # 00:30 on Friday in Ljubljana


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "journal")


def test_today_has_ranked_tasks_first_the_hour_and_what_is_at_stake(folder: Path) -> None:
    page = shown(folder)
    assert (page["kind"], page["title"], page["now"], page["turns"]) == ("today", "Today, Thursday 13 March", 740, 240)
    assert [(task["title"], task["rank"]) for task in page["tasks"]] == [
        ("Cook wheat paste", 1),
        ("Quote for the choir folders", 2),
        ("Post the order to Graz", None),
    ]
    assert page["habits"][0]["said"]["none"] == "due, 1 in a row so far"
    assert page["challenges"][0]["prompt"] == "Letter 13"
    assert [one["title"] for one in page["left"]] == ["Fold the menu covers"]
    assert (page["before"], page["after"], page["fit"]) == ("2025-03-12", "2025-03-14", None)
    assert shown(folder, now=AFTER_MIDNIGHT)["now"] == 1470


def test_closing_is_due_after_the_last_planned_hour_at_five_at_the_latest(folder: Path) -> None:
    assert shown(folder)["closes"] == 17 * 60  # the workshop ends then
    edited(folder, {"what": "hours", "planned": {"sleep": ["00:00-06:00", "22:00-24:00"], "workshop": ["09:00-11:00"]}})
    assert shown(folder)["closes"] == 11 * 60
    edited(folder, {"what": "appointment", "ref": None, "title": "Delivery", "start": "14:00", "end": "14:30"})
    assert shown(folder)["closes"] == 14 * 60 + 30
    assert shown(folder, TOMORROW)["now"] is None


def test_a_past_day_is_shown_as_lived_and_a_coming_one_as_planned(folder: Path) -> None:
    yesterday, friday = shown(folder, dt.date(2025, 3, 12)), shown(folder, dt.date(2025, 3, 14))
    assert (yesterday["kind"], yesterday["title"], yesterday["closed"]) == (
        "past",
        "Yesterday, Wednesday 12 March",
        True,
    )
    assert (yesterday["routines"], yesterday["undated"], yesterday["left"]) == ([], [], [])
    assert [habit["mark"] for habit in yesterday["habits"] if habit["key"] == "walk"] == [True]
    assert (friday["kind"], friday["title"], friday["habits"]) == ("coming", "Tomorrow, Friday 14 March", [])
    assert [(one["name"], one["said"]) for one in friday["coming_habits"]] == [
        ("Walk", ""),
        ("Read", "20 pages"),
        ("Swim", "3 times a week"),
    ]
    assert [one["title"] for one in friday["routines"]] == ["Sweep", "Stock count"]
    far = shown(folder, dt.date(2026, 3, 14))
    assert (far["title"], far["planned_from"], far["sun"] != "") == ("Saturday 14 March 2026", "weekday", True)


def test_a_broken_page_is_shown_with_its_problem(folder: Path) -> None:
    (folder / PAGE_OF).write_text("mood = \n", encoding="utf-8")
    page = shown(folder)
    assert len(page["problems"]) == 1 and page["problems"][0].startswith(PAGE_OF)
    result = edited(folder, {"what": "habit", "key": "walk", "mark": True}, on=page)
    assert not result.answer.saved and PAGE_OF in result.answer.problems[0].message


def test_a_mark_at_noon_leaves_the_other_habits_blank_until_an_evening_asks(folder: Path) -> None:
    stale = shown(folder)
    edited(folder, {"what": "habit", "key": "walk", "mark": True})

    def states() -> dict[str, str]:
        day = opened(folder, TOMORROW).states.filter(pl.col("date") == TODAY)
        return dict(day.select("habit", "state").iter_rows())

    assert (states()["walk"], states()["read"]) == ("done", "blank")
    assert saved(folder, entered(offered(folder))).saved
    assert (states()["walk"], states()["read"]) == ("done", "missed")
    edited(folder, {"what": "habit", "key": "read", "mark": 20}, on=stale)
    assert "asked" not in (folder / PAGE_OF).read_text(), "the window had not seen the evening"


def test_taking_the_last_mark_back_does_not_leave_the_day_logged(folder: Path) -> None:
    edited(folder, {"what": "habit", "key": "walk", "mark": True})
    edited(folder, {"what": "habit", "key": "walk", "mark": None})
    assert not shown(folder)["closed"]
    assert (folder / PAGE_OF).read_text().strip() == PAGE.strip()
