"""A small journal for the evening page, and a driver of the page."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from tests.journals import HOME

TODAY = "2025-03-13"

SETTINGS = f"""
title = "Spine and thread"
blank = "breaks"

[hours.usual]
sleep = ["00:00-06:15", "22:30-24:00"]
workshop = ["09:00-12:30", "13:30-17:00"]

{HOME}
[mood]
words = ["heavy", "low", "even", "good", "bright"]

[energy]
words = ["empty", "low", "steady", "strong", "full"]

[[categories]]
key = "sleep"
name = "Sleep"
colour = "#332288"
sleep = true

[[categories]]
key = "workshop"
name = "Workshop"
colour = "#88CCEE"
work = true

[[categories]]
key = "outside"
name = "Outside"
colour = "#44AA99"

[[habits]]
key = "walk"
name = "Walk by the river"
every = "FREQ=DAILY"
from = 2025-03-01

[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-03-01
target = 20
unit = "pages"

[[habits]]
key = "swim"
name = "Swim"
times = 3
per = "week"
from = 2025-03-01

[[habits]]
key = "call"
name = "Call home"
every = "FREQ=WEEKLY;BYDAY=SU"
from = 2025-03-01

[[challenges]]
key = "letters"
name = "Thirty letters"
from = 2025-03-12
until = 2025-04-10
prompts = ["To the baker", "To the river"]

[[routines]]
title = "Sweep and oil the press"
every = "FREQ=WEEKLY;BYDAY=FR"
from = 2025-01-03
estimate = 30

[[routines]]
title = "Stock count"
every = "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"
from = 2025-01-03
estimate = 60
"""

LAST_NIGHT = """\
# What Wednesday evening planned.
[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]   # early
workshop = ["09:00-12:30", "13:30-17:00"]

[[tasks]]
title = "Cook wheat paste"      # the thick one
rank = 1
estimate = 25

[[tasks]]
title = "Quote for the choir folders"
rank = 2
estimate = 45
since = 2025-03-11
id = "t7k2"

[[tasks]]
title = "Photograph the spring papers"

[[tasks]]
title = "Post the order to Graz"
"""

UNDATED = """\
# Some day.
[[tasks]]
title = "Sort the button tin"
estimate = 20
since = 2025-03-02
id = "u2p5"

[[tasks]]
title = "Ask Bojan about a lid"
"""

WEDNESDAY = "mood = 3\n\n[habits]\nwalk = true\nread = 31\nswim = true\n\n[challenges]\nletters = true\n"


def begin(folder: Path) -> None:
    """Reset the journal in place, so that one server serves all tests."""
    lay(folder, {f"2025/{TODAY}.toml": LAST_NIGHT, "2025/2025-03-12.toml": WEDNESDAY, "undated.toml": UNDATED})


def lay(folder: Path, pages: Mapping[str, str]) -> None:
    """Write exactly these pages and the settings. Unchanged files are not touched, so that no open page reacts."""
    texts = {"journal.toml": SETTINGS, **pages}
    shutil.rmtree(folder / ".history", ignore_errors=True)  # what it keeps would stand in for what a test breaks
    for path in folder.rglob("*.toml"):
        if path.relative_to(folder).as_posix() not in texts:
            path.unlink()
    (folder / "2025").mkdir(exist_ok=True)
    for name, text in texts.items():
        path = folder / name
        if not path.exists() or path.read_bytes() != text.encode():
            path.write_bytes(text.encode())


def day(folder: Path, date: str) -> str:
    """The text of a day's page, or "" without one."""
    path = folder / "2025" / f"{date}.toml"
    return path.read_text(encoding="utf-8") if path.exists() else ""


class Evening:
    """Drives the page by the accessible names of its controls."""

    def __init__(self, page: Page) -> None:
        self.page = page
        expect(page.get_by_role("button", name=re.compile("^Save "))).to_be_visible()

    def choose(self, group: str, option: str) -> None:
        self.option(group, option).click()

    def option(self, group: str, option: str) -> Locator:
        return self.page.get_by_role("radiogroup", name=group, exact=True).get_by_role("radio", name=option, exact=True)

    def field(self, name: str) -> Locator:
        return self.page.get_by_role("textbox", name=name, exact=True)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def write_times(self, card: str) -> Locator:
        """Open the lines of a strip and return its card."""
        region = self.page.get_by_role("region", name=card, exact=True)
        region.get_by_text("Write the times").click()
        return region

    @property
    def status(self) -> Locator:
        return self.page.locator(".answer .said")

    def save(self, expected: str) -> None:
        """Save, expect a status with that text, and wait for the files as they are then."""
        press = self.page.get_by_role("button", name=re.compile("^Save "))
        of_month = press.inner_text() == "Save the month"
        press.click()
        expect(self.status).to_contain_text(expected)
        if expected.startswith("Saved") and not of_month:
            expect(self.page.locator(".answer").get_by_role("link", name=re.compile("^The page of "))).to_be_visible()
        if not expected.startswith("Not"):
            expect(self.status).not_to_contain_text("Not ")

    def tomorrow(self) -> list[str]:
        """The titles of tomorrow's tasks in order, each after its rank if it has one."""
        rows = self.page.locator(".card.next li.task")
        texts = [
            (row.locator(".rank :checked + label").all_inner_texts(), row.locator(".name > span").first.inner_text())
            for row in rows.all()
        ]
        return [" ".join([*rank, title]) for rank, title in texts]


def anew(page: Page, address: str) -> Evening:
    """The evening of today as in the files, without input and with all sections closed.

    If the page is open, it goes to the month and back, which costs a third of opening it.
    """
    if not page.locator("main.sheet:not(.day, .settings)").count():
        page.goto(address)
        return Evening(page)
    page.evaluate("sessionStorage.clear()")
    over, shown = page.get_by_role("button", name="Fill in a month"), page.get_by_label("Day to close", exact=True)
    if over.count():
        if shown.input_value() != TODAY:
            shown.select_option(TODAY)
            expect(page.locator("h1")).to_have_text("Close today, open tomorrow")
        over.click()
    page.get_by_role("button", name="Back to the evening").click()
    expect(shown).to_have_value(TODAY)
    for open_fold in page.locator(".time-off .fold[open] > summary").all():
        open_fold.click()
    return Evening(page)
