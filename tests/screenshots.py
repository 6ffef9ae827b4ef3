"""`python -m tests.screenshots OUT [FOLDER]`: pictures of the pages, as a reader sees and prints them.

Each page at 390 and 1280 pixels, light and dark, whole; and as PDF on A4 and A5. FOLDER is example_year unless
another is given; its pages are shown as of the day after its year, at a week and a month of spring.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import SERVE
from tests.chromium import ARGUMENTS, chromium

LAST_FIGURE = {"week": "week-strips", "month": "mood-line", "year": "weekday-profile"}


def take(out: Path, folder: Path, *, today: str = "2026-01-01", on: str = "2025-03-13") -> None:
    """Write the pictures of every page of a journal into a folder."""
    out.mkdir(parents=True, exist_ok=True)
    server = subprocess.Popen([sys.executable, "-c", SERVE, str(folder), today], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    address = server.stdout.readline().strip()
    origin, _, token = address.replace("/week?token=", " ").partition(" ")
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
            for scheme in ("light", "dark"):
                for width in (390, 1280):
                    context = browser.new_context(
                        viewport={"width": width, "height": 900}, color_scheme=scheme, reduced_motion="reduce"
                    )
                    page = context.new_page()
                    for name, last in LAST_FIGURE.items():
                        page.goto(f"{origin}/{name}?token={token}&on={on}")
                        page.locator(f"#{last} .drawing >> visible=true").wait_for(timeout=60_000)
                        page.screenshot(path=out / f"{name}-{width}-{scheme}.png", full_page=True)
                        if (scheme, width) == ("light", 1280):
                            for paper in ("A4", "A5"):
                                page.pdf(path=out / f"{name}-{paper}.pdf", format=paper, prefer_css_page_size=False)
                    context.close()
            browser.close()
    finally:
        server.terminate()
        server.communicate(timeout=20)


if __name__ == "__main__":
    take(Path(sys.argv[1]), Path(sys.argv[2] if len(sys.argv) > 2 else "example_year"))
