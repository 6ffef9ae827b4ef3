"""Accessibility of the evening page: names, keyboard, narrow screen, both themes."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Page, expect

from tests.browser import axe
from tests.browser.evenings import TODAY, Evening, day

pytestmark = pytest.mark.xdist_group("evening")


ROLES = {
    "button", "checkbox", "combobox", "grid", "image", "link", "radio", "radiogroup", "searchbox", "slider",
    "spinbutton", "textbox", "Date", "DisclosureTriangle",
}  # fmt: skip


def accessible_controls(page: Page) -> list[tuple[str, str]]:
    """The controls in Chromium's accessibility tree, in order."""
    nodes: list[dict[str, Any]] = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    by_id = {node["nodeId"]: node for node in nodes}
    controls = []

    def walk(node: dict[str, Any]) -> None:
        role = node.get("role", {}).get("value")
        if not node.get("ignored") and role in ROLES:
            controls.append((role, node.get("name", {}).get("value", "")))
        for child in node.get("childIds", []):
            if child in by_id:
                walk(by_id[child])

    walk(nodes[0])
    return controls


def test_every_control_has_its_role_and_name(evening: Evening) -> None:
    page = evening.page
    evening.choose("What becomes of Cook wheat paste", "done")
    evening.choose("What becomes of Quote for the choir folders", "carry to tomorrow")
    evening.choose("What becomes of Photograph the spring papers", "another day")
    evening.press("+ Add an appointment")
    for summary in page.locator(".sheet summary").all():
        summary.click()
    page.get_by_role("textbox", name="Good thing 1").focus()
    expect(page.get_by_role("img", name="Planned 45 min")).to_be_visible()  # the answer about the carried task is there
    assert accessible_controls(page) == CONTROLS
    assert axe.violations(page) == []
    stray = "card => [...card.childNodes].filter(node => node.nodeType === Node.TEXT_NODE).length"
    assert page.locator(".kept").evaluate(stray) == 0, "no length of an empty list is written"


DATE = ("Month", "Day", "Year")  # Chromium's own parts of a date
MARKS = [("radio", "done"), ("radio", "not done"), ("radio", "rest")]
FATES = [("radio", fate) for fate in ("done", "carry to tomorrow", "another day", "back to no day", "drop")]


def strip(name: str) -> list[tuple[str, str]]:
    blocks = ("Sleep, 00:00 to 06:15", "Workshop, 09:00 to 12:30", "Workshop, 13:30 to 17:00", "Sleep, 22:30 to 24:00")
    pens = [("radio", title) for title in ("Sleep", "Workshop", "Outside", "Eraser")]
    found = [("radiogroup", f"{name}: what to draw"), *pens, ("slider", f"{name}: a place to draw")]
    for block in blocks:
        title = block.partition(",")[0]
        found += [("button", block), ("slider", f"{title} starts"), ("slider", f"{title} ends")]
    return [*found, ("button", "Undo"), ("button", "Redo")]


def lines(name: str) -> list[tuple[str, str]]:
    found = [("DisclosureTriangle", "Write the times")]
    for number in range(1, 5):
        found += [("textbox", f"{name}, line {number}"), ("button", f"Take out {name.lower()}, line {number}")]
    return [*found, ("button", "+ Add a line"), ("DisclosureTriangle", "How to change the strip")]


CONTROLS = [
    ("link", "Day"), ("link", "Evening"), ("link", "Week"), ("link", "Month"), ("link", "Year"), ("link", "Settings"),
    ("link", "Manual"),
    ("combobox", "Day to close"), ("button", "Fill in a month"),
    ("DisclosureTriangle", "The day's weather and appointments: none noted"),
    ("textbox", "Weather of the day"), ("textbox", "High of the day, °C"), ("textbox", "Low of the day, °C"),
    ("button", "+ Add an appointment of the day"),
    ("radiogroup", "Mood"), *[("radio", step) for step in ("1 heavy", "2 low", "3 even", "4 good", "5 bright")],
    ("radiogroup", "Energy"), *[("radio", step) for step in ("1 empty", "2 low", "3 steady", "4 strong", "5 full")],
    ("radiogroup", "Walk by the river"), *MARKS,
    ("button", "Read, rest"), ("textbox", "Read, pages"),
    ("radiogroup", "Swim"), *MARKS,
    ("radiogroup", "Challenge: Thirty letters"), *MARKS[:2],
    ("DisclosureTriangle", "Not due today, 1"), ("radiogroup", "Call home"), *MARKS,
    ("textbox", "Good thing 1"), ("textbox", "Good thing 2"), ("button", "+ One more"),
    ("textbox", "One to remember (optional)"), ("checkbox", "A friend may read it, in a year exported for one"),
    ("button", "+ Add a note"),
    ("radiogroup", "What becomes of Cook wheat paste"), *FATES, ("textbox", "Minutes that Cook wheat paste took"),
    ("radiogroup", "What becomes of Quote for the choir folders"), *FATES,
    ("radiogroup", "What becomes of Photograph the spring papers"), *FATES,
    ("Date", "Day for Photograph the spring papers"), *[("spinbutton", f"{part} {part}") for part in DATE],
    ("button", "Show date picker Show date picker"),
    ("radiogroup", "What becomes of Post the order to Graz"), *FATES,
    ("textbox", "Something else that you did"), ("button", "Add what you did"),
    *strip("Hours as they went"), ("checkbox", "They went as planned"), *lines("Hours as they went"),
    ("textbox", "Weather"), ("textbox", "High, °C"), ("textbox", "Low, °C"),
    ("textbox", "Appointment 1, from"), ("textbox", "Appointment 1, to"), ("textbox", "Appointment 1, what"),
    ("button", "Take out appointment 1"), ("button", "+ Add an appointment"),
    *strip("Hours of tomorrow"), *lines("Hours of tomorrow"),
    ("radiogroup", "Rank of Quote for the choir folders"), *[("radio", rank) for rank in ("1st", "2nd", "3rd")],
    ("textbox", "Minutes for Quote for the choir folders"),
    ("button", "Quote for the choir folders, earlier"), ("button", "Quote for the choir folders, later"),
    ("button", "Quote for the choir folders, not tomorrow"),
    ("textbox", "A new task for tomorrow"), ("textbox", "Minutes for the new task"), ("button", "Add the task"),
    ("button", "Take in Sweep and oil the press"), ("button", "Take in Stock count"),
    ("DisclosureTriangle", "Take one of the 2 without a day"),
    ("button", "Take in Sort the button tin"), ("button", "Take in Ask Bojan about a lid"),
    ("image", "Planned 45 min, room for 16 h 15 min, 7 h of it in work hours."),
    ("button", "Save both days"),
    ("button", "Choose pictures"),
    ("DisclosureTriangle", "From paper read a sheet that was filled in by hand"), ("button", "Choose photographs"),
    ("DisclosureTriangle", "Time off"), ("button", "+ Add time off"),
    ("DisclosureTriangle", "Earlier states Thursday 13 March 2025"), ("combobox", "Page"),
]  # fmt: skip


FOCUSED = """() => {
  let at = document.activeElement;
  while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
  const group = at?.closest('[role=radiogroup]')?.getAttribute('aria-label');
  const name = at?.getAttribute('aria-label') || at?.labels?.[0]?.innerText || at?.innerText || '';
  return group ? `${group}: ${name}` : name;
}"""


class Keys:
    """A driver that uses the keyboard only."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def to(self, name: str) -> Keys:
        """Press Tab until the control has the focus. Fails after too many steps."""
        for _ in range(120):
            self.page.keyboard.press("Tab")
            if str(self.page.evaluate(FOCUSED)).startswith(name):
                return self
        raise AssertionError(f"Tab does not come to {name}")

    def press(self, *keys: str) -> Keys:
        for key in keys:
            self.page.keyboard.press(key)
        return self

    def type(self, text: str) -> Keys:
        self.page.keyboard.type(text)
        return self


def test_a_whole_evening_by_the_keyboard_and_ctrl_s_saves(evening: Evening, folder: Path) -> None:
    page = evening.page
    keys = Keys(page)
    keys.to("Mood").press("4")
    keys.to("Energy").press("Space", "ArrowRight", "ArrowRight")
    keys.to("Walk by the river").press("Space")
    keys.to("Read, pages").type("24")
    keys.to("Swim").press("r")
    keys.to("Challenge: Thirty letters").press("d")
    keys.to("Good thing 1").type("Bread from next door, still warm.").press("Enter").type("The rain held off.")
    keys.to("One to remember").type("Sewn.")
    keys.to("What becomes of Cook wheat paste").press("Space")
    keys.to("Minutes that Cook wheat paste took").type("30")
    keys.to("What becomes of Quote").press("Space", "ArrowRight")
    keys.to("Weather").type("fog")
    keys.to("+ Add an appointment").press("Enter").type("8:30")
    keys.to("Appointment 1, what").type("Paper merchant")
    keys.to("Sleep, 22:30 to 24:00").press("Shift+ArrowLeft")
    keys.to("Rank of Quote").press("2")
    keys.to("A new task for tomorrow").type("Finish the blue guest book").press("Tab").type("120").press("Enter")
    keys.to("Take in Stock count").press("Enter")
    keys.to("Save both days").press("Enter")
    expect(evening.status).to_contain_text("Saved to 2025/2025-03-13.toml and 2025/2025-03-14.toml")
    today, tomorrow = day(folder, TODAY), day(folder, "2025-03-14")
    assert today.startswith(
        'mood = 4\nenergy = 3\ngratitude = ["Bread from next door, still warm.", "The rain held off."]\n'
        'memory = "Sewn."\n\n[habits]\nwalk = true\nread = 24\nswim = "rest"\n\n[challenges]\nletters = true\n'
    )
    assert "took = 30" in today
    assert 'sleep = ["00:00-06:15", "21:30-23:00"]' in tomorrow
    assert 'title = "Paper merchant"\nstart = "08:30"\n' in tomorrow
    for task in ("Quote for the choir folders", "Finish the blue guest book", "Stock count"):
        assert f'title = "{task}"\nstatus = "open"' in tomorrow
    assert 'title = "Quote for the choir folders"\nstatus = "open"\nrank = 2' in tomorrow

    evening.field("Good thing 2").fill("The bus came.")
    expect(evening.status).to_have_text("Not saved yet.")
    expect(page.locator(".bar")).to_contain_text("or Ctrl+S")
    expect(page.get_by_role("button", name="Save both days")).to_have_attribute("aria-keyshortcuts", "Control+S")
    page.locator("h1").click()  # nothing has the focus
    page.keyboard.press("Control+s")
    expect(evening.status).to_contain_text("Saved to 2025/2025-03-13.toml")
    assert 'gratitude = ["Bread from next door, still warm.", "The bus came."]' in day(folder, TODAY)


def test_it_fits_its_width_and_every_target_is_large_enough(evening: Evening) -> None:
    page = evening.page
    evening.choose("Mood", "4 good")
    evening.choose("What becomes of Cook wheat paste", "carry to tomorrow")
    evening.press("+ Add an appointment")
    for summary in page.locator(".sheet summary").all():
        summary.click()
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        # WCAG 2.2, 2.5.8: 24 px. Blocks of hours and their edges are as wide as their time. Their lines of text are
        # equivalent controls, which the criterion allows as an exception.
        small = page.locator(".sheet").evaluate_all(
            """roots => roots.flatMap(root => [...root.querySelectorAll('button, input, select, textarea, summary, a')])
            .map(one => [one.getAttribute('aria-label') || one.textContent || one.type, one.getBoundingClientRect()])
            .filter(([, box]) => box.width && (box.width < 24 || box.height < 24))
            .map(([name, box]) => `${name} ${box.width}x${box.height}`)"""
        )
        assert small == [], width
        cut = page.locator(".sheet").evaluate_all(
            """roots => roots.flatMap(root => [...root.querySelectorAll('*')]).filter(one => {
              const box = one.getBoundingClientRect();
              return box.width && (box.right > innerWidth + 1 || box.left < -1) && !one.closest('.month-scroll');
            }).map(one => one.className)"""
        )
        assert cut == [], width
    evening.save("Saved to")


def test_the_save_bar_is_always_visible_and_never_covers_the_focus(evening: Evening) -> None:
    page = evening.page
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        expect(page.get_by_role("button", name="Save both days")).to_be_in_viewport(ratio=1)
        evening.field("Good thing 1").focus()
        for _ in range(30):
            page.keyboard.press("Tab")
            assert page.evaluate(COVERED) == "", width


COVERED = """() => {
  let at = document.activeElement;
  while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
  const bar = at.getRootNode().querySelector('.bar');
  if (bar.contains(at)) return '';
  return at.getBoundingClientRect().top >= bar.getBoundingClientRect().top ? at.outerHTML : '';
}"""


def test_a_month_fits_a_narrow_page(evening: Evening) -> None:
    page = evening.page
    page.set_viewport_size({"width": 390, "height": 900})
    evening.press("Fill in a month")
    cell = page.get_by_role("gridcell", name="Walk by the river, 1 March: nothing yet", exact=True)
    box, head = cell.bounding_box(), page.get_by_role("rowheader", name="Walk by the river").bounding_box()
    assert box is not None
    assert head is not None
    assert box["width"] >= 24
    assert box["height"] >= 24
    assert head["height"] < 60, "the name of a habit is not cut into letters"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert axe.everywhere(page) == []
    names = [name for role, name in accessible_controls(page) if role == "button"]
    assert names == ["Show month picker Show month picker", "Back to the evening", "Save the month", "Choose pictures"]


def test_text_has_contrast_in_light_and_dark(evening: Evening) -> None:
    """Every text has a contrast of at least 4.5 to 1 (WCAG 2.2, 1.4.3), measured from rendered colours."""
    page = evening.page
    evening.choose("Mood", "4 good")
    evening.choose("What becomes of Cook wheat paste", "carry to tomorrow")
    evening.field("Read, pages").fill("many")
    evening.save("Not saved: one place needs mending.")
    for summary in page.locator(".sheet summary").all():
        summary.click()
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert [sheet.evaluate(CONTRAST) for sheet in page.locator(".sheet").all()] == [[]] * 6, scheme
    assert axe.everywhere(page) == []


SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")

CONTRAST = """root => {
  const colour = (text) => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 1, height: 1 }).getContext('2d');
    canvas.fillStyle = text;
    canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data];
  };
  const linear = (v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  const light = ([r, g, b]) => 0.2126 * linear(r / 255) + 0.7152 * linear(g / 255) + 0.0722 * linear(b / 255);
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement || at.getRootNode().host) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (found[3] === 255) return found;
    }
    return [255, 255, 255, 255];
  };
  const typed = (one) => ['text', 'textarea', 'select-one', 'search', 'date'].includes(one.type) && one.value;
  const written = (one) => [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim());
  return [...root.querySelectorAll('*')]
    .filter(one => one.checkVisibility() && !one.disabled && (typed(one) || written(one)))
    .map(one => {
      const [a, b] = [light(colour(getComputedStyle(one).color)), light(ground(one))];
      return [`${one.className} ${one.textContent.slice(0, 30)}`, (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)];
    })
    .filter(([, ratio]) => ratio < 4.5);
}"""
