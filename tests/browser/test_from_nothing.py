"""A month from an empty folder, without an editor: the journal set up, days planned, lived and closed, time off, a week
written, a month decided, and the next month that obeys. Everything goes through the pages, as a person would use them.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Iterator
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner
from playwright.sync_api import Dialog, Page, expect

import journal
from journal.cli import duskbook
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import Evening
from tests.browser.settings_page import SettingsPage
from tests.browser.test_day import DayPage
from tests.browser.test_decisions import Deciding
from tests.browser.test_review import Review
from tests.browser.test_settings import CALENDAR, HABITS

pytestmark = pytest.mark.xdist_group("evening")

WEDNESDAY, THURSDAY, FRIDAY, SUNDAY, MONDAY = (f"2025-03-{day}" for day in (26, 27, 28, 30, 31))


@pytest.fixture
def nothing(tmp_path: Path) -> Iterator[Served]:
    """The journal that `duskbook start` makes in an empty folder, served on a Wednesday."""
    folder, home = tmp_path / "journal", tmp_path / "home"
    home.mkdir()
    result = CliRunner().invoke(duskbook, ["start", str(folder), "--yes"], env={"TZ": "Europe/Ljubljana"})
    assert result.exit_code == 0, result.output
    served = Served(folder, WEDNESDAY, home)
    yield served
    assert served.end() == 0


def leave(dialog: Dialog) -> None:
    dialog.accept()


def page_of(folder: Path, name: str) -> dict[str, object]:
    return tomllib.loads((folder / "2025" / f"{name}.toml").read_text(encoding="utf-8"))


def set_up(tab: Page, served: Served, calendar: Path) -> None:
    """Eight habits of every kind, two challenges, three routines, a calendar, and a strip of hours."""
    tab.goto(served.opening("settings"))
    page = SettingsPage(tab)
    for habit in HABITS:
        page.add("Habits", habit)
    page.add("Challenges", {"Name": "Thirty letters", "Until": "2025-04-24", "Prompts": "To the baker\nTo the river"})
    page.add("Challenges", {"Name": "No sugar", "From": "2025-04-01", "Until": "2025-04-30"})
    page.add("Routines", {"Task": "Sweep and oil the press", "Minutes it takes": "30"})
    every: dict[str, str | bool | list[str]] = {
        "Due": "on days of the week", "Every how many weeks": "2", "Days of the week": ["Friday"]
    }  # fmt: skip
    page.add("Routines", {"Task": "Count", **every})
    page.add("Routines", {"Task": "Taxes", "Due": "on a day of the year", "Day": "31", "Month": "May"})
    page.fill(page.part("Calendars"), "Calendar files outside the journal", str(calendar))
    page.save("Saved to journal.toml at ")


def close(tab: Page, served: Served, day: str, memory: str, task: str, *, appointment: str = "") -> None:
    """Close a day, and plan a task for the next, which has an appointment from a calendar."""
    served.turn(day)
    tab.goto(served.opening("evening"))
    evening = Evening(tab)
    if appointment:
        expect(tab.get_by_text(appointment)).to_be_visible()
    evening.choose("Mood", "4 good")
    evening.choose("Walk by the river", "done")
    evening.field("Read, pages").fill("24")
    evening.choose("Challenge: Thirty letters", "done")
    evening.field("Good thing 1").fill("Bread.")
    evening.field("One to remember (optional)").fill(memory)
    evening.field("A new task for tomorrow").fill(task)
    evening.field("A new task for tomorrow").press("Enter")
    evening.save("Saved to ")


def live(tab: Page, served: Served, day: str, task: str) -> None:
    """Tick a task on the day's own page, in a window of a phone's size."""
    served.turn(day)
    tab.set_viewport_size({"width": 390, "height": 844})
    tab.goto(served.opening("day"))
    page = DayPage(tab, served.folder)
    page.task(task).click()
    page.says(f"{task}: done")
    tab.set_viewport_size({"width": 1280, "height": 900})


def test_a_month_from_an_empty_folder_without_an_editor(nothing: Served, new_page: NewPage, tmp_path: Path) -> None:
    folder, tab = nothing.folder, new_page(nothing)
    tab.on("dialog", leave)
    calendar = tmp_path / "work.ics"
    calendar.write_text(CALENDAR.replace("20250314", FRIDAY.replace("-", "")), encoding="utf-8")
    set_up(tab, nothing, calendar)

    close(tab, nothing, WEDNESDAY, "The press runs.", "Quote for the choir")
    live(tab, nothing, THURSDAY, "Quote for the choir")
    close(tab, nothing, THURSDAY, "First guest book sewn.", "Cook wheat paste", appointment="Paper merchant")
    live(tab, nothing, FRIDAY, "Cook wheat paste")
    close(tab, nothing, FRIDAY, "Frost on the window.", "Post the order")

    nothing.turn(SUNDAY)  # ill since Saturday, and told afterwards
    tab.goto(nothing.opening("evening"))
    off = tab.locator(".time-off")
    off.locator("summary").first.click()
    off.get_by_role("button", name="Add", exact=False).first.click()
    off.get_by_label("From", exact=True).fill("2025-03-29")
    off.get_by_label("Until", exact=True).fill(SUNDAY)
    off.get_by_label("Reason, for you alone", exact=True).fill("flu")
    off.get_by_role("button", name="Save the days", exact=True).click()
    expect(off.get_by_role("status")).to_contain_text("Saved to journal.toml at ")

    tab.goto(nothing.opening("week"))
    review = Review(tab)
    review.field("What carried this week?").fill("The letters.")
    review.save("Saved to 2025/2025-W13.toml at ")

    nothing.turn(MONDAY)
    tab.goto(nothing.opening("month", "month=2025-03"))
    month = Deciding(tab)
    for habit in HABITS:
        if habit["Name"] != "Stretch":
            month.press(str(habit["Name"]), "Keep")
    month.press("Stretch", "Change")
    month.propose("Stretch", "Every other week on Monday and Wednesday", "Wednesday 2 April, Monday 14 April")
    month.is_decided("Stretch", "From 1 April 2025: every other week on Monday and Wednesday")
    assert len(month.presses) == len(HABITS)
    assert max(month.presses.values()) <= 2

    obeyed(folder)
    nothing.turn("2025-04-05")
    tab.goto(nothing.opening("month", "month=2025-04"))
    stretch = Deciding(tab).row("Stretch")
    expect(stretch.get_by_role("img", name="Stretch: 1 not recorded, ")).to_be_visible()
    expect(stretch).to_contain_text("every other week on Monday and Wednesday")


def obeyed(folder: Path) -> None:
    """The files say it as a person would write it, and the counting follows them."""
    assert page_of(folder, WEDNESDAY)["memory"] == "The press runs."
    friday = page_of(folder, FRIDAY)
    assert (friday["mood"], friday["challenges"]) == (4, {"thirty-letters": True})
    assert page_of(folder, "2025-W13") == {
        "reflection": [{"prompt": "What carried this week?", "answer": "The letters."}]
    }
    settings = (folder / "journal.toml").read_text(encoding="utf-8")
    assert settings.count('key = "stretch"') == 2
    assert '\n[[rests]]\nfrom = 2025-03-29\nuntil = 2025-03-30\nreason = "flu"\n' in settings
    later = journal.open(folder, today=dt.date(2025, 4, 5), cache=False)
    assert later.problems == ()
    states = later.states.filter(pl.col("state") != "not due")

    def of(habit: str, first: int, last: int, month: int = 3) -> list[tuple[int, str]]:
        days = pl.col("date").is_between(dt.date(2025, month, first), dt.date(2025, month, last))
        return [(row["date"].day, row["state"]) for row in states.filter(days, habit=habit).iter_rows(named=True)]

    walk = [(26, "done"), (27, "done"), (28, "done"), (29, "rest"), (30, "rest"), (31, "blank")]
    assert of("walk-by-the-river", 26, 31) == walk
    assert of("stretch", 26, 31) == [(26, "missed"), (31, "blank")], "Mondays and Wednesdays"
    assert of("stretch", 1, 4, month=4) == [(2, "blank")], "every other week"
