"""The processor time of measures, against others' code for the same numbers in the same run.

    python -m tests.benchmarks.bench_measures [--years 1 10 50] [--rounds 5]

Streaks: the same occasions in a frame of pandas, by whole columns. Links: the same days by plain numpy, one shift after
the other. Due days: python-dateutil, as in `bench_schedule`. Both sides begin with their own frames in memory, and the
run stops where their results differ. Each figure is the median of rounds in which both take turns.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import statistics
import time
from collections.abc import Callable

import numpy as np
import pandas as pd

from journal.measures.circular_shift import Numbers, shift_p
from journal.measures.states import occasions, states
from journal.measures.streaks import streaks
from tests.benchmarks.bench_schedule import by_frequency
from tests.benchmarks.unchanging import FIRST, SETTINGS, course, tables
from tests.journals import of_tables

ROLLS = 400
"""The most shifts that plain numpy makes in one round. All take equally long, so the time of more follows."""
Bools = np.typing.NDArray[np.bool_]


def main() -> None:
    """Print a table: a row per measure, a column per number of years."""
    parser = argparse.ArgumentParser(description="Time the measures.")
    parser.add_argument("--years", type=int, nargs="+", default=[1, 10, 50])
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    for years in asked.years:
        for what, ratio in ratios(years, asked.rounds).items():
            print(f"{years:>3} years  {what:<24}{ratio:>8.4f}")


def ratios(years: int, rounds: int) -> dict[str, float]:
    """The time of each measure for a journal of some years, as a share of its peer's."""
    last = dt.date(FIRST.year + years, 1, 1) - dt.timedelta(days=1)
    days = (last - FIRST).days + 1
    lived = course(np.random.default_rng([15, years]), 0.5, days)
    book = of_tables(tables(np.random.default_rng([14, years]), lived), SETTINGS)
    stood = occasions(states(book.tables.marks, today=last), today=last, week_starts="monday")
    foreign = pd.DataFrame(stood.select("habit", "state").to_dict(as_series=False))
    told = streaks(stood, today=last).select("habit", "current", "longest").rows()
    if told != pandas_streaks(foreign):
        raise SystemExit(f"{years} years: pandas counts other streaks")
    figures = {"streaks": ratio(lambda: streaks(stood, today=last), lambda: pandas_streaks(foreign), rounds)}
    dice = np.random.default_rng([16, years])
    done, mood = dice.random(days) < 0.6, dice.integers(1, 6, days).astype(np.float64)
    part = min(days, ROLLS)
    if days == part and shift_p(done, mood) != rolled_p(done, mood, days):
        raise SystemExit(f"{years} years: plain numpy has another p")
    figures["links"] = ratio(lambda: shift_p(done, mood), lambda: rolled_p(done, mood, part), rounds) * part / days
    for freq, (times, _) in by_frequency(years, random.Random(5545)).items():
        figures[f"due days, {freq.lower()}"] = 1 / statistics.median(times)
    return figures


def pandas_streaks(frame: pd.DataFrame) -> list[tuple[str, int, int]]:
    """The current and the longest run of each habit by whole columns: habit, current, longest."""
    counted = frame[~frame["state"].isin(["rest", "pending"])]
    done = counted["state"].eq("done")
    habit = counted["habit"]
    run = (done.ne(done.shift()) | habit.ne(habit.shift())).cumsum()
    lengths = counted[done].groupby(run[done], sort=False).agg(habit=("habit", "first"), length=("habit", "size"))
    newest = pd.DataFrame({"habit": habit, "done": done, "run": run}).groupby("habit", sort=False).tail(1)
    current = newest[["habit", "run"]].merge(lengths["length"], left_on="run", right_index=True, how="left")
    longest = lengths.groupby("habit", sort=False)["length"].max()
    joined = current.set_index("habit")["length"].fillna(0).astype(int).to_frame("current").join(longest).fillna(0)
    return [(str(name), int(row["current"]), int(row["length"])) for name, row in joined.iterrows()]


def rolled_p(done: Bools, mood: Numbers, shifts: int) -> float:
    """The share of circular shifts with means at least as far apart as observed, one `roll` after the other."""
    observed = abs(mood[done].mean() - mood[~done].mean())
    far = 0
    for shift in range(shifts):
        turned = np.roll(mood, -shift)
        far += bool(abs(turned[done].mean() - turned[~done].mean()) >= observed - 1e-12)
    return far / shifts


def ratio(ours: Callable[[], object], theirs: Callable[[], object], rounds: int) -> float:
    """The median processor time of one, as a share of that of the other."""
    took: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for work, times in zip((ours, theirs), took, strict=True):
            begun = time.process_time()
            for _ in range(3):  # the clock of the process ticks in steps
                work()
            times.append(time.process_time() - begun)
    return statistics.median(took[0]) / statistics.median(took[1])


if __name__ == "__main__":
    main()
