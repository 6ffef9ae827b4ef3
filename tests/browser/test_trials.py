"""A trial from question to result: made by keyboard on the month page, asked in the evening, read at its end."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

import journal
from journal import lots
from journal.settings import Trial
from tests.browser import axe
from tests.browser.conftest import Served
from tests.browser.evenings import SETTINGS, TODAY, anew, lay
from tests.browser.figures import every_figure_shows
from tests.browser.settings_page import SettingsPage

pytestmark = pytest.mark.xdist_group("evening")

FIRST = dt.date(2025, 3, 14)
DAYS = 28
OVER = FIRST + dt.timedelta(days=DAYS + 1)
QUESTION = "Does a walk help as my pills do?"


def only_trial(folder: Path) -> Trial:
    (trial,) = journal.open(folder, today=FIRST, cache=False).settings.trials
    return trial


def make(page: Page) -> None:
    """Make a trial with the keyboard alone. Its question has a word that asks for care."""
    page.locator("#chapter-lot > summary").press("Enter")
    page.get_by_role("button", name="+ Make a trial").press("Enter")
    question = page.get_by_label("The question, in your words")
    expect(question).to_be_focused()
    question.fill(QUESTION)
    page.get_by_label("Days", exact=True).fill("20")
    ask, draw = (page.get_by_role("button", name=name) for name in ("How long must it run?", "Draw the lots"))
    ask.press("Enter")
    days = page.get_by_label("Days", exact=True)
    expect(days).to_be_focused()
    expect(days).to_have_accessible_description(re.compile(r"Expected at least 24 days, 6 pairs of blocks"))
    expect(draw).to_be_hidden()
    days.fill(str(DAYS))
    ask.press("Enter")
    expect(draw).to_be_focused(timeout=60_000)
    told = page.locator(".length")
    expect(told).to_contain_text("How long it must run: ")
    expect(told).to_contain_text("Yours of 28 days finds that much in")
    draw.press("Enter")
    sure = page.get_by_role("button", name="It is none of these: draw the lots")
    expect(sure).to_be_focused()
    expect(page.locator(".asks-again")).to_contain_text("The plan says “pill”.")
    expect(page.locator(".asks-again")).to_contain_text("Such a trial belongs to a doctor")
    sure.press("Enter")
    expect(page.locator(".trials .reply .said")).to_contain_text("Saved to journal.toml")


def test_a_trial_from_its_question_to_its_result(evening_served: Served, tab: Page, folder: Path) -> None:
    lay(folder, {"journal.toml": SETTINGS})
    evening_served.turn(TODAY)
    tab.goto(evening_served.opening("month"))
    make(tab)
    trial = only_trial(folder)
    assert (trial.question, trial.start, trial.days, trial.plan) == (QUESTION, FIRST, DAYS, lots.digest(trial))
    row = tab.get_by_role("listitem", name=QUESTION)
    expect(row).to_contain_text(f"seed {trial.seed}.")
    for width in (390, 1280):
        tab.set_viewport_size({"width": width, "height": 900})
        assert tab.evaluate("document.documentElement.scrollWidth") <= width

    tab.goto(evening_served.opening("settings"))
    part = SettingsPage(tab).part("Trials by lot")
    shown = SettingsPage(tab).row(part, QUESTION)
    expect(shown).to_contain_text(f"Seed of the draw{trial.seed}")
    expect(part.locator("button, input, select, textarea")).to_have_count(0)
    part.get_by_role("link", name="To the trials").press("Enter")
    expect(row).to_be_visible()

    first, second = ("on" if lot.is_on else "off" for lot in (lots.lots(trial)[0], lots.lots(trial)[1]))
    anew(tab, evening_served.opening("evening"))
    expect(tab.locator(".tomorrow .lots li")).to_have_text(f"Walk by the river{first}")

    evening_served.turn(FIRST.isoformat())
    tab.goto(evening_served.opening("evening"))
    walk = tab.get_by_role("listitem").filter(has=tab.get_by_role("radiogroup", name="Walk by the river"))
    expect(walk.locator(".lot")).to_have_text(f"By lot: {first}")
    expect(tab.locator(".tomorrow .lots li")).to_have_text(f"Walk by the river{second}")
    as_drawn, otherwise = ("done", "not done") if first == "on" else ("not done", "done")
    walk.get_by_role("radio", name=otherwise, exact=True).check(force=True)
    status = walk.get_by_role("status")
    expect(status).to_contain_text("counts as drawn; 1 of 1 day went otherwise than drawn")
    walk.get_by_role("radio", name=as_drawn, exact=True).check(force=True)
    expect(status).not_to_contain_text("otherwise")

    live(folder, trial)
    evening_served.turn(OVER.isoformat())
    tab.goto(evening_served.opening("month", "pair=read,energy,0"))  # as the link of another page
    chosen = [tab.get_by_label(name, exact=True) for name in ("By lot", "What is looked at", "On")]
    for field, value in zip(chosen, ("read", "energy", "0"), strict=True):
        expect(field).to_have_value(value)
    result = tab.locator(".trial-result")
    expect(result.locator(".effect")).to_contain_text(
        re.compile(r"On days drawn on, mood the day after was 2\.0 higher, 95\s% interval .* of 128 draws\.")
    )
    expect(result).to_contain_text("1 of 28 days went otherwise than drawn; each counts as it was drawn.")
    expect(tab.locator(".drawing-now")).to_have_count(tab.locator(".chapter:not([open])").count())
    every_figure_shows(tab, f"trial-{trial.key}")
    assert axe.violations(tab) == []


def live(folder: Path, trial: Trial) -> None:
    """Write every day of a trial: as drawn but for the last, with a mood of 4 the day after "on", else of 2."""
    pages = {"journal.toml": (folder / "journal.toml").read_text(encoding="utf-8")}
    drawn = {lot.date: lot.is_on for lot in lots.lots(trial)}
    last = max(drawn)
    for place in range(DAYS + 1):
        day = FIRST + dt.timedelta(days=place)
        was_on = drawn.get(day - dt.timedelta(days=1), False)
        done = drawn.get(day, False) != (day == last)
        pages[f"2025/{day}.toml"] = f"mood = {4 if was_on else 2}\n\n[habits]\nwalk = {str(done).lower()}\n"
    lay(folder, pages)
