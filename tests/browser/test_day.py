"""The page of a day at 390 pixels, as a person uses it: each change is on disk at once, and can be undone."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser import axe
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import LAST_NIGHT, TODAY, day
from tests.browser.figures import unfold

pytestmark = pytest.mark.xdist_group("evening")


class DayPage:
    """Drives the page by the accessible names of its controls."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page, self.folder = page, folder

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def field(self, name: str) -> Locator:
        return self.page.get_by_role("textbox", name=name, exact=True)

    def task(self, title: str) -> Locator:
        return self.page.get_by_role("checkbox", name=re.compile(f"^{re.escape(title)}"))

    def mark(self, habit: str, mark: str) -> Locator:
        return self.page.get_by_role("radiogroup", name=habit, exact=True).get_by_role("radio", name=mark, exact=True)

    def says(self, text: str | re.Pattern[str]) -> None:
        expect(self.page.locator(".answer .said")).to_contain_text(text)

    def on_disk(self, date: str = TODAY) -> dict[str, Any]:
        return tomllib.loads(day(self.folder, date))


@pytest.fixture
def shown(evening_served: Served, tab: Page) -> DayPage:
    """Today's page at 390 pixels, without anything typed."""
    tab.set_viewport_size({"width": 390, "height": 900})
    tab.goto(evening_served.opening("day"))
    expect(tab.locator("h1")).to_have_text("Today, Thursday 13 March")
    return DayPage(tab, evening_served.folder)


def written_down(shown: DayPage) -> None:
    """A note, the weather, a task that had no day, and a quote."""
    page = shown.page
    shown.field("A note").fill("Thread came.")
    shown.field("A note").press("Enter")
    shown.says("Note: Thread came.")
    shown.field("Weather").fill("rain")
    shown.field("High, °C").fill("9")
    shown.field("High, °C").press("Enter")
    shown.says("Weather: corrected")
    page.get_by_text("Take one of the 2 without a day").click()
    shown.button("Take in Sort the button tin").click()
    shown.says("Sort the button tin: taken in")
    shown.mark("What to write down", "Quote").click()
    shown.field("The words").fill("Make haste slowly.")
    shown.field("Whose words").fill("Aldus")
    shown.field("Whose words").press("Enter")
    shown.says("Quote: “Make haste slowly.” (Aldus)")
    assert shown.on_disk()["notes"] == ["Thread came.", "“Make haste slowly.” (Aldus)"]
    assert shown.on_disk()["weather"] == {"sky": "rain", "high": 9}
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_day_is_lived_on_its_page_and_every_step_goes_back(shown: DayPage, folder: Path) -> None:
    page = shown.page
    expect(page.get_by_text(re.compile(r"^It is \d\d:\d\d(:|, after)"))).to_be_visible()
    box = page.locator(".strip.shown .block").first.bounding_box()
    assert box is not None and box["height"] > 30 and box["width"] > 50, "the strip is drawn"
    expect(page.get_by_role("link", name="Close this day")).to_have_attribute("href", f"../evening/?on={TODAY}")
    before = {path: path.read_bytes() for path in folder.rglob("*.toml") if ".cache" not in path.parts}
    # A browser may send a hash of them to its maker, to learn how to fill the fields in. So they say nothing.
    named = page.locator("input, textarea, select").evaluate_all("all => all.flatMap(field => [field.id, field.name])")
    assert {re.sub(r"\d+", "0", name) for name in named} <= {
        "",
        "field-0",
        "choice-0",
        "option-0",
        "count-entry",
        "_r_0_",
    }
    assert page.locator("form").count() == 0
    assert page.evaluate("document.documentElement.translate") is False

    shown.task("Cook wheat paste").click()
    shown.says("Cook wheat paste: done · Saved to 2025/2025-03-13.toml at ")
    assert shown.on_disk()["tasks"][0]["status"] == "done"
    assert "# the thick one" in day(folder, TODAY)

    shown.button("Change Post the order to Graz").click()
    shown.field("Title of Post the order to Graz").fill("Post the order to Graz, registered")
    shown.field("Title of Post the order to Graz").press("Enter")
    shown.says("Post the order to Graz, registered: reworded")
    expect(shown.task("Post the order to Graz, registered")).to_be_visible()

    shown.field("A task for today").fill("Call the bindery")
    shown.field("Minutes for the new task").fill("10")
    shown.field("Minutes for the new task").press("Enter")
    shown.says("Call the bindery: added")
    expect(shown.field("A task for today")).to_have_value("")
    assert shown.on_disk()["tasks"][-1] == {"title": "Call the bindery", "status": "open", "estimate": 10}

    expect(page.get_by_text("due, 1 in a row so far").first).to_be_visible()
    shown.mark("Walk by the river", "done").click()
    shown.says("Walk by the river: done")
    expect(page.get_by_text("2nd in a row")).to_be_visible()
    shown.field("Read, pages").fill("12")
    shown.field("Read, pages").press("Tab")
    shown.says("Read: 12 pages")
    shown.mark("Challenge: Thirty letters", "done").click()
    shown.says("Thirty letters: done")
    assert shown.on_disk()["habits"] == {"walk": True, "read": 12}

    written_down(shown)

    expect(shown.button("Undo: Quote: “Make haste slowly.” (Aldus)")).to_be_visible()
    shown.field("A task for today").focus()
    page.keyboard.press("Control+z")  # the field's own, so nothing is undone
    page.locator("h1").focus()
    for done in ("Quote", "Sort the button tin", "Weather", "Note", "Thirty letters", "Read", "Walk by the river"):
        page.keyboard.press("Control+z")
        shown.says(re.compile(f"^{done}.*: undone"))
    for done in ("Call the bindery", "Post the order", "Cook wheat paste"):
        page.get_by_role("button", name=re.compile("^Undo")).click()
        shown.says(re.compile(f"^{done}.*: undone"))
    expect(page.get_by_role("button", name=re.compile("^Undo"))).to_be_hidden()
    assert {path: path.read_bytes() for path in before} == before
    assert day(folder, TODAY) == LAST_NIGHT


def by_keyboard_alone(shown: DayPage) -> None:
    """Tick, rank, reword, mark, and a step back; a number that is none is told at its field."""
    page = shown.page
    shown.task("Post the order to Graz").focus()
    page.keyboard.press("Space")
    shown.says("Post the order to Graz: done")
    expect(shown.task("Post the order to Graz")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(shown.field("Title of Post the order to Graz")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("1")
    shown.says("Post the order to Graz: changed")
    expect(shown.mark("Rank of Post the order to Graz", "1st")).to_be_checked()
    expect(shown.mark("Rank of Post the order to Graz", "1st")).to_be_focused()
    assert "rank" not in shown.on_disk()["tasks"][0], "Cook wheat paste gives its rank up"
    shown.field("Title of Post the order to Graz").focus()
    page.keyboard.press("End")
    page.keyboard.type(", today")
    page.keyboard.press("Escape")
    expect(shown.field("Title of Post the order to Graz")).to_have_value("Post the order to Graz")
    shown.mark("Walk by the river", "done").focus()
    page.keyboard.press("d")
    shown.says("Walk by the river: done")
    page.keyboard.press("Control+z")
    shown.says("Walk by the river: done: undone")
    assert "habits" not in shown.on_disk() and "asked" not in shown.on_disk()

    shown.field("Minutes for Post the order to Graz").fill("soon")
    page.keyboard.press("Enter")
    expect(page.get_by_text('Expected a number, got "soon"; write e.g. 3.')).to_be_visible()
    expect(shown.field("Minutes for Post the order to Graz")).to_be_focused()
    expect(shown.field("Minutes for Post the order to Graz")).to_have_attribute("aria-invalid", "true")
    unfold(page)
    assert axe.everywhere(page) == []
    page.keyboard.press("Escape")


def test_an_editor_another_window_and_the_keyboard_alone(
    shown: DayPage, folder: Path, new_page: NewPage, evening_served: Served
) -> None:
    page, path = shown.page, folder / "2025" / f"{TODAY}.toml"
    # Typed and not saved yet, while an editor works on the page.
    shown.field("A note").fill("Thr")
    path.write_text(LAST_NIGHT.replace('"Photograph the', '"Take pictures of the'), encoding="utf-8")
    expect(shown.task("Take pictures of the spring papers")).to_be_visible()
    shown.says("The files were changed elsewhere; this is how they are now.")
    expect(shown.field("A note")).to_have_value("Thr")

    by_keyboard_alone(shown)

    # The same field, begun here and changed by an editor: both are shown, and the choice is kept.
    shown.field("Weather").fill("rain")
    path.write_text(
        path.read_text().replace("[hours.planned]", '[weather]\nsky = "snow"\n\n[hours.planned]'), encoding="utf-8"
    )
    shown.says("The files were changed elsewhere")
    expect(shown.field("Weather")).to_have_value("rain")
    shown.field("Weather").press("Enter")
    notice = page.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(notice).to_contain_text("snow")
    shown.button("Weather: keep mine").click()
    shown.says("Weather: corrected")
    assert shown.on_disk()["weather"] == {"sky": "rain"}

    # A line that is being reworded is changed by an editor: the typed text can become a note.
    path.write_text('notes = ["Ask."]\n' + path.read_text(), encoding="utf-8")
    shown.field("Note 1").fill("Ask about thread.")
    path.write_text(path.read_text().replace('"Ask."', '"Ask twice."'), encoding="utf-8")
    expect(page.get_by_text("“Ask about thread.” is not saved")).to_be_visible()
    expect(shown.field("Note 1")).to_have_value("Ask twice.")
    shown.button("Make it a note").click()
    shown.says("Note: Ask about thread.")
    assert shown.on_disk()["notes"] == ["Ask twice.", "Ask about thread."]
    shown.button("Undo: Note: Ask about thread.").click()
    shown.says("Note: Ask about thread.: undone")

    # Another window follows, and a reload has what was typed and the steps back.
    other = new_page(evening_served, width=1280)
    other.goto(evening_served.opening("day", "on=2025-03-14"))
    expect(other.locator("h1")).to_have_text("Tomorrow, Friday 14 March")
    page.bring_to_front()
    page.reload()
    expect(shown.field("A note")).to_have_value("Thr")
    shown.button("Undo: Weather: corrected").click()
    shown.says("Weather: corrected: undone")
    assert shown.on_disk()["weather"] == {"sky": "snow"}
    shown.field("A note").fill("")


def test_a_coming_day_is_planned(shown: DayPage) -> None:
    page = shown.page
    shown.button("Friday 14 March").click()
    expect(page.locator("h1")).to_have_text("Tomorrow, Friday 14 March")
    expect(page).to_have_url(re.compile(r"on=2025-03-14"))
    expect(page.get_by_role("link", name="Close this day")).to_have_count(0)
    shown.button("Take in Stock count").click()
    shown.says("Stock count: added")
    shown.mark("Rank of Stock count", "1st").click()
    shown.says("Stock count: changed")
    expect(page.get_by_text("1 h of tasks in")).to_be_visible()
    for name, text in (("from", "10"), ("to", "10:30"), ("what", "Delivery")):
        shown.field(f"New appointment, {name}").fill(text)
    shown.button("Add the appointment").click()
    shown.says("Delivery: added")
    page.get_by_text("Write the times").click()
    shown.field("Hours of tomorrow, line 2").fill("Workshop 09:00-11:00")
    shown.button("Save the hours").click()
    shown.says("Hours of Friday 14 March: planned")
    friday = shown.on_disk("2025-03-14")
    assert friday["tasks"] == [{"title": "Stock count", "status": "open", "estimate": 60, "rank": 1}]
    assert friday["appointments"] == [{"title": "Delivery", "start": "10:00", "end": "10:30"}]
    assert friday["hours"]["planned"]["workshop"] == ["09:00-11:00", "13:30-17:00"]
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.get_by_role("link", name="Evening").click()
    expect(page.locator("h1")).to_have_text("Close today, open tomorrow")
    expect(page.get_by_text("Friday 14 March 2025 is still to come")).to_be_visible()
    page.get_by_label("Day to close", exact=True).select_option("other")
    page.get_by_label("Another day to close").fill("2025-03-20")
    link = page.get_by_role("link", name="Plan Thursday 20 March 2025")
    expect(link).to_have_attribute("href", "../day/?on=2025-03-20")
    link.click()
    expect(page.locator("h1")).to_have_text("Thursday 20 March")
    shown.button("Today").click()
    expect(page.locator("h1")).to_have_text("Today, Thursday 13 March")
    page.get_by_role("link", name="Close this day").click()
    expect(page.locator("h1")).to_have_text("Close today, open tomorrow")
    shown.mark("Mood", "4 good").click()
    shown.button("Save both days").click()
    expect(page.get_by_role("link", name="The page of tomorrow")).to_have_attribute("href", "../day/?on=2025-03-14")
