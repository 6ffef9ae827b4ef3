"""The settings page, used as a person would: a new journal set up, two tabs, mistakes, what hangs on a habit."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Dialog, Page, expect

import journal
from journal.folder import history
from journal.folder.new_journal_text import Beginning, settings_text
from journal.setup.zone_town import proposed_home
from tests.browser import axe
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import SETTINGS, lay
from tests.browser.figures import unfold
from tests.browser.settings_page import SettingsPage

pytestmark = pytest.mark.xdist_group("evening")

TODAY = "2025-03-13"
NEW = settings_text(Beginning(title="My journal", home=proposed_home("Europe/Ljubljana"), week_starts="monday"))
CALENDAR = """BEGIN:VCALENDAR
BEGIN:VEVENT
UID:1
SUMMARY:Paper merchant
DTSTART:20250314T083000
DTEND:20250314T090000
END:VEVENT
END:VCALENDAR
"""


def leave(dialog: Dialog) -> None:
    """Leave a page that has something typed and not saved."""
    dialog.accept()


@pytest.fixture
def open_settings(evening_served: Served, tab: Page) -> Iterator[Any]:
    """A function that opens the settings of a journal.toml."""
    tab.on("dialog", leave)

    def begin(text: str) -> SettingsPage:
        lay(evening_served.folder, {})
        (evening_served.folder / "journal.toml").write_text(text, encoding="utf-8")
        tab.goto(evening_served.opening("settings"))
        tab.evaluate("sessionStorage.clear()")
        tab.goto(evening_served.opening("settings"))
        return SettingsPage(tab)

    yield begin
    tab.remove_listener("dialog", leave)


def text(folder: Path) -> str:
    return (folder / "journal.toml").read_text(encoding="utf-8")


HABITS: list[dict[str, str | bool | list[str]]] = [
    {"Name": "Walk by the river"},
    {"Name": "Stretch", "Due": "on days of the week", "Days of the week": ["Monday", "Wednesday"]},
    {"Name": "Stock count", "Due": "on days of the week", "Every how many weeks": "2", "Days of the week": ["Friday"]},
    {"Name": "Swim", "Due": "a number of times, on any days", "How many times": "3"},
    {
        "Name": "See an exhibition",
        "Due": "a number of times, on any days",
        "How many times": "2",
        "In a week or a month": "month",
    },
    {"Name": "Read", "Amount": "20", "Unit": "pages"},
    {"Name": "Screen after nine", "Amount": "30", "Unit": "minutes", "The amount is": "at most this much"},
    {"Name": "Pay the rent", "Due": "on days of the month", "Days of the month": "1", "Until": "2025-12-31"},
]
RULES: list[dict[str, Any]] = [
    {"every": "FREQ=DAILY"},
    {"every": "FREQ=WEEKLY;BYDAY=MO,WE"},
    {"every": "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"},
    {"times": 3, "per": "week"},
    {"times": 2, "per": "month"},
    {"every": "FREQ=DAILY", "target": 20, "unit": "pages"},
    {"every": "FREQ=DAILY", "target": 30, "unit": "minutes", "aim": "at most"},
    {"every": "FREQ=MONTHLY;BYMONTHDAY=1", "until": dt.date(2025, 12, 31)},
]


def test_a_new_journal_is_set_up(open_settings: Any, folder: Path, tmp_path: Path) -> None:
    page = open_settings(NEW)
    (tmp_path / "work.ics").write_text(CALENDAR, encoding="utf-8")
    for habit in HABITS:
        page.add("Habits", habit)
    row = page.row(page.part("Habits"), "Stock count")
    expect(row.get_by_role("status")).to_contain_text("Every other Friday: 14 March, 28 March, 11 April")
    page.add("Challenges", {"Name": "Thirty letters", "Until": "2025-04-11", "Prompts": "To the baker\nTo the river"})
    page.add("Challenges", {"Name": "No sugar", "From": "2025-04-01", "Until": "2025-04-30"})
    page.add("Routines", {"Task": "Sweep and oil the press", "Minutes it takes": "30"})
    every = {"Due": "on days of the week", "Every how many weeks": "2", "Days of the week": ["Friday"]}
    page.add("Routines", {"Task": "Count", **every})
    page.add("Routines", {"Task": "Taxes", "Due": "on a day of the year", "Day": "31", "Month": "May"})
    calendars = page.part("Calendars")
    page.fill(calendars, "Calendar files outside the journal", str(tmp_path / "work.ics"))
    expect(calendars.get_by_role("status")).to_contain_text("1 file, 1 appointment this week")
    expect(calendars.get_by_role("status")).to_contain_text("Friday 14 March 08:30 Paper merchant")
    places = page.part("Places")
    page.row(places, "Ljubljana")
    expect(places.get_by_role("status")).to_have_text("There today: Sunrise 06:18 · sunset 18:05.")
    page.add("Places", {"Time zone": "Europe/London"})
    expect(places.get_by_label("Degrees north").last).to_have_value("51.51")
    assert page.page.evaluate("document.documentElement.scrollWidth") <= 1280
    lines = page.changed_lines()
    assert not [line for line in lines if line.startswith("−") and "calendars" not in line]
    assert any(line.endswith('name = "Walk by the river"') for line in lines)
    assert text(folder) == NEW
    page.save("Saved to journal.toml at ")
    values = tomllib.loads(text(folder))
    start: dict[str, Any] = {"from": dt.date(2025, 3, 13)}
    habits = [{k: v for k, v in habit.items() if k not in ("key", "name")} for habit in values["habits"]]
    assert habits == [start | rule for rule in RULES]
    assert [habit["name"] for habit in values["habits"]] == [habit["Name"] for habit in HABITS]
    assert values["challenges"][0]["prompts"] == ["To the baker", "To the river"]
    assert values["challenges"][1]["from"] == dt.date(2025, 4, 1)
    assert [routine["every"] for routine in values["routines"]] == [
        "FREQ=DAILY", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", "FREQ=YEARLY;BYMONTH=5;BYMONTHDAY=31"
    ]  # fmt: skip
    assert values["calendars"] == [str(tmp_path / "work.ics")]
    assert values["places"][1] == {
        "key": "london", "name": "London", "latitude": 51.51, "longitude": -0.13, "timezone": "Europe/London"
    }  # fmt: skip
    assert not journal.open(folder, today=dt.date(2025, 3, 13)).problems
    old, new = NEW.splitlines(), iter(text(folder).splitlines())
    assert [line for line in old if line not in new] == [], "every line of before is there, in its order"
    expect(page.said).to_contain_text("Saved")


def test_mistakes_stand_at_their_fields(open_settings: Any, folder: Path) -> None:
    page = open_settings(SETTINGS)
    page.page.set_viewport_size({"width": 390, "height": 900})
    page.fill(page.part("Journal"), "Title of the journal", " ")
    row = page.row(page.part("Habits"), "Read")
    page.fill(row, "Amount", "many")
    page.part("Habits").locator("> summary").click()  # a mistake opens its part again
    page.save("Not saved: 2 places need mending.")
    expect(page.part("Journal").get_by_label("Title of the journal")).to_be_focused()
    expect(row.locator(".wrong:visible")).to_have_text('Expected a number, got "many"; write e.g. 20.')
    expect(row.get_by_label("Amount", exact=True)).to_have_attribute("aria-invalid", "true")
    assert page.page.evaluate("document.documentElement.scrollWidth") <= 390
    unfold(page.page)
    assert axe.everywhere(page.page) == []
    page.fill(page.part("Journal"), "Title of the journal", "Thread")
    page.fill(row, "Amount", "0")
    page.save("Not saved: one place needs mending.")
    expect(row.locator(".wrong:visible")).to_contain_text("Expected a target of more than 0, got 0")
    page.fill(row, "Amount", "25")
    hours = page.part("Hours of the day")
    hours.get_by_text("Write the times").first.click()
    hours.get_by_role("textbox", name="Hours of the usual day, line 1").fill("Sleep 7ish")
    page.save("Not saved: one place needs mending.")
    hours.get_by_role("textbox", name="Hours of the usual day, line 1").fill("Sleep 00:00-06:00")
    page.row(hours, "Workshop").get_by_label("Name", exact=True).fill("Bench")
    page.press("Show the change")
    expect(page.page.get_by_role("region", name="What would change")).to_be_focused()
    page.page.keyboard.press("Control+s")
    expect(page.said).to_contain_text("Saved to journal.toml at ")
    assert text(folder) == (
        SETTINGS.replace('title = "Spine and thread"', 'title = "Thread"')
        .replace("target = 20", "target = 25")
        .replace('"00:00-06:15"', '"00:00-06:00"')
        .replace('name = "Workshop"', 'name = "Bench"')
    )


def test_two_tabs_and_a_reload_lose_nothing(
    open_settings: Any, evening_served: Served, folder: Path, new_page: NewPage
) -> None:
    page = open_settings(SETTINGS)
    other_tab = new_page(evening_served)
    other_tab.on("dialog", leave)
    other_tab.goto(evening_served.opening("settings"))
    other = SettingsPage(other_tab)
    other.fill(other.part("Journal"), "Title of the journal", "Mine")
    other.fill(other.row(other.part("Habits"), "Swim"), "Name", "Swim far")
    other_tab.reload()
    other = SettingsPage(other_tab)
    expect(other_tab.get_by_text("What you had typed and not saved is here again.")).to_be_visible()
    page.page.bring_to_front()
    page.fill(page.part("Journal"), "Title of the journal", "Theirs")
    page.fill(page.row(page.part("Habits"), "Walk by the river"), "Name", "Walk")
    page.save("Saved to ")
    other_tab.bring_to_front()
    expect(other_tab.get_by_text("The files were changed elsewhere meanwhile. What you typed stays.")).to_be_visible()
    other.save("Not saved: the files were changed elsewhere. Choose what stays, then save.")
    asked = other_tab.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(asked).to_contain_text("Title of the journal")
    expect(asked).to_contain_text("Theirs")
    asked.get_by_role("button", name="Title of the journal: keep mine").click()
    expect(other.said).to_have_text("Settled. Save when you are ready.")
    other.save("Saved to ")
    values = tomllib.loads(text(folder))
    assert values["title"] == "Mine"
    assert [habit["name"] for habit in values["habits"]][:3] == ["Walk", "Read", "Swim far"]


def test_a_habit_with_marks_goes_only_when_asked(open_settings: Any, folder: Path) -> None:
    page = open_settings(SETTINGS)
    (folder / "2025").mkdir(exist_ok=True)
    (folder / "2025" / "2025-03-10.toml").write_text("[habits]\nwalk = true\n", encoding="utf-8")
    page.page.reload()
    page = SettingsPage(page.page)
    row = page.row(page.part("Habits"), "Walk by the river")
    row.get_by_role("button", name="Walk by the river: take it out").click()
    notice = page.page.get_by_role("region", name="Take out Walk by the river")
    expect(notice).to_contain_text("1 day has a mark of it.")
    notice.get_by_role("button", name="End it today instead").click()
    expect(row.get_by_label("Until", exact=True)).to_have_value(TODAY)
    row.get_by_role("button", name="Walk by the river: take it out").click()
    page.press("Take it out all the same")
    page.row(page.part("Habits"), "Swim").get_by_role("button", name="Swim: take it out").click()
    page.save("Saved to ")
    assert [habit["key"] for habit in tomllib.loads(text(folder))["habits"]] == ["read", "call"]


def test_a_broken_file_is_mended_here(open_settings: Any, folder: Path) -> None:
    broken = SETTINGS.replace('name = "Swim"', 'name = "Swim').replace("target = 20", "target = 20 pages")
    page = open_settings(broken)
    line = broken.splitlines().index('name = "Swim') + 1
    card = page.page.get_by_role("region", name=f"Line {line}", exact=True)
    lines = card.get_by_role("textbox")
    expect(lines).to_have_value('name = "Swim')
    expect(card.locator(".wrong")).to_contain_text("Expected a closing quote")
    expect(card).to_contain_text('key = "swim"')
    expect(page.page.get_by_role("button", name="Save the settings")).to_be_hidden()
    lines.fill("name = Swim")
    card.get_by_role("button").click()
    expect(card.locator(".wrong")).to_contain_text('put text in quotes: "Swim"')
    expect(lines).to_be_focused()
    assert text(folder) == broken
    page.page.reload()
    lines = page.page.get_by_role("textbox").last
    expect(lines).to_have_value("name = Swim")
    lines.fill('name = "Swim far"')
    card.get_by_role("button").click()
    expect(page.page.get_by_text("Mended and saved to journal.toml at ")).to_be_visible()
    once = SETTINGS.replace('name = "Swim"', 'name = "Swim far"').replace("target = 20", "target = 20 pages")
    assert text(folder) == once, "all other bytes stay"
    assert broken.encode() in [state.data for state in history.states(folder, "settings")]
    page.page.get_by_role("textbox").fill("target = -20")
    page.page.get_by_role("button", name="Mend line").click()
    expect(page.page.locator(".mending .wrong")).to_contain_text("target of more than 0")
    page.page.get_by_role("textbox").fill("target = 20")
    page.page.get_by_role("button", name="Mend line").click()
    page.fill(page.part("Journal"), "Title of the journal", "Whole again")
    page.save("Saved to journal.toml")
    mended = once.replace(" pages\n", "\n")
    assert text(folder) == mended.replace("Spine and thread", "Whole again")
    page.page.get_by_role("button", name="Take back: Saved to journal.toml").click()
    expect(page.page.locator(".bar .said")).to_have_text("Taken back. journal.toml as before.")
    assert text(folder) == mended


def test_a_wrong_value_of_the_file_stands_at_its_field(open_settings: Any, folder: Path) -> None:
    wrong = SETTINGS.replace('per = "week"', 'per = "year"').replace('blank = "breaks"', 'blank = "breaks"\ncolour = 3')
    page = open_settings(wrong)
    row = page.page.locator('[data-section="habits"] details.row[open]')
    expect(row.locator(".wrong:visible")).to_contain_text('Expected "month" or "week", got "year"')
    expect(page.page.locator(".unplaced")).to_contain_text("colour")
    page.fill(page.part("Journal"), "Title of the journal", "Thread")
    page.save("Saved to journal.toml")
    assert text(folder) == wrong.replace("Spine and thread", "Thread"), "what is wrong is kept until it is mended"
