"""The month page, driven through its controls."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser import axe
from tests.browser.conftest import READ_ON, Served
from tests.browser.figures import every_figure_shows, open_every_chapter

pytestmark = pytest.mark.xdist_group("browser")

PAGE = "month"


def test_it_opens_at_the_last_logged_month_and_every_figure_shows(served: Served, page: Page) -> None:
    expect(page.locator("h1")).to_have_text("December 2025")
    open_every_chapter(page)
    every_figure_shows(page, "mood-line", "sleep-raster", "category-hours", "planned-went", "links-chart")
    assert page.url == f"{served.root}/month/?month=2025-12"
    grid = page.locator("#month-grid")
    grid.get_by_text("The numbers").click()
    expect(grid.get_by_role("table")).to_have_count(2)
    grid.get_by_text("The numbers").click()
    assert axe.everywhere(page) == []


def test_dark_follows_the_system(page: Page) -> None:
    grounds = {}
    for scheme in ("dark", "light"):
        page.emulate_media(color_scheme=scheme)
        grounds[scheme] = [
            page.locator(where).first.evaluate("place => getComputedStyle(place).backgroundColor")
            for where in ("body", "#App", "#month-grid")
        ]
    assert grounds == {
        "light": ["rgb(251, 248, 242)"] * 2 + ["rgb(255, 255, 255)"],
        "dark": ["rgb(26, 27, 42)"] * 2 + ["rgb(35, 37, 56)"],
    }


def test_another_month_by_list_and_by_button(page: Page) -> None:
    grid = page.locator("#month-grid .rows")
    page.get_by_label("Month", exact=True).select_option("March 2025")
    expect(page.locator("#month-grid .note")).to_contain_text("March 2025")
    march = grid.inner_html()
    page.get_by_label("Month", exact=True).select_option("April 2025")
    expect(page.locator("h1")).to_have_text("April 2025")
    expect(page.locator("#month-grid .note")).to_contain_text("April 2025")
    assert grid.inner_html() != march
    page.get_by_role("button", name="Earlier month").click()
    expect(page.locator("#month-grid .note")).to_contain_text("March 2025")
    assert grid.inner_html() == march


def test_a_missing_journal_is_reported_and_comes_back(served: Served, page: Page) -> None:
    page.get_by_label("Month", exact=True).select_option("March 2025")
    expect(page.locator("h1")).to_have_text("March 2025")
    settings = served.folder / "journal.toml"
    away = settings.rename(served.folder / "elsewhere.txt")
    try:
        expect(page.locator(".problems summary")).to_be_visible(timeout=10_000)
        expect(page.locator("h1")).to_have_text("March 2025")
    finally:
        away.rename(settings)
    expect(page.locator(".problems")).to_have_count(0)


def test_a_low_fortnight_has_one_calm_box_that_closes(served: Served, page: Page) -> None:
    page.get_by_label("Month", exact=True).select_option("March 2025")
    expect(page.locator("#sleep-raster")).to_contain_text("March 2025")
    box = page.locator(".care")
    expect(box).to_have_count(0)
    page.get_by_label("Month", exact=True).select_option("December 2025")
    expect(box).to_have_count(1)
    expect(box).to_contain_text(re.compile(r"Mood was low on 1\d of the last 14 days on which it was noted\."))
    expect(box).to_contain_text("This is a journal and no diagnosis.")
    expect(box).to_contain_text("112 in the European Union")
    page.get_by_role("button", name="Close for a month").press("Enter")
    expect(page.get_by_role("status").filter(has_text="Closed")).to_have_text(
        re.compile(r"Closed until 1 February 2026\.")
    )
    expect(box).to_have_count(0)
    # The cache records the closing, so that pages opened later hide the box too.
    assert (served.folder / ".cache" / "closed.json").read_text() == f'{{"mood":"{READ_ON}"}}'
