"""Hostile text in a journal is shown as typed and has no effect."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
import tomlkit
from playwright.sync_api import Page, expect

from journal.sections import cards
from tests import journals
from tests.browser.conftest import NewPage, Reading, Served
from tests.browser.figures import open_every_chapter

pytestmark = pytest.mark.xdist_group("browser")

HOSTILE = (
    '<script>window.ran = 1</script> <iframe srcdoc="<script>parent.ran = 2</script>"></iframe> '
    '<img src=x onerror="window.ran = 3"> ![a](http://192.0.2.1/a.png) [b](javascript:window.ran=4) '
    "<http://192.0.2.1/> ::lucide:home:: $\\LaTeX$ \\(x^2\\) {{x}} ${x} `code` **bold** &amp; &#60; </svg></style> é"
)
MONDAY = dt.date(2025, 3, 10)
WEEK = [MONDAY + dt.timedelta(days=i) for i in range(7)]


@pytest.fixture(scope="module")
def served(reading: Reading) -> Served:
    return reading.holds("hostile", build)


def build(folder: Path) -> None:
    """A journal in which every text is hostile."""
    day = {
        "mood": 2,
        "place": "away",
        "gratitude": [f"gratitude {HOSTILE}"],
        "memory": f"memory {HOSTILE}",
        "notes": [f"note {HOSTILE}"],
        "habits": {"walk": True, "read": 12},
        "challenges": {"letters": True},
        "hours": {"planned": {"work": ["09:00-12:00"]}, "actual": {"work": ["09:00-12:30"]}},
        "appointments": [{"title": f"appointment {HOSTILE}", "start": "08:30"}],
        "tasks": [{"title": f"task {HOSTILE}", "status": "done"}],
    }
    journals.write(
        folder,
        dict.fromkeys(WEEK, day),
        title=f"title {HOSTILE}",
        places=[journals.PLACE, journals.PLACE | {"key": "away", "name": f"place {HOSTILE}"}],
        habits=[
            {"key": "walk", "name": f"habit {HOSTILE}", "every": "FREQ=DAILY", "from": MONDAY},
            {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": MONDAY, "target": 20, "unit": HOSTILE},
        ],
        challenges=[{"key": "letters", "name": f"challenge {HOSTILE}", "from": MONDAY, "until": WEEK[-1]}],
        categories=[
            {"key": "sleep", "name": "Sleep", "sleep": True},
            {"key": "work", "name": f"category {HOSTILE}", "colour": "#332288"},
        ],
    )
    reflection = [{"prompt": f"prompt {HOSTILE}", "answer": f"answer {HOSTILE}"}]
    for name in ("2025-W11", "2025-03", "2025"):
        decided = {"decisions": {"walk": "keep"}} if name == "2025-03" else {}
        (folder / "2025" / f"{name}.toml").write_text(tomlkit.dumps({"reflection": reflection} | decided), "utf-8")
    broken = {"mood": HOSTILE, HOSTILE: 1, "habits": {HOSTILE: True}}
    (folder / "2025" / "2025-03-17.toml").write_text(tomlkit.dumps(broken), "utf-8")


SHOWN = {
    "week": ["title", "habit", "gratitude", "memory", "note", "appointment", "task", "category"],
    "month": ["title", "habit", "memory", "challenge"],
    "year": ["title", "habit", "memory"],
}


@pytest.mark.parametrize("page_name", list(SHOWN))
def test_hostile_text_shows_as_typed_and_is_inert(served: Served, new_page: NewPage, page_name: str) -> None:
    page = new_page(served)
    page.goto(served.opening(page_name, "on=2025-03-12"))
    open_every_chapter(page)
    last = {"week": "week-strips", "month": "mood-line", "year": "weekday-profile"}[page_name]
    expect(page.locator(f"#{last} .wide svg")).to_be_visible()
    text = page.evaluate("document.body.textContent")
    for kind in SHOWN[page_name]:
        assert f"{kind} {HOSTILE}" in text, kind
    expect(page.get_by_label(f"prompt {HOSTILE}", exact=True)).to_have_value(f"answer {HOSTILE}")
    for summary in page.locator("summary").all():
        if summary.is_visible() and not summary.locator("xpath=parent::*[@data-chapter]").count():
            summary.click()
    expect(page.locator(".problems li").first).to_contain_text("<script>window.ran = 1</script>")
    if page_name == "year":  # a hostile habit is chosen
        page.get_by_label("Show", exact=True).select_option(f"habit {HOSTILE}")
        expect(page.locator("#year-pixels h2")).to_contain_text(f"habit {HOSTILE}")
    _is_inert(page)


def test_a_hostile_address_still_opens_a_page(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week", "week=%3Cscript%3Ewindow.ran=1%3C/script%3E&on=%22%3E%3Cimg+src=x%3E"))
    expect(page.locator("h1")).to_have_text("Week 12, 17 to 23 March 2025")
    _is_inert(page)


def _is_inert(page: Page) -> None:
    page.wait_for_timeout(300)  # time for an image or a frame to load
    assert page.evaluate("window.ran === undefined")
    inside = page.locator("#App")
    img = "img[src]:not([src^='data:image/'])"  # the previews of the year are data URLs
    for element in ("script", "iframe", img, "object", "embed", "iconify-icon", "marimo-tex", ".katex", "strong"):
        assert inside.locator(element).count() == 0, element
    ours = ("#", *(f"../{name}/?on=" for name, _ in cards.NAV))
    links = page.evaluate("[...document.querySelectorAll('#App a')].map(a => a.getAttribute('href'))")
    assert [link for link in links if not link.startswith(ours) and link != "../manual/"] == []
    handlers = (
        "[...document.querySelectorAll('#App *')].flatMap(e => e.getAttributeNames()).filter(n => n.startsWith('on'))"
    )
    assert page.evaluate(handlers) == []


def test_the_journal_has_only_the_intended_problems(served: Served) -> None:
    """The problems come from the one broken page, not from an error in this test."""
    import journal

    opened = journal.open(Path(served.folder), today=dt.date(2025, 3, 20), cache=False)
    assert {problem.path for problem in opened.problems} == {"2025/2025-03-17.toml"}
