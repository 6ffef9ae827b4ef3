"""What marimo's frame costs the browser, which loads it after the first sight of a page: requests, bytes, script time.

    python -m tests.benchmarks.bench_frame [--rounds 3] [--pages month,evening]

The load ends when the notebook has taken over. Cold is a new browser context, warm the next load in it. A request
counts if it reached the server, and not if the browser had its answer. Script time is what Chromium counts for the tab.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import EXAMPLE, READ_ON, SIGHT, Served
from tests.chromium import ARGUMENTS, chromium

MEASURED = ("requests", "MB", "script seconds", "seconds")
Load = dict[str, float]


def load(page: Page, address: str) -> Load:
    """Load a page until its notebook has taken over."""
    chrome = page.context.new_cdp_session(page)
    chrome.send("Network.enable")
    chrome.send("Performance.enable")
    kept, asked, sizes = set[str](), set[str](), dict[str, float]()

    def finished(event: dict[str, Any]) -> None:
        sizes[event["requestId"]] = event["encodedDataLength"]

    def answered(event: dict[str, Any]) -> None:
        asked.add(event["requestId"])
        if event["response"].get("fromDiskCache"):
            kept.add(event["requestId"])

    chrome.on("Network.requestServedFromCache", lambda event: kept.add(event["requestId"]))
    chrome.on("Network.responseReceived", answered)
    chrome.on("Network.loadingFinished", finished)
    before = _script_seconds(chrome)
    began = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.locator(SIGHT).wait_for(state="attached")
    page.locator(SIGHT).wait_for(state="detached")
    seconds = time.perf_counter() - began
    sent = asked - kept
    told = (len(sent), sum(sizes.get(one, 0) for one in sent) / 1e6, _script_seconds(chrome) - before, seconds)
    chrome.detach()
    return dict(zip(MEASURED, told, strict=True))


def _script_seconds(chrome: Any) -> float:
    metrics = chrome.send("Performance.getMetrics")["metrics"]
    return float(next(metric["value"] for metric in metrics if metric["name"] == "ScriptDuration"))


def medians(browser: Browser, served: Served, name: str, rounds: int) -> dict[str, Load]:
    """The medians of some rounds of a page, cold and warm."""
    took: dict[str, list[Load]] = {"cold": [], "warm": []}
    for _ in range(rounds):
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page = context.new_page()
        served.let_in(page)
        for loads in took.values():
            loads.append(load(page, served.opening(name)))
            page.wait_for_timeout(2000)  # what comes after the takeover
        context.close()
    return {
        state: {what: statistics.median(one[what] for one in loads) for what in MEASURED}
        for state, loads in took.items()
    }


def measured(pages: Sequence[str], rounds: int) -> dict[str, dict[str, Load]]:
    """What was measured of each page of the example year."""
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        served = Served(EXAMPLE, READ_ON, Path(home))
        took = {name: medians(browser, served, name, rounds) for name in pages}
        browser.close()
        served.end()
    return took


def main(asked: Sequence[str] | None = None) -> None:
    """Print a line for each page, cold and warm."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--pages", default="month,evening")
    arguments = parser.parse_args(asked)
    for name, states in measured(arguments.pages.split(","), arguments.rounds).items():
        for state, took in states.items():
            print(f"{name:9} {state:5} " + ", ".join(f"{value:.3g} {what}" for what, value in took.items()), flush=True)


if __name__ == "__main__":
    main()
