"""The forms of settings, a day, a week and a month in German, with panels, refusals and conflicts open: no text of the
browser's modules that is not from the catalogue, and nothing wider than a narrow screen.

Each text that a module looks up has letters that no other text has (`test_language.ACCENTED`). What Python says is
German, so a word that neither has such letters nor is in the German catalogue is not translated.
"""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from journal.language.languages import GERMAN
from journal.pages import browser_modules
from tests import catalogues
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import lay
from tests.browser.test_language import ACCENTED, KEYS, SHOWN
from tests.language.greek_journal import MORE
from tests.language.test_moved_parts import PAGE, SETTINGS, foreign

pytestmark = pytest.mark.xdist_group("evening")

TODAY = "2025-03-13"
SETTINGS_TEXT = f'language = "de"\n{SETTINGS}{MORE}'
FILES = {
    "journal.toml": SETTINGS_TEXT,
    f"2025/{TODAY}.toml": f'notes = ["Κόλλα."]\n{PAGE}\n[[appointments]]\ntitle = "Γιατρός"\nstart = "08:30"\n',
    "2025/2025-03-10.toml": 'mood = 4\n[habits]\n"π" = true\n[[tasks]]\ntitle = "Παλιό"\n',
    "undated.toml": '[[tasks]]\ntitle = "Ράφι"\nid = "u2p5"\n',
}
NAMES = {"Deutsch", "English", "Europe", "Ljubljana", "RRGGBB", "home", "rests", "Cmd"}
"""Names that stay: of languages, of a time zone, of keys of the file and of the keyboard."""

Open = Callable[[str], Page]


@pytest.fixture
def open_page(evening_served: Served, new_page: NewPage) -> Iterator[Open]:
    """A function that opens a page of the German journal at 390 pixels, with accents in each text that is looked up."""
    lay(evening_served.folder, FILES)
    evening_served.turn(TODAY)

    def with_accents(route: Route) -> None:
        body = gzip.decompress(browser_modules.served_file()).decode() + ACCENTED
        route.fulfill(body=body, content_type="text/javascript; charset=utf-8")

    def begin(name: str) -> Page:
        page = new_page(evening_served, 390, waits=False)
        page.on("dialog", lambda dialog: dialog.accept())
        page.route("**/browser/*/forms.js", with_accents)
        page.goto(evening_served.opening(name))
        page.locator("#first-sight").wait_for(state="detached")
        return page

    yield begin
    lay(evening_served.folder, {})


def german_words() -> set[str]:
    """The words that Python may say in German."""
    translations = (message.string for message in catalogues.read("de") if message.id)
    texts = [str(text) for one in translations for text in (one if isinstance(one, tuple | list) else (one,))]
    names = [*GERMAN.months, *GERMAN.weekdays, *(name[: GERMAN.short_weekday] for name in GERMAN.weekdays)]
    return set(re.findall(r"[a-z]{2,}", " ".join([*texts, *names, *KEYS, *NAMES]).lower()))


OURS = german_words()


def strange(sheet: Locator) -> set[str]:
    """The words of a form that are not from the catalogue."""
    return {word for text in sheet.evaluate(SHOWN) for word in foreign(text) if word.lower() not in OURS}


def unfolded(page: Page, within: str) -> None:
    """Open every part inside of a form, and what that shows, once more."""
    for _round in range(2):
        page.locator(f"{within} details").evaluate_all("parts => parts.forEach((part) => { part.open = true; })")
        page.wait_for_timeout(200)


def is_narrow(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_the_settings_in_all_their_states(open_page: Open, folder: Path) -> None:
    page = open_page("settings")
    sheet = page.locator(".sheet.settings")
    unfolded(page, ".sheet.settings")
    for add in page.locator(".setting-list > button").all():
        add.click()
    habits = page.locator(".part-habits")
    schedule = habits.locator(".schedule").last.locator("select").first
    for pattern in ("weekdays", "days", "quota", "month days", "month weekdays", "year"):
        schedule.select_option(pattern)
        assert strange(habits.locator(".schedule").last) == set()
    habits.locator("[data-way=away]").first.click()  # marks hang on it
    expect(habits.locator(".notice")).to_be_visible()
    page.locator(".bar + button, .bar button:not(.save)").first.click()
    expect(page.locator(".wrong:not([hidden])").first).to_be_visible()
    assert strange(sheet) == set()
    assert is_narrow(page)

    page.reload()  # the draft is offered again
    unfolded(page, ".sheet.settings")
    (folder / "journal.toml").write_text(SETTINGS_TEXT.replace("Νήμα", "Αλλού"), encoding="utf-8")
    expect(page.locator(".notice.news")).to_be_visible()
    assert strange(sheet) == set()


def test_the_thousands_of_the_settings_are_asked_about(open_page: Open, folder: Path) -> None:
    page = open_page("settings")
    page.locator(".part-places > summary").click()
    unfolded(page, ".part-places")
    latitude = page.locator('[data-field="places.r0.latitude"]')
    expect(latitude).to_have_value("46,05")
    latitude.fill("46.055")
    page.locator(".bar .save").click()
    expect(page.locator(".part-places .wrong:not([hidden])")).to_have_text(
        "46.055 kann 46055 oder 46,055 heißen; schreib eines davon."
    )
    latitude.fill("46,055")
    page.locator(".bar .save").click()
    expect(page.locator(".bar .said")).to_contain_text("Gespeichert in journal.toml")
    assert "latitude = 46.055" in (folder / "journal.toml").read_text(encoding="utf-8")
    expect(latitude).to_have_value("46,055")

    (folder / "journal.toml").write_text('title = "α\nclock = 12\n', encoding="utf-8")
    expect(page.locator(".mending").first).to_be_visible()
    words = {word for text in page.locator(".sheet.settings").evaluate(SHOWN) for word in foreign(text)}
    assert {"Line", "Mend", "broken", "mended"} & words == set()


def test_a_day_in_all_its_states(open_page: Open, folder: Path) -> None:
    page = open_page("day")
    sheet = page.locator(".sheet.day")
    unfolded(page, ".sheet.day")
    for more in page.locator(".more-of").all():
        more.click()
    for kind in range(4):
        page.locator(".writing input[type=radio]").nth(kind).check(force=True)
        assert strange(sheet) == set()
    page.locator(".adding .amount").first.fill("1.234")
    page.locator(".adding input:not(.amount)").first.fill("Κερί")
    page.locator(".adding input:not(.amount)").first.press("Enter")
    expect(page.locator(".wrong:not([hidden])").first).to_be_visible()
    page.locator(".written").first.fill("Κόλλα και νήμα.")
    text = (folder / f"2025/{TODAY}.toml").read_text(encoding="utf-8")
    (folder / f"2025/{TODAY}.toml").write_text(text.replace("Κόλλα.", "Άλλη."), encoding="utf-8")
    expect(page.locator(".homeless")).to_be_visible()
    assert strange(sheet) == set()
    assert is_narrow(page)


def test_a_week_and_a_month_in_all_their_states(open_page: Open) -> None:
    page = open_page("week")
    page.locator("details").evaluate_all("parts => parts.forEach((part) => { part.open = true; })")
    page.locator(".sheet.ahead .mover").first.click()
    page.locator(".sheet.undecided input[type=radio]").nth(1).check(force=True)
    page.locator(".sheet.undecided input[type=radio]").nth(6).check(force=True)
    for form in ("review", "ahead", "undecided"):
        assert strange(page.locator(f".sheet.{form}")) == set(), form
    assert is_narrow(page)

    page = open_page("month")
    page.locator("details").evaluate_all("parts => parts.forEach((part) => { part.open = true; })")
    page.locator(".unfold").click()
    for place in (1, 2, 3):
        page.locator(".deciding-habit").first.locator(".chip").nth(place).click()
        unfolded(page, ".sheet.decisions .panel")
        assert strange(page.locator(".sheet.decisions .deciding-habit .panel")) == set()
    page.locator(".sheet.trials [data-focus^=stop], .sheet.trials [data-focus^=look]").first.click()
    page.locator(".sheet.trials [data-focus=add]").click()
    page.locator(".sheet.trials [data-focus=length]").click()  # another trial of the habit still runs
    expect(page.locator(".sheet.trials .wrong:not([hidden])").first).to_be_visible()
    page.locator('.sheet.trials [data-field="trial.from"]').fill("2025-06-01")
    page.locator(".sheet.trials [data-focus=length]").click()
    expect(page.locator(".sheet.trials .length p").first).to_contain_text("Wie lange er laufen muss")
    assert strange(page.locator(".sheet.trials")) == set()
    assert is_narrow(page)
