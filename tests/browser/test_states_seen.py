"""Every state of every control is told apart: with the reader's own colours (forced colours), and in grey.

Pictures are compared, not names of classes (`seen_states`). Nothing here needs an image: a check looks for any.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Page, expect

import journal
from tests.browser.evenings import Evening
from tests.browser.seen_states import LEAST, Picture, alike, cut, difference, picture

pytestmark = pytest.mark.xdist_group("evening")

PAGES = Path(journal.__path__[0], "pages")
POSED = Path(__file__).with_name("posed_states.js").read_text(encoding="utf-8")

Sight = tuple[Literal["active", "none"], Literal["light", "dark"]]
SIGHTS: tuple[Sight, ...] = (("active", "dark"), ("active", "light"), ("none", "light"), ("none", "dark"))


def look(page: Page, sight: Sight) -> None:
    forced, scheme = sight
    page.emulate_media(forced_colors=forced, color_scheme=scheme, reduced_motion="reduce")


def pictured(page: Page) -> dict[str, dict[str, Picture]]:
    """Every group of states, each with its pictures."""
    groups: dict[str, dict[str, Picture]] = {}
    for state in range(page.evaluate("posed.count")):
        page.evaluate("k => posed.pose(k)", state)
        whole = picture(page, full_page=True)
        for group, name, box in page.evaluate("posed.boxes()"):
            groups.setdefault(group, {})[name] = cut(whole, box)
    page.evaluate("posed.end()")
    return groups


def carried(evening: Evening) -> None:
    """Carry a task, whose rank is then asked."""
    evening.option("What becomes of Cook wheat paste", "carry to tomorrow").check()
    expect(evening.page.locator(".rank")).to_be_visible()


FOCUSED = {
    "a button": "button.save",
    "a quiet button": ".half button.quiet >> visible=true",
    "a step of mood": ".swatches input",
    "a mark": ".marks input",
    "a fate": ".chips input",
    "a rank": ".rank input",
    "a field": "textarea",
    "a number": "input.amount >> visible=true",
    "a tick": ".check input:enabled",
    "a fold": ".sheet summary",
    "a block": ".strip .block[tabindex]",
    "an end of a block": ".strip .edge",
    "a place to draw": ".strip .cursor",
    "a list": ".ways select",
    "a page": ".masthead nav a",
}


def test_the_focus_is_seen(evening: Evening) -> None:
    page = evening.page
    carried(evening)
    page.keyboard.press("Tab")
    page.locator(".bar").first.evaluate("bar => { bar.style.position = 'static'; }")  # it would cover others
    unseen = []
    for sight in SIGHTS[:2]:
        look(page, sight)
        for name, selector in FOCUSED.items():
            one = page.locator(selector).first
            one.scroll_into_view_if_needed()
            is_option = selector.startswith((".swatches", ".marks", ".chips", ".rank"))
            box = (one.locator("xpath=following-sibling::label") if is_option else one).bounding_box()
            assert box is not None, name
            x, y, width, height = (box["x"], box["y"], box["width"], box["height"])
            around = {"x": max(0, x - 8), "y": max(0, y - 8), "width": width + 16, "height": height + 16}
            one.evaluate("one => one.blur()")
            before = picture(page, around)
            one.evaluate("one => one.focus({ preventScroll: true })")
            if (pixels := difference(before, picture(page, around))) < 4 * LEAST:
                unseen.append((sight, name, pixels))
    look(page, ("none", "light"))
    assert unseen == []


def test_every_state_of_a_control_is_told_apart(evening: Evening) -> None:
    page = evening.page
    carried(evening)
    alike_states = {}
    for sight in SIGHTS:
        look(page, sight)
        page.evaluate(POSED)
        for name, states in pictured(page).items():
            if pairs := alike(states):
                alike_states[sight, name] = pairs
    look(page, ("none", "light"))
    assert alike_states == {}


def test_no_state_is_an_image() -> None:
    """With images turned off, and for a reader who replaces them, everything is still there."""
    sheets = ("style.css", "first_sight.css", "manual.css", "browser/forms.css")
    assert [name for name in sheets if "url(" in (PAGES / name).read_text(encoding="utf-8")] == []
