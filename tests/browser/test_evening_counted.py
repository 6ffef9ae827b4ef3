"""What an evening costs: its clicks, and the keys beyond the text with the keyboard alone.

An evening of the example journal: all due habits, mood, energy, the challenge, two good things, a memory, the hours as
planned with one change; weather, one appointment and three ranked tasks of tomorrow; saved. Text that is typed is not
counted. With the mouse, Tab and Enter between fields that are written one after another are no clicks.
"""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import EXAMPLE, NewPage, Served
from tests.browser.evenings import TODAY, Evening

pytestmark = pytest.mark.xdist_group("evening")

NEXT = "2025-03-14"
PLANNED = """\
[weather]
sky = "fog"

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]
workshop = ["09:00-12:30", "13:30-17:30"]

[[tasks]]
title = "Cook wheat paste"
estimate = 25
since = 2025-03-12
id = "p4e4"
"""
DONE = ("Walk by the river", "Stretch", "Practise the accordion", "Leave the bench clear", "See an exhibition")
COUNTED = (("Read, pages", "24"), ("Screen after nine, minutes", "20"))
TASKS = ("Corners on the menu covers", "Post the order to Graz", "Test the new glue")
MOST_CLICKS, MOST_KEYS = 25, 60


@pytest.fixture
def example(tmp_path: Path) -> Iterator[Served]:
    """The example journal on an evening of March that is planned and not closed."""
    folder, home = tmp_path / "journal", tmp_path / "home"
    home.mkdir()
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache", "pictures"))
    for page in (folder / "2025").glob("2025-*-*.toml"):
        if page.stem >= TODAY:
            page.unlink()
    plan(folder)
    served = Served(folder, TODAY, home)
    yield served
    assert served.end() == 0


def plan(folder: Path) -> None:
    (folder / "2025" / f"{TODAY}.toml").write_text(PLANNED, encoding="utf-8")
    (folder / "2025" / f"{NEXT}.toml").unlink(missing_ok=True)


def check(folder: Path) -> None:
    """Everything of the evening is in the files."""
    today, tomorrow = (tomllib.loads((folder / "2025" / f"{day}.toml").read_text("utf-8")) for day in (TODAY, NEXT))
    assert (today["mood"], today["energy"], today["gratitude"], today["memory"]) == (4, 3, ["Bread.", "Rain."], "Sewn.")
    marks: dict[str, Any] = today["habits"]
    assert len(marks) == len(DONE) + len(COUNTED) and list(marks.values()).count(True) == len(DONE)
    assert (marks["read"], marks["screen"], today["challenges"]) == (24, 20, {"letters": True})
    assert today["hours"]["actual"] != today["hours"]["planned"] and len(today["hours"]["actual"]["workshop"]) == 2
    assert tomorrow["weather"] == {"sky": "cloudy", "high": 12, "low": 3}
    assert tomorrow["appointments"] == [{"title": "Merchant", "start": "08:30", "end": "09:00"}]
    assert [(task["title"], task["rank"]) for task in tomorrow["tasks"]] == list(zip(TASKS, (1, 2, 3), strict=True))


class Person:
    """Uses the page, and counts."""

    def __init__(self, page: Page) -> None:
        self.page, self.clicks, self.keys = page, 0, 0

    def click(self, place: Locator) -> None:
        place.click()
        self.clicks += 1

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
        self.keys += len(keys)

    def write(self, *texts: str, between: str = "Tab") -> None:
        """Write texts into fields that follow one another."""
        for i, text in enumerate(texts):
            if i:
                self.press(between)
            self.page.keyboard.type(text)

    def reach(self, name: str) -> None:
        """Press Tab until the control of a name has the focus."""
        for _ in range(12):
            if focused(self.page).startswith(name):
                return
            self.press("Tab")
        raise AssertionError(f"{name} is not among the next controls")

    def paint_an_hour(self, card: str, category: str) -> None:
        """Take a category in hand, and draw it over the hour before the morning's work: two presses of the mouse."""
        region = self.page.get_by_role("region", name=card, exact=True)
        self.click(region.get_by_role("radio", name=category, exact=True).first)
        track = region.locator(".track")
        track.scroll_into_view_if_needed()
        box = track.bounding_box()
        assert box is not None
        middle = box["y"] + box["height"] / 3
        self.page.mouse.move(box["x"] + box["width"] * 9 / 24, middle)
        self.page.mouse.down()
        self.page.mouse.move(box["x"] + box["width"] * 8 / 24, middle, steps=3)
        self.page.mouse.up()
        self.clicks += 1


def with_the_mouse(page: Page) -> Person:
    evening, person = Evening(page), Person(page)
    marks = [("Mood", "4 good"), ("Energy", "3 steady"), *((name, "done") for name in DONE)]
    for group, option in [*marks, ("Challenge: Thirty letters", "done")]:
        person.click(evening.option(group, option))
    for name, count in COUNTED:
        person.click(evening.field(name))
        person.write(count)
    person.click(evening.field("Good thing 1"))
    person.write("Bread.", "Rain.", between="Enter")
    person.click(evening.field("One to remember (optional)"))
    person.write("Sewn.")
    person.paint_an_hour("The hours as they went", "Workshop")
    person.click(evening.field("Weather"))
    person.write("cloudy", "12", "3")
    person.click(page.get_by_role("button", name="+ Add an appointment", exact=True))
    person.write("8:30", "9", "Merchant")
    person.click(evening.field("A new task for tomorrow"))
    person.write(*TASKS, "", between="Enter")
    for title, rank in zip(TASKS, ("1st", "2nd", "3rd"), strict=True):
        person.click(evening.option(f"Rank of {title}", rank))
    person.click(page.get_by_role("button", name="Save both days"))
    return person


def with_the_keyboard(page: Page) -> Person:
    person = Person(page)
    to_next_card = "Control+Enter"
    person.press(to_next_card, "4", "Tab", "3")
    left = {*DONE, *(name for name, _ in COUNTED)}
    while left:
        person.press("Tab")
        name = focused(page)
        if name in dict(COUNTED):
            person.write(dict(COUNTED)[name])
        elif name in left:
            person.press("d")
        left.discard(name)
    person.press("Tab", "d")  # the challenge
    person.press(to_next_card)
    person.write("Bread.", "Rain.", between="Enter")
    person.press("Tab", "Tab")
    person.write("Sewn.")
    person.press(to_next_card, to_next_card)
    person.reach("Workshop, 09:00 to 12:30")
    person.press("Shift+ArrowLeft")
    person.press(to_next_card)
    person.write("cloudy", "12", "3")
    person.press("Tab", "Enter")
    person.write("8:30", "9", "Merchant")
    person.press(to_next_card, to_next_card)
    person.write(*TASKS, "", between="Enter")
    person.press("Shift+Tab", "Shift+Tab", "Shift+Tab", "Shift+Tab", "3", "ArrowDown", "1")
    person.press("ArrowDown", "ArrowDown", "2")  # the ranked ones stand first
    person.press("Control+s")
    return person


def focused(page: Page) -> str:
    """The name of the group that has the focus, else of the control."""
    name: str = page.evaluate(
        """() => {
          let at = document.activeElement;
          while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
          return (at?.closest('[role=radiogroup]') || at)?.getAttribute('aria-label') || '';
        }"""
    )
    return name


def test_an_evening_costs_few_clicks_or_keys(example: Served, new_page: NewPage) -> None:
    page = new_page(example)
    page.goto(example.opening("evening"))
    by_mouse = with_the_mouse(page)
    expect(Evening(page).status).to_contain_text("Saved to")
    check(example.folder)
    plan(example.folder)
    page.goto(example.opening("evening"))
    Evening(page)
    by_keyboard = with_the_keyboard(page)
    expect(Evening(page).status).to_contain_text("Saved to")
    check(example.folder)
    print(f"{by_mouse.clicks} clicks with {by_mouse.keys} keys between fields, {by_keyboard.keys} keys alone")
    assert by_mouse.clicks <= MOST_CLICKS
    assert by_keyboard.keys <= MOST_KEYS
    assert by_keyboard.clicks == 0
