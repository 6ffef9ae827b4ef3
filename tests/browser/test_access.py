"""What no tool decides of access: names that hold what is seen, one main part, and the save bar of an enlarged page."""

from __future__ import annotations

import pytest

from tests.browser.evenings import Evening
from tests.browser.figures import unfold

pytestmark = pytest.mark.xdist_group("evening")

# Each control whose name does not hold the text that is seen on it (WCAG 2.2, 2.5.3). A sign without letters and digits
# is no text.
NAMED = """() => {
  const forms = [...document.querySelectorAll('marimo-anywidget')].map(one => one.shadowRoot).filter(Boolean);
  const plain = text => text.toLowerCase().replace(/[^\\p{L}\\p{N}]+/gu, ' ').trim();
  const seen = one => [...(one.labels ?? [])].map(label => label.innerText).join(' ') || one.innerText || '';
  return [document, ...forms].flatMap(root => [...root.querySelectorAll('[aria-label]')])
    .filter(one => one.matches('button, a, input, textarea, summary, [role=button]') && one.checkVisibility())
    .map(one => [plain(seen(one)), plain(one.getAttribute('aria-label'))])
    .filter(([text, name]) => text && !name.includes(text))
    .map(([text, name]) => `"${text}" is called "${name}"`);
}"""


def test_names_hold_what_is_seen_and_there_is_one_main_part(evening: Evening) -> None:
    page = evening.page
    evening.option("What becomes of Cook wheat paste", "carry to tomorrow").check()
    evening.press("+ Add an appointment")
    unfold(page)
    assert page.evaluate(NAMED) == []
    assert page.get_by_role("main").count() == 1
    evening.press("Fill in a month")
    assert page.evaluate(NAMED) == []


def test_enlarged_to_400_percent_the_page_is_read_beside_its_save_bar(evening: Evening) -> None:
    """A window of 1280 by 1024 at 400 % has 320 by 256 CSS px (WCAG 2.2, 1.4.10): at most a quarter is for the bar."""
    page = evening.page
    page.set_viewport_size({"width": 320, "height": 256})
    evening.choose("Mood", "4 good")
    bar = page.locator(".bar").first
    for said in ("Not saved yet.", "Saved to"):
        if said == "Saved to":
            evening.save(said)
        box = bar.bounding_box()
        assert box is not None
        assert box["height"] <= 64, said
        save = page.get_by_role("button", name="Save both days").bounding_box()
        assert save is not None
        assert save["height"] >= 24
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
