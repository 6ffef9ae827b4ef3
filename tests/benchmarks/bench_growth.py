"""The processor time and the memory of each page as a journal grows, as ratios to the same page of one year.

    python -m tests.benchmarks.bench_growth [--rounds 5] [--years 1 10 50] [--pages day evening ...]

The journals are the example year repeated (`grown_year`), opened from a snapshot, with their figures kept. A round runs
the notebook of each page once for each journal, one after the other, each in a process of its own: the time is that of
the whole process, with its imports, the memory its greatest resident size (Linux tells it; that of `getrusage` has the
size of the process that started this one in it). "Again" is the same notebook run once more
in that process, as the page is opened a second time beside the first one. A page has a thread of its own. matplotlib,
which marimo loads where it finds it, is a library of the tests only and is kept out.
"""

from __future__ import annotations

import argparse
import compileall
import json
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks import grown_year

ROOT = Path(__file__).parents[2]
PAGES = ("day", "evening", "week", "month", "year", "settings")
RUN = """\
import importlib.util, json, pathlib, queue, sys, threading, time
sys.modules["matplotlib"] = None
spec = importlib.util.spec_from_file_location("page", sys.argv[1])
page = importlib.util.module_from_spec(spec)
spec.loader.exec_module(page)
opened = queue.Queue()

def show():
    try:
        page.app.run()
        opened.put(None)
    except BaseException as error:
        opened.put(error)
    threading.Event().wait()

def open_page():
    threading.Thread(target=show, daemon=True).start()
    if error := opened.get():
        raise error

open_page()
first = time.process_time()
status = pathlib.Path("/proc/self/status").read_text()
size = int(status.partition("VmHWM:")[2].split()[0]) / 1024
open_page()
print(json.dumps({"first": first, "again": time.process_time() - first, "megabytes": size}))
"""
COLUMNS = {"first": "first, s", "again": "again, s", "megabytes": "memory, MB"}


def measured(page: str, folder: Path) -> dict[str, float]:
    """One process that opens a page: its processor time in seconds, that of a second opening, its memory in MB."""
    environment = os.environ | {
        "DUSKBOOK_FOLDER": str(folder),
        "DUSKBOOK_TODAY": grown_year.TODAY.isoformat(),
        "PYTHONPATH": str(ROOT),
    }
    command = [sys.executable, "-c", RUN, str(ROOT / "notebooks" / f"{page}.py")]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, env=environment)
    return dict(json.loads(done.stdout.splitlines()[-1]))


def medians(page: str, folders: dict[int, Path], rounds: int) -> dict[int, dict[str, float]]:
    """What a page takes in each journal: the median of interleaved rounds."""
    for package in ("journal", "notebooks"):
        compileall.compile_dir(ROOT / package, quiet=2)  # also where Python is told to keep no compiled modules
    for folder in folders.values():
        measured(page, folder)  # writes what is kept in .cache
    took: dict[int, list[dict[str, float]]] = {years: [] for years in folders}
    for _ in range(rounds):
        for years, folder in folders.items():
            took[years].append(measured(page, folder))
    return {
        years: {name: statistics.median(one[name] for one in all_of) for name in COLUMNS}
        for years, all_of in took.items()
    }


def table(folders: dict[int, Path], pages: Sequence[str], rounds: int) -> str:
    """A Markdown table: a row for each page, the figures of the first journal, and the ratios of the others to it."""
    first, *others = folders
    heads = [f"{name}, {first} year" for name in COLUMNS.values()]
    heads += [f"{name.partition(',')[0]}, {years} / {first}" for years in others for name in COLUMNS.values()]
    rows = ["| page | " + " | ".join(heads) + " |", "|---|" + "---|" * len(heads)]
    for page in pages:
        of_page = medians(page, folders, rounds)
        base = of_page[first]
        cells = [f"{base[name]:.3g}" for name in COLUMNS]
        cells += [f"{of_page[years][name] / base[name]:.2f}" for years in others for name in COLUMNS]
        rows.append(f"| {page} | " + " | ".join(cells) + " |")
        print(rows[-1], flush=True)
    return "\n".join(rows)


def main(asked: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    parser.add_argument("--pages", nargs="+", default=list(PAGES), choices=PAGES)
    arguments = parser.parse_args(asked)
    with tempfile.TemporaryDirectory() as place:
        folders = {years: grown_year.written(Path(place, str(years)), years) for years in arguments.years}
        print("\n" + table(folders, arguments.pages, arguments.rounds))


if __name__ == "__main__":
    main()
