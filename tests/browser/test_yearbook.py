"""The year as a book on the year's page: previews, files, the reading page, and the content for each audience."""

from __future__ import annotations

import datetime as dt
import io
import re
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner
from playwright.sync_api import Download, Page, expect

from journal.cli import duskbook
from journal.commands import clock
from tests import journals
from tests.browser import axe
from tests.browser.conftest import READ_ON, NewPage, Reading, Served
from tests.export.leaking import found

pytestmark = pytest.mark.xdist_group("browser")

FIRST = dt.date(2025, 3, 3)
SECRET, SHARED = "zqsecretzq", "zqsharedzq"
NOON = dt.datetime.combine(dt.date.fromisoformat(READ_ON), dt.time(12), dt.UTC)


@pytest.fixture(scope="module")
def served(reading: Reading) -> Served:
    return reading.holds("yearbook", build)


def build(folder: Path) -> None:
    """A week with a private gratitude line, and a memory that a friend may read."""
    day = {"mood": 4, "gratitude": [f"Bread, {SECRET}."], "memory": f"Sewn, {SHARED}.", "share": True}
    journals.write(
        folder,
        {FIRST + dt.timedelta(days=nth): day | {"habits": {"walk": nth != 2}} for nth in range(7)},
        habits=[{"key": "walk", "name": "Walk by the river", "every": "FREQ=DAILY", "from": FIRST}],
    )


def saved(page: Page, name: str) -> Download:
    with page.expect_download(timeout=120_000) as download:
        page.get_by_role("button", name=f"Save: {name}", exact=True).press("Enter")
    return download.value


def commanded(folder: Path, there: Path, *options: str) -> bytes:
    """The bytes that the command writes, as of the same day."""
    line = ["export", "retrospective", str(folder), "--year", "2025", *options, "--to", str(there)]
    result = CliRunner().invoke(duskbook, line)
    assert result.exit_code == 0, result.output
    return there.read_bytes()


def test_a_friends_book_is_previewed_and_saved(
    served: Served, new_page: NewPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = {path: path.read_bytes() for path in served.folder.rglob("*.toml")}
    page = new_page(served)
    page.goto(served.opening("year", "year=2025"))
    page.get_by_role("link", name="The book").click()
    who = page.get_by_role("radiogroup", name="Who may see it")
    who.get_by_role("radio", name="for a friend").press("Space")
    expect(who).to_have_accessible_description(re.compile("^Without gratitude, notes,"))
    show = page.get_by_role("button", name="Show the book")
    show.press("Enter")
    show.press("Enter")  # while it is being made
    strip = page.get_by_role("region", name="The pages of the book: 2025, for a friend")
    leaves = strip.get_by_role("listitem").get_by_role("button")
    expect(leaves.first).to_have_accessible_name("Page 1, Cover", timeout=120_000)
    many = leaves.count()
    expect(page.get_by_text(f"{many} pages.", exact=True)).to_be_visible()

    leaves.first.focus()
    page.keyboard.press("End")
    page.keyboard.press("Enter")
    large = page.get_by_role("dialog", name="A page")
    expect(large.get_by_role("status")).to_have_text(f"Page {many} of {many}, How it is counted")
    expect(large.get_by_role("img")).to_have_attribute("src", re.compile("^data:image/svg"))
    assert large.get_by_role("img").evaluate("it => it.decode().then(() => it.naturalWidth)") > 0
    assert axe.violations(page) == []
    large.get_by_role("button", name="← Earlier page").press("Enter")
    expect(large.get_by_role("img")).to_have_accessible_name(re.compile(f"^Page {many - 1}, "))
    page.keyboard.press("Escape")
    expect(large).to_be_hidden()
    expect(leaves.nth(many - 2)).to_be_focused()

    monkeypatch.setattr(clock, "now", lambda: NOON)
    for name, form in (("Book", "pdf"), ("Reading page", "html")):
        download = saved(page, name)
        assert download.suggested_filename == f"retrospective-2025-for-friend.{form}"
        data = Path(download.path()).read_bytes()
        assert data == commanded(served.folder, tmp_path / f"book.{form}", "--for", "friend", "--format", form)
        assert found(data, {SECRET: "", SHARED: ""}) == {SHARED}
        if form == "pdf":
            assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == many
    assert before == {path: path.read_bytes() for path in served.folder.rglob("*.toml")}


def test_for_anyone_in_the_dark_on_a_narrow_screen(served: Served, new_page: NewPage) -> None:
    page = new_page(served, 390, "dark")
    page.goto(served.opening("year", "year=2025"))
    page.get_by_role("link", name="The book").click()
    page.get_by_role("radio", name="for anyone").press("Space")
    page.get_by_text("Habits that keep their names, none").press("Enter")
    page.get_by_role("checkbox", name="Walk by the river").press("Space")
    expect(page.get_by_text("Habits that keep their names, 1")).to_be_visible()
    page.get_by_role("button", name="Show the book").click()
    expect(page.get_by_role("button", name="Page 1, Cover")).to_be_visible(timeout=120_000)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.get_by_role("button", name="Read it here: Reading page").press("Enter")
    link = page.get_by_role("link", name="Open the reading page in a tab of its own")
    expect(link).to_be_focused(timeout=120_000)
    with page.context.expect_page() as opened:
        page.keyboard.press("Enter")
    tab = opened.value
    expect(tab.get_by_role("heading", level=1)).to_have_text("Journal")
    assert tab.title() == "Journal, 2025" and tab.evaluate("window.opener") is None
    text = tab.content()
    assert axe.everywhere(tab) == []
    assert "Walk by the river" in text and SECRET not in text and SHARED not in text
    tab.close()

    page.emulate_media(media="print")
    expect(page.locator(".yearbook")).to_be_hidden()
    page.emulate_media(media="screen")
    (served.folder / "2025" / "2025-03-10.toml").write_text("mood = 1\n", encoding="utf-8")
    expect(page.get_by_text("The journal was changed since; show the pages again.")).to_be_visible()
    expect(page.get_by_role("button", name="Page 1, Cover")).to_have_count(0)
