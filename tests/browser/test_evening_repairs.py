"""What is put right on the evening page: today's weather and appointments, a day closed late, files that are broken."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Served
from tests.browser.evenings import LAST_NIGHT, SETTINGS, TODAY, Evening, day, lay

pytestmark = pytest.mark.xdist_group("evening")

WEATHER = '[weather]\nsky = "fog"\nhigh = 16\n\n'
TILEN = '\n[[appointments]]\ntitle = "Tilen"\nstart = "14:00"\nend = "17:00"\n'
CALENDAR = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Merchant\r\nDTSTART:20250313T073000Z\r\nDURATION:PT30M\r\n"
    "END:VEVENT\r\nEND:VCALENDAR\r\n"
)


def opened(tab: Page, served: Served) -> Evening:
    """The page of the files as they are, without what the test before typed."""
    if tab.locator("main.sheet").count():
        tab.evaluate("sessionStorage.clear()")
    tab.goto(served.opening("evening"))
    return Evening(tab)


def test_weather_and_appointments_of_today_are_corrected(evening_served: Served, folder: Path, tab: Page) -> None:
    calendar = folder / "work.ics"
    calendar.write_text(CALENDAR, encoding="utf-8")
    try:
        lay(folder, {f"2025/{TODAY}.toml": WEATHER + LAST_NIGHT + TILEN})
        evening = opened(tab, evening_served)
        heading = tab.locator(".of-the-day > summary")
        expect(heading).to_have_text(
            "The day's weather and appointments: fog, high 16 °C · 08:30–09:00 Merchant · 14:00–17:00 Tilen"
        )
        expect(tab.get_by_role("group", name="Of the day")).to_be_hidden()
        heading.click()
        part = tab.get_by_role("group", name="Of the day")
        expect(part).to_contain_text("in work.ics, change it there")
        part.get_by_role("textbox", name="Weather of the day", exact=True).fill("rain")
        evening.field("Appointment 1 of the day, from").fill("14:30")
        expect(heading).to_contain_text("rain, high 16 °C · 08:30–09:00 Merchant · 14:30–17:00 Tilen")
        evening.press("+ Add an appointment of the day")
        evening.field("Appointment 2 of the day, to").fill("9")
        evening.field("Appointment 2 of the day, what").fill("Post")
        heading.click()
        evening.save("Not saved: one place needs mending.")
        expect(evening.field("Appointment 2 of the day, to")).to_be_focused()  # opened for it
        evening.press("Take out appointment 2 of the day")
        evening.save("Saved to")
        assert day(folder, TODAY) == WEATHER.replace("fog", "rain") + LAST_NIGHT + TILEN.replace("14:00", "14:30")
        assert "Tilen" not in day(folder, "2025-03-14")
        tab.set_viewport_size({"width": 390, "height": 900})
        assert tab.evaluate("document.documentElement.scrollWidth") <= 390
    finally:
        calendar.unlink()


def test_today_is_planned_in_the_morning_or_left_without_a_plan(
    evening_served: Served, folder: Path, tab: Page
) -> None:
    wednesday = '[[tasks]]\ntitle = "Quote"\nid = "t7k2"\n'
    lay(folder, {"2025/2025-03-12.toml": wednesday})
    evening = opened(tab, evening_served)
    tab.get_by_label("Day to close", exact=True).select_option("2025-03-12")
    expect(tab.locator("h1")).to_have_text("Close Wednesday 12 March, open today")
    expect(tab.locator(".plan-switch")).to_contain_text("Today has no plan yet. You can make it here.")
    evening.choose("What becomes of Quote", "carry to today")
    assert evening.tomorrow() == ["Quote"]
    expect(tab.get_by_role("region", name="The hours of today", exact=True)).to_be_visible()
    tab.get_by_text("Plan today as well").click()
    expect(tab.get_by_role("region", name="Will it fit?")).to_be_hidden()
    tab.get_by_role("button", name="Save the day", exact=True).click()
    expect(evening.status).to_contain_text("Saved to 2025/2025-03-12.toml and 2025/2025-03-13.toml at ")
    assert "hours" not in day(folder, TODAY) and 'title = "Quote"\nstatus = "open"' in day(folder, TODAY)
    expect(tab.locator("h1")).to_have_text("Close Wednesday 12 March, open today")
    tab.get_by_role("button", name="Save both days", exact=True).click()
    expect(evening.status).to_contain_text("Saved to 2025/2025-03-13.toml at ")
    assert "[hours.planned]" in day(folder, TODAY)
    expect(tab.locator("h1")).to_have_text("Close Wednesday 12 March")
    expect(tab.locator(".opening")).to_contain_text(
        "Today is planned already, so no plan is asked for. Tasks that you carry go to today."
    )
    expect(tab.get_by_role("region", name="Carried to today")).to_contain_text("Quote")


BROKEN = "mood = 3\nmemory = \n"


def test_broken_pages_are_named_at_once_and_the_rest_is_saved(evening_served: Served, folder: Path, tab: Page) -> None:
    lay(folder, {f"2025/{TODAY}.toml": BROKEN, "undated.toml": BROKEN})
    evening = opened(tab, evening_served)
    told = tab.get_by_role("alert", name="2 files cannot be read")
    expect(told).to_contain_text(f"2025/{TODAY}.toml:2:")
    expect(told).to_contain_text("undated.toml:2:")
    expect(told).to_contain_text("What you write for this day stays in this window.")
    today, left = (
        tab.get_by_role("region", name="Today, Thursday 13 March"),
        tab.get_by_role("region", name="What today left"),
    )
    expect(today).to_contain_text(f"2025/{TODAY}.toml cannot be read, so nothing of this day can be saved.")
    expect(left.get_by_text("No tasks today.")).to_be_hidden()
    expect(tab.get_by_role("region", name="Tasks for tomorrow")).to_contain_text("undated.toml cannot be read")
    evening.choose("Mood", "4 good")
    evening.field("A new task for tomorrow").fill("Sew")
    tab.keyboard.press("Enter")
    tab.get_by_role("button", name=re.compile("^Save ")).click()
    expect(evening.status).to_contain_text(f"Not saved: what belongs in 2025/{TODAY}.toml.")
    expect(tab.locator(".unplaced").first).to_contain_text(f"2025/{TODAY}.toml:2:")
    assert 'title = "Sew"' in day(folder, "2025-03-14") and day(folder, TODAY) == BROKEN
    expect(evening.option("Mood", "4 good")).to_be_checked()
    lay(folder, {f"2025/{TODAY}.toml": "energy = 2\n", "2025/2025-03-14.toml": day(folder, "2025-03-14")})
    tab.get_by_role("button", name="Show what changed").click(timeout=15_000)  # what is typed is still here
    expect(told).to_have_count(0)
    expect(evening.option("Mood", "4 good")).to_be_checked()
    evening.save("Saved to")
    assert day(folder, TODAY) == "mood = 4\nenergy = 2\n"


def test_a_broken_line_of_journal_toml_leaves_its_habit_alone(evening_served: Served, folder: Path, tab: Page) -> None:
    page = "mood = 2\n\n[habits]\nwalk = true\nread = 12\n\n" + LAST_NIGHT
    lay(folder, {f"2025/{TODAY}.toml": page})
    (folder / "journal.toml").write_text(SETTINGS.replace('key = "read"', 'key = "read'), encoding="utf-8")
    evening = opened(tab, evening_served)
    told = tab.get_by_role("alert", name="journal.toml cannot be read")
    expect(told).to_contain_text("Its other lines apply.")
    expect(evening.option("Walk by the river", "done")).to_be_checked()
    expect(tab.get_by_role("textbox", name="Read, pages")).to_have_count(0)
    evening.choose("Swim", "done")
    evening.save(f"Saved to 2025/{TODAY}.toml")
    text = day(folder, TODAY)
    assert "walk = true\nread = 12\nswim = true\n" in text and "asked" not in text


def test_an_unreadable_journal_toml_leaves_marks_and_hours_alone(
    evening_served: Served, folder: Path, tab: Page
) -> None:
    page = "mood = 2\n\n[habits]\nwalk = true\n\n" + LAST_NIGHT
    lay(folder, {f"2025/{TODAY}.toml": page})
    (folder / "journal.toml").write_bytes(SETTINGS.encode() + b"# \xff\n")
    evening = opened(tab, evening_served)
    told = tab.get_by_role("alert", name="journal.toml cannot be read")
    expect(told).to_contain_text("UTF-8")
    expect(tab.get_by_text("so no habit, challenge or scale is known.")).to_be_visible()
    expect(tab.locator(".strip")).to_have_count(0)
    evening.field("Good thing 1").fill("Bread.")
    evening.choose("What becomes of Cook wheat paste", "done")
    evening.save(f"Saved to 2025/{TODAY}.toml at ")
    text = day(folder, TODAY)
    assert 'gratitude = ["Bread."]' in text and "mood = 2" in text and "walk = true" in text
    assert LAST_NIGHT.partition("[[tasks]]")[0] in text
    assert day(folder, "2025-03-14") == ""
