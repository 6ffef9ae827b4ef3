"""Memory and processor time of the server, however often its pages are opened, and while tabs only stay open.

    python -m tests.promises.server_memory --reloads 180 --changes 60 --tabs 20

After ten reloads, so many more may take the server's memory to at most 1.1 times. So many tabs that nobody touches
may take at most one percent of a core. It needs Linux, whose /proc has the numbers.
"""

from __future__ import annotations

import argparse
import itertools
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from journal.charts import kept_drawings
from tests.entering import read_announced
from tests.promises.open_pages import PAGES, DrawlessBrowser

EXAMPLE = Path(__file__).parents[2] / "example_year"
GROWTH = 1.1
IDLE_SHARE = 0.01

_DAY = "2025-03-13"
_FIRST_RELOADS = 10
_BETWEEN_SECONDS = 0.5  # from one page to the next, as somebody who leafs through the journal quickly
_ENDED_SECONDS = 12  # until the sessions of closed pages have ended and their memory is given back
_IDLE_SECONDS = 20


class Process:
    """What the system counts for a process."""

    def __init__(self, pid: int) -> None:
        self._proc = Path("/proc") / str(pid)

    def megabytes(self, kind: str = "Rss") -> float:
        """Its resident memory, or with "Pss" its share of it."""
        lines = (self._proc / "smaps_rollup").read_text().splitlines()
        return next(int(line.split()[1]) for line in lines if line.startswith(f"{kind}:")) / 1024

    def seconds(self) -> float:
        """Its processor time so far."""
        fields = (self._proc / "stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def threads(self) -> int:
        return sum(1 for _ in (self._proc / "task").iterdir())


def _tell(said: str, server: Process) -> float:
    """Print the memory at a moment. Gives the resident memory in MB."""
    resident = server.megabytes()
    print(f"{said:42} {resident:4.0f} MB (PSS {server.megabytes('Pss'):.0f}), {server.threads():3} threads", flush=True)
    return resident


def _leaf(browser: DrawlessBrowser, pages: list[str], *, same: int) -> None:
    """Open pages one after the other, each `same` times: as often less one, that is a reload."""
    for page in itertools.chain.from_iterable([page] * same for page in pages):
        browser.open(page, on=_DAY).close()
        time.sleep(_BETWEEN_SECONDS)


def measure(server: Process, browser: DrawlessBrowser, reloads: int, changes: int, tabs: int) -> list[str]:
    """Reload and change pages, then leave tabs open. Gives the promises that do not hold."""
    broken = []
    _leaf(browser, list(PAGES), same=1)
    _leaf(browser, ["week"], same=_FIRST_RELOADS)
    during_first = _tell("after 10 reloads", server)
    time.sleep(_ENDED_SECONDS)
    at_first = _tell("and when their pages are gone", server)
    turns, rest = divmod(reloads, max(changes, 1))
    pages = [page for page, _ in zip(itertools.cycle(PAGES), range(changes), strict=False)]
    _leaf(browser, pages, same=turns + 1)
    _leaf(browser, ["week"], same=rest)
    during_last = _tell(f"after {reloads} more reloads, {changes} page changes", server)
    time.sleep(_ENDED_SECONDS)
    at_last = _tell("and when their pages are gone", server)
    for said, growth in (("while pages change", during_last / during_first), ("at rest", at_last / at_first)):
        print(f"{said:42} {growth:.2f} times the memory after 10 reloads")
        if growth > GROWTH:
            broken.append(f"{growth:.2f} times the memory {said}")
    if tabs:
        for number in range(tabs):
            browser.open(PAGES[number % len(PAGES)], on=_DAY)
        time.sleep(_ENDED_SECONDS)
        _tell(f"with {tabs} open tabs", server)
        before = server.seconds()
        time.sleep(_IDLE_SECONDS)
        share = (server.seconds() - before) / _IDLE_SECONDS
        print(f"{f'{tabs} idle tabs':42} {share:.2%} of a core")
        if share > IDLE_SHARE:
            broken.append(f"{share:.2%} of a core for {tabs} idle tabs")
    return broken


def run(reloads: int, changes: int, tabs: int) -> list[str]:
    """Start a server of the example year and measure it. Gives the promises that do not hold."""
    with tempfile.TemporaryDirectory() as place:
        folder, home = Path(place) / "journal", Path(place) / "home"
        shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache", ".history"))
        home.mkdir()
        command = subprocess.Popen(
            [sys.executable, "-m", "journal", "week", str(folder), "--port", "0", "--no-browser"],
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"HOME": str(home), "PYTHONUNBUFFERED": "1"},
        )
        try:
            with DrawlessBrowser(*read_announced(command)) as browser:
                broken = measure(Process(command.pid), browser, reloads, changes, tabs)
            if not (folder / ".cache" / kept_drawings.BELOW).is_dir():
                broken.append("no figure of a page was kept")
            return broken
        finally:
            command.send_signal(signal.SIGINT)
            command.communicate(timeout=60)


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--reloads", type=int, default=180)
    parser.add_argument("--changes", type=int, default=60)
    parser.add_argument("--tabs", type=int, default=20)
    asked = parser.parse_args()
    started = time.monotonic()
    broken = run(asked.reloads, asked.changes, asked.tabs)
    cases = f"{asked.reloads} reloads, {asked.changes} page changes and {asked.tabs} idle tabs"
    seconds = time.monotonic() - started
    print(f"server memory: {cases}, {len(broken)} failures {broken}, {seconds:.0f} s, no seed: nothing is random")
    return bool(broken)


if __name__ == "__main__":
    sys.exit(main())
