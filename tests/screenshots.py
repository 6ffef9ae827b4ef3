"""`python -m tests.screenshots OUT [FOLDER]`: pictures of the pages, as a reader sees and prints them.

`python -m tests.screenshots --readme` draws the top of each page, and two sheets of paper, anew for README.md, into
example_year/pictures.

Each page at 390 and 1280 pixels, light and dark, whole; and as PDF on A4 and A5. FOLDER is example_year unless
another is given; its pages are shown as of the day after its year, at a week and a month of spring.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import itertools
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

from playwright.sync_api import Page, sync_playwright

import journal
from journal.export import sheets, typesetting
from tests.browser.conftest import Served
from tests.chromium import ARGUMENTS, chromium

LAST_DRAWN = {
    "day": ".strip.shown .block >> nth=0",
    "evening": ".fit-sentence",
    "week": "#week-days .drawing >> visible=true",
    "month": "#month-grid .month-marks >> visible=true >> nth=0",
    "year": "#year-pixels .drawing >> visible=true",
    "settings": ".settings .folded >> nth=0",
}


# A day and its evening are seen on the day itself, a year when it is over.
SEEN: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("2025-03-13", ("day", "evening")),
    ("2026-01-01", ("week", "month", "year", "settings")),
)

SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
Open = Callable[..., Page]


@contextlib.contextmanager
def opened(folder: Path, *, today: str = "2026-01-01", on: str = "2025-03-13") -> Iterator[Open]:
    """Serve a journal; gives a function that opens one of its pages, drawn to its last figure."""
    with tempfile.TemporaryDirectory() as home, contextlib.ExitStack() as ending:
        served = Served(folder, today, Path(home))
        ending.callback(served.end)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)

            def open_page(name: str, width: int, scheme: Literal["light", "dark"]) -> Page:
                page = browser.new_page(
                    viewport={"width": width, "height": 900}, color_scheme=scheme, reduced_motion="reduce"
                )
                served.let_in(page)
                page.goto(served.opening(name, f"on={on}"))
                page.locator(LAST_DRAWN[name]).wait_for(timeout=60_000)
                return page

            yield open_page
            browser.close()


def take(out: Path, folder: Path) -> None:
    """Write the pictures of every page of a journal into a folder: whole, at both widths and schemes, and printed."""
    out.mkdir(parents=True, exist_ok=True)
    for today, names in SEEN:
        with opened(folder, today=today) as open_page:
            for name, scheme, width in itertools.product(names, SCHEMES, (390, 1280)):
                page = open_page(name, width, scheme)
                page.screenshot(path=out / f"{name}-{width}-{scheme}.png", full_page=True)
                if (scheme, width) == ("light", 1280):
                    for paper in ("A4", "A5"):
                        page.pdf(path=out / f"{name}-{paper}.pdf", format=paper, prefer_css_page_size=False)
                page.close()


def take_for_readme() -> None:
    """Write the top of each page of the example year for README.md."""
    folder = Path(__file__).parents[1] / "example_year"
    for today, names in SEEN:
        with opened(folder, today=today) as open_page:
            for name in {"evening", "week", "month", "year"}.intersection(names):
                path = folder / "pictures" / f"{name}.png"
                page = open_page(name, 1280, "light")
                page.set_viewport_size({"width": 1280, "height": 1240})  # what sticks to the bottom stays there
                page.screenshot(path=path)
    (folder / "pictures" / "sheets.png").write_bytes(two_sheets(folder))


def two_sheets(folder: Path) -> bytes:
    """A day's and a month's sheet of paper beside each other."""
    book = journal.open(folder, today=dt.date(2025, 3, 13), cache=False)
    day, _, month, _ = sheets.chosen(book, book.today, "all", "a4")
    (page,) = typesetting.images("sheets", sheets.make([day, month], "a4").words, "png", 96)
    return page


if __name__ == "__main__":
    if sys.argv[1:] == ["--readme"]:
        take_for_readme()
    else:
        take(Path(sys.argv[1]), Path(sys.argv[2] if len(sys.argv) > 2 else "example_year"))
