"""The week page, driven through its controls."""

from __future__ import annotations

import time
import tomllib

import pytest
from playwright.sync_api import Page, expect

from tests.browser import axe
from tests.browser.conftest import Served
from tests.browser.figures import every_figure_shows, open_every_chapter

pytestmark = pytest.mark.xdist_group("browser")

PAGE = "week"

# The page itself records when a text appears, because `expect` polls at intervals of up to a second.
NOTICE = """text => new MutationObserver(() => {
    if (!window.noticed && document.body.textContent.includes(text)) window.noticed = Date.now()
}).observe(document.body, {subtree: true, childList: true, characterData: true})"""


def test_it_opens_at_the_last_logged_week_and_every_figure_shows(served: Served, page: Page) -> None:
    expect(page.locator("h1")).to_have_text("Week 1, 29 December 2025 to 4 January 2026")
    open_every_chapter(page)
    every_figure_shows(page, "week-days", "week-strips", "category-hours", "planned-went")
    assert page.url == f"{served.root}/week/?week=2026-W01"
    assert axe.everywhere(page) == []


def test_a_task_is_put_on_a_day_and_taken_back_with_the_keyboard_alone(served: Served, page: Page) -> None:
    def files() -> dict[str, bytes]:
        paths = (path for path in served.folder.rglob("*.toml") if ".cache" not in path.parts)
        return {path.name: path.read_bytes() for path in paths}

    def titles(day: str) -> list[str]:
        path = served.folder / "2026" / f"{day}.toml"
        tables = tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []) if path.exists() else []
        return [task["title"] for task in tables]

    before = files()
    page.get_by_role("link", name="The week ahead").click()
    ahead = page.get_by_role("region", name="The week ahead", exact=True)
    status = ahead.get_by_role("status")
    expect(ahead.locator(".day h3 a").first).to_have_attribute("href", "../day/?on=2026-01-02")
    expect(ahead.locator(".day h3")).to_have_text([
        "Friday 2 January", "Saturday 3 January", "Sunday 4 January", "Monday 5 January",
        "Tuesday 6 January", "Wednesday 7 January", "Thursday 8 January",
    ])  # fmt: skip
    friday = ahead.locator(".day").first
    expect(friday).to_contain_text("No open task. 6 h 15 min of open time and 7 h of planned work.")
    expect(friday).to_contain_text("Sweep and oil the press, 30 min")
    movers = ahead.locator(".waiting").get_by_role("button", name="Put on a day: ")
    first, second = (movers.nth(i).get_attribute("aria-label") or "" for i in (0, 1))
    title = first.removeprefix("Put on a day: ")

    movers.first.press("Enter")
    expect(ahead.get_by_role("button", name="Friday 2 January", exact=True)).to_be_focused()
    page.keyboard.press("Escape")
    expect(movers.first).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(ahead.get_by_role("button", name="Saturday 3 January", exact=True)).to_be_focused()
    page.keyboard.press("Space")
    expect(status).to_contain_text(f'"{title}" is on Saturday 3 January. That day has ')
    assert titles("2026-01-03") == [title]
    expect(ahead.get_by_role("button", name=second, exact=True)).to_be_focused()

    page.set_viewport_size({"width": 390, "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    ahead.get_by_role("button", name=f"Move: {title}", exact=True).press("Enter")
    ahead.get_by_role("button", name="Thursday 8 January", exact=True).press("Enter")
    expect(status).to_contain_text(f'"{title}" is on Thursday 8 January.')
    assert (titles("2026-01-03"), titles("2026-01-08")) == ([], [title])
    back = ahead.get_by_role("button", name=f"Take back: {title}", exact=True)
    back.press("Enter")
    expect(status).to_contain_text("Taken back.")
    assert titles("2026-01-03") == [title]
    back.press("Enter")
    expect(back).not_to_be_visible()
    assert files() == before
    page.set_viewport_size({"width": 1280, "height": 900})


def test_another_week_by_list_by_button_and_by_going_back(page: Page) -> None:
    figure, chosen = page.locator("#week-days"), page.get_by_label("Week", exact=True)
    chosen.select_option("Week 20, 12 to 18 May 2025")
    expect(figure).to_contain_text("12 to 18 May 2025")
    expect(page.get_by_role("region", name="The week ahead", exact=True)).to_have_count(0)
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
    finding = page.locator(".findings li", has_text="Read: 10 in a row")
    days = finding.get_by_text("March 2025: 6, 7, 8")
    expect(days).not_to_be_visible()
    finding.locator("summary").click()
    expect(days).to_be_visible()
    expect(finding.get_by_text("The days, 10")).to_be_visible()


def test_an_edited_file_shows_and_nothing_else_moves(served: Served, page: Page) -> None:
    page.get_by_label("Week", exact=True).select_option("Week 20, 12 to 18 May 2025")
    expect(page.locator("#week-days")).to_contain_text("12 to 18 May 2025")
    file = served.folder / "2025" / "2025-05-14.toml"
    text = file.read_text(encoding="utf-8")
    try:
        page.evaluate(NOTICE, "An edit from outside.")
        started = time.time()
        file.write_text(f'notes = ["An edit from outside."]\n{text.replace("notes =", "# notes =")}', encoding="utf-8")
        expect(page.get_by_text("An edit from outside.")).to_be_visible()
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
