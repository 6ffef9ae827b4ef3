"""The processor time of commands, as a ratio to a peer in the same run.

    python -m tests.benchmarks.bench_commands [--years 1 50] [--rounds 9]

The journals are the example year, repeated with its files. Every command is a process of its own, and counts with its
processor time, user and system. The peers: a bare Python that does nothing, and ephem's own calls for sunrise, sunset
and noon of the same days. Each figure is the median of rounds in which all take turns, so that other work of the
machine falls on all of them alike. Modules are compiled before, as in an installed Duskbook.
"""

from __future__ import annotations

import argparse
import compileall
import datetime as dt
import os
import re
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
YEAR = 2025
FIRST_DAY = re.compile(rf"^from = {YEAR}-(?!09)(\d\d-\d\d)$", re.MULTILINE)
"""The first days of what holds in all years. One habit changes in September of the last."""

EPHEM = """\
import datetime as dt, ephem
place, sun = ephem.Observer(), ephem.Sun()
place.lat, place.lon, place.pressure, place.horizon = "{latitude}", "{longitude}", 0, "-0:50"
day = dt.datetime({first}, 1, 1)
while day.year <= {last}:
    place.date = day
    place.next_rising(sun), place.next_transit(sun), place.next_setting(sun)
    day += dt.timedelta(days=1)
"""
"""The peer of `show sun`: the three events of each day, as the documentation of ephem has them."""

UNCHANGED = "show streaks"
"""The command that finds all pages as the one before left them, and old: it has nothing to read again."""

LIBRARIES = "import click, msgspec, rtoml, zoneinfo, datetime, pathlib"
"""What every command needs from outside the standard types: it bounds what `log` can take."""


def main() -> None:
    """Make the journals, let all commands take turns, and print a table."""
    parser = argparse.ArgumentParser(description="Time the commands.")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 50])
    parser.add_argument("--rounds", type=int, default=9)
    arguments = parser.parse_args()
    for years in arguments.years:
        print(f"{years} years, {arguments.rounds} rounds")
        times = medians(years, arguments.rounds)
        for name, median in times.items():
            ratios = [median / times[peer] for peer in ("bare Python", "ephem's own calls")]
            print(f"  {name:<36}{median * 1000:>9.0f} ms{ratios[0]:>9.1f} / bare{ratios[1]:>9.2f} / ephem")


def medians(years: int, rounds: int) -> dict[str, float]:
    """The processor time of each command in a journal of some years, in seconds: the median of rounds."""
    compileall.compile_dir(ROOT / "journal", quiet=2)
    with tempfile.TemporaryDirectory() as folder:
        journal = repeated(Path(folder) / "journal", years)
        took = {name: [0.0] * rounds for name, _ in commands(journal, years, 0)}
        seconds(python("-m", "journal", "show", "streaks", str(journal)))  # makes the snapshot
        for i in range(rounds):
            for name, command in commands(journal, years, i):
                if name == UNCHANGED:
                    settle(journal)
                    seconds(command)
                took[name][i] = seconds(command)
    return {name: statistics.median(times) for name, times in took.items()}


def commands(journal: Path, years: int, turn: int) -> list[tuple[str, list[str]]]:
    """The commands of a round. What is logged changes from one to the next, so that there is something to write."""
    mark, today = ("walk", "walk=no")[turn % 2], f"{YEAR}-12-30"
    place = {"latitude": 55.95, "longitude": -3.19, "first": YEAR - years + 1, "last": YEAR}
    days = ["--from", f"{YEAR - years + 1}-01-01", "--to", f"{YEAR}-12-31"]
    return [
        ("bare Python", python("-c", "pass")),
        ("the libraries of a command", python("-c", LIBRARIES)),
        ("--version", duskbook("--version")),
        ("log with a streak", duskbook("log", str(journal), "--date", today, "--habit", mark)),
        ("show streaks, after a log", duskbook("show", "streaks", str(journal), "--today", today)),
        (UNCHANGED, duskbook("show", "streaks", str(journal), "--today", today)),
        ("ephem's own calls", python("-c", EPHEM.format(**place))),
        ("show sun", duskbook("show", "sun", str(journal), *days, "--format", "csv")),
    ]


def python(*arguments: str) -> list[str]:
    """A command of this Python."""
    return [sys.executable, *arguments]


def duskbook(*arguments: str) -> list[str]:
    """A command of Duskbook."""
    return python("-m", "journal", *arguments)


def repeated(folder: Path, years: int) -> Path:
    """The example year as files, and the years before it with the same pages: a journal of `years` years."""
    shutil.copytree(ROOT / "example_year", folder, ignore=shutil.ignore_patterns(".*"))
    settings = folder / "journal.toml"
    first = rf"from = {YEAR - years + 1}-\1"
    settings.write_text(FIRST_DAY.sub(first, settings.read_text(encoding="utf-8")), encoding="utf-8")
    pages = [(page.name, page.read_text(encoding="utf-8")) for page in sorted((folder / str(YEAR)).glob("*.toml"))]
    for year in range(YEAR - years + 1, YEAR):
        (folder / str(year)).mkdir()
        for name, text in pages:
            if not (name.startswith(f"{YEAR}-W53") and dt.date(year, 12, 28).isocalendar().week < 53):
                path = folder / str(year) / name.replace(str(YEAR), str(year), 1)
                path.write_text(text.replace(f"{YEAR}-", f"{year}-"), encoding="utf-8")
    settle(folder)
    return folder


def settle(folder: Path) -> None:
    """Give all pages an old time, well before that of a snapshot, which trusts the pages then."""
    old = dt.datetime(2026, 1, 2, tzinfo=dt.UTC).timestamp()
    for path in folder.rglob("*.toml"):
        if path.stat().st_mtime != old:
            os.utime(path, (old, old))


def seconds(command: list[str]) -> float:
    """The processor time of a process, user and system. Its output goes nowhere."""
    silent = [(os.POSIX_SPAWN_OPEN, handle, os.devnull, os.O_WRONLY, 0) for handle in (1, 2)]
    process = os.posix_spawn(command[0], command, os.environ | {"PYTHONPATH": str(ROOT)}, file_actions=silent)
    _, status, usage = os.wait4(process, 0)
    if os.waitstatus_to_exitcode(status):
        raise SystemExit(f"{' '.join(command)} failed")
    return usage.ru_utime + usage.ru_stime


if __name__ == "__main__":
    main()
