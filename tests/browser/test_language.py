"""A German journal in the browser: its words, its numbers, and no text of ours that is not from the catalogue."""

from __future__ import annotations

import gzip
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from journal.pages import browser_modules
from tests.browser.conftest import NewPage, Reading, Served
from tests.language.test_moved_parts import PAGE, SETTINGS, foreign

pytestmark = pytest.mark.xdist_group("browser")

TODAY = "2026-01-01"


def build(folder: Path) -> None:
    """A journal whose own words are all Greek, so that every Latin word on a page is one of ours."""
    (folder / "journal.toml").write_text(f'language = "de"\n{SETTINGS}', encoding="utf-8")
    (folder / f"{TODAY}.toml").write_text(PAGE, encoding="utf-8")
    (folder / "2025-12-31.toml").write_text('mood = 4\n[habits]\n"π" = true\n', encoding="utf-8")
    (folder / "undated.toml").write_text('[[tasks]]\ntitle = "Ράφι"\n', encoding="utf-8")


@pytest.fixture
def german(reading: Reading) -> Iterator[Served]:
    yield reading.holds("german", build)


def test_it_is_closed_in_german_with_a_decimal_comma(german: Served, new_page: NewPage) -> None:
    page = new_page(german)
    page.goto(german.opening("evening", f"on={TODAY}"))
    expect(page.locator("h1")).to_have_text("Heute abschließen, morgen öffnen")
    assert page.locator("html").get_attribute("lang") == "de"
    count = page.get_by_role("textbox", name="Διάβασμα, σ")
    count.fill("1.234")
    page.get_by_role("button", name="Beide Tage speichern").click()
    expect(page.locator(".answer .said")).to_contain_text("Eine Stelle muss berichtigt werden")
    count.fill("12,5")
    page.get_by_role("button", name="Beide Tage speichern").click()
    expect(page.locator(".answer .said")).to_contain_text(re.compile(r"^Gespeichert in .* um \d\d:\d\d\."))
    (saved,) = german.folder.rglob(f"{TODAY}.toml")
    assert tomllib.loads(saved.read_text(encoding="utf-8"))["habits"]["δ"] == 12.5
    page.reload()
    expect(count).to_have_value("12,5")


ACCENTED = """
const accent = (part) => (part.startsWith("{") ? part : part.replace(/[a-zA-Z]/g, "ä"));
const accents = (text) => text.split(/(\\{\\w+\\})/).map(accent).join("");
const texts = new Proxy({}, { get: (_, key) => {
  if (typeof key !== "string") return undefined;
  const text = accents(key.split("\\u0004").at(-1));
  return Object.assign(new String(text), { one: text, other: text });
} });
m_language.languages.de.texts = texts;
"""
"""Every text that the modules look up, in letters that no other text has."""

SHOWN = """(root) => {
    const found = [];
    const walk = (node) => {
        if (node.nodeType === Node.TEXT_NODE) found.push(node.data);
        if (node.nodeType !== Node.ELEMENT_NODE || ["STYLE", "SCRIPT"].includes(node.tagName)) return;
        for (const name of ["aria-label", "title", "placeholder", "alt", "aria-roledescription"]) {
            if (node.hasAttribute(name)) found.push(node.getAttribute(name));
        }
        for (const child of node.childNodes) walk(child);
    };
    walk(root);
    return found;
}"""


def test_the_evening_has_no_text_that_is_not_from_the_catalogue(german: Served, new_page: NewPage) -> None:
    page = new_page(german, waits=False)  # a tab of its own, for scripts of its own
    told: list[str] = []  # what Python says, in German; it is looked through elsewhere

    def with_accents(route: Route) -> None:
        body = gzip.decompress(browser_modules.served_file()).decode() + ACCENTED
        route.fulfill(body=body, content_type="text/javascript; charset=utf-8")

    page.route("**/browser/*/forms.js", with_accents)
    page.on("response", lambda answer: told.append(answer.text()) if "first-sight" in answer.url else None)
    page.goto(german.opening("evening", f"on={TODAY}"))
    page.locator("#first-sight").wait_for(state="detached")
    expect(page.locator(".fit-sentence")).to_be_visible()
    everything = shown(page)
    assert len(everything) > 150
    ours = set(re.findall(r"[A-Za-z]{2,}", " ".join(told)))
    assert {word for text in everything for word in foreign(text)} - ours - KEYS == set()


KEYS = {"Ctrl", "Enter", "Shift", "Alt", "JPEG", "PNG", "WebP", "HEIC", "PDF"}
"""What is written on keys, and the names of formats."""


def shown(page: Page) -> list[str]:
    """The texts and names of all forms of a page, also of what is folded."""
    for summary in page.locator(".sheet summary").all():
        summary.evaluate("summary => { summary.parentElement.open = true; }")
    page.wait_for_timeout(300)
    # The earlier states are asked for when they are opened, so their texts are not among what was told.
    sheets = page.locator(".sheet:not(.earlier)").all()
    return [text for sheet in sheets for text in sheet.evaluate(SHOWN)]
