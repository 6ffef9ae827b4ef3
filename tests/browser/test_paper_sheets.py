"""A photograph of a sheet on the evening and the month page: dropped, read, asked about, written and taken back."""

from __future__ import annotations

import base64
import datetime as dt
import tomllib
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

import journal
from journal.export import day_sheet
from tests.browser import axe
from tests.browser.conftest import Served
from tests.browser.evenings import TODAY, Evening, day
from tests.browser.test_day_pictures import DROP
from tests.paper import camera, simulated
from tests.paper.camera import Shot

pytestmark = pytest.mark.xdist_group("evening")

NIGHT = {f"hours.actual.sleep {hour:02}:{half}": "#" for hour in range(6) for half in ("00", "30")}


def photograph(folder: Path) -> bytes:
    """The sheet of today, filled in by hand, as a camera sees it."""
    book = journal.open(folder, today=dt.date.fromisoformat(TODAY), cache=False)
    (sheet,) = day_sheet.of(book, book.today)
    marks = {"mood": "___#_", "habits.walk": "#", "tasks.0 done": "#", "tasks.1 done": "#", "tasks.1 carried": "#"}
    page = simulated.written(sheet, simulated.printed(sheet), {book.today.day: NIGHT | marks})
    return camera.photograph(page, simulated.DOTS_A_MM, Shot(megapixels=3, tilt=10, toward=40, turn=2, curl=1), 1)


def test_a_dropped_photograph_is_read_asked_about_and_written(evening_served: Served, tab: Page) -> None:
    folder = evening_served.folder
    before = day(folder, TODAY)
    data = photograph(folder)
    tab.set_viewport_size({"width": 390, "height": 900})
    tab.goto(evening_served.opening("evening"))
    Evening(tab).field("One to remember (optional)").fill("Hooks.")
    card = tab.get_by_role("region", name="From paper")
    says = card.get_by_role("status")
    card.locator("summary").press("Enter")
    with tab.expect_file_chooser() as chooser:
        card.get_by_role("button", name="Choose photographs").press("Enter")
    chooser.value.set_files({"name": "notes.txt", "mimeType": "", "buffer": b"walk"})
    expect(says).to_have_text("No sheet was read.")
    expect(card.get_by_role("alert")).to_contain_text("notes.txt is no picture")

    sent = [["sheet.jpg", base64.b64encode(data).decode()], ["torn.jpg", base64.b64encode(data[:40_000]).decode()]]
    tab.evaluate(DROP, [card.element_handle(), "drop", sent])
    expect(says).to_have_text("1 page would be written.")
    expect(card.get_by_role("alert")).to_contain_text("torn.jpg")
    expect(card.get_by_role("heading", name="Sheet of 13 March 2025")).to_be_visible()
    assert card.get_by_role("img", name="as it was photographed").evaluate("image => image.naturalWidth") == 888
    expect(card).to_contain_text("Mood: 4 good")
    expect(card).to_contain_text("Sleep: 00:00-06:00")
    question = card.get_by_role("combobox", name="Quote for the choir folders: done filled, carried filled")
    expect(question).to_be_focused()
    expect(card.get_by_role("img", name="The boxes of Thursday 13 March, Quote")).to_be_visible()
    assert tab.evaluate("document.documentElement.scrollWidth") <= 390
    assert axe.violations(tab) == []
    assert day(folder, TODAY) == before
    question.select_option("Carried")
    card.get_by_role("button", name="Write 1 page").press("Enter")
    expect(says).to_contain_text(f"Wrote 2025/2025-03-14.toml and 2025/{TODAY}.toml.")
    page = tomllib.loads(day(folder, TODAY))
    assert (page["mood"], page["habits"], page["hours"]["actual"]) == (4, {"walk": True}, {"sleep": ["00:00-06:00"]})
    assert [task.get("status", "open") for task in page["tasks"]] == ["done", "carried", "open", "open"]
    assert tomllib.loads(day(folder, "2025-03-14"))["tasks"][0]["id"] == "t7k2"
    expect(Evening(tab).field("One to remember (optional)")).to_have_value("Hooks.")

    card.get_by_role("button", name="Take back").press("Enter")
    expect(says).to_contain_text("Taken back.")
    assert (day(folder, TODAY), day(folder, "2025-03-14")) == (before, "")
    tab.goto(f"{evening_served.origin}/favicon.ico")  # the next test gets a page without a way back
