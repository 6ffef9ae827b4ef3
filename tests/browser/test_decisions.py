"""The decisions of a month and time off on their pages: what the files say after each press, and who is told of it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser import axe
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import SETTINGS, anew, lay

pytestmark = pytest.mark.xdist_group("evening")

MARCH_31 = "2025-03-31"
MONTH = "2025/2025-03.toml"
EIGHT = [*("walk", "read", "swim", "call"), *("press", "sweep", "letter", "sketch")]
MORE = "".join(
    f'\n[[habits]]\nkey = "{key}"\nname = "{key.capitalize()}"\nevery = "FREQ=DAILY"\nfrom = 2025-01-01\n'
    for key in EIGHT[4:]
)
NAMES = ["Walk by the river", "Read", "Swim", "Call home", "Press", "Sweep", "Letter", "Sketch"]


class Deciding:
    """The grid of a month with its decisions, and a count of the presses on each habit."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.presses: Counter[str] = Counter()
        self.card = page.locator("#month-grid")
        expect(self.card).to_be_visible()

    def row(self, name: str) -> Locator:
        return self.card.get_by_role("listitem", name=name, exact=True)

    def press(self, habit: str, name: str) -> None:
        self.row(habit).get_by_role("button", name=name, exact=True).click()
        self.presses[habit] += 1

    def propose(self, habit: str, said: str, coming: str) -> None:
        """Press the proposal that begins with those words. It shows its due days."""
        proposal = self.row(habit).locator(".proposal").filter(has=self.page.get_by_text(said, exact=True))
        expect(proposal).to_contain_text(coming)
        proposal.click()
        self.presses[habit] += 1

    def is_kept(self, habit: str) -> None:
        keep = self.row(habit).get_by_role("button", name="Keep", exact=True)
        expect(keep).to_have_attribute("aria-pressed", "true")

    def lines_of_choices(self, habit: str) -> int:
        chips = self.row(habit).locator(".choices .chip")
        return len(set(chips.evaluate_all("all => all.map((one) => one.getBoundingClientRect().top)")))

    def is_decided(self, habit: str, said: str) -> None:
        expect(self.row(habit).locator(".decided")).to_contain_text(said)


@pytest.fixture
def month(evening_served: Served, tab: Page) -> Deciding:
    """March on its last evening, of a journal with eight habits."""
    lay(evening_served.folder, {"journal.toml": SETTINGS + MORE, "2025/2025-03-20.toml": "[habits]\nwalk = true\n"})
    evening_served.turn(MARCH_31)
    tab.goto(evening_served.opening("month", "month=2025-03"))
    return Deciding(tab)


def text(folder: Path, name: str = "journal.toml") -> str:
    path = folder / name
    return path.read_text(encoding="utf-8") if path.exists() else ""


def test_eight_habits_are_decided_on_in_few_presses(month: Deciding, folder: Path) -> None:
    page = month.page
    before = text(folder)
    assert [month.row(name).count() for name in NAMES] == [1] * 8
    assert {month.lines_of_choices(name) for name in NAMES} == {1}
    expect(month.card.locator(".hint")).to_contain_text("0 of 8 decided.")
    for name in ("Walk by the river", "Swim", "Press", "Sweep", "Letter"):
        month.press(name, "Keep")
        month.is_kept(name)
    month.press("Sketch", "Drop")
    month.press("Sketch", "Drop it")
    month.press("Call home", "Rest")
    month.press("Call home", "Rest until then")
    month.press("Read", "Change")
    expect(month.row("Read").locator(".proposal").first).to_be_focused()
    month.propose("Read", "Every other day, 20 pages", "Tuesday 1 April, Thursday 3 April, Saturday 5 April, Monday 7")
    month.is_decided("Read", "From 1 April 2025: every other day, 20 pages.")
    month.is_decided("Sketch", "Ends on 31 March 2025.")
    month.is_decided("Call home", "Rests 1 to 30 April 2025.")
    assert set(month.presses) == set(NAMES)
    assert max(month.presses.values()) <= 2
    changed = (
        '\n[[habits]]\nkey = "read"\nname = "Read"\nevery = "FREQ=DAILY;INTERVAL=2"\nfrom = 2025-04-01\n'
        'target = 20\nunit = "pages"\n'
    )
    assert changed in text(folder)
    assert 'name = "Sketch"\nevery = "FREQ=DAILY"\nfrom = 2025-01-01\nuntil = 2025-03-31\n' in text(folder)
    assert text(folder).endswith('\n[[rests]]\nfrom = 2025-04-01\nuntil = 2025-04-30\nhabits = ["call"]\n')
    assert 'sketch = "drop"' in text(folder, MONTH)

    month.press("Read", "Change")  # anything else is said in words
    row = month.row("Read")
    row.get_by_text("Another change, in words").click()
    row.get_by_role("combobox", name="Due", exact=True).select_option("on days of the week")
    for day in ("Monday", "Friday"):
        month.press("Read", day)
    expect(row.locator(".coming")).to_have_text(
        "Mondays and Fridays: Friday 4 April, Monday 7 April, Friday 11 April, Monday 14 April and so on."
    )
    assert axe.violations(page) == []
    month.press("Read", "Save the change")
    month.is_decided("Read", "From 1 April 2025: Mondays and Fridays, 20 pages.")
    assert changed.replace("DAILY;INTERVAL=2", "WEEKLY;BYDAY=MO,FR") in text(folder)

    page.reload()
    month = Deciding(page)
    month.is_decided("Read", "From 1 April 2025: Mondays and Fridays, 20 pages.")
    for name in NAMES:
        is_kept = name not in ("Read", "Sketch", "Call home")
        month.press(name, "Keep" if is_kept else "Take back")
        expect(month.row(name).locator('.chip[aria-pressed="true"], .decided button')).to_have_count(0)
    assert (text(folder), text(folder, MONTH)) == (before, "\n")


def test_a_habit_has_one_row_with_its_marks_numbers_and_choices(month: Deciding) -> None:
    page, read = month.page, month.row("Read")
    rows = [month.row(name) for name in NAMES]
    marks = [row.locator(".month-marks >> visible=true") for row in rows]

    def box(place: Locator) -> tuple[float, float, float, float]:
        found = place.bounding_box()
        assert found is not None
        return found["x"], found["y"], found["x"] + found["width"], found["y"] + found["height"]

    assert len({(box(mark)[0], box(mark)[2]) for mark in marks}) == 1, "the days of all rows are in line"
    for row, mark in zip(rows, marks, strict=True):
        choices, whole = box(row.locator(".choices")), box(row)
        assert choices[0] >= box(mark)[2], "beside the marks"
        assert whole[1] <= choices[1] <= choices[3] <= whole[3]
    expect(read.get_by_role("img", name="Read: ")).to_be_visible()
    expect(month.row("Walk by the river")).to_contain_text("1 of 30 days")
    month.press("Read", "Change")
    panel = read.get_by_role("group", name="Read, changed", exact=True)
    assert box(month.row("Swim"))[1] >= box(panel)[3], "a panel is below its row"
    month.press("Swim", "Keep")
    month.is_kept("Swim")
    expect(panel).to_be_visible()
    page.set_viewport_size({"width": 390, "height": 844})
    unfold = month.card.get_by_role("button", name="Numbers and decisions, 1 of 8 decided")
    expect(read.locator(".choices")).to_be_hidden()
    expect(read.locator(".month-marks.narrow")).to_be_visible()
    page.emulate_media(media="print")
    expect(month.card.get_by_role("button")).to_have_count(0)
    expect(read.locator(".counted")).to_be_visible()
    expect(read.locator(".month-marks.narrow")).to_be_visible()
    page.emulate_media(media="screen")
    unfold.press("Enter")
    expect(panel).to_be_visible()
    assert box(read.locator(".choices"))[1] >= box(read.locator(".month-marks.narrow"))[3], "beneath the marks"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    read.get_by_role("button", name="Cancel", exact=True).click()


def test_wrong_days_are_told_and_another_window_is_seen(
    month: Deciding, folder: Path, evening_served: Served, new_page: NewPage
) -> None:
    page = month.page
    page.set_viewport_size({"width": 390, "height": 900})
    before = text(folder)
    month.card.get_by_role("button", name="Numbers and decisions, 0 of 8 decided").click()
    month.press("Swim", "Rest")
    row = month.row("Swim")
    until = row.get_by_label("Until", exact=True)
    until.fill("2025-03-20")
    month.press("Swim", "Rest until then")
    expect(row.locator(".wrong:visible")).to_contain_text("Expected a day from 1 April 2025 on, got 20 March 2025")
    expect(until).to_be_focused()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert text(folder) == before

    until.fill("2025-05-31")
    other_page = new_page(evening_served)
    other_page.goto(evening_served.opening("month", "month=2025-03"))
    other = Deciding(other_page)
    other.press("Swim", "Keep")
    other.is_kept("Swim")
    other.press("Press", "Drop")
    other.press("Press", "Drop it")
    other.is_decided("Press", "Ends on 31 March 2025.")
    page.bring_to_front()
    month.is_kept("Swim")
    month.is_decided("Press", "Ends on 31 March 2025.")
    expect(until).to_have_value("2025-05-31")  # the panel stays as it was typed
    month.press("Swim", "Rest until then")
    month.is_decided("Swim", "Rests 1 April to 31 May 2025.")

    (folder / "journal.toml").write_text(text(folder) + "[[rests", encoding="utf-8")
    expect(month.card).to_contain_text("journal.toml:")
    expect(month.card.locator(".choices")).to_have_count(0)
    (folder / "journal.toml").write_text(before, encoding="utf-8")
    month.is_decided("Swim", "Noted here as “rest”; journal.toml has it otherwise by now.")
    month.press("Swim", "Take back")
    expect(month.row("Swim").get_by_role("button", name="Take back", exact=True)).to_have_count(0)
    assert text(folder) == before


def test_time_off_from_the_evening_with_the_keyboard_alone(evening_served: Served, tab: Page, folder: Path) -> None:
    page = tab
    page.goto(evening_served.opening("evening"))
    anew(page, evening_served.opening("evening"))
    page.set_viewport_size({"width": 390, "height": 900})
    before = text(folder)
    good = page.get_by_role("textbox", name="Good thing 1")
    good.fill("Bread.")
    page.locator(".time-off summary").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    off_card = page.locator(".time-off")
    expect(off_card.get_by_label("From", exact=True)).to_be_focused()
    off_card.get_by_label("From", exact=True).fill("2025-03-10")
    off_card.get_by_label("Until", exact=True).fill("2025-03-09")
    off_card.get_by_role("button", name="Read", exact=True).press("Enter")
    off_card.get_by_role("button", name="Walk by the river", exact=True).press(" ")
    off_card.get_by_label("Reason, for you alone", exact=True).fill("flu <b>")
    off_card.get_by_role("button", name="Save the days", exact=True).press("Enter")
    expect(off_card.locator(".wrong:visible")).to_contain_text("Expected a day from 10 March 2025 on, got 9 March 2025")
    off_card.get_by_label("Until", exact=True).fill("2025-03-16")
    off_card.get_by_role("button", name="Save the days", exact=True).press("Enter")
    expect(off_card.get_by_role("status")).to_contain_text("Saved to journal.toml at ")
    assert text(folder) == before + (
        '\n[[rests]]\nfrom = 2025-03-10\nuntil = 2025-03-16\nhabits = ["walk", "read"]\nreason = "flu <b>"\n'
    )
    expect(off_card.locator("summary").first).to_contain_text("now, until 16 March")
    expect(off_card).to_contain_text("flu <b>")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    resting = page.locator(".resting")  # the evening above follows
    expect(resting).to_contain_text("Time off: Walk by the river, Read. Nothing is due.")
    expect(page.get_by_role("radiogroup", name="Walk by the river", exact=True)).not_to_be_visible()
    expect(page.get_by_role("radiogroup", name="Swim", exact=True)).to_be_visible()
    expect(good).to_have_value("Bread.")
    expect(page.locator(".answer .said")).to_have_text("Not saved yet.")

    off_card.get_by_role("button", name="Back today").press("Enter")
    expect(off_card).to_contain_text("Over, 1")
    assert "from = 2025-03-10\nuntil = 2025-03-12\n" in text(folder)
    expect(resting).to_have_count(0)
    off_card.get_by_text("Over, 1").click()
    off_card.get_by_role("button", name="Remove, 10 to 12 March 2025, Walk by the river and Read").press("Enter")
    expect(off_card).not_to_contain_text("Over, 1")
    good.fill("")
    assert text(folder) == before
