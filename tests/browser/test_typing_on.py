"""Somebody who goes on typing in the middle of a line while a form is drawn anew: after its save, and after an edit."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser import test_triage
from tests.browser.conftest import Served
from tests.browser.evenings import SETTINGS, begin, lay
from tests.browser.settings_page import SettingsPage

pytestmark = pytest.mark.xdist_group("evening")

MORE = "abcdefghijklmnopqrstuvwxyz0123456789"


def in_the_middle(field: Locator) -> None:
    """Type a line, and go three letters back in it."""
    field.click()
    field.press("Control+a")
    field.press_sequentially("startend")
    for _ in range(3):
        field.press("ArrowLeft")


def type_on(field: Locator, meanwhile: Callable[[], object]) -> None:
    """Type on, letter by letter, until long after what happens meanwhile."""
    page = field.page
    page.keyboard.type(MORE[:3])
    meanwhile()
    for letter in MORE[3:]:
        page.keyboard.type(letter)
        page.wait_for_timeout(25)
    expect(field).to_have_value(f"start{MORE}end")
    expect(field).to_be_focused()


@pytest.mark.parametrize(
    ("page_name", "query", "name"),
    [
        ("evening", "", "Good thing 2"),
        ("evening", "", "One to remember (optional)"),
        ("week", "week=2025-W11", "What may go?"),
        ("month", "month=2025-02", "What held this month?"),
    ],
)
def test_a_save_moves_no_caret(evening_served: Served, tab: Page, page_name: str, query: str, name: str) -> None:
    tab.goto(evening_served.opening(page_name, query))
    field = tab.get_by_role("textbox", name=name, exact=True)
    in_the_middle(field)
    type_on(field, lambda: tab.keyboard.press("Control+s"))
    expect(tab.get_by_text("Not saved yet.", exact=True).first).to_be_visible()
    tab.keyboard.press("Control+s")
    expect(tab.locator(".said", has_text="Saved to").first).to_be_visible()
    tab.goto(evening_served.opening(page_name, query))
    kept = "Good thing 1" if name == "Good thing 2" else name  # the files have no empty line before it
    expect(tab.get_by_role("textbox", name=kept, exact=True)).to_have_value(f"start{MORE}end")


def test_a_save_of_the_settings_leaves_the_caret(evening_served: Served, tab: Page) -> None:
    """Nothing can be typed while it is saved: what is saved is what is seen."""
    tab.goto(evening_served.opening("settings"))
    field = SettingsPage(tab).part("Journal").get_by_label("Title of the journal")
    in_the_middle(field)
    tab.keyboard.press("Control+s")
    expect(tab.locator(".said", has_text="Saved").first).to_be_visible()
    expect(field).to_be_focused()
    tab.keyboard.type(MORE)
    expect(field).to_have_value(f"start{MORE}end")


def test_an_edit_leaves_the_caret_in_time_off(evening_served: Served, tab: Page) -> None:
    begin(evening_served.folder)
    settings = evening_served.folder / "journal.toml"
    tab.goto(evening_served.opening("evening"))
    tab.locator(".time-off summary").first.click()
    tab.get_by_role("button", name="+ Add time off").click()
    reason = tab.get_by_role("textbox", name="Reason, for you alone")
    in_the_middle(reason)
    type_on(reason, lambda: settings.write_text(SETTINGS.replace("Swim", "Swim far"), encoding="utf-8"))
    expect(tab.get_by_role("button", name="Swim far", exact=True)).to_be_visible()
    settings.write_text(SETTINGS, encoding="utf-8")


def test_an_edit_leaves_the_caret_in_a_decision_on_a_task(evening_served: Served, tab: Page) -> None:
    lay(evening_served.folder, test_triage.PAGES)
    evening_served.turn(test_triage.TODAY)
    left = evening_served.folder / "2025" / "2025-03-13.toml"
    tab.goto(evening_served.opening("week", "week=2025-W11"))
    test_triage.way(tab, "Quote for the choir", "make it smaller").click()
    field = tab.get_by_role("textbox", name="Smaller than Quote for the choir", exact=True)
    in_the_middle(field)
    more = f'{test_triage.LEFT}\n[[tasks]]\ntitle = "Fold the letters"\n'
    type_on(field, lambda: left.write_text(more, encoding="utf-8"))
    expect(tab.get_by_text("Fold the letters").first).to_be_visible()
