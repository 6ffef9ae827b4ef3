"""The share of 95 % intervals of a link that hold the true difference.

    python -m tests.benchmarks.bench_intervals [--count N]

writes tests/benchmarks/intervals.md. The journals are those of `bench_links`. Nothing here measures time. With a
`--count`, the table is printed and no file is written.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from journal.measures.compared_days import LEAST
from journal.measures.shift_interval import shift_interval
from tests.benchmarks.wandering import SPREAD, UNRATED, Calls, marks, series

JOURNALS = 2000
REPORT = Path(__file__).with_name("intervals.md")


def coverage(phi: float, n: int, effect: float, runs: int) -> Calls:
    """The number of intervals that contain the true difference: `effect` standard deviations of mood.

    Rounding to 1..5 changes it by a few thousandths. Journals with fewer than 14 days on a side have no interval.
    """
    inside = of = 0
    for run in range(runs):
        dice = np.random.default_rng([3, int(100 * phi), n, run])
        done = marks(dice, phi, n)
        mood = np.clip(np.rint(3 + SPREAD * (series(dice, phi, n) + effect * (done - 0.5))), 1, 5)
        rated = dice.random(n) >= UNRATED
        if min(done[rated].sum(), (~done)[rated].sum()) < LEAST:
            continue
        low, high = shift_interval(done[rated], mood[rated]) or (-np.inf, np.inf)
        inside, of = inside + (low <= effect * SPREAD <= high), of + 1
    return Calls(inside, of)


def report(runs: int) -> Iterator[str]:
    yield f"""# The intervals of links

Written by `python -m tests.benchmarks.bench_intervals`: the share of 95 % intervals that hold the true difference, in
per cent with its standard error, of {runs} generated journals (less those with under 14 days on a side). Habit and mood
have the same phi. The difference is none, or half a standard deviation of mood.

| phi | days | no difference | half a standard deviation |
|---|---|---|---|"""
    for n in (60, 120, 365, 1095):
        for phi in (0.0, 0.5, 0.7, 0.85, 0.9):
            yield f"| {phi} | {n} | {coverage(phi, n, 0.0, runs)} | {coverage(phi, n, 0.5, runs)} |"


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--count", type=int, default=JOURNALS)
    chosen = options.parse_args()
    lines = []
    for line in report(chosen.count):
        print(line, flush=True)
        lines.append(line)
    if chosen.count == JOURNALS:
        REPORT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
