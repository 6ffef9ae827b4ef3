"""How soon a figure in the browser shows what an editor has written.

    python -m tests.benchmarks.bench_edit [--years 1 50] [--rounds 5]

The month of the edited day is open in Chromium. The mood of a day is changed in its file, as an editor saves it. The
time runs from then to the frame in which the figure of the month is another one.
"""

from __future__ import annotations

import argparse
import re
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.benchmarks import grown_year
from tests.browser.conftest import SIGHT, Served
from tests.chromium import ARGUMENTS, chromium

DAY = grown_year.TODAY.isoformat()
_MOOD = re.compile(r"^mood = (\d)$", re.MULTILINE)
_FIGURES = """() => {
    const drawn = (scope) => [
        ...[...scope.querySelectorAll("svg")].map((one) => one.outerHTML),
        ...[...scope.querySelectorAll("*")].filter((one) => one.shadowRoot).flatMap((one) => drawn(one.shadowRoot)),
    ];
    return drawn(document).join("");
}"""


def seconds(years: int, rounds: int) -> float:
    """The median of seconds from an edit to the changed figure, in a journal of so many years."""
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = grown_year.written(Path(place, "journal"), years)
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        served = Served(folder, DAY, Path(place))
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        served.let_in(page)
        page.goto(served.opening("month"))
        page.locator(SIGHT).wait_for(state="detached")
        took = [edit(page, folder / DAY[:4] / f"{DAY}.toml") for _ in range(rounds + 1)]
        browser.close()
        served.end()
    return statistics.median(took[1:])  # the first one imports


def edit(page: Page, file: Path) -> float:
    """Seconds from an edit of the mood to a figure that differs."""
    page.wait_for_timeout(1000)
    before = page.evaluate(_FIGURES)
    text = file.read_text(encoding="utf-8")
    changed = _MOOD.sub(lambda found: f"mood = {6 - int(found[1]) if found[1] != '3' else 4}", text)
    began = time.perf_counter()
    file.write_text(changed, encoding="utf-8")
    page.wait_for_function(f"(before) => ({_FIGURES})() !== before", arg=before)
    return time.perf_counter() - began


def main(asked: Sequence[str] | None = None) -> None:
    """Print a line for each number of years."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 50])
    arguments = parser.parse_args(asked)
    for years in arguments.years:
        print(f"{years:>2} years: {seconds(years, arguments.rounds) * 1000:.0f} ms to the changed figure", flush=True)


if __name__ == "__main__":
    main()
