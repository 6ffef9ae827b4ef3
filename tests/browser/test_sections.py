"""What a reader finds on the pages beside the habits: findings, nights, links, hours, tasks and the box of care."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import NewPage, Serve, Served

pytestmark = pytest.mark.xdist_group("browser")

EXAMPLE = Path(__file__).parents[2] / "example_year"
SECTIONS = {
    "week": ["week-strips", "category-hours", "planned-went"],
    "month": ["sleep-raster", "category-hours", "planned-went", "links-chart"],
    "year": ["links-chart", "drivers-chart", "sleep-raster", "waiting-curve", "ranked-share", "estimates-over-time"],
}


@pytest.fixture(scope="module")
def served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    """The example year as of the day after it ended, with a fortnight before that was low."""
    folder = tmp_path_factory.mktemp("journal") / "year"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache"))
    for day in range(15, 32):
        page = folder / "2025" / f"2025-12-{day}.toml"
        page.write_text(
            re.sub(r"^mood = .*$", "mood = 1", page.read_text(encoding="utf-8"), flags=re.M), encoding="utf-8"
        )
    return serve(folder, "2026-01-01")


def every_section_shows(page: Page, name: str) -> None:
    """On a page that is open, at both widths; the page is as wide as it was afterwards."""
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        for key in SECTIONS[name]:
            picture = page.locator(f"#{key} .drawing >> visible=true").locator("svg[role=img]")
            expect(picture).to_have_count(1)
            assert len(picture.get_attribute("aria-label") or "") > 20
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_weeks_sections_show_and_a_finding_opens_its_days(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week", "week=2025-W11"))
    every_section_shows(page, "week")
    finding = page.locator(".findings li", has_text="Screen after nine: done 3 of 7")
    expect(finding.locator("summary")).to_have_text("The days, 14")
    days = finding.get_by_text("March 2025: 3, 4, 5")
    expect(days).not_to_be_visible()
    finding.locator("summary").click()
    expect(days).to_be_visible()


def test_a_years_sections_show_a_clear_link_opens_its_days_and_a_word_its_lines(
    served: Served, new_page: NewPage
) -> None:
    page = new_page(served)
    page.goto(served.opening("year", "year=2025"))
    every_section_shows(page, "year")
    link = page.locator(".links details").first
    expect(link.locator("summary")).to_contain_text("Walk by the river: mood averaged")
    link.locator("summary").click()
    expect(link.get_by_text("January 2025:").first).to_be_visible()
    expect(page.locator(".links")).to_contain_text("What goes together need not bring about the other")
    field, found = page.get_by_label("Find in every line"), page.locator(".found")
    expect(found).to_have_count(0)
    field.press_sequentially("GLUE")
    # 12 lines of the pages say "glue", none of them in capitals.
    expect(found).to_contain_text("12 lines of gratitude, memories and notes, newest first.")
    expect(found.locator("mark")).to_have_text(["glue"] * 12)
    assert field.evaluate("field => field.getRootNode().activeElement === field"), "typing goes on"


def test_a_months_sections_show_and_a_low_fortnight_has_one_calm_box_that_closes(
    served: Served, new_page: NewPage
) -> None:
    page = new_page(served)
    page.goto(served.opening("month", "month=2025-12"))
    every_section_shows(page, "month")
    box = page.locator(".care")
    expect(box).to_have_count(1)
    expect(box).to_contain_text(re.compile(r"Mood was low on 1\d of the last 14 days on which it was noted\."))
    expect(box).to_contain_text("This is a journal and no diagnosis.")
    expect(box).to_contain_text("112 in the European Union")
    page.get_by_label("Month", exact=True).select_option("March 2025")
    expect(page.locator("h1")).to_have_text("March 2025")
    expect(box).to_have_count(0)
    expect(page.locator("#sleep-raster")).to_contain_text("March 2025")
    page.get_by_label("Month", exact=True).select_option("December 2025")
    page.get_by_role("button", name="Close for a month").press("Enter")
    expect(page.get_by_role("status")).to_have_text(re.compile(r"Closed until 1 February 2026\."))
    expect(box).to_have_count(0)
    # What is kept of it is in the cache, so that every page that is opened later knows.
    assert (served.folder / ".cache" / "closed.json").read_text() == '{"mood":"2026-01-01"}'
