"""The three pages of the example year, driven as a reader drives them."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import NewPage, Serve, Served

pytestmark = pytest.mark.xdist_group("browser")

EXAMPLE = Path(__file__).parents[2] / "example_year"
FIGURES = {
    "week": ["week-days", "week-strips"],
    "month": ["month-grid", "mood-line"],
    "year": ["year-pixels", "rates-by-month", "mood-line", "weekday-profile"],
}


# The page itself notes when a text came: the waits of `expect` grow to a second, which would be measured too.
NOTICE = """text => new MutationObserver(() => {
    if (!window.noticed && document.body.textContent.includes(text)) window.noticed = Date.now()
}).observe(document.body, {subtree: true, childList: true, characterData: true})"""


@pytest.fixture(scope="module")
def served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    """The example year, three months after it ended, from a copy that nobody may write to but the reader herself."""
    folder = tmp_path_factory.mktemp("journal") / "year"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache"))
    return serve(folder, "2026-03-10")


@pytest.mark.parametrize("page_name", list(FIGURES))
def test_every_figure_of_a_page_shows(served: Served, new_page: NewPage, page_name: str) -> None:
    page = new_page(served)
    page.goto(served.opening(page_name))
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        for key in FIGURES[page_name]:
            drawing = page.locator(f"#{key} .drawing {'>> visible=true'}")
            expect(drawing).to_have_count(1)
            expect(drawing).to_have_class(f"drawing {'narrow' if width == 390 else 'wide'}")
            picture = drawing.locator("svg[role=img]")
            expect(picture).to_be_visible()
            assert len(picture.get_attribute("aria-label") or "") > 20
            box = picture.bounding_box()
            assert box is not None
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width
            summary, table = page.locator(f"#{key} summary"), page.locator(f"#{key} table")
            expect(table).not_to_be_visible()
            summary.click()
            expect(table).to_be_visible()
            assert page.locator(f"#{key} tbody tr").count() > 0
            summary.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.url == f"{served.origin}/{page_name}/?{page_name}={_opened(page)}"


def _opened(page: Page) -> str:
    return page.url.rpartition("=")[2]


def test_a_page_opens_at_the_last_time_something_was_written(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("month"))
    expect(page.locator("h1")).to_have_text("December 2025")
    page.get_by_role("link", name="Year").click()
    expect(page.locator("h1")).to_have_text("2025")
    page.get_by_role("link", name="Week").click()
    expect(page.locator("h1")).to_have_text("Week 1, 29 December 2025 to 4 January 2026")


def test_the_ways_between_the_pages_carry_the_day(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week", "on=2025-03-13"))
    expect(page.locator("h1")).to_have_text("Week 11, 10 to 16 March 2025")
    for name, title in (("Month", "March 2025"), ("Year", "2025"), ("Week", "Week 11, 10 to 16 March 2025")):
        page.get_by_role("link", name=name).click()
        expect(page.locator("h1")).to_have_text(title)
        expect(page.locator("nav [aria-current=page]")).to_have_text(name)
        assets = page.evaluate("performance.getEntriesByType('resource').map(e => e.name)")
        shared = [url for url in assets if url.startswith(f"{served.origin}/evening/assets/")]
        assert len(shared) > 100
        assert [url for url in assets if "/assets/" in url and url not in shared] == []


def test_another_week_by_list_and_by_button(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week", "week=2025-W11"))
    figure, chosen = page.locator("#week-days"), page.get_by_label("Week", exact=True)
    expect(figure).to_contain_text("10 to 16 March 2025")
    chosen.select_option("Week 20, 12 to 18 May 2025")
    expect(figure).to_contain_text("12 to 18 May 2025")
    expect(page.locator("#week-strips")).to_contain_text("12 to 18 May 2025")
    page.get_by_role("button", name="Earlier week").click()
    expect(figure).to_contain_text("5 to 11 May 2025")
    expect(chosen).to_have_value("Week 19, 5 to 11 May 2025")
    page.get_by_role("button", name="Later week").press("Enter")
    # Two presses while the page still draws are one step of two weeks, which leaves no week between to go back to.
    expect(figure).to_contain_text("12 to 18 May 2025")
    page.keyboard.press("Enter")  # the button keeps the focus
    expect(figure).to_contain_text("19 to 25 May 2025")
    assert page.url.endswith("week=2025-W21")
    page.go_back()
    expect(page.locator("h1")).to_contain_text("12 to 18 May 2025")
    page.reload()
    expect(page.locator("h1")).to_contain_text("12 to 18 May 2025")


def test_another_month_by_list_and_by_button(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("month", "month=2025-03"))
    grid = page.locator("#month-grid .wide svg")
    expect(page.locator("h1")).to_have_text("March 2025")
    march = grid.inner_html()
    page.get_by_label("Month", exact=True).select_option("April 2025")
    expect(page.locator("h1")).to_have_text("April 2025")
    expect(page.locator("#month-grid")).to_contain_text("April 2025")
    assert grid.inner_html() != march
    page.get_by_role("button", name="Earlier month").click()
    expect(page.locator("#month-grid")).to_contain_text("March 2025")
    assert grid.inner_html() == march


def test_another_habit_colours_the_year(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("year"))
    pixels = page.locator("#year-pixels")
    expect(pixels.locator("h2")).to_contain_text("Mood through 2025")
    page.get_by_label("Show", exact=True).select_option("Energy")
    expect(pixels.locator("h2")).to_contain_text("Energy through 2025")
    page.get_by_label("Show", exact=True).select_option("Walk by the river")
    expect(pixels.locator("h2")).to_contain_text("Walk by the river")


def test_an_edited_file_shows_and_nothing_else_moves(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week", "week=2025-W11"))
    page.get_by_label("Week", exact=True).select_option("Week 20, 12 to 18 May 2025")
    expect(page.locator("#week-days")).to_contain_text("12 to 18 May 2025")
    file = served.folder / "2025" / "2025-05-14.toml"
    text = file.read_text(encoding="utf-8")
    try:
        page.evaluate(NOTICE, "An edit from outside.")
        started = time.time()
        file.write_text(f'notes = ["An edit from outside."]\n{text.replace("notes =", "# notes =")}', encoding="utf-8")
        expect(page.get_by_text("An edit from outside.")).to_be_visible(timeout=10_000)
        print(f"an edit showed after {page.evaluate('window.noticed') / 1000 - started:.2f} s")
        assert page.locator("h1").inner_text() == "Week 20, 12 to 18 May 2025"
        file.write_text("mood = [broken", encoding="utf-8")
        expect(page.locator(".problems summary")).to_contain_text("could not be read as meant")
        page.locator(".problems summary").click()
        expect(page.locator(".problems code")).to_contain_text("2025/2025-05-14.toml:1")
        assert page.locator("h1").inner_text() == "Week 20, 12 to 18 May 2025"
    finally:
        file.write_text(text, encoding="utf-8")
    expect(page.locator(".problems")).to_have_count(0)


def test_a_journal_that_goes_away_is_told_of_and_comes_back(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("month", "month=2025-03"))
    expect(page.locator("#mood-line")).to_be_visible()
    settings = served.folder / "journal.toml"
    away = settings.rename(served.folder / "elsewhere.txt")
    try:
        expect(page.locator(".problems summary")).to_be_visible(timeout=10_000)
        expect(page.locator("h1")).to_have_text("March 2025")
    finally:
        away.rename(settings)
    expect(page.locator(".problems")).to_have_count(0)


def test_controls_have_their_names(served: Served, new_page: NewPage) -> None:
    """What assistive technology is told, from Chromium's own tree."""
    page = new_page(served)
    page.goto(served.opening("year"))
    expect(page.locator("#weekday-profile")).to_be_visible()
    told = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    nodes = [(n["role"]["value"], n.get("name", {}).get("value", "")) for n in told if not n.get("ignored")]
    assert {("combobox", "Year"), ("combobox", "Show"), ("button", "← Earlier year"), ("button", "Later year →"),
            ("navigation", "Pages"), ("banner", ""), ("heading", "2025")} <= set(nodes)  # fmt: skip
    assert not [role for role, name in nodes if role in ("button", "combobox", "link", "image") and not name]
    assert [name for role, name in nodes if role == "image"]


def test_dark_follows_the_system(served: Served, new_page: NewPage) -> None:
    grounds = {}
    for scheme in ("light", "dark"):
        page = new_page(served, 1280, scheme)
        page.goto(served.opening("month"))
        expect(page.locator("#month-grid")).to_be_visible()
        grounds[scheme] = [
            page.evaluate(f"getComputedStyle(document.querySelector('{where}')).backgroundColor")
            for where in ("body", "#App", "#month-grid")
        ]
    assert grounds == {
        "light": ["rgb(251, 248, 242)"] * 2 + ["rgb(255, 255, 255)"],
        "dark": ["rgb(26, 27, 42)"] * 2 + ["rgb(35, 37, 56)"],
    }


def test_a_stranger_is_shown_the_way_and_nothing_else(served: Served, new_page: NewPage) -> None:
    stranger, reader = new_page(served, reader="stranger"), new_page(served)
    for path in ("/week/", "/", "/month/assets/index.js"):
        answer = stranger.request.get(f"{served.origin}{path}", headers={"sec-fetch-site": "none"})
        assert answer.status == 403
        assert "Spine and thread" not in answer.text()
    reader.goto(served.opening("week"))
    expect(reader.locator(".masthead")).to_contain_text("Spine and thread")
    assert reader.request.post(f"{served.origin}/week/api/kernel/run", headers={"origin": served.origin}).status == 404


def test_nothing_is_written_at_home_nor_beside_the_journal(served: Served, new_page: NewPage) -> None:
    page = new_page(served)
    page.goto(served.opening("week"))
    expect(page.locator("#week-strips")).to_be_visible()
    assert list(served.home.rglob("*")) == []
    theirs = {path.relative_to(EXAMPLE) for path in EXAMPLE.rglob("*") if ".cache" not in path.parts}
    ours = {path.relative_to(served.folder) for path in served.folder.rglob("*")}
    assert {path for path in ours - theirs if path.parts[0] != ".cache"} == set()
    notebooks = EXAMPLE.parent / "notebooks"
    assert {path.suffix for path in notebooks.iterdir() if path.name != "__pycache__"} == {".py"}
