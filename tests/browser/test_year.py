"""The year page, driven through its controls."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser import axe
from tests.browser.conftest import Served
from tests.browser.figures import every_figure_shows, open_every_chapter

pytestmark = pytest.mark.xdist_group("browser")

PAGE = "year"


def test_it_opens_at_the_last_logged_year_and_every_figure_shows(served: Served, page: Page) -> None:
    expect(page.locator("h1")).to_have_text("2025")
    open_every_chapter(page)
    felt = ("year-pixels", "rates-by-month", "mood-line", "weekday-profile", "links-chart", "drivers-chart")
    every_figure_shows(page, *felt, "sleep-raster", "waiting-curve", "ranked-share", "estimates-over-time")
    assert page.url == f"{served.root}/year/?year=2025"
    assert axe.everywhere(page) == []


def test_controls_have_their_names(page: Page) -> None:
    """By Chromium's accessibility tree."""
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    nodes = [(n["role"]["value"], n.get("name", {}).get("value", "")) for n in tree if not n.get("ignored")]
    assert {("combobox", "Year"), ("combobox", "Show"), ("button", "← Earlier year"), ("button", "Later year →"),
            ("navigation", "Pages"), ("main", ""), ("heading", "2025")} <= set(nodes)  # fmt: skip
    assert not [role for role, name in nodes if role in ("button", "combobox", "link", "image") and not name]
    assert [name for role, name in nodes if role == "image"]


def test_another_habit_colours_the_year(page: Page) -> None:
    pixels = page.locator("#year-pixels")
    expect(pixels.locator("h2")).to_contain_text("Mood through 2025")
    page.get_by_label("Show", exact=True).select_option("Energy")
    expect(pixels.locator("h2")).to_contain_text("Energy through 2025")
    page.get_by_label("Show", exact=True).select_option("Walk by the river")
    expect(pixels.locator("h2")).to_contain_text("Walk by the river")


def test_a_clear_link_opens_its_days(page: Page) -> None:
    link = page.locator(".links details").first
    expect(link.locator("summary")).to_contain_text("Walk by the river: mood averaged")
    link.locator("summary").click()
    expect(link.get_by_text("January 2025:").first).to_be_visible()
    expect(page.locator(".links")).to_contain_text("What goes together need not bring about the other")


def test_a_word_finds_its_lines(page: Page) -> None:
    field, found = page.get_by_label("Find in every line"), page.locator(".found")
    expect(found).to_have_count(0)
    field.press_sequentially("GLUE")
    # 12 lines of the pages contain "glue", all in lower case.
    expect(found).to_contain_text("12 lines of gratitude, memories and notes, newest first.")
    expect(found.locator("mark")).to_have_text(["glue"] * 12)
    assert field.evaluate("field => field.getRootNode().activeElement === field"), "typing goes on"
