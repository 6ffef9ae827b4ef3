"""All figures of speed, with their peers in the same run: the table of the manual's page on speed.

    python -m tests.benchmarks [--rounds 5] [--years 1 10 50] [--only reading,measures] [--write]

Each figure is the median of rounds in which Duskbook and its peer take turns on seeded journals. `--write` puts the
table of each part that was run into its section of journal/manual/speed.md, with the machine and the date.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import os
import platform
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.parts import PARTS, Figure
from tests.documents import PROJECT

PAGE = PROJECT / "journal" / "manual" / "speed.md"
MEASURED = "Measured on "


def main() -> None:
    """Run the parts that are asked for."""
    parser = argparse.ArgumentParser(description="Time Duskbook against its peers.")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    parser.add_argument("--only", default=",".join(PARTS), help="parts, with commas between: %(default)s")
    parser.add_argument("--write", action="store_true", help="put the tables into the manual's page on speed")
    asked = parser.parse_args()
    for name in asked.only.split(","):
        print(f"{name}\n" + "\n".join(head(asked.years)))
        rows = head(asked.years)
        for figure in PARTS[name](asked.years, asked.rounds):
            rows.append(row(figure, asked.years))
            print(rows[-1], flush=True)
        if asked.write:
            text = with_table(PAGE.read_text(encoding="utf-8"), name, [measured(asked.rounds), "", *rows])
            PAGE.write_text(text, encoding="utf-8")


def head(years: Sequence[int]) -> list[str]:
    """The first two lines of a table."""
    ages = [f"{count} year{'s' * (count > 1)}" for count in years]
    return ["| " + " | ".join(["what", "against", *ages, "aim"]) + " |", "|" + "---|" * (3 + len(ages))]


def row(figure: Figure, years: Sequence[int]) -> str:
    """A line of a table."""
    ratios = ["" if figure.years.get(count) is None else _short(figure.years[count]) for count in years]
    return "| " + " | ".join([figure.what, figure.peer, *ratios, figure.aim]) + " |"


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.2g}"


def measured(rounds: int) -> str:
    """When and on what, with the work that other programs did meanwhile."""
    day, machine = dt.datetime.now().astimezone().date(), f"{processor()}, {os.cpu_count()} cores"
    load, python = os.getloadavg()[1], platform.python_version()
    return f"{MEASURED}{day}: {machine}, load {load:.1f}, Python {python}, {rounds} rounds."


def processor() -> str:
    """The name of the processor, where the system tells it."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def with_table(document: str, part: str, lines: Sequence[str]) -> str:
    """The document with these lines in place of the section's line of measurement and the table below it."""
    before, heading, section = document.partition(f"\n## {part.capitalize()}\n")
    if not heading:
        raise SystemExit(f"{PAGE.name} has no section {part.capitalize()}")
    section, following, after = section.partition("\n## ")
    text = section.partition(f"\n{MEASURED}")[0].strip()
    return f"{before}{heading}\n{text}\n\n" + "\n".join(lines) + f"\n{following}{after}"


if __name__ == "__main__":
    main()
