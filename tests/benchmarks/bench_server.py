"""What the server of the pages takes while nobody touches an open page, and its memory over many edits and reloads.

    python -m tests.benchmarks.bench_server [--seconds 3600] [--years 1 50]

The server is the command's own process. Its pages are opened as a browser opens them, without drawing them
(`tests.promises.open_pages`). An edit is one of another program: it changes a line in a page of the week that is shown,
and the next one waits until the page has run again. Memory is the resident size, which Linux tells.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmarks import grown_year
from tests.entering import read_announced
from tests.promises.open_pages import DrawlessBrowser
from tests.promises.server_memory import Process

DAY = grown_year.TODAY.isoformat()
IDLE_SECONDS = 60.0
FEW, MANY = (5, 5), (200, 50)
"""Edits and reloads: when the memory is looked at first, and in all."""
_SETTLED_SECONDS = 8  # the sessions of closed pages have ended by then


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[Process, DrawlessBrowser]]:
    """The server of a journal, and a browser that it has let in."""
    home = folder.parent / "home"
    home.mkdir(exist_ok=True)
    command = [sys.executable, "-m", "journal", "week", str(folder), "--port", "0", "--no-browser"]
    environment = os.environ | {"HOME": str(home), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            with DrawlessBrowser(*read_announced(process)) as browser:
                yield Process(process.pid), browser
        finally:
            process.send_signal(signal.SIGINT)


def measured(years: int, seconds: float) -> dict[str, float]:
    """Of a journal of so many years: the share of a core that the server takes with a page open (`idle`), its memory
    in MB after five edits and reloads (`before`) and after all of them (`after`)."""
    with tempfile.TemporaryDirectory() as place:
        folder = grown_year.written(Path(place, "journal"), years)
        with served(folder) as (server, browser):
            _edit_and_reload(browser, folder, *FEW)
            before = server.megabytes()
            _edit_and_reload(browser, folder, MANY[0] - FEW[0], MANY[1] - FEW[1])
            after = server.megabytes()
            browser.open("week", on=DAY)
            time.sleep(_SETTLED_SECONDS)
            began = server.seconds()
            time.sleep(seconds)
            return {"idle": (server.seconds() - began) / seconds, "before": before, "after": after}


def _edit_and_reload(browser: DrawlessBrowser, folder: Path, edits: int, reloads: int) -> None:
    """Edit the day's page, which an open page shows after each; then reload the page."""
    page = folder / DAY[:4] / f"{DAY}.toml"
    tab = browser.open("week", on=DAY)
    text = page.read_text(encoding="utf-8")
    for number in range(edits):
        page.write_text(f"{text}\n# edit {number}\n", encoding="utf-8")
        tab.wait_until_run()
    page.write_text(text, encoding="utf-8")
    tab.wait_until_run()
    for _ in range(reloads):
        tab.close()
        tab = browser.open("week", on=DAY)
    tab.close()
    time.sleep(_SETTLED_SECONDS)


def main(asked: Sequence[str] | None = None) -> None:
    """Print a line for each number of years."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=IDLE_SECONDS, help="how long nobody touches the page")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 50])
    arguments = parser.parse_args(asked)
    for years in arguments.years:
        took = measured(years, arguments.seconds)
        growth = took["after"] / took["before"]
        print(
            f"{years:>2} years: idle {took['idle']:.2%} of a core; {took['before']:.0f} MB after {FEW} edits and "
            f"reloads, {took['after']:.0f} MB after {MANY}, {growth:.2f} times",
            flush=True,
        )


if __name__ == "__main__":
    main()
