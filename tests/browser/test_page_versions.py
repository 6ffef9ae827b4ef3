"""Copies and earlier states of pages at 390 pixels, by keyboard alone: looked at, decided, written and taken back."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.evenings import LAST_NIGHT, TODAY, Evening, day

pytestmark = pytest.mark.xdist_group("evening")

COPY = f"2025/{TODAY} (laptop).toml"


@pytest.fixture
def card(evening: Evening, folder: Path) -> Locator:
    """The card, as it comes by itself when a copy comes into the folder of an open page."""
    evening.page.set_viewport_size({"width": 390, "height": 900})
    card = evening.page.locator(".sheet.copies section")
    expect(card).to_be_hidden()
    (folder / "2025" / f"{TODAY}.toml").write_text(f"mood = 4\n{LAST_NIGHT}", encoding="utf-8")
    (folder / COPY).write_text(f'mood = 2\nmemory = "Sewn."\n{LAST_NIGHT}', encoding="utf-8")
    expect(card).to_have_accessible_name("A copy of a page lies in the folder")
    return card


def press(control: Locator, key: str = "Enter") -> None:
    control.focus()
    control.press(key)


def values(folder: Path) -> dict[str, Any]:
    return tomllib.loads(day(folder, TODAY))


def test_an_earlier_state_is_brought_back_and_taken_back_by_keyboard(evening: Evening, folder: Path) -> None:
    evening.page.set_viewport_size({"width": 390, "height": 900})
    before = day(folder, TODAY)
    evening.choose("Mood", "4 good")
    evening.save("Saved to")
    card = evening.page.locator(".sheet.earlier section")
    expect(card).to_have_accessible_name("Earlier states")
    expect(card.locator("ol > li")).to_have_count(0)  # nothing is asked for before it is opened
    press(card.locator("summary"))
    expect(card.get_by_role("combobox", name="Page").locator("option")).to_have_text(
        ["Thursday 13 March 2025", "Friday 14 March 2025", "Tasks without a day"]
    )
    now, first = (card.locator("ol > li").nth(place) for place in (0, 1))
    expect(now).to_contain_text("by the evening page, as it is now")
    expect(now).to_contain_text("mood 4")
    expect(now.get_by_role("button")).to_have_count(0)
    press(first.get_by_role("button", name=re.compile("^Bring back the state of ")))
    panel = card.get_by_role("group", name=re.compile("^The state of "))
    expect(panel).to_contain_text("mood removed: 4")
    bring = panel.get_by_role("button", name="Bring it back")
    expect(bring).to_be_focused()
    assert values(folder)["mood"] == 4
    assert no_sideways(evening.page)
    press(bring)
    expect(card.get_by_role("status")).to_contain_text(f"2025/{TODAY}.toml is as it was on ")
    assert day(folder, TODAY) == before
    expect(evening.option("Mood", "4 good")).not_to_be_checked()  # the page follows
    back = card.get_by_role("button", name=re.compile("^Take back"))
    expect(back).to_be_focused()
    press(back)
    expect(card.get_by_role("status")).to_contain_text("Taken back.")
    assert values(folder)["mood"] == 4
    card.get_by_role("combobox", name="Page").select_option("2025-03-14")
    expect(card.locator("ol > li")).to_have_text([re.compile("the first state that is kept:")])
    press(card.locator("summary"))


def test_a_copy_is_decided_merged_and_taken_back_by_keyboard(evening: Evening, folder: Path, card: Locator) -> None:
    before, copied = day(folder, TODAY), (folder / COPY).read_text(encoding="utf-8")
    look = card.get_by_role("button", name=f"Look at the copy {COPY}")
    expect(look).to_have_attribute("aria-expanded", "false")
    press(look)
    panel = card.get_by_role("group", name=f"The copy {COPY}")
    expect(panel.get_by_role("listitem").filter(has_text="memory: Sewn.")).to_be_visible()
    expect(card.get_by_role("button", name=f"Close the copy {COPY}")).to_be_focused()
    merge = panel.get_by_role("button", name="Merge", exact=True)
    expect(merge).to_be_disabled()
    choice = panel.get_by_role("radiogroup", name="mood")
    press(choice.get_by_role("radio", name="In the page: 4"), "ArrowDown")
    expect(choice.get_by_role("radio", name="In the copy: 2")).to_be_focused()
    expect(choice.get_by_role("radio", name="In the copy: 2")).to_be_checked()
    expect(panel).to_contain_text("mood 4 to 2")
    assert (day(folder, TODAY), no_sideways(evening.page)) == (before, True)
    press(merge)
    expect(card.get_by_role("status")).to_have_text(re.compile(rf"Merged into 2025/{TODAY}\.toml at "))
    expect(card.get_by_role("heading", name="No copy of a page is left")).to_be_focused()
    assert (values(folder)["mood"], values(folder)["memory"], (folder / COPY).exists()) == (2, "Sewn.", False)
    expect(evening.option("Mood", "2 low")).to_be_checked()  # the page follows
    press(card.get_by_role("button", name="Take back"))
    expect(card.get_by_role("status")).to_have_text(f"Taken back. {COPY} lies beside its page again.")
    assert (day(folder, TODAY), (folder / COPY).read_text(encoding="utf-8")) == (before, copied)

    press(card.get_by_role("button", name=f"Look at the copy {COPY}"))
    press(panel.get_by_role("button", name="Leave both as they are"))
    expect(card.get_by_role("button", name=f"Look at the copy {COPY}")).to_be_focused()
    press(card.get_by_role("button", name=f"Look at the copy {COPY}"))
    press(panel.get_by_role("button", name="Put the copy away"))
    expect(card.get_by_role("status")).to_contain_text(f"The copy is put away, 2025/{TODAY}.toml stays as it is.")
    assert (day(folder, TODAY), (folder / COPY).exists()) == (before, False)
    evening.page.goto("about:blank")  # the way back stays on the page, which the next test does not expect


def no_sideways(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))
