"""How soon a page is there: its first letter and figure, against the same page saved as one HTML file.

    python -m tests.benchmarks.bench_pages [--rounds 5] [--pages month,evening]

Both are loaded in one Chromium in turn, the file from `python -m http.server`. Cold is a new browser context, warm the
next load in it. Times are milliseconds from the start of the navigation, medians over the rounds; requests and bytes
(as transferred) are those that began before the first figure was drawn. How long a command takes to
its first figure is in `bench_start`.
"""

from __future__ import annotations

import argparse
import contextlib
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.conftest import EXAMPLE, READ_ON, Served
from tests.chromium import ARGUMENTS, chromium

# Notes when the first heading and the first large drawing, or the first field, have a size in a frame.
WATCH = """
window.seen = {};
const drawn = (selector) => {
    const isLarge = (one) => one.getBoundingClientRect().height > 15;
    const within = (scope) => [...scope.querySelectorAll(selector)].some(isLarge)
        || [...scope.querySelectorAll("*")].some((one) => one.shadowRoot && within(one.shadowRoot));
    return within(document);
};
const look = () => {
    if (!seen.letter && drawn("h1, .wordmark")) seen.letter = performance.now();
    if (!seen.figure && drawn("svg, textarea")) seen.figure = performance.now();
    if (!seen.figure) requestAnimationFrame(look);
};
requestAnimationFrame(look);
"""
LOADED = """() => {
    const before = performance.getEntriesByType("resource").filter((one) => one.startTime < seen.figure);
    const every = [...before, ...performance.getEntriesByType("navigation")];
    const bytes = every.reduce((sum, one) => sum + one.transferSize, 0);
    return { letter: seen.letter, figure: seen.figure, requests: before.length + 1, bytes };
}"""
# The page as one file: its forms as shadow trees that need no script, each with the style sheets that it has.
SAVED = """() => {
    const hosts = [...document.querySelectorAll("#first-sight [data-form]")];
    for (const { shadowRoot } of hosts) {
        const rules = shadowRoot.adoptedStyleSheets.flatMap((sheet) => [...sheet.cssRules].map((rule) => rule.cssText));
        shadowRoot.prepend(Object.assign(document.createElement("style"), { textContent: rules.join("\\n") }));
    }
    for (const one of document.querySelectorAll("script, link, #root")) one.remove();
    const html = document.documentElement.getHTML({ shadowRoots: hosts.map((host) => host.shadowRoot) });
    return `<!DOCTYPE html><html lang="en">${html}</html>`;
}"""


Loads = dict[str, list[dict[str, float]]]
"""What was measured of each load, cold and warm."""


@contextlib.contextmanager
def file_server(folder: Path) -> Iterator[str]:
    """`python -m http.server` for a folder. Yields its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "http.server", str(port), "--bind", "127.0.0.1", "--directory", str(folder)]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        while True:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
                break
            time.sleep(0.05)
        yield f"http://127.0.0.1:{port}"
        process.terminate()


def load(page: Page, address: str) -> dict[str, float]:
    """Load an address, and return what `LOADED` measures."""
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.seen?.figure")
    measured: dict[str, float] = page.evaluate(LOADED)
    return measured


def opened(browser: Browser, served: Served | None) -> tuple[BrowserContext, Page]:
    """A new browser context with a tab, let in to the journal if one is given."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    if served is not None:
        served.let_in(page)
    page.add_init_script(WATCH)
    return context, page


def save(browser: Browser, served: Served, name: str, folder: Path) -> None:
    """Save the first sight of a page as one HTML file."""
    context, page = opened(browser, served)
    page.route("**/assets/index-*.js", lambda route: route.abort())
    load(page, served.opening(name))
    page.wait_for_timeout(500)
    (folder / f"{name}.html").write_text(page.evaluate(SAVED), encoding="utf-8")
    context.close()


def rounds(browser: Browser, served: Served | None, address: str, count: int) -> Loads:
    """Loads of an address: cold and warm."""
    measured: Loads = {"cold": [], "warm": []}
    for _ in range(count):
        context, page = opened(browser, served)
        measured["cold"].append(load(page, address))
        page.wait_for_timeout(4000 if served is not None else 100)  # the notebook takes over
        measured["warm"].append(load(page, address))
        context.close()
    return measured


def median(of: list[dict[str, float]], what: str) -> float:
    """The median of what was measured."""
    return statistics.median(one[what] for one in of)


def row(name: str, state: str, ours: list[dict[str, float]], peer: list[dict[str, float]]) -> str:
    """A line of the table."""
    times: list[Any] = []
    for what in ("letter", "figure"):
        mine, theirs = median(ours, what), median(peer, what)
        times.append(f"{mine:6.0f} ({theirs:.0f}, {mine / theirs:.1f}x)")
    size = f"{median(ours, 'requests'):.0f} requests, {median(ours, 'bytes') / 1000:.0f} kB"
    return f"{name:9} {state:5} letter {times[0]:20} figure {times[1]:20} {size}"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--pages", default="month,evening")
    asked = parser.parse_args()
    for page, ours, peer in loads(asked.pages.split(","), asked.rounds):
        for state in ("cold", "warm"):
            print(row(page, state, ours[state], peer[state]), flush=True)


def loads(pages: Sequence[str], count: int) -> Iterator[tuple[str, Loads, Loads]]:
    """The loads of each page and of its file."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        home = Path(name)
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        served = Served(EXAMPLE, READ_ON, home)
        with file_server(home) as files:
            for page in pages:
                save(browser, served, page, home)
                ours = rounds(browser, served, served.opening(page), count)
                yield page, ours, rounds(browser, None, f"{files}/{page}.html", count)
        browser.close()
        served.end()


def ratios(pages: Sequence[str], count: int) -> Iterator[tuple[str, str, str, float]]:
    """What was measured of each page, against what, the aim and the number."""
    for page, ours, peer in loads(pages, count):
        for state in ("warm", "cold"):
            for what in ("letter", "figure"):
                ratio = median(ours[state], what) / median(peer[state], what)
                aim = "2" if state == "warm" else ""
                yield f"{page}: first {what}, {state}", "the page as a file, `http.server`", aim, ratio
        yield f"{page}: requests before the first figure, cold", "", "5", median(ours["cold"], "requests")
        yield f"{page}: kB before the first figure, cold", "", "400", median(ours["cold"], "bytes") / 1000


if __name__ == "__main__":
    main()
