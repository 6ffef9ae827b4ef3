"""The strip of hours on the evening page, step by step: drawing a day, choosing, breaking off, and the keyboard."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.evenings import Evening, day
from tests.browser.strip_gestures import TYPE, Board, Finger, Hand, Mouse

pytestmark = pytest.mark.xdist_group("evening")

USUAL = ["Sleep 00:00-06:15", "Workshop 09:00-12:30", "Workshop 13:30-17:00", "Sleep 22:30-24:00"]


@pytest.fixture
def card(evening: Evening) -> Iterator[Locator]:
    """The card of tomorrow's hours. What a test draws there is no draft for the next one."""
    yield evening.page.get_by_role("region", name="The hours of tomorrow", exact=True)
    evening.page.evaluate("sessionStorage.clear()")


@pytest.fixture
def page_of(evening: Evening) -> Page:
    return evening.page


@pytest.fixture
def finger(evening: Evening) -> Iterator[Finger]:
    """A finger on a screen of touch, on a page as narrow as a phone."""
    evening.page.set_viewport_size({"width": 390, "height": 900})
    session = evening.page.context.new_cdp_session(evening.page)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
    yield Finger(evening.page, session)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": False})


# Whether the times of a gesture are what is on top at their place. Presses go through them, so they are let in first.
SEEN = """card => {
  const times = card.querySelector('.drawn-times');
  times.style.pointerEvents = 'auto';
  const { left, right, top, bottom } = times.getBoundingClientRect();
  return card.getRootNode().elementFromPoint((left + right) / 2, (top + bottom) / 2) === times;
}"""


def said(card: Locator) -> Locator:
    """The line that says what a gesture did."""
    return card.locator(".strip-foot").get_by_role("status")


def test_a_block_is_drawn_from_the_very_edge_of_another_and_over_a_third(card: Locator, page_of: Page) -> None:
    card.get_by_role("radio", name="Outside").click()
    board = Board(page_of, card)
    Mouse(page_of).along([board.point(at * 60) for at in (12.5, 13, 14)])
    board.look()
    assert board.lines == [*USUAL[:2], "Outside 12:30-14:00", "Workshop 14:00-17:00", USUAL[3]]


def draw_a_day(hand: Hand, card: Locator) -> None:
    """Draw a day of eight blocks on an empty strip: a category and a drag for each, two presses at most."""
    board = Board(hand.page, card)
    board.type([])
    presses = {}
    for category, start, end in DAY_DRAWN:
        before = hand.presses
        if board.hand != category:
            hand.tap(board.button(category))
            assert board.takes(category)
        hand.along([board.point(at * 60) for at in (start, start + 0.6, end - 0.01)])
        board.look()
        presses[category, start] = hand.presses - before
    assert board.lines == [
        f"{name} {_clock(start)}-{_clock(end)}" for name, start, end in sorted(DAY_DRAWN, key=lambda one: one[1])
    ]
    assert max(presses.values()) <= 2, presses
    assert sum(presses.values()) == 11


def _clock(hours: float) -> str:
    return f"{int(hours):02}:{round(hours % 1 * 60):02}"


# In the order of drawing: the same category stays in hand, and blocks touch each other.
DAY_DRAWN = [
    ("Sleep", 0, 6.25), ("Sleep", 22.5, 24), ("Workshop", 9, 12.5), ("Workshop", 13.5, 17), ("Workshop", 19, 20),
    ("Outside", 12.5, 13.5), ("Outside", 17, 18.25), ("Outside", 6.25, 7.25),
]  # fmt: skip


def test_eight_blocks_take_eleven_presses_of_a_mouse(card: Locator, page_of: Page) -> None:
    draw_a_day(Mouse(page_of), card)


def test_eight_blocks_take_eleven_touches(card: Locator, finger: Finger) -> None:
    draw_a_day(finger, card)
    board = Board(finger.page, card)
    heights = board.card.evaluate("card => [...card.querySelectorAll('.block')].map(one => one.offsetHeight)")
    assert min(heights) >= 24


def test_a_gesture_that_is_broken_off_changes_nothing(card: Locator, page_of: Page, finger: Finger) -> None:
    board = Board(page_of, card)
    finger.tap(board.button("Outside"))
    assert board.takes("Outside")
    path = [board.point(at * 60) for at in (1, 2, 3, 10)]
    finger.along(path, release=False)
    expect(card.locator(".drawn-times")).to_have_text("01:00-10:00")
    assert board.card.evaluate(SEEN), "the times are seen above the finger"
    finger.send("touchCancel")
    board.look()
    assert board.lines == USUAL
    finger.along(path, release=False)
    finger.send("touchStart", path[-1], board.point(23 * 60))  # a second finger
    finger.send("touchMove", board.point(11 * 60), board.point(22 * 60))
    finger.send("touchEnd")
    board.look()
    assert board.lines == USUAL
    mouse = Mouse(page_of)
    mouse.along(path, release=False)
    page_of.keyboard.press("Escape")
    page_of.mouse.up()
    board.look()
    assert (board.lines, board.hand) == (USUAL, "Outside"), "Escape ends the gesture and nothing else"
    mouse.along([*path, path[0]])
    board.look()
    assert board.lines == USUAL, "back at its beginning, a gesture draws nothing"
    mouse.along(path)
    board.look()
    assert board.lines == ["Sleep 00:00-01:00", "Outside 01:00-10:00", "Workshop 10:00-12:30", *USUAL[2:]]


def test_without_a_category_a_drag_draws_nothing_and_says_why(card: Locator, page_of: Page) -> None:
    board = Board(page_of, card)
    Mouse(page_of).along([board.point(at * 60) for at in (6.5, 7, 10)])
    board.look()
    assert board.lines == USUAL
    expect(said(card)).to_have_text("Choose what to draw, then draw over the hours.")


def test_a_narrow_block_is_chosen_by_a_touch_beside_it(card: Locator, page_of: Page, finger: Finger) -> None:
    """Every block is 24 px wide to a touch (WCAG 2.2, 2.5.8): a quarter of an hour is 13 px here."""
    card.evaluate(TYPE, ["Sleep 00:00-06:00", "Outside 10:00-10:15", "Workshop 14:00-17:00"])
    board = Board(page_of, card)
    lane = board.lanes[1]
    across = lane["width"] / 6 / 60  # px of a minute
    assert 15 * across < 15
    for beside in (-11, 11):
        board.look()
        finger.tap(board.point(10 * 60 + 7.5 + beside / across))
        expect(card.get_by_role("group", name="Chosen: Outside, 10:00-10:15")).to_be_visible()
        card.get_by_role("button", name="Done").click()
    board.look()
    finger.tap(board.point(10 * 60 + 7.5 + 16 / across))
    expect(card.get_by_role("group", name=re.compile("^Chosen"))).to_be_hidden()


def test_a_chosen_block_is_typed_recoloured_and_deleted(card: Locator, evening: Evening, folder: Path) -> None:
    page = evening.page
    board = Board(page, card)
    Mouse(page).tap(board.point(10 * 60))
    chosen = card.get_by_role("group", name="Chosen: Workshop, 09:00-12:30")
    expect(card.get_by_role("button", name="Workshop, 09:00 to 12:30")).to_have_attribute("aria-pressed", "true")
    chosen.get_by_role("textbox", name="from").fill("9:7")
    chosen.get_by_role("textbox", name="from").press("Enter")
    expect(chosen.get_by_role("textbox", name="from")).to_have_accessible_description(
        '"9:7" is no time; write e.g. 22:30'
    )
    evening.save("Not saved: one place needs mending.")
    chosen.get_by_role("textbox", name="from").fill("9:07")
    chosen.get_by_role("textbox", name="to").fill("14:10")
    page.keyboard.press("Control+s")  # takes over what is typed there
    expect(evening.status).to_contain_text("Saved to")
    assert 'workshop = ["09:07-14:10", "14:10-17:00"]' in day(folder, "2025-03-14")
    expect(page.get_by_role("link", name="The page of")).to_be_visible()  # the new offer has come
    board = Board(page, card)
    Mouse(page).tap(board.point(10 * 60))
    card.get_by_role("radiogroup", name="What the chosen block is").get_by_role("radio", name="Outside").click()
    expect(said(card)).to_have_text("Outside 09:07-14:10.")
    expect(
        card.get_by_role("radiogroup", name="What the chosen block is").get_by_role("radio", name="Outside")
    ).to_be_focused()
    card.get_by_role("button", name="Delete").click()
    expect(said(card)).to_have_text("Outside 09:07-14:10 deleted.")
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    board.look()
    assert board.lines == [USUAL[0], "Workshop 09:07-14:10", "Workshop 14:10-17:00", USUAL[3]]
    expect(said(card)).to_have_text("There is nothing to undo.")
    page.keyboard.press("Control+Shift+z")
    page.keyboard.press("Control+y")
    board.look()
    assert board.lines == [USUAL[0], "Workshop 14:10-17:00", USUAL[3]]


def test_the_strip_by_keyboard_alone(card: Locator, page_of: Page) -> None:
    board = Board(page_of, card)
    cursor = card.get_by_role("slider", name="Hours of tomorrow: a place to draw")
    cursor.focus()

    def press(keys: str) -> list[str]:
        for key in keys.split():
            page_of.keyboard.press(key)
        board.look()
        return board.lines

    expect(cursor).to_have_attribute("aria-valuetext", "06:15, open")
    press("Enter")
    expect(said(card)).to_have_text("Choose what to draw, then draw over the hours.")
    press("3 Home Shift+ArrowRight ArrowRight Enter Shift+ArrowRight Alt+ArrowRight")
    expect(cursor).to_have_attribute("aria-valuetext", "01:15 to 02:20, 1 h 5 min")
    assert press("Escape Escape") == USUAL
    assert press("3 ArrowRight Enter Shift+ArrowRight Enter") == [
        "Sleep 00:00-02:35", "Outside 02:35-03:35", "Sleep 03:35-06:15", *USUAL[1:],
    ]  # fmt: skip
    expect(said(card)).to_have_text("Outside 02:35-03:35, in place of 1 h of Sleep.")
    expect(cursor).to_be_focused()
    assert press("Control+z") == USUAL

    block = card.get_by_role("button", name=re.compile("^Workshop, 09:00"))
    block.focus()
    assert press("ArrowRight")[1] == "Workshop 09:15-12:45"
    # A block that passes over another leaves it as it was, and one undo takes it back.
    assert press("Shift+ArrowRight Shift+ArrowRight") == [
        USUAL[0],
        "Workshop 11:15-14:45",
        "Workshop 14:45-17:00",
        USUAL[3],
    ]
    assert press(" ".join(["Shift+ArrowRight"] * 6)) == [
        USUAL[0],
        "Workshop 13:30-17:00",
        "Workshop 17:15-20:45",
        USUAL[3],
    ]
    assert press("Control+z") == USUAL
    block.focus()
    press("Enter")
    expect(card.get_by_role("slider", name="Workshop starts").first).to_be_focused()
    expect(card.get_by_role("group", name="Chosen: Workshop, 09:00-12:30")).to_be_visible()
    assert press("ArrowLeft Tab ArrowRight")[1] == "Workshop 08:45-12:45"
    assert press("Escape Alt+ArrowRight")[1] == "Workshop 08:50-12:50"
    assert press("3")[1] == "Outside 08:50-12:50"
    assert press("Delete") == [USUAL[0], *USUAL[2:]]
    expect(cursor).to_be_focused()
