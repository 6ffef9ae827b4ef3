"""The walk through a review: a first screen that holds what is asked, and chapters that are drawn when opened."""

from __future__ import annotations

import datetime as dt
import itertools
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, ViewportSize, expect

from journal.pages.entrance_pages import WINDOW_KEY
from tests import journals
from tests.browser.conftest import EXAMPLE, NewPage, Reading, Served
from tests.browser.figures import open_every_chapter

pytestmark = pytest.mark.xdist_group("browser")

WIDE, NARROW = ViewportSize(width=1280, height=800), ViewportSize(width=390, height=844)
MOST_SCREENS = {1280: 3, 390: 5}
DRAWN = {"week": "#week-days", "month": "#month-grid", "year": "#year-pixels"}


@pytest.fixture
def served(reading: Reading) -> Served:
    """The example year as it is. With low mood at its end, the care box would stand above the first screen."""

    def build(folder: Path) -> None:
        shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache"), dirs_exist_ok=True)

    return reading.holds("example as it is", build)


def opened(new_page: NewPage, served: Served, name: str) -> Page:
    page = new_page(served)
    page.set_viewport_size(WIDE)
    page.goto(served.opening(name, "on=2025-03-13"))
    expect(page.locator(f"{DRAWN[name]} .wide svg >> visible=true").first).to_be_visible()
    expect(field(page)).to_be_visible()
    expect(page.locator("#chapters .chapter").first).to_be_visible()
    return page


def field(page: Page) -> Locator:
    """The first field of the review."""
    return page.locator("#review textarea").first


def top(place: Locator) -> float:
    box = place.bounding_box()
    assert box is not None
    return box["y"]


def bottom(place: Locator) -> float:
    box = place.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


PLACES = (
    ".opening > h1",
    ".opening > p",
    ".jumps",
    "#period .controls",
    ".care",
    "#findings > .card",
    "#grid > .card",
    "#grid-wide .card",
    "#review .sheet",
    "#chapters",
)


def covered(page: Page) -> list[tuple[str, str]]:
    """The parts of the top and the chapters that cover each other."""
    boxes = {name: box for name in PLACES for one in page.locator(name).all() if (box := one.bounding_box())}
    assert {".opening > p", ".jumps", "#period .controls", "#review .sheet", "#chapters"} < set(boxes)

    def meet(one: str, other: str) -> bool:
        this, that = boxes[one], boxes[other]
        beside = this["x"] >= that["x"] + that["width"] - 1 or that["x"] >= this["x"] + this["width"] - 1
        below = this["y"] >= that["y"] + that["height"] - 1 or that["y"] >= this["y"] + this["height"] - 1
        return not beside and not below

    return [pair for pair in itertools.combinations(boxes, 2) if meet(*pair)]


def is_short(page: Page) -> None:
    """Check that a folded page has few screens, and that nothing scrolls sideways."""
    assert page.locator(".chapter[open]").count() == 0
    size = page.viewport_size
    assert size is not None
    screens = page.evaluate("document.documentElement.scrollHeight / innerHeight")
    print(f"{page.url.rpartition('/')[2]} at {size['width']}: {screens:.2f} screens")
    assert screens <= MOST_SCREENS[size["width"]]
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


LEAST_SEEN = 48  # px of the first field in sight: two lines to begin on


def first_screen(page: Page, name: str) -> None:
    """Check that the first screen has the findings, the whole grid and the first field."""
    size = page.viewport_size
    assert size is not None
    grid, findings = page.locator(DRAWN[name]), page.locator("#findings > .card")
    places = {"grid": grid, "field": field(page), "findings": findings}
    told = {part: f"{top(place):.0f} to {bottom(place):.0f}" for part, place in places.items()}
    print(f"{name} at {size['width']}: {told}")
    assert bottom(grid) <= size["height"]
    assert top(field(page)) <= size["height"] - LEAST_SEEN
    shown = findings.locator("> .findings > li")
    assert 1 <= shown.count() <= 3
    assert bottom(shown.last) <= size["height"]
    is_short(page)
    assert covered(page) == []


def answering_first(new_page: NewPage, served: Served, name: str) -> Page:
    """Open a page, and check its first screen at both widths. It is wide afterwards, with one finding open."""
    page = opened(new_page, served, name)
    first_screen(page, name)
    page.get_by_role("link", name="Look back").press("Enter")
    expect(field(page)).to_be_focused()
    expect(field(page)).to_be_in_viewport()
    page.evaluate("scrollTo(0, 0)")
    page.set_viewport_size(NARROW)
    if name == "month":  # its rows are names with their days
        expect(page.locator(".deciding-habit .choices").first).to_be_hidden()
    first_screen(page, name)
    finding = page.locator("#findings .findings summary").first
    assert bottom(finding) - top(finding) < 30, "a finding is one line"
    finding.click()
    assert bottom(finding) - top(finding) > 40, "and whole when it is opened"
    page.set_viewport_size(WIDE)
    return page


def test_a_week_answers_first_and_print_has_what_is_open(served: Served, new_page: NewPage) -> None:
    page = answering_first(new_page, served, "week")
    page.locator("#chapter-mood > summary").press("Enter")
    expect(page.locator("#chapter-mood")).to_contain_text("Energy was")
    page.emulate_media(media="print")
    expect(page.locator("#chapter-mood h2")).to_be_visible()
    expect(page.locator("#chapter-mood .inside")).to_be_visible()
    expect(page.locator("#chapter-tasks h2")).not_to_be_visible()
    expect(page.locator(".findings li").first).to_be_visible()
    expect(page.get_by_role("button", name="Open all")).not_to_be_visible()


def test_a_month_answers_first_and_a_chapter_stays_open(served: Served, new_page: NewPage) -> None:
    page = answering_first(new_page, served, "month")
    assert page.locator("#chapters svg").count() == 0, "a folded chapter is not drawn"
    field(page).fill("Typed and not saved.")
    nights, hours = page.locator("#chapter-nights"), page.locator("#chapter-hours")
    nights.locator("> summary").focus()
    nights.locator("> summary").scroll_into_view_if_needed()
    before, place = page.evaluate("scrollY"), top(nights)
    page.keyboard.press("Enter")
    expect(nights.locator("#sleep-raster .wide svg")).to_be_visible()
    assert page.evaluate("scrollY") == before
    assert top(nights) == place
    expect(nights.locator("> summary")).to_be_focused()
    assert hours.locator("svg").count() == 0
    page.get_by_role("navigation", name="Chapters").get_by_role("link", name="Hours").press("Enter")
    expect(hours.locator("#category-hours .wide svg")).to_be_visible()
    expect(hours.locator("> summary")).to_be_focused()
    expect(hours.locator("> summary")).to_be_in_viewport()
    expect(field(page)).to_have_value("Typed and not saved.")
    kept = page.evaluate("({...localStorage})")
    kept = {key: value for key, value in kept.items() if key.startswith("duskbook") and key != WINDOW_KEY}
    assert len(kept) == 1, "the chapters that are open"
    assert not re.search("opened|month|nights|hours", str(kept)), "encrypted"
    page.get_by_label("Month", exact=True).select_option("April 2025")
    expect(nights.locator("#sleep-raster")).to_contain_text("April 2025")
    hours.locator("> summary").press("Enter")
    expect(hours).not_to_have_attribute("open", "")
    page.wait_for_timeout(50)  # it is kept a moment later
    page.goto(served.opening("month", "on=2025-05-13"))
    expect(nights.locator("#sleep-raster .wide svg")).to_be_visible()
    expect(page.locator(".chapter[open]")).to_have_count(1)
    page.get_by_role("button", name="Fold all").click()
    expect(page.locator(".chapter[open]")).to_have_count(0)
    expect(page.locator("#chapters svg")).to_have_count(0)


def test_a_year_answers_first_and_a_chapter_with_a_form_keeps_it(served: Served, new_page: NewPage) -> None:
    page = answering_first(new_page, served, "year")
    book = page.locator("#chapter-book")
    assert not book.locator(".yearbook").is_visible()
    book.locator("> summary").press("Enter")
    form = book.locator(".yearbook")
    expect(form).to_be_visible()
    form.evaluate("form => { form.mark = 1 }")
    page.locator("#chapter-mood > summary").press("Enter")
    expect(page.locator("#weekday-profile .wide svg")).to_be_visible()
    expect(book).to_have_attribute("open", "")
    assert form.evaluate("form => form.mark") == 1, "opening another chapter made the form anew"
    page.emulate_media(media="print")
    expect(page.locator("#year-pixels .wide svg")).to_be_visible()
    expect(page.get_by_label("Show", exact=True)).not_to_be_visible()


@pytest.mark.parametrize("name", list(DRAWN))
def test_an_almost_empty_journal_is_short_and_says_so(reading: Reading, new_page: NewPage, name: str) -> None:
    def build(folder: Path) -> None:
        journals.write(folder, {dt.date(2025, 3, 12): {"mood": 3}})

    page = new_page(served := reading.holds("almost empty", build))
    page.set_viewport_size(WIDE)
    page.goto(served.opening(name, "on=2025-03-13"))
    expect(field(page)).to_be_visible()
    expect(page.locator("#chapter-mood h2")).to_contain_text("Mood was 3.0 on average over 1 of ")
    for size in (WIDE, NARROW):
        page.set_viewport_size(size)
        is_short(page)
        assert covered(page) == []
        if size == WIDE:
            assert top(field(page)) < WIDE["height"]
    open_every_chapter(page)
    for inside in page.locator("#chapters .inside").all():
        assert inside.inner_text().strip()
