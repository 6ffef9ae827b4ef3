"""The first sight of a page, and the notebook that takes over: nothing jumps, and nothing done before is lost."""

from __future__ import annotations

import re
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser import axe
from tests.browser.conftest import SIGHT, NewPage, Served
from tests.browser.evenings import TODAY, begin, day

# How much moved on the page without a person's doing (the "layout shift" of the browser's own measure).
SHIFTS = """
window.shifted = 0;
new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifted += entry.value;
}).observe({ type: "layout-shift", buffered: true });
"""


class EarlyPage:
    """A page whose frame is held back until `release`."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.held: list[Route] = []
        self.holds = True
        page.add_init_script(SHIFTS)
        page.route("**/assets/index-*.js", self.hold)
        page.goto(address, wait_until="commit")
        expect(page.locator(f"{SIGHT} .masthead")).to_be_visible()

    def hold(self, route: Route) -> None:
        if self.holds:
            self.held.append(route)
        else:
            route.continue_()

    def release(self) -> None:
        self.holds = False
        while self.held:
            self.held.pop().continue_()

    def is_taken_over(self) -> bool:
        return self.page.locator(SIGHT).count() == 0

    def take_over(self) -> None:
        self.release()
        self.page.locator(SIGHT).wait_for(state="detached")

    def type_across(self, letters: int = 60) -> str:
        """Type letter by letter, from before the takeover until after it. Returns what was typed."""
        self.release()
        typed = ""
        after = 0
        while after < letters:
            letter = "abcdefghij"[len(typed) % 10]
            self.page.keyboard.type(letter)
            typed += letter
            after += self.is_taken_over()
        return typed


@pytest.fixture
def evening_of(evening_served: Served) -> Served:
    evening_served.turn(TODAY)
    begin(evening_served.folder)
    return evening_served


def shifted(page: Page) -> float:
    page.wait_for_timeout(100)
    return float(page.evaluate("window.shifted"))


def test_an_evening_is_written_across_the_takeover(new_page: NewPage, evening_of: Served, folder: Path) -> None:
    early = EarlyPage(new_page(evening_of, waits=False), evening_of.opening("evening"))
    page = early.page
    page.get_by_role("radiogroup", name="Mood").get_by_role("radio", name="good").click()
    page.get_by_role("radiogroup", name="Walk by the river").get_by_role("radio", name="done", exact=True).click()
    page.get_by_role("textbox", name="Read, pages").fill("24")
    assert axe.violations(page) == []
    memory = page.get_by_role("textbox", name="One to remember (optional)")
    memory.fill("at the end.")
    memory.press("Home")
    typed = early.type_across()
    expect(memory).to_be_focused()
    expect(memory).to_have_value(f"{typed}at the end.")
    assert memory.evaluate("field => field.selectionStart") == len(typed), "the caret keeps its place"
    assert page.locator("main.sheet").count() == 1
    assert shifted(page) < 0.02
    page.keyboard.press("Control+s")
    expect(page.locator(".answer .said")).to_contain_text("Saved to 2025/2025-03-13.toml")
    text = day(folder, TODAY)
    assert f'memory = "{typed}at the end."' in text
    assert "mood = 4" in text
    assert "walk = true" in text
    assert "read = 24" in text


def test_a_day_is_ticked_before_the_takeover(new_page: NewPage, evening_of: Served, folder: Path) -> None:
    """What is sent before the notebook is there waits for it; and a text of a field that is not sent stays."""
    early = EarlyPage(new_page(evening_of, waits=False), evening_of.opening("day"))
    page = early.page
    page.get_by_role("checkbox", name="Cook wheat paste").click()
    page.get_by_role("textbox", name="A task for today").fill("Call the bindery")
    page.get_by_role("textbox", name="A task for today").press("End")
    assert axe.violations(page) == []
    early.take_over()
    expect(page.locator(".answer .said")).to_contain_text("Cook wheat paste: done · Saved")
    field = page.get_by_role("textbox", name="A task for today")
    expect(field).to_be_focused()
    page.keyboard.type(" at nine")
    field.press("Enter")
    expect(page.locator(".answer .said")).to_contain_text("Call the bindery at nine: added")
    assert shifted(page) < 0.02
    text = day(folder, TODAY)
    assert 'status = "done"' in text
    assert "Call the bindery at nine" in text


def test_a_month_stays_as_it_was_opened(new_page: NewPage, served: Served) -> None:
    early = EarlyPage(new_page(served, waits=False), served.opening("month", "month=2025-03"))
    page = early.page
    expect(page.get_by_role("heading", name="March 2025", exact=True)).to_be_visible()
    assert axe.violations(page) == []
    finding = page.locator(".findings details").first
    finding.locator("summary").click()
    review = page.get_by_role("textbox", name="What held this month?")
    review.fill("Mornings.")
    chapter = page.locator('[data-chapter="mood"] > summary')
    chapter.focus()
    page.keyboard.press("Enter")
    expect(page.locator('[data-chapter="mood"]')).to_have_attribute("open", "")
    at = page.evaluate("scrollY")
    assert at > 0
    early.take_over()
    assert page.evaluate("scrollY") == at
    expect(chapter).to_be_focused()
    expect(page.locator('[data-chapter="mood"] svg').first).to_be_visible()  # the notebook draws it
    expect(finding).to_have_attribute("open", "")
    expect(review).to_have_value("Mornings.")
    assert page.locator("h1").count() == 1


def test_what_is_pressed_chosen_and_searched_waits_for_the_notebook(new_page: NewPage, served: Served) -> None:
    early = EarlyPage(new_page(served, waits=False), served.opening("year", "year=2025"))
    page = early.page
    page.get_by_label("Show", exact=True).select_option("Energy")
    page.get_by_label("Find in every line").fill("paste")
    early.take_over()
    expect(page.get_by_label("Show", exact=True)).to_have_value("Energy")
    expect(page.locator("#grid h2")).to_contain_text("Energy")
    expect(page.get_by_label("Find in every line")).to_have_value("paste")
    expect(page.locator(".found mark").first).to_be_visible()
    early = EarlyPage(page, served.opening("week", "week=2025-W11"))
    page.get_by_role("button", name="Earlier week").press("Enter")
    page.get_by_role("button", name="Earlier week").press("Enter")
    early.take_over()
    expect(page.locator("h1")).to_contain_text("Week 9")
    expect(page.get_by_role("button", name="Earlier week")).to_be_focused()


def test_without_the_frame_it_reads_as_a_page_and_without_a_first_sight_it_comes(
    new_page: NewPage, served: Served
) -> None:
    early = EarlyPage(new_page(served, waits=False), served.opening("settings"))
    page = early.page
    expect(page.get_by_role("heading", name="Settings")).to_be_visible()
    assert page.locator("#root").evaluate("root => root.inert && getComputedStyle(root).visibility") == "hidden"
    page.get_by_role("link", name="Year").click()
    expect(page.locator(f"{SIGHT} h1")).to_have_text("2026")
    page.goto(served.opening("month", "month=2025-03"), wait_until="commit")
    expect(page.locator(f"{SIGHT} .decisions svg").first).to_be_visible()
    early.release()
    page.route("**/first-sight**", lambda route: route.fulfill(status=204))
    page.goto(served.opening("settings"))
    expect(page.get_by_role("heading", name="Settings")).to_be_visible()
    assert page.locator(SIGHT).count() == 0


def test_without_a_first_sight_and_a_frame_the_server_is_heard(browser: Browser, served: Served) -> None:
    """An empty page would say nothing. With a first sight, that stays."""
    with closing(browser.new_context()) as context:  # of its own: the console tells of the missing frame
        page = context.new_page()
        served.let_in(page)
        fault = "The frame of this page is missing."
        page.route("**/frame.js**", lambda route: route.fulfill(status=500, content_type="text/plain", body=fault))
        page.goto(served.opening("settings"))
        heading = page.locator(SIGHT).get_by_role("heading", name="Settings", exact=True)
        expect(heading).to_be_visible()
        page.wait_for_timeout(300)
        expect(heading).to_be_visible()
        page.route("**/first-sight**", lambda route: route.fulfill(status=204))
        page.goto(served.opening("settings"))
        expect(page.get_by_text(fault)).to_be_visible()


def test_a_fault_in_a_cell_of_the_session_holds_nothing_up(new_page: NewPage, served: Served) -> None:
    with served.fault():
        early = EarlyPage(new_page(served, waits=False), served.opening("month", "month=2025-03"))
        page = early.page
        page.get_by_role("textbox", name="What held this month?").fill("Mornings.")
        early.release()
        page.locator(SIGHT).wait_for(state="detached", timeout=12_000)
        expect(page.get_by_role("textbox", name="What held this month?")).to_have_value("Mornings.")
        expect(page.locator("#chapters")).to_be_visible()
        assert page.locator(".findings").count() == 0


def test_without_any_of_the_modules_it_reads_as_a_page(new_page: NewPage, served: Served) -> None:
    """What is written shows as text. With the frame, which the browser loads later, the page comes as usual."""
    page = new_page(served, 390, waits=False)
    page.route(re.compile(r"/assets/index-.*\.js|/browser/"), lambda _: None)  # no answer, ever
    page.goto(served.opening("evening", "on=2025-03-11"), wait_until="commit")
    sight = page.locator(SIGHT)
    expect(sight.get_by_text("This page can be read, not written on")).to_have_count(1)
    expect(sight).not_to_have_attribute("inert", "", timeout=20_000)
    for text in ("Walk by the river done", "Mood 4 good"):
        expect(sight.get_by_text(text, exact=True)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert axe.violations(page) == []
    page.unroute_all()
    page.reload()
    expect(page.get_by_role("radiogroup", name="Mood").get_by_role("radio", name="good")).to_be_checked()
    expect(page.get_by_text("This page can be read, not written on")).to_be_hidden()
