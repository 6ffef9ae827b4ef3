"""From the command to the first letter and the first figure of its page, as a person waits for them.

    python -m tests.benchmarks.bench_start [--rounds 9] [--years 1 50] [--pages month,evening]

Each round runs `duskbook month` as a process of its own. Its `BROWSER` is a script that hands the redirect file to a
tab of a Chromium that runs already. Modules are compiled before, as in an installed Duskbook. The journal was opened
once before, as on every evening but the first, and so were the pages: what they load is in the browser's cache. All
numbers are seconds since the command was given, medians of rounds in which the pages take turns; "processor" is what
the server had used when the first figure was drawn. The last line is the same command while its page is served.
"""

from __future__ import annotations

import argparse
import compileall
import contextlib
import os
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.benchmarks.bench_commands import ROOT, repeated, seconds
from tests.benchmarks.bench_pages import WATCH
from tests.chromium import ARGUMENTS, chromium

PAGES = ("month", "evening")
ON = "2025-12-31"
AGAIN = "again"
STAGES = ("browser opened", "page asked for", "sight asked for", "sight given", "letter", "figure", "processor")
# When the tab asked for its page and its first sight, in seconds of the clock.
ASKED = """() => {
    const at = (of) => (performance.timeOrigin + of) / 1000;
    const [page] = performance.getEntriesByType("navigation");
    const sight = performance.getEntriesByType("resource").find(({ name }) => /\\/first-sight(\\?|$)/.test(name));
    return {
        "page asked for": at(page.requestStart), "sight asked for": at(sight.requestStart),
        "sight given": at(sight.responseEnd), letter: at(seen.letter), figure: at(seen.figure),
    };
}"""
# As the last step of a start: the file's address goes to whoever reads the pipe.
SCRIPT = '#!/bin/sh\nprintf "%s" "$1" > "{pipe}"\n'

Times = dict[str, float]


class Starts:
    """Commands that open a page of a journal in a tab."""

    def __init__(self, journal: Path, place: Path, tab: Page) -> None:
        self.journal, self.tab = journal, tab
        self._pipe = place / "pipe"
        os.mkfifo(self._pipe)
        script = place / "browser"
        script.write_text(SCRIPT.format(pipe=self._pipe), encoding="utf-8")
        script.chmod(0o700)
        own = {name: text for name, text in os.environ.items() if not name.startswith(("XDG_", "DUSKBOOK_", "MARIMO_"))}
        self._environment = own | {"HOME": str(place), "PYTHONPATH": str(ROOT), "BROWSER": f"{script} %s &"}
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self._port = str(free.getsockname()[1])

    def start(self, page: str) -> Times:
        """Run the command for a page until its first figure, then end it."""
        began = time.time()
        with self._command(page) as server:
            self._go_where_told()
            opened = time.time()
            self.tab.wait_for_function("() => window.seen?.figure")
            processor = _processor_seconds(server.pid)
            times: Times = {"browser opened": opened, **self.tab.evaluate(ASKED)}
            self.tab.wait_for_timeout(500)
        return {name: moment - began for name, moment in times.items()} | {"processor": processor}

    def again(self, page: str, rounds: int) -> float:
        """The processor time of the same command while its page is served."""
        with self._command(page):
            self._go_where_told()
            self.tab.wait_for_function("() => window.seen?.figure")
            took = []
            for _ in range(rounds):
                command = subprocess.Popen(self._arguments(page), env=self._environment, stdout=subprocess.DEVNULL)
                self._address()
                _, status, used = os.wait4(command.pid, 0)
                command.returncode = os.waitstatus_to_exitcode(status)
                took.append(used.ru_utime + used.ru_stime)
        return statistics.median(took)

    def _arguments(self, page: str) -> list[str]:
        at = ["--date", ON, "--port", self._port]
        return [sys.executable, "-m", "journal", page, str(self.journal), *at]

    @contextlib.contextmanager
    def _command(self, page: str) -> Iterator[subprocess.Popen[bytes]]:
        with subprocess.Popen(self._arguments(page), env=self._environment, stdout=subprocess.DEVNULL) as server:
            try:
                yield server
            finally:
                self.tab.goto("about:blank")
                server.send_signal(signal.SIGINT)

    def _address(self) -> str:
        return self._pipe.read_text(encoding="utf-8")

    def _go_where_told(self) -> None:
        self.tab.goto(self._address(), wait_until="commit")


def _processor_seconds(process: int) -> float:
    """What a running process has used, user and system (proc(5))."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def medians(years: int, rounds: int, pages: Sequence[str] = PAGES) -> dict[str, Times]:
    """What each page took in a journal of so many years. `AGAIN` has the processor time of a second command, beside
    that of a Python that does nothing."""
    compileall.compile_dir(ROOT / "journal", quiet=2)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        place = Path(name)
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        tab = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
        tab.add_init_script(WATCH)
        starts = Starts(repeated(place / "journal", years), place, tab)
        for page in pages:
            starts.start(page)
        took = [(page, starts.start(page)) for _ in range(rounds) for page in pages]
        again = {"processor": starts.again(pages[0], rounds), "bare": _bare(rounds)}
        browser.close()
    return {page: _median([times for one, times in took if one == page]) for page in pages} | {AGAIN: again}


def _median(rounds: Sequence[Times]) -> Times:
    return {name: statistics.median(times[name] for times in rounds) for name in STAGES}


def _bare(rounds: int) -> float:
    return statistics.median(seconds([sys.executable, "-c", "pass"]) for _ in range(rounds))


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 50])
    parser.add_argument("--pages", default=",".join(PAGES))
    asked = parser.parse_args()
    for years in asked.years:
        took = medians(years, asked.rounds, asked.pages.split(","))
        again = took.pop(AGAIN)
        for page, times in took.items():
            print(f"{years:2} years, {page:8}", *(f"{name} {times[name]:.2f}" for name in STAGES), sep="  ")
        print(f"{years:2} years, again: processor {again['processor']:.3f}, a bare Python {again['bare']:.3f}")


if __name__ == "__main__":
    main()
