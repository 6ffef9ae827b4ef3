"""The week's triage list at 390 pixels, by keyboard only: decisions are saved to the files."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Served
from tests.browser.evenings import day, lay

pytestmark = pytest.mark.xdist_group("evening")

TODAY = "2025-03-16"  # a Sunday
HOSTILE = "<img src=x onerror=alert(1)> ::lucide:x:: $x$"
CARRIED = [("Quote for the choir", "t7k2", 90), ("Sort the papers", "s2a3", 60), (HOSTILE, "h4b5", 20)]
LEFT = 'mood = 3\n\n[[tasks]]\ntitle = "Post the order to Graz"\nestimate = 30\n'
UNDATED = '# Some day.\n[[tasks]]\ntitle = "Sort the button tin"\nsince = 2025-01-02\nid = "u2p5"\n'


def rows(status: str) -> str:
    """Carried tasks in the format of a page."""
    keys = f'since = 2025-03-03\nstatus = "{status}"\n'
    each = [f'[[tasks]]\ntitle = "{title}"\nestimate = {estimate}\nid = "{own}"\n' for title, own, estimate in CARRIED]
    return "\n".join(one + keys for one in each)


PAGES = {
    "2025/2025-03-10.toml": rows("carried"),
    "2025/2025-03-12.toml": rows("carried"),
    "2025/2025-03-13.toml": LEFT,
    f"2025/{TODAY}.toml": rows("open"),
    "undated.toml": UNDATED,
}


@pytest.fixture
def page(evening_served: Served, tab: Page) -> Page:
    """The week of that Sunday, at 390 pixels."""
    lay(evening_served.folder, PAGES)
    evening_served.turn(TODAY)
    tab.set_viewport_size({"width": 390, "height": 900})
    tab.goto(evening_served.opening("week", "week=2025-W11"))
    return tab


def tasks(folder: Path, date: str) -> dict[str, dict[str, Any]]:
    return {task["title"]: task for task in tomllib.loads(day(folder, date)).get("tasks", [])}


def way(page: Page, title: str, name: str) -> Locator:
    group = page.get_by_role("radiogroup", name=f"What becomes of {title}", exact=True)
    return group.get_by_role("radio", name=name, exact=True)


def test_the_list_is_near_the_top(page: Page) -> None:
    card = page.get_by_role("region", name="To decide on", exact=True)
    # It stands before the chapters, and a link at the top leads to it.
    jump = page.get_by_role("link", name=re.compile(r"\d+ tasks to decide on"))
    expect(jump).to_be_in_viewport()
    expect(card).to_be_visible()
    expect(page.locator("#review textarea").first).to_be_visible()
    expect(page.locator("#chapters .chapter").first).to_be_visible()
    jump.click()
    expect(card.get_by_role("heading")).to_be_in_viewport()
    assert card.evaluate("card => card.getBoundingClientRect().bottom") <= page.locator("#chapters").evaluate(
        "chapters => chapters.getBoundingClientRect().top"
    )


def test_one_of_each_with_the_keyboard_alone(page: Page, folder: Path) -> None:
    card = page.get_by_role("region", name="To decide on", exact=True)
    expect(card).to_contain_text("Quote for the choir")
    expect(card).to_contain_text("since 3 March, carried twice, 1 h 30 min · today")
    expect(card.get_by_text(HOSTILE)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    way(page, "Quote for the choir", "do it tomorrow").focus()
    page.keyboard.press("ArrowRight")
    expect(way(page, "Quote for the choir", "make it smaller")).to_be_checked()
    page.keyboard.press("Tab")
    expect(page.get_by_role("textbox", name="Smaller than Quote for the choir")).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("Ask the choir for its sizes")
    page.keyboard.press("Tab")
    page.keyboard.press("Control+a")
    page.keyboard.type("10")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(way(page, "Sort the papers", "do it tomorrow")).to_be_checked()
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowLeft")  # from the first to the last
    expect(way(page, HOSTILE, "drop it")).to_be_checked()
    way(page, "Post the order to Graz", "set a day").press("Space")
    card.get_by_text("Without a day for four weeks or more, 1").press("Enter")
    way(page, "Sort the button tin", "drop it").press("Space")
    expect(card.get_by_role("status")).to_have_text("5 decisions are not saved yet.")

    page.keyboard.press("Control+s")
    expect(card.get_by_role("status")).to_contain_text("Not saved: one place needs mending.")
    date = page.get_by_label("Day for Post the order to Graz", exact=True)
    expect(date).to_be_focused()
    expect(date).to_have_accessible_description("Expected the day to set it on, got none; write e.g. 2025-03-23.")
    date.fill("2025-03-20")
    page.keyboard.press("Control+s")
    expect(card.get_by_role("status")).to_contain_text("Saved to ")

    today, tomorrow = tasks(folder, TODAY), tasks(folder, "2025-03-17")
    assert {title: task["status"] for title, task in today.items()} == {
        "Ask the choir for its sizes": "open",
        "Sort the papers": "carried",
        HOSTILE: "dropped",
        "Sort the button tin": "dropped",
    }
    assert (today["Ask the choir for its sizes"]["estimate"], today["Ask the choir for its sizes"]["id"]) == (
        10,
        "t7k2",
    )
    assert {title: (task["status"], task["id"]) for title, task in tomorrow.items()} == {
        "Sort the papers": ("open", "s2a3")
    }
    posted = tasks(folder, "2025-03-20")["Post the order to Graz"]
    assert tasks(folder, "2025-03-13")["Post the order to Graz"]["id"] == posted["id"]
    assert (folder / "undated.toml").read_text(encoding="utf-8").startswith("# Some day.")
    # Other parts of the page follow the files. Another week has no list.
    page.locator("#chapter-tasks > summary").press("Enter")
    expect(page.locator(".card", has=page.get_by_role("heading", name="Carried most"))).to_contain_text(
        "Sort the papers"
    )
    expect(card).not_to_contain_text("button tin")
    expect(card).to_contain_text("Ask the choir for its sizes")
    expect(card).to_contain_text("· tomorrow")
    page.get_by_label("Week", exact=True).select_option("Week 12, 17 to 23 March 2025")
    expect(card).not_to_be_visible()


def test_choices_survive_an_external_edit_which_is_reported(page: Page, folder: Path) -> None:
    card = page.get_by_role("region", name="To decide on", exact=True)
    way(page, "Quote for the choir", "make it smaller").click()
    smaller = page.get_by_role("textbox", name="Smaller than Quote for the choir")
    smaller.fill("Ask for the sizes")
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("estimate = 90", "estimate = 45"), encoding="utf-8")
    expect(card).to_contain_text("Changed elsewhere meanwhile.")
    expect(card).to_contain_text("Quote for the choir, 45 min, today")
    expect(smaller).to_have_value("Ask for the sizes")
    page.get_by_role("button", name="Save the decisions", exact=True).click()
    expect(card.get_by_role("status")).to_contain_text("Saved to 2025/2025-03-16.toml")
    assert tasks(folder, TODAY)["Ask for the sizes"]["estimate"] == 45, "which nobody touched here"
