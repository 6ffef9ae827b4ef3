"""Each page of a small journal in the language of the tests, on a phone: every word is from the catalogue, and fits."""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from journal.language.catalogue import CATALOGUES, accented
from journal.pages import browser_modules
from tests.browser.conftest import NewPage, Reading, Served
from tests.browser.figures import unfold
from tests.browser.test_language import KEYS, SHOWN, build
from tests.language.test_moved_parts import PSEUDO, foreign

pytestmark = pytest.mark.xdist_group("browser")

OF_FILES = {
    "settings": {
        "title", "language", "de", "English", "key", "home", "Europe", "Ljubljana", "mood", "energy", "words", "sleep",
        "FREQ", "DAILY",
    },
}  # fmt: skip
"""Words of a page that are keys, rules, names of zones and of languages, as they stand in the files."""

PROMPTS = "".join(f'{page} = ["Τι;"]\n' for page in ("week", "month", "year"))

LAST = {
    "day": ".card >> visible=true", "evening": ".fit-sentence", "week": "#week-days .drawing >> visible=true",
    "month": "#month-grid .month-marks >> visible=true >> nth=0", "year": "#year-pixels .drawing >> visible=true",
    "settings": ".settings .folded >> nth=0",
}  # fmt: skip
"""What a page draws last."""

OURS = {"Duskbook", "XML", "HTML", "PDF", "PNG", "CSV", "ISO"}
"""The name of the project, and names of formats."""

CUT = """() => {
    const found = [];
    const hides = (style) => ["hidden", "clip"].some((one) => style.overflowX === one);
    const walk = (node) => {
        if (node.nodeType === Node.ELEMENT_NODE) {
            const isSeen = node.checkVisibility() && node.clientWidth > 2;  // not a text for screen readers alone
            const narrow = isSeen && node.scrollWidth > node.clientWidth + 1 && node.textContent.trim();
            if (narrow && (node.localName === "button" || hides(getComputedStyle(node)))) {
                found.push(`${node.localName}.${node.className}: ${node.textContent.trim().slice(0, 60)}`);
            }
            if (node.shadowRoot) walk(node.shadowRoot);
        }
        for (const child of node.childNodes) walk(child);
    };
    walk(document.querySelector("#root"));
    return found;
}"""
"""The elements whose text is cut off at their side, and the buttons that are too narrow for theirs."""


CLAIMED = """() => {
    const found = [];
    const roots = [document.querySelector("#root")];
    for (const root of roots) {
        roots.push(...[...root.querySelectorAll("*")].map((element) => element.shadowRoot).filter(Boolean));
        const ours = root.querySelectorAll(".sheet :is(textarea, input[type=text]), .journal-title");
        found.push(...[...ours].filter((one) => one.getAttribute("lang") !== "").map((one) => one.outerHTML));
    }
    return found;
}"""
"""The fields for her words, and her title, that are taken for words of the page's language."""


def build_with_prompts(folder: Path) -> None:
    build(folder)
    with (folder / "journal.toml").open("a", encoding="utf-8") as file:
        file.write(f"[prompts]\n{PROMPTS}")


@pytest.fixture
def foreign_served(reading: Reading) -> Iterator[Served]:
    served = reading.holds("accented", build_with_prompts)
    with served.accents():
        yield served


def everything_shown(page: Page) -> list[str]:
    """The texts and names of a page, also within its forms, and the title of its window."""
    inside = page.evaluate(
        f"""() => {{
            const shown = {SHOWN};
            const roots = [document.querySelector("#root")];
            for (const root of roots) {{
                const inside = [...root.querySelectorAll("*")].map((element) => element.shadowRoot);
                roots.push(...inside.filter(Boolean));
            }}
            return roots.flatMap((root) => [...root.children].flatMap(shown));
        }}"""
    )
    return [page.title(), *map(str, inside)]


def accented_modules() -> str:
    """The modules of the browser, whose German texts are those of the tests' language."""
    texts: dict[str, object] = json.loads((CATALOGUES / "de.json").read_text(encoding="utf-8"))
    for key, translated in texts.items():
        text = accented(key.rpartition("\x04")[2])
        texts[key] = dict.fromkeys(translated, text) if isinstance(translated, dict) else text
    names = {"months": PSEUDO.months, "weekdays": PSEUDO.weekdays}
    facts = json.dumps({"texts": texts, **names})
    served = gzip.decompress(browser_modules.served_file()).decode()
    return f"{served}\nObject.assign(m_language.languages.de, {facts});\n"


def test_every_word_of_a_page_is_from_the_catalogue_and_fits_a_phone(foreign_served: Served, new_page: NewPage) -> None:
    page = new_page(foreign_served, width=390, waits=False)  # a tab of its own, for scripts of its own
    body = accented_modules()
    kind = "text/javascript; charset=utf-8"
    page.route("**/browser/*/forms.js", lambda route: route.fulfill(body=body, content_type=kind))
    words, cut, claimed, wide = {}, {}, {}, {}

    for name, last in LAST.items():
        page.goto(foreign_served.opening(name))
        page.locator("#first-sight").wait_for(state="detached")
        expect(page.locator(last).first).to_be_visible()
        if name in ("week", "month", "year"):
            open_chapters(page)
        unfold(page)
        page.wait_for_timeout(300)
        assert page.locator("html").get_attribute("lang") == "de"
        texts = everything_shown(page)
        assert len(texts) > 60, name
        words[name] = {word for text in texts for word in foreign(text)} - KEYS - OURS - OF_FILES.get(name, set())
        cut[name] = page.evaluate(CUT)
        claimed[name] = page.evaluate(CLAIMED)
        wide[name] = page.evaluate("document.documentElement.scrollWidth")
    assert {name: found for name, found in words.items() if found} == {}
    assert {name: found for name, found in cut.items() if found} == {}
    assert {name: found for name, found in claimed.items() if found} == {}
    assert set(wide.values()) == {390}


def open_chapters(page: Page) -> None:
    """Open all chapters and wait until they are drawn."""
    page.locator("[data-every=open]").click()
    expect(page.locator(".chapter[open]")).to_have_count(page.locator(".chapter").count())
    expect(page.locator(".drawing-now")).to_have_count(0)


def test_an_open_page_and_a_new_one_follow_the_language_of_the_journal(reading: Reading, new_page: NewPage) -> None:
    served = reading.holds("follows", build)
    settings = served.folder / "journal.toml"
    german = settings.read_text(encoding="utf-8")
    settings.write_text(german.replace('language = "de"\n', ""), encoding="utf-8")
    page = new_page(served)
    page.goto(served.opening("week"))
    nav, arrow = page.locator(".masthead nav"), page.get_by_role("button", name="Earlier week")
    expect(nav).to_contain_text("Week")
    expect(arrow).to_be_visible()
    settings.write_text(german, encoding="utf-8")
    expect(nav).to_contain_text("Woche")  # the page that is open: what depends on the files
    page.reload()
    expect(page).to_have_title("Woche · Duskbook")
    expect(page.get_by_role("button", name="Frühere Woche")).to_be_visible()
    expect(page.locator("#week-days .drawing >> visible=true").locator("svg")).to_have_attribute(
        "aria-label", re.compile(r"^Die Woche .*, eine Spalte je Tag\.")
    )
    settings.write_text(german.replace('language = "de"\n', ""), encoding="utf-8")
    page.reload()
    expect(page).to_have_title("Week · Duskbook")
    expect(arrow).to_be_visible()
