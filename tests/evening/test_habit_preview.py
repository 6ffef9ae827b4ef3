"""The previewed streak of each mark is the streak after that mark is saved."""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal import tables
from journal.entry import Entry, Mark, Page
from journal.evening import habit_preview
from journal.measures import states, streaks
from journal.settings import Habit, Settings
from tests import journals
from tests.evening.evenings import DAY, entered, fields, offered, opened, saved, text, written

MARCH = [dt.date(2025, 3, day) for day in range(1, 13)]  # the days before


def kept(**of_day: dict[str, Any]) -> dict[dt.date, dict[str, Any]]:
    """Twelve days of walking and reading; swum on Monday and Tuesday."""
    pages: dict[dt.date, dict[str, Any]] = {day: {"mood": 3, "habits": {"walk": True, "read": 20}} for day in MARCH}
    for day in (dt.date(2025, 3, 10), dt.date(2025, 3, 11)):
        pages[day]["habits"] = pages[day]["habits"] | {"swim": True}
    return pages | {dt.date.fromisoformat(day.replace("_", "-")[1:]): page for day, page in of_day.items()}


def preview_texts(folder: Path, day: dt.date = DAY) -> dict[str, dict[str, str]]:
    return {habit["key"]: habit["said"] for habit in offered(folder, day)["habits"]}


def test_each_mark_in_words(tmp_path: Path) -> None:
    words = preview_texts(written(tmp_path, kept()))
    assert words["walk"] == {
        "none": "due, 12 in a row so far",
        "done": "13th in a row",
        "not": "streak ends at 12",
        "rest": "rest day, streak of 12 kept",
    }
    assert words["read"]["partial"] == "in part, streak ends at 12"
    assert words["swim"] == {
        "none": "2 of 3 this week, 4 days left",
        "done": "3 of 3 this week",
        "not": "2 of 3 this week, 3 days left",
        "rest": "2 of 3 this week, 3 days left",
    }
    assert words["call"]["none"] == "not due"


def test_the_quota_example_of_the_design(tmp_path: Path) -> None:
    pages = kept()
    pages[dt.date(2025, 3, 11)]["habits"] = {"walk": True}
    assert preview_texts(written(tmp_path, pages))["swim"]["done"] == "2 of 3 this week, 3 days left"


def test_a_quota_out_of_reach_and_an_exceeded_quota(tmp_path: Path) -> None:
    saturday = dt.date(2025, 3, 15)
    week = journals.days_between(dt.date(2025, 3, 3), dt.date(2025, 3, 14))
    folder = written(tmp_path / "one", {day: {"habits": {}} for day in week})
    assert preview_texts(folder, saturday)["swim"]["not"] == "0 of 3 this week, 1 day left: not this week"
    pages = kept(_2025_03_12={"habits": {"swim": True}})
    assert preview_texts(written(tmp_path / "two", pages))["swim"]["done"] == "4 this week, 3 due"


def month_of_swims(folder: Path, swum: list[dt.date], logged: list[dt.date], first: dt.date | None = None) -> Path:
    """Two swims a month; those of February were swum."""
    swims = [dt.date(2025, 2, 3), dt.date(2025, 2, 10), *swum]
    pages: dict[dt.date, dict[str, Any]] = {day: {"mood": 3} for day in logged}
    pages |= {day: {"mood": 3, "habits": {"swim": True}} for day in swims}
    swim = {"key": "swim", "name": "Swim", "times": 2, "per": "month", "from": first or dt.date(2025, 1, 1)}
    return journals.write(folder, pages, habits=[swim])


EVERY_DAY = list(journals.days_between(dt.date(2025, 3, 1), dt.date(2025, 3, 30)))
LAST = dt.date(2025, 3, 31)


def test_the_last_evening_of_a_month_says_what_each_mark_makes_of_it(tmp_path: Path) -> None:
    folder = month_of_swims(tmp_path, [dt.date(2025, 3, 5)], EVERY_DAY)
    assert preview_texts(folder, LAST)["swim"] == {
        "none": "1 of 2 this month, 1 day left",
        "done": "2 of 2 this month, 2nd month in a row",
        "not": "1 of 2 this month, no day left: not this month, streak ends at 1 month",
        "rest": "1 of 2 this month, no day left: not this month, streak ends at 1 month",
    }


def test_a_quota_that_is_out_of_reach_is_told_so(tmp_path: Path) -> None:
    words = preview_texts(month_of_swims(tmp_path, [], EVERY_DAY), LAST)["swim"]
    assert words["none"] == "0 of 2 this month, 1 day left: not this month"
    assert words["done"] == "1 of 2 this month, no day left: not this month"


def test_a_quota_stays_open_while_days_that_were_not_logged_could_have_met_it(tmp_path: Path) -> None:
    """The streak is not broken then, so no mark may say that it is."""
    folder = month_of_swims(tmp_path, [], EVERY_DAY[:5])
    words = preview_texts(folder, LAST)["swim"]
    assert words["none"] == "0 of 2 this month, 1 day left: open while days are not logged"
    assert words["not"] == "0 of 2 this month, no day left: open while days are not logged"
    (streak,) = streaks.streaks(opened(folder, LAST).occasions, today=LAST).iter_rows(named=True)
    assert (streak["current"], streak["pending"]) == (1, True)


def test_rest_that_leaves_too_few_days_keeps_the_streak(tmp_path: Path) -> None:
    rests = [dt.date(2025, 3, day) for day in range(11, 16)]
    pages: dict[dt.date, dict[str, Any]] = {
        day: {"mood": 3, "habits": {"swim": True}} for day in journals.days_between(dt.date(2025, 3, 3), rests[0])
    }
    pages |= {dt.date(2025, 3, 10): {"mood": 3}} | {day: {"mood": 3, "habits": {"swim": "rest"}} for day in rests[:4]}
    words = preview_texts(written(tmp_path, pages), dt.date(2025, 3, 16))["swim"]
    assert words["rest"] == "0 of 3 this week: rest this week, streak of 1 week kept"
    assert words["not"] == "0 of 3 this week, no day left: not this week, streak ends at 1 week"
    assert words["done"] == "1 of 3 this week, no day left: not this week, streak ends at 1 week"


def test_a_month_that_the_habit_s_first_day_cuts_is_told_as_not_counted(tmp_path: Path) -> None:
    folder = month_of_swims(tmp_path, [], EVERY_DAY, first=dt.date(2025, 3, 20))
    assert preview_texts(folder, LAST)["swim"]["not"] == "0 of 2 this month, part of a month: not counted"


def test_a_later_day_that_is_marked_already_is_not_left(tmp_path: Path) -> None:
    """A day that is closed late: the swim two days later is done, so it is no day that is left."""
    folder = written(tmp_path, kept(_2025_03_15={"mood": 3, "habits": {"swim": True}}))
    words = next(
        habit["said"] for habit in offered(folder, today=dt.date(2025, 3, 16))["habits"] if habit["key"] == "swim"
    )
    assert words["done"] == "4 this week, 3 due"
    folder = written(tmp_path, {dt.date(2025, 3, 15): {"mood": 3, "habits": {"swim": True}}})
    for day in MARCH:
        (folder / "2025" / f"{day}.toml").unlink()
    words = next(
        habit["said"] for habit in offered(folder, today=dt.date(2025, 3, 16))["habits"] if habit["key"] == "swim"
    )
    assert words["not"] == "1 of 3 this week, 2 days left"


def test_a_first_day_and_a_broken_streak(tmp_path: Path) -> None:
    pages = kept(_2025_03_12={"mood": 2, "habits": {"walk": False}})
    words = preview_texts(written(tmp_path, pages))["walk"]
    assert words == {"none": "due", "done": "done", "not": "not done", "rest": "rest day"}


def test_due_habits_come_first_and_those_out_of_force_not_at_all(tmp_path: Path) -> None:
    folder = written(tmp_path, kept())
    habits = offered(folder)["habits"]
    assert [(habit["key"], habit["kind"], habit["due"]) for habit in habits] == [
        ("walk", "plain", True),
        ("read", "counted", True),
        ("swim", "quota", True),
        ("call", "plain", False),
    ]
    assert [habit["key"] for habit in offered(folder, dt.date(2025, 3, 1))["habits"]] == ["walk", "read", "call"]


@pytest.mark.parametrize(("mark", "value"), [("done", True), ("not", False), ("rest", "rest")])
@pytest.mark.parametrize("day", [DAY, dt.date(2025, 3, 9)])
def test_the_preview_agrees_with_the_saved_mark(tmp_path: Path, day: dt.date, mark: str, value: Any) -> None:
    folder = written(tmp_path, {date: page for date, page in kept().items() if date < day})
    offer = offered(folder, day)
    words = next(habit["said"][mark] for habit in offer["habits"] if habit["key"] == "walk")
    assert saved(folder, entered(offer, habits={"walk": value}), day=day).saved
    book = opened(folder, day)
    every = states.occasions(states.states(book.tables.marks, today=day), today=day, week_starts="monday")
    now = streaks.streaks(every, today=day).filter(habit="walk").row(0, named=True)["current"]
    before = (day - MARCH[0]).days
    assert (now, words) == {
        "done": (before + 1, f"{before + 1}th in a row"),
        "not": (0, f"streak ends at {before}"),
        "rest": (before, f"rest day, streak of {before} kept"),
    }[mark]


def test_the_prompt_of_the_day_and_the_count(tmp_path: Path) -> None:
    pages: dict[dt.date, dict[str, Any]] = {day: {"challenges": {"letters": day.day != 5}} for day in MARCH}
    folder = written(tmp_path, pages | {DAY: {"challenges": {"letters": True}}})
    (letters,) = offered(folder)["challenges"]
    assert (letters["prompt"], letters["said"], letters["said_not"]) == ("Letter 13", "12 of 13", "11 of 13")
    (letters,) = offered(folder, dt.date(2025, 3, 14))["challenges"]
    assert (letters["ticked"], letters["said"], letters["number"], letters["days"]) == (None, "12 of 13 so far", 14, 30)
    assert not offered(folder, dt.date(2025, 3, 31))["challenges"]


def test_a_late_tick_keeps_its_date_until_it_is_removed(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"challenges": {"letters": dt.date(2025, 3, 15)}}})
    (letters,) = offered(folder)["challenges"]
    assert (letters["ticked"], letters["said"]) == ("2025-03-15", "1 of 13")
    assert saved(folder, entered(offered(folder), mood=4)).saved
    assert text(folder, DAY) == "mood = 4\n\n[challenges]\nletters = 2025-03-15\n"
    assert saved(folder, entered(offered(folder), challenges={"letters": False})).saved
    assert text(folder, DAY) == "mood = 4\n\n[challenges]\nletters = false\n"


def test_a_day_closed_late_can_have_a_late_tick(tmp_path: Path) -> None:
    folder, today = written(tmp_path, {DAY: {"mood": 4}}), DAY + dt.timedelta(days=3)

    def closed(tick: object) -> dict[str, str]:
        return fields(saved(folder, entered(offered(folder, today=today), challenges={"letters": tick}), day=today))

    assert closed("2025-03-16") == {}
    assert text(folder, DAY) == "mood = 4\n\n[challenges]\nletters = 2025-03-16\n"
    assert closed("2025-03-17") == {"challenges.letters": "2025-03-17 is still to come; choose the day it was done on."}
    assert "expected a day after 2025-03-13" in closed("2025-03-13")["challenges.letters"].lower()
    assert closed("") == {"challenges.letters": "The day it was done on is missing; choose it."}
    assert closed("soon") == {"challenges.letters": 'There is no day "soon"; write e.g. "2025-03-14".'}
    assert text(folder, DAY) == "mood = 4\n\n[challenges]\nletters = 2025-03-16\n"


GIVEN: tuple[Mark, ...] = (True, True, True, "rest")


def any_journal(seed: int, day: dt.date) -> journal.Journal:
    """Four months of habits of every kind, some kept for long and some rarely, with weeks without a page."""
    dice = random.Random(seed)
    first = day - dt.timedelta(days=120)
    change = first + dt.timedelta(days=dice.randrange(20, 110))
    habits = (
        Habit(key="walk", name="Walk", start=first, every="FREQ=DAILY"),
        Habit(key="call", name="Call", start=first, every="FREQ=WEEKLY;BYDAY=SU"),
        Habit(key="pay", name="Pay", start=first, every="FREQ=MONTHLY;BYMONTHDAY=3"),
        Habit(key="swim", name="Swim", start=first, times=2, per="week"),
        Habit(key="sort", name="Sort", start=first, times=3, per="month"),
        Habit(key="read", name="Read", start=first, every="FREQ=DAILY", target=20, unit="pages", until=change),
        Habit(key="read", name="Read", start=change + dt.timedelta(days=1), times=1, per="week"),
    )
    chances = {habit.key: dice.choice([0.2, 0.97, 1.0]) for habit in habits}
    pages = []
    for date in journals.days_between(first, day):
        if dice.random() < 0.97:
            done: dict[str, Mark] = {key: dice.choice(GIVEN) for key in chances if dice.random() < chances[key]}
            content = Entry(habits=done, mood=3)
            pages.append(Page(path=f"{date.year}/{date}.toml", key=date.isoformat(), kind="day", content=content))
    settings = Settings(title="Any", places=(), habits=habits, blank=dice.choice(["breaks", "bridges"]))
    return journals.of_tables(tables.build(tables.record(pages), settings, day), settings)


def test_the_last_months_tell_what_the_whole_journal_tells(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = set()
    for seed in range(16):
        day = DAY + dt.timedelta(days=seed * 5)
        of_months = []
        for months in (dt.timedelta(days=10), dt.timedelta(days=4000)):
            monkeypatch.setattr(habit_preview, "_MONTHS", months)
            book = any_journal(seed, day)
            of_months.append(habit_preview.habit_offers(book, day, {}))
        assert of_months[0] == of_months[1], seed
        _, whole = habit_preview._tried(book, pl.col("date") >= (day - dt.timedelta(days=10)).replace(day=1))
        taken.add(len(whole))
    assert len(taken) > 2, "of some the last days are enough, of others all are needed"
