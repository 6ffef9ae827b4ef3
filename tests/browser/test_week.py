"""The week page, driven through its controls."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Served
from tests.browser.figures import every_figure_shows

pytestmark = pytest.mark.xdist_group("browser")

PAGE = "week"

# The page itself records when a text appears, because `expect` polls at intervals of up to a second.
NOTICE = """text => new MutationObserver(() => {
    if (!window.noticed && document.body.textContent.includes(text)) window.noticed = Date.now()
}).observe(document.body, {subtree: true, childList: true, characterData: true})"""


def test_it_opens_at_the_last_logged_week_and_every_figure_shows(served: Served, page: Page) -> None:
    expect(page.locator("h1")).to_have_text("Week 1, 29 December 2025 to 4 January 2026")
    every_figure_shows(page, "week-days", "week-strips", "category-hours", "planned-went")
    assert page.url == f"{served.origin}/week/?week=2026-W01"


def test_another_week_by_list_by_button_and_by_going_back(page: Page) -> None:
    figure, chosen = page.locator("#week-days"), page.get_by_label("Week", exact=True)
    chosen.select_option("Week 20, 12 to 18 May 2025")
    expect(figure).to_contain_text("12 to 18 May 2025")
    expect(page.locator("#week-strips")).to_contain_text("12 to 18 May 2025")
    page.get_by_role("button", name="Earlier week").click()
    expect(figure).to_contain_text("5 to 11 May 2025")
    expect(chosen).to_have_value("Week 19, 5 to 11 May 2025")
    page.get_by_role("button", name="Later week").press("Enter")
    # Two presses while the page still renders are one step of two weeks, without a history entry between.
    expect(figure).to_contain_text("12 to 18 May 2025")
    page.keyboard.press("Enter")  # the button keeps the focus
    expect(figure).to_contain_text("19 to 25 May 2025")
    assert page.url.endswith("week=2025-W21")
    page.go_back()
    expect(page.locator("h1")).to_contain_text("12 to 18 May 2025")
    page.reload()
    expect(page.locator("h1")).to_contain_text("12 to 18 May 2025")


def test_a_finding_opens_its_days(page: Page) -> None:
    page.get_by_label("Week", exact=True).select_option("Week 11, 10 to 16 March 2025")
    finding = page.locator(".findings li", has_text="Screen after nine: done 3 of 7")
    expect(finding.locator("summary")).to_have_text("The days, 14")
    days = finding.get_by_text("March 2025: 3, 4, 5")
    expect(days).not_to_be_visible()
    finding.locator("summary").click()
    expect(days).to_be_visible()


def test_an_edited_file_shows_and_nothing_else_moves(served: Served, page: Page) -> None:
    page.get_by_label("Week", exact=True).select_option("Week 20, 12 to 18 May 2025")
    expect(page.locator("#week-days")).to_contain_text("12 to 18 May 2025")
    file = served.folder / "2025" / "2025-05-14.toml"
    text = file.read_text(encoding="utf-8")
    try:
        page.evaluate(NOTICE, "An edit from outside.")
        started = time.time()
        file.write_text(f'notes = ["An edit from outside."]\n{text.replace("notes =", "# notes =")}', encoding="utf-8")
        expect(page.get_by_text("An edit from outside.")).to_be_visible(timeout=10_000)
        print(f"an edit showed after {page.evaluate('window.noticed') / 1000 - started:.2f} s")
        assert page.locator("h1").inner_text() == "Week 20, 12 to 18 May 2025"
        file.write_text("mood = [broken", encoding="utf-8")
        expect(page.locator(".problems summary")).to_contain_text("could not be read as meant")
        page.locator(".problems summary").click()
        expect(page.locator(".problems code")).to_contain_text("2025/2025-05-14.toml:1")
        assert page.locator("h1").inner_text() == "Week 20, 12 to 18 May 2025"
    finally:
        file.write_text(text, encoding="utf-8")
    expect(page.locator(".problems")).to_have_count(0)
