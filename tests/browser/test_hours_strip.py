"""The strip of hours on the evening page: painted, chosen, moved, erased and undone by mouse, touch and keyboard."""

from __future__ import annotations

import os
import random
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.evenings import Evening
from tests.browser.strip_gestures import (
    CATEGORIES,
    DAY,
    QUARTER,
    SCROLLED,
    Board,
    Finger,
    Hand,
    Minutes,
    Mouse,
    Point,
    minutes_of,
    near,
    random_lines,
    times,
)  # fmt: skip

pytestmark = pytest.mark.xdist_group("evening")

GESTURES = int(os.environ.get("GESTURES", "25"))  # of each pointer at each width; more of them by hand
STRIP = 10  # gestures on one strip
TOMORROW = "The hours of tomorrow"


def card_of(page: Page, name: str = TOMORROW) -> Locator:
    return page.get_by_role("region", name=name, exact=True)


@pytest.fixture
def finger(evening: Evening) -> Iterator[Finger]:
    """A finger on a screen of touch. The tab is without touch again after the test."""
    session = evening.page.context.new_cdp_session(evening.page)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
    yield Finger(evening.page, session)
    session.send("Emulation.setTouchEmulationEnabled", {"enabled": False})


@pytest.fixture(autouse=True)
def no_draft(evening: Evening) -> Iterator[None]:
    """What a test drew is no draft for the next one."""
    yield
    evening.page.evaluate("sessionStorage.clear()")


class Gestures:
    """Random gestures on a strip, each compared with what the oracle says of it."""

    def __init__(self, hand: Hand, card: Locator, seed: int) -> None:
        self.hand, self.rng = hand, random.Random(seed)
        self.done: dict[str, int] = {}
        self.said = ""
        self.board = Board(hand.page, card)

    def run(self, count: int) -> None:
        board, rng = self.board, self.rng
        for number in range(count):
            if number % STRIP == 0:
                board.type(random_lines(rng))
            before = board.lines
            can_change = any(is_wide(line) for line in before)
            kinds = [self.paint] * 6 + [self.change] * 2 * can_change + [self.press]
            kind = rng.choice(kinds + [self.swipe] * 4 * isinstance(self.hand, Finger))
            expected = kind(minutes_of(before))
            assert self.becomes(expected), f"{number}, {self.said}: {before} became {board.lines}"
            self.done[kind.__name__] = self.done.get(kind.__name__, 0) + 1
            if rng.random() < 0.15 and board.lines != before:
                self.undo(before, board.lines)

    def becomes(self, expected: Minutes) -> bool:
        return self.board.wait(lambda: minutes_of(self.board.lines) == expected)

    def tap(self, point: Point, holds: Callable[[], bool]) -> None:
        """Press at a point, after which something holds."""
        self.hand.tap(point)
        assert self.board.wait(holds), f"after {self.said} nothing happened at {point} on {self.board.state}"

    def path(self) -> list[Point]:
        """From anywhere or the very edge of a block, along the strip, perhaps off it and back, a quarter at least."""
        rng, board = self.rng, self.board
        edges = [end for line in board.lines for end in times(line)]
        begin = rng.choice(edges) if edges and rng.random() < 0.5 else rng.uniform(0, DAY)
        start = board.point(min(begin, DAY - 1), rng.uniform(0.2, 0.8))
        lane = board.lanes[0]
        reach = max(board.px_of_quarter * 1.2, 26)
        ahead = 1 if start[0] + reach < lane["right"] else -1
        path = [start, (start[0] + ahead * round(reach), start[1] + rng.randint(-3, 3))]
        if rng.random() < 0.2:
            path += [(lane["right"] + 30, start[1]), (lane["left"] - 12, start[1] + 4)]
        if rng.random() < 0.2:
            path.append((path[-1][0], round(board.lanes[-1]["bottom"] + 40)))
        end = board.point(rng.uniform(0, DAY), rng.uniform(0.1, 0.9))
        return [*path, end]

    def take(self, category: str) -> None:
        """Take a category, or the eraser, by a press of its button. No block is chosen afterwards."""
        if self.board.hand != category:
            self.tap(self.board.button(category), lambda: self.board.hand == category)
        self.let_go()

    def let_go(self) -> None:
        """Press the chosen block again, so that none is chosen."""
        if self.board.chosen:
            self.tap(middle(self.board.state["body"][0]), lambda: self.board.chosen is None)

    def paint(self, minutes: Minutes) -> Minutes:
        category = self.rng.choice([*CATEGORIES, "Eraser"])
        self.take(category)
        path = self.path()
        self.said = f"{category} along {path}"
        self.hand.along(path)
        one, other = near(self.board.minute(path[:1])), near(self.board.minute(path))
        for at in range(min(one, other), max(one, other)):
            minutes[at] = None if category == "Eraser" else category
        return minutes

    def choose(self) -> str:
        """Press a block in its middle, unless it is chosen, and return its line."""
        line = self.rng.choice([line for line in self.board.lines if is_wide(line)])
        if self.board.chosen != line:
            self.let_go()
            start, end = times(line)
            self.tap(self.board.point((start + end) / 2), lambda: self.board.chosen == line)
        return line

    def change(self, minutes: Minutes) -> Minutes:
        """Choose a block, then move it or an end of it."""
        line = self.choose()
        start, end = times(line)
        part = self.rng.choice(["whole", "start", "end"])
        box = self.board.state["body"][0] if part == "whole" else self.board.state["handles"][part == "end"]
        # In the middle of the block, and on the half of a handle that lies outside of it.
        share = 0.5 if part == "whole" else 0.4 if part == "start" else 0.6
        origin = round(box["left"] + share * box["width"]), round((box["top"] + box["bottom"]) / 2)
        path = self.path()
        ahead = 1 if path[1][0] > path[0][0] else -1
        path = [origin, (origin[0] + ahead * abs(path[1][0] - path[0][0]), origin[1]), *path[2:]]
        self.said = f"{part} of {line} along {path}"
        self.hand.along(path)
        moved = self.board.minute(path) - self.board.minute(path[:1])
        for at in range(start, end):
            minutes[at] = None
        if part == "whole":
            to = min(max(int((start + moved + 7.5) // QUARTER) * QUARTER, 0), DAY - (end - start))
            start, end = to, to + end - start
        elif part == "start":
            start = min(max(int((start + moved + 7.5) // QUARTER) * QUARTER, 0), max((end - 5) // QUARTER * QUARTER, 0))
        else:
            end = max(
                min(int((end + moved + 7.5) // QUARTER) * QUARTER, DAY), min(-(-(start + 5) // QUARTER) * QUARTER, DAY)
            )
        for at in range(start, end):
            minutes[at] = line.rpartition(" ")[0]
        return minutes

    def press(self, minutes: Minutes) -> Minutes:
        """A press on a block chooses it; one on open ground draws an hour up to the next block."""
        category = self.rng.choice(CATEGORIES)
        self.take(category)
        point = self.board.point(self.rng.uniform(0, DAY - 1))
        at = int(self.board.minute([point]))
        line = next((line for line in self.board.lines if times(line)[0] <= at < times(line)[1]), None)
        self.said = f"{category} at {point}"
        self.tap(point, lambda: self.board.chosen == line if line else self.board.chosen is not None)
        if not line:
            quarter = at // QUARTER * QUARTER
            begin = next(m for m in range(quarter, DAY) if all(one is None for one in minutes[m : at + 1]))
            for m in range(begin, min(quarter + 60, DAY)):
                if minutes[m] is not None:
                    break
                minutes[m] = category
        return minutes

    def swipe(self, minutes: Minutes) -> Minutes:
        """Up or down from anywhere on the strip, also from a chosen block: the page scrolls, and nothing else."""
        assert isinstance(self.hand, Finger)
        self.said = "a swipe"
        if any(is_wide(line) for line in self.board.lines) and self.rng.random() < 0.4:
            self.choose()
            x, y = middle(self.board.state["body"][0])
        else:
            x, y = self.board.point(self.rng.uniform(0, DAY - 1))
        by = self.rng.choice([-1, 1]) * 60
        self.hand.swipe([(x, y), *[(x + self.rng.randint(-6, 6), y + by * step) for step in (1, 2)]])
        top = self.board.lanes[0]["top"]
        assert self.board.card.evaluate(SCROLLED, top), f"no scroll by a swipe of {2 * by} px from {x}, {y}"
        return minutes

    def undo(self, before: list[str], after: list[str]) -> None:
        self.tap(self.board.button("Undo"), lambda: self.board.lines == before)
        self.tap(self.board.button("Redo"), lambda: self.board.lines == after)
        self.done["undo"] = self.done.get("undo", 0) + 1


def is_wide(line: str) -> bool:
    """Whether a block can be hit in its middle: a quarter of an hour or more."""
    start, end = times(line)
    return end - start >= QUARTER


def middle(box: dict[str, float]) -> Point:
    return round((box["left"] + box["right"]) / 2), round((box["top"] + box["bottom"]) / 2)


@pytest.mark.parametrize(("width", "rows"), [(1280, 1), (390, 2)])
def test_what_a_mouse_draws_is_what_stands(evening: Evening, width: int, rows: int) -> None:
    evening.page.set_viewport_size({"width": width, "height": 900})
    gestures = Gestures(Mouse(evening.page), card_of(evening.page), seed=width)
    assert len(gestures.board.lanes) == rows
    gestures.run(GESTURES)
    assert all(gestures.done[kind] >= 1 for kind in ("paint", "change", "press", "undo")), gestures.done


@pytest.mark.parametrize(("width", "rows"), [(1280, 2), (390, 4)])
def test_what_a_finger_draws_is_what_stands_and_swipes_scroll(
    evening: Evening, finger: Finger, width: int, rows: int
) -> None:
    evening.page.set_viewport_size({"width": width, "height": 900})
    gestures = Gestures(finger, card_of(evening.page), seed=width + 1)
    expect(card_of(evening.page).locator(".lane")).to_have_count(rows)
    gestures.run(GESTURES)
    assert all(gestures.done[kind] >= 1 for kind in ("paint", "change", "press", "swipe", "undo")), gestures.done
