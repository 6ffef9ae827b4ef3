"""The processor time of `duskbook show findings` as a journal grows, as ratios to a journal of one year.

    python -m tests.benchmarks.bench_show_findings [--rounds 5] [--years 1 10 50]

The journals are those of bench_reading, opened from their snapshots. A round runs each command once for each journal,
one after the other, each in a process of its own; a figure is the median over the rounds. "Opening alone" is
`duskbook show coverage` of the same month. All pages are measured in one round.
"""

from __future__ import annotations

import argparse
import compileall
import datetime as dt
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmarks.bench_reading import FIRST, written

ROOT = Path(__file__).parents[2]
ONE = "findings of one month"
MONTH = ("--by", "month")


def commands(years: int) -> dict[str, tuple[str, ...]]:
    """The arguments of each command for a journal of some years, by their words in the table."""
    last = FIRST.year + years - 1
    month = ("--from", f"{last}-11-01", "--to", f"{last}-11-30", "--today", f"{last}-12-31")
    whole = ("--today", f"{last}-12-31")
    return {
        "opening alone": ("coverage", *month, *MONTH),
        ONE: ("findings", *month, *MONTH),
        "findings of all months": ("findings", *whole, *MONTH),
        "findings of all years": ("findings", *whole, "--by", "year"),
        "findings of all weeks": ("findings", *whole, "--by", "week"),
    }


def seconds(folder: Path, measure: str, *options: str) -> float:
    """The processor time of one command, of the process and the system."""
    before = os.times()
    command = [sys.executable, "-m", "journal", "show", measure, str(folder), *options]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def journals(place: Path, every: Sequence[int]) -> dict[int, Path]:
    """A journal for each number of years, with what its first openings keep in `.cache`."""
    compileall.compile_dir(ROOT / "journal", quiet=2)  # also where Python is told to keep no compiled modules
    folders = {}
    for years in every:
        folders[years] = place / str(years)
        folders[years].mkdir()
        written(folders[years], FIRST.replace(year=FIRST.year + years) - dt.timedelta(days=1))
        for _ in range(2):
            seconds(folders[years], *commands(years)[ONE])  # writes what is kept, then reads it
    return folders


def medians(folders: dict[int, Path], rounds: int) -> Iterator[tuple[str, dict[int, float]]]:
    """The median seconds of each command, for each journal."""
    for words in commands(1):
        took: dict[int, list[float]] = {years: [] for years in folders}
        for _ in range(1 if "all" in words.split() else rounds):
            for years, folder in folders.items():
                took[years].append(seconds(folder, *commands(years)[words]))
        yield words, {years: statistics.median(all_of) for years, all_of in took.items()}


def table(folders: dict[int, Path], rounds: int) -> str:
    """A Markdown table with a row per command and a column per journal."""
    rows = ["| | " + " | ".join(f"{years} year{'s' * (years > 1)}" for years in folders) + " |"]
    rows.append("|---|" + "---|" * len(folders))
    for words, times in medians(folders, rounds):
        first = next(iter(times.values()))
        cells = " | ".join(f"{median / first:.2g} ({median:.2g})" for median in times.values())
        rows.append(f"| {words} | {cells} |")
        print(rows[-1], flush=True)
    return "\n".join(rows)


def main(asked: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    arguments = parser.parse_args(asked)
    with tempfile.TemporaryDirectory() as place:
        table(journals(Path(place), arguments.years), arguments.rounds)


if __name__ == "__main__":
    main()
