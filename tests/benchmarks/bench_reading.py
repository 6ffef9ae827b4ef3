"""The time to open a journal, as a ratio to a bare minimum and to a plain tomllib script in the same run.

    python -m tests.benchmarks.bench_reading [--years 1 10 50] [--repeats 3]

The journals are written to a temporary folder: one page per day, of about 1.5 kB, like those of the example. Each
figure is the median of rounds in which all ways take turns, in processor time, with files in the memory of the
operating system. Ratios are comparable between machines, seconds are not.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import statistics
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import journal
from journal import tables
from journal.folder import discover, reading
from tests.journals import days_between, write

FIRST = dt.date(1976, 1, 1)
LONG_AGO = 1_000_000_000  # seconds after the epoch: well before any snapshot, so the snapshot trusts the pages

HABITS = [
    {"key": key, "name": key.title(), "every": "FREQ=DAILY", "from": FIRST}
    for key in ("walk", "stretch", "water", "tidy", "write", "early", "call", "sew")
] + [{"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": FIRST, "target": 20, "unit": "pages"}]
CATEGORIES = [
    {"key": key, "name": key.title(), "sleep": key == "sleep", "work": key == "workshop"}
    for key in ("sleep", "workshop", "desk", "home", "out", "people")
]
CHALLENGES = [{"key": "letters", "name": "Letters", "from": FIRST, "until": FIRST + dt.timedelta(days=99 * 366)}]

PAGE = """\
mood = {mood}
energy = 3
gratitude = ["Bread from next door, still warm ({n}).", "The rain held off until the bus came."]
memory = "First guest book of {date} sewn without a skipped station."
notes = ["Ask about the grey thread."]

[weather]
sky = "partly cloudy"
high = 11
low = 3

[habits]
walk = true
stretch = "rest"
water = true
tidy = false
write = true
early = false
call = true
sew = true
read = {pages}

[challenges]
letters = true

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]
workshop = ["09:00-12:30", "13:30-17:00"]
desk = ["08:00-09:00"]
people = ["19:00-21:30"]

[hours.actual]
sleep = ["00:15-06:20", "23:00-24:00"]
workshop = ["09:10-12:30", "13:45-17:30"]
desk = ["08:00-09:10"]
home = ["17:30-19:00"]
people = ["19:00-22:00"]

[[appointments]]
title = "Paper merchant, by phone"
start = "08:30"
end = "09:00"

[[tasks]]
title = "Quote for the choir folders"
status = "carried"
rank = 2
estimate = 45
took = 60
since = {date}
id = "t7k2"

[[tasks]]
title = "Cut board for the small albums"
status = "done"
rank = 1
estimate = 90
took = 75

[[tasks]]
title = "Sharpen the paring knife"
status = "done"
estimate = 20
took = 15

[[tasks]]
title = "Order linen, the natural one, three metres"
status = "open"
estimate = 15
"""


def main() -> None:
    """Write the journals, time each way to read them, and print a table."""
    parser = argparse.ArgumentParser(description="Time the opening of a journal.")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    parser.add_argument("--repeats", type=int, default=3)
    arguments = parser.parse_args()
    print(f"{'':<34}{'seconds':>9}{'/ stat, read':>13}{'/ tomllib':>11}{'/ stat':>9}")
    for years in arguments.years:
        with tempfile.TemporaryDirectory() as folder:
            last = FIRST.replace(year=FIRST.year + years) - dt.timedelta(days=1)
            top = written(Path(folder), last)
            paths = [str(path) for path in sorted(top.glob("*/*.toml"))]
            size = sum(map(os.path.getsize, paths))
            print(f"{years} years, {len(paths)} pages, {size / 1e6:.1f} MB, {size / len(paths):.0f} bytes a page")
            seconds = medians(dict(ways(top, paths, last)), arguments.repeats)
            # By itself: the changed page is read anew in every opening after it.
            seconds |= medians({"open with one page changed": one_changed(top, paths, last)}, arguments.repeats)
            for what, took in seconds.items():
                bases = (seconds["stat and read"], seconds["plain tomllib script"], seconds["stat alone"])
                ratios = [took / base for base in bases]
                print(f"  {what:<32}{took:>9.4f}{ratios[0]:>13.2f}{ratios[1]:>11.3f}{ratios[2]:>9.2f}")


def written(folder: Path, last: dt.date) -> Path:
    """A journal with a page for each day up to `last`, all with an old modification time."""
    days = list(days_between(FIRST, last))
    write(folder, {}, habits=HABITS, categories=CATEGORIES, challenges=CHALLENGES)
    for n, day in enumerate(days):
        path = folder / str(day.year) / f"{day}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(PAGE.format(n=n, date=day, mood=n % 5 + 1, pages=n % 40), encoding="utf-8")
        os.utime(path, (LONG_AGO, LONG_AGO))
    return folder


def ways(top: Path, paths: list[str], last: dt.date) -> Iterator[tuple[str, Callable[[], None]]]:
    """The timed functions by name. The order matters: a warm opening needs the snapshot of a cold one."""

    def stat_alone() -> None:
        for path in paths:
            os.stat(path)  # noqa: PTH116

    def bytes_alone() -> None:
        for path in paths:
            with open(path, "rb") as file:  # noqa: PTH123
                file.read()

    def stat_and_read() -> None:
        for path in paths:
            os.stat(path)  # noqa: PTH116
            with open(path, "rb") as file:  # noqa: PTH123
                file.read()

    def plain_tomllib() -> None:
        for path in paths:
            with open(path, "rb") as file:  # noqa: PTH123
                tomllib.load(file)

    basis = reading.read_settings(top)
    found = discover.find(top)
    pages, _ = reading.read_pages(top, found.pages, basis.known)
    yield "stat alone", stat_alone
    yield "bytes alone", bytes_alone
    yield "stat and read", stat_and_read
    yield "plain tomllib script", plain_tomllib
    yield "walk", lambda: void(discover.find(top))
    yield "read pages, checked", lambda: void(reading.read_pages(top, found.pages, basis.known))

    def record() -> None:
        with reading.gc_paused():  # as in journal.open
            tables.record(pages)

    yield "record", record
    recorded = tables.record(pages)
    yield "lay on the calendar", lambda: void(tables.build(recorded, basis.settings, last))
    yield "cold open (no snapshot)", lambda: void(journal.open(top, today=last, cache=False))
    journal.open(top, today=last)  # makes the snapshot
    yield "warm open", lambda: void(journal.open(top, today=last))


def one_changed(top: Path, paths: list[str], last: dt.date) -> Callable[[], None]:
    """Open the journal after a change of one page."""
    changed = Path(paths[len(paths) // 2])

    def run() -> None:
        changed.write_text(changed.read_text(encoding="utf-8") + "# seen\n", encoding="utf-8")
        journal.open(top, today=last)

    return run


def void(_: object) -> None:
    """Discard the result of a timed function."""


def medians(runs: dict[str, Callable[[], None]], rounds: int) -> dict[str, float]:
    """The median processor time of each function, in seconds, of rounds in which they take turns."""
    took: dict[str, list[float]] = {what: [] for what in runs}
    for _ in range(rounds):
        for what, run in runs.items():
            begun = time.process_time()
            run()
            took[what].append(time.process_time() - begun)
    return {what: statistics.median(seconds) for what, seconds in took.items()}


if __name__ == "__main__":
    main()
