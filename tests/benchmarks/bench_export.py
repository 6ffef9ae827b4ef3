"""The time of each export, as a ratio to opening the journal in the same run.

    python -m tests.benchmarks.bench_export [--years 1 10] [--repeats 3]

The journals are those of `bench_reading`, opened warm. Each export makes its bytes and writes no file. The calendar is
of one year, its default. Ratios are comparable between machines, seconds are not.
"""

from __future__ import annotations

import argparse
import datetime as dt
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import journal
from journal.export import calendar, sheets, table_files, text
from tests.benchmarks.bench_reading import FIRST, void, written


def main() -> None:
    """Write the journals, time the exports, and print a table."""
    parser = argparse.ArgumentParser(description="Time the exports of a journal.")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10])
    parser.add_argument("--repeats", type=int, default=3)
    arguments = parser.parse_args()
    print(f"{'':<34}{'seconds':>9}{'/ opening':>11}")
    for years in arguments.years:
        with tempfile.TemporaryDirectory() as folder:
            last = FIRST.replace(year=FIRST.year + years) - dt.timedelta(days=1)
            top = written(Path(folder), last)
            print(f"{years} years")
            opening = 0.0
            for what, run in ways(top, last).items():
                took = best(run, arguments.repeats)
                opening = opening or took
                print(f"  {what:<32}{took:>9.3f}{took / opening:>11.1f}")


def ways(top: Path, last: dt.date) -> dict[str, Callable[[], None]]:
    """The timed functions by name; the first is a warm opening."""
    opened = journal.open(top, today=last)
    newest = last.replace(month=1, day=1)
    return {
        "opening": lambda: void(journal.open(top, today=last)),
        "text, all of it": lambda: void(text.text(opened, dt.date.min, dt.date.max)),
        "text, one year": lambda: void(text.text(opened, newest, last)),
        "tables as CSV": lambda: void(table_files.files(opened, "csv")),
        "tables as Parquet": lambda: void(table_files.files(opened, "parquet")),
        "calendar, one year": lambda: void(calendar.calendar(opened, newest, last)),
        "calendar, its appointments": lambda: void(calendar.calendar(opened, newest, last, ("appointments",))),
        "paper sheets, all": lambda: void(sheets.make(sheets.chosen(opened, last, "all", "a5"))),
    }


def best(run: Callable[[], None], repeats: int) -> float:
    """The least seconds of the runs."""
    took = []
    for _ in range(repeats):
        begun = time.perf_counter()
        run()
        took.append(time.perf_counter() - begun)
    return min(took)


if __name__ == "__main__":
    main()
