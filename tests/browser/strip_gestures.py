"""Gestures on the strip of hours by mouse and by touch, and a slow oracle of what they do, minute by minute."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from playwright.sync_api import CDPSession, Locator, Page

DAY = 1440
QUARTER = 15
CATEGORIES = ("Sleep", "Workshop", "Outside")

Minutes = list[str | None]
"""What each minute of the day is, by the name of a category."""
Point = tuple[float, float]
"""A point of the viewport, in px."""

STATE = """async card => {
  const track = card.querySelector('.track');
  const box = track.getBoundingClientRect();
  if (box.top < 200 || box.bottom > innerHeight - 200) {
    track.scrollIntoView({ block: 'center', behavior: 'instant' });
    for (let frame = 0; frame < 3; frame += 1) await new Promise(requestAnimationFrame);
  }
  const rect = one => {
    const { left, right, top, bottom, width } = one.getBoundingClientRect();
    return { left, right, top, bottom, width };
  };
  const all = selector => [...card.querySelectorAll(selector)];
  const buttons = all('.hand input, .steps button');
  return {
    lanes: all('.lane').map(rect),
    lines: all('.hour-lines input').map(one => one.value),
    chosen: card.querySelector(".blocks .block.chosen.first")?.title ?? null,
    body: all('.block.chosen').map(rect),
    handles: all('.edge.handle').map(rect),
    buttons: Object.fromEntries(buttons.map(one => [one.ariaLabel ?? one.textContent, rect(one)])),
    hand: card.querySelector('.hand input:checked')?.ariaLabel ?? null,
  };
}"""

# Whether the strip leaves its place on the screen, once it has come to rest.
SCROLLED = """async (card, top) => {
  let [last, still] = [top, 0];
  for (let frame = 0; frame < 90 && still < 2; frame += 1) {
    await new Promise(requestAnimationFrame);
    const now = card.querySelector('.lane').getBoundingClientRect().top;
    still = now === last && now !== top ? still + 1 : 0;
    last = now;
  }
  return Math.abs(last - top) > 30;
}"""

TYPE = """(card, lines) => {
  card.querySelectorAll('.hour-lines .away').forEach(() => card.querySelector('.hour-lines .away').click());
  const add = [...card.querySelectorAll('button')].find(one => one.textContent === '+ Add a line');
  for (const [place, line] of lines.entries()) {
    add.click();
    const field = card.querySelectorAll('.hour-lines input')[place];
    field.value = line;
    field.dispatchEvent(new Event('input'));
  }
}"""


def minute(text: str) -> int:
    """Minutes from midnight of "HH:MM"."""
    hours, _, minutes = text.partition(":")
    return int(hours) * 60 + int(minutes)


def times(span: str) -> tuple[int, int]:
    """The ends of "Name HH:MM-HH:MM", in minutes."""
    start, _, end = span.rpartition(" ")[2].partition("-")
    return minute(start), minute(end)


def clock(minutes: int) -> str:
    """ "HH:MM" of minutes from midnight."""
    return f"{minutes // 60:02}:{minutes % 60:02}"


def minutes_of(lines: list[str]) -> Minutes:
    """What each minute is by the lines, which may not overlap."""
    day: Minutes = [None] * DAY
    for line in lines:
        start, end = times(line)
        for at in range(start, end):
            assert day[at] is None, f"two at once in {lines}"
            day[at] = line.rpartition(" ")[0]
    return day


def random_lines(rng: random.Random) -> list[str]:
    """A strip with gaps, with blocks that touch, and with some times that are no quarter of an hour."""
    lines, at = [], 0
    while at < DAY:
        start = min(at + rng.choice([0, 0, 30, 90, 200]), DAY)
        end = min(start + rng.choice([15, 30, 45, 75, 120, 200, 380]) + rng.choice([0, 0, 0, 5, 7]), DAY)
        if start < end:
            lines.append(f"{rng.choice(CATEGORIES)} {clock(start)}-{clock(end)}")
        at = max(end, at + 1)
    return lines


class Board:
    """The strip of a card as it is drawn: its rows on the screen, its lines, and the chosen block."""

    def __init__(self, page: Page, card: Locator) -> None:
        self.page = page
        self.card = card.element_handle()  # which is quick to ask
        self.look()

    def type(self, lines: list[str]) -> None:
        """Write other lines in place of all."""
        self.card.evaluate(TYPE, lines)
        self.look()

    def look(self) -> None:
        """Read the strip again, in the middle of the screen."""
        self.state: dict[str, Any] = self.card.evaluate(STATE)

    def wait(self, holds: Callable[[], bool]) -> bool:
        """Read the strip until something holds, for a second: the click of a touch comes a little after it."""
        for _ in range(100):
            self.look()
            if holds():
                return True
            self.page.wait_for_timeout(10)
        return False

    def takes(self, category: str) -> bool:
        """Whether a category comes to be in hand."""
        return self.wait(lambda: self.hand == category)

    @property
    def chosen(self) -> str | None:
        """The line of the chosen block."""
        line: str | None = self.state["chosen"]
        return line

    @property
    def hand(self) -> str | None:
        """The name of what is in hand."""
        name: str | None = self.state["hand"]
        return name

    @property
    def lines(self) -> list[str]:
        return list(self.state["lines"])

    @property
    def lanes(self) -> list[dict[str, float]]:
        return list(self.state["lanes"])

    def button(self, name: str) -> Point:
        """The middle of a button of the hand, or of Undo or Redo."""
        box = self.state["buttons"][name]
        return round((box["left"] + box["right"]) / 2), round((box["top"] + box["bottom"]) / 2)

    @property
    def px_of_quarter(self) -> float:
        return self.lanes[0]["width"] * len(self.lanes) / 96

    def point(self, at: float, y_share: float = 0.5) -> Point:
        """The point of a minute of the day, in whole px."""
        row = min(int(at * len(self.lanes) / DAY), len(self.lanes) - 1)
        lane = self.lanes[row]
        x = round(lane["left"] + (at * len(self.lanes) / DAY - row) * lane["width"])
        return min(x, int(lane["right"]) - 1), round(lane["top"] + y_share * (lane["bottom"] - lane["top"]))

    def minute(self, path: list[Point]) -> float:
        """The minute at the end of a path. Between two rows the path stays in the row that it was in."""
        row = 0
        for _, y in path:
            row = next((at for at, lane in enumerate(self.lanes) if lane["top"] <= y <= lane["bottom"]), row)
        lane = self.lanes[row]
        share = min(max((path[-1][0] - lane["left"]) / lane["width"], 0), 1)
        return ((row + share) * DAY) / len(self.lanes)


def near(minutes: float) -> int:
    """The nearest quarter of an hour, the later one of two."""
    return min(max(int(minutes / QUARTER + 0.5) * QUARTER, 0), DAY)


@dataclass
class Mouse:
    """Presses of a mouse, counted."""

    page: Page
    presses: int = 0

    def along(self, path: list[Point], *, release: bool = True) -> None:
        """Press at the first point, move along the others, and release."""
        self.page.mouse.move(*path[0])
        self.page.mouse.down()
        for point in path[1:]:
            self.page.mouse.move(*point)
        if release:
            self.page.mouse.up()
        self.presses += 1

    def tap(self, point: Point) -> None:
        """Press and release at one point."""
        self.along([point])


@dataclass
class Finger:
    """Touches of one finger, counted, as the browser gets them from a screen."""

    page: Page
    session: CDPSession
    presses: int = 0

    def send(self, kind: str, *points: Point) -> None:
        """Send one event of all fingers on the screen."""
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def along(self, path: list[Point], *, release: bool = True) -> None:
        """Touch at the first point, move along the others, and lift."""
        self.send("touchStart", path[0])
        for point in path[1:]:
            self.send("touchMove", point)
        if release:
            self.send("touchEnd")
        self.presses += 1

    def swipe(self, path: list[Point]) -> None:
        """Touch, move along, and hold still before lifting, so that the page does not go on scrolling."""
        self.along(path, release=False)
        self.page.wait_for_timeout(130)
        self.send("touchMove", path[-1])
        self.send("touchEnd")

    def tap(self, point: Point) -> None:
        """Touch and lift at one point."""
        self.along([point])


Hand = Mouse | Finger
"""What points at the screen."""
