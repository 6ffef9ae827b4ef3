"""How often a link is called clear that is none, and how often one is found that is there.

    python -m tests.benchmarks.bench_links [--quick]

writes tests/benchmarks/links.md. Journals are generated: each habit a series of first order, cut where as many days
lie below as the habit is done on; mood another such series, rounded to 1..5, seven days in a hundred not rated. Nothing
here measures time. `--quick` takes a tenth of the journals and writes nothing.
"""

from __future__ import annotations

import datetime as dt
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import polars as pl
import scipy.signal
import scipy.stats

from journal.measures.association import ranks
from journal.measures.drivers import weekday
from journal.measures.links import compared, links
from journal.measures.multiplicity import CLEAR, benjamini_hochberg, days_for_one
from journal.measures.shifting import shift_p
from journal.measures.states import State

Floats = npt.NDArray[np.float64]

JOURNALS = 400
FIRST = dt.date(2025, 1, 1)
LATER = dt.date(2035, 1, 1)
PHIS = (0.0, 0.5, 0.85, 0.9)
UNRATED = 0.07
SPREAD = 0.8
"""Standard deviation of mood before it is rounded."""
REPORT = Path(__file__).with_name("links.md")


class Calls(NamedTuple):
    """Of how many journals something was so."""

    hits: int
    of: int

    def __str__(self) -> str:
        share = self.hits / self.of
        return f"{100 * share:.1f} ± {100 * math.sqrt(share * (1 - share) / self.of):.1f}"


def series(dice: np.random.Generator, phi: float, n: int) -> Floats:
    """A stationary series of first order, of mean 0 and standard deviation 1."""
    shocks = dice.standard_normal(n + 300) * math.sqrt(1 - phi * phi)
    found: Floats = scipy.signal.lfilter([1], [1, -phi], shocks)[300:]
    return found


def marks(dice: np.random.Generator, phi: float, n: int) -> npt.NDArray[np.bool_]:
    """Done on 35 to 75 days of a hundred, in runs where phi is high."""
    done: npt.NDArray[np.bool_] = series(dice, phi, n) < scipy.stats.norm.ppf(dice.uniform(0.35, 0.75))
    return done


def frames(
    dice: np.random.Generator, done: list[npt.NDArray[np.bool_]], felt: Floats
) -> tuple[pl.DataFrame, pl.DataFrame]:
    n = felt.size
    dates = pl.date_range(FIRST, FIRST + dt.timedelta(days=n - 1), eager=True)
    states = [
        pl.DataFrame({"date": dates, "state": np.where(habit, "done", "missed")}).select(
            pl.lit(f"habit {i}").alias("habit"),
            "date",
            pl.lit(True).alias("logged"),
            pl.lit(None, pl.String).alias("per"),
            pl.lit(None, pl.String).alias("mark"),
            pl.col("state").cast(State),
        )
        for i, habit in enumerate(done)
    ]
    mood = np.clip(np.rint(3 + SPREAD * felt), 1, 5)
    rated = pl.Series(np.where(dice.random(n) < UNRATED, np.nan, mood)).fill_nan(None)
    return pl.concat(states), pl.DataFrame({"date": dates, "mood": rated})


def independent_q(states: pl.DataFrame, days: pl.DataFrame) -> pl.Series:
    """What Mann and Whitney's test says, which takes the days for independent, under the same Benjamini-Hochberg."""
    p = []
    for lag in (0, 1):
        for pairs in compared(states, days, today=LATER, lag=lag).partition_by("habit"):
            kept, left = (pairs.filter(pl.col("done") == done).get_column("value").to_numpy() for done in (True, False))
            p.append(scipy.stats.mannwhitneyu(kept, left, method="asymptotic").pvalue)
    return benjamini_hochberg(pl.Series(p))


def unrelated(phi: float, habits: int, n: int, runs: int) -> tuple[Calls, Calls]:
    """Journals in which any link is called clear, by the shifts and by the independent test; there is none in any."""
    shifted = independent = 0
    for run in range(runs):
        dice = np.random.default_rng([1, int(100 * phi), habits, n, run])
        states, days = frames(dice, [marks(dice, phi, n) for _ in range(habits)], series(dice, phi, n))
        shifted += bool(links(states, days, today=LATER, resamples=0).get_column("clear").any())
        independent += bool((independent_q(states, days) <= CLEAR).any())
    return Calls(shifted, runs), Calls(independent, runs)


class Found(NamedTuple):
    clear: Calls
    sign: Calls
    inside: Calls
    false: str


def planted(habits: int, n: int, runs: int, every: int = 1) -> Found:
    """Half a standard deviation on the days of the first habit, done at random; the others go with nothing.

    `every` 7 makes it a habit of one weekday. `inside`: the interval holds what was planted (0.5 of 0.8 points; what
    rounding to 1..5 takes from it is a few thousandths).
    """
    clear = sign = inside = 0
    false = []
    for run in range(runs):
        dice = np.random.default_rng([2, habits, n, every, run])
        first = dice.random(n) < 0.5
        felt = series(dice, 0.5, n) + 0.5 * (first - 0.5)
        states, days = frames(dice, [first, *(marks(dice, 0.5, n) for _ in range(habits - 1))], felt)
        first_date = pl.lit(FIRST)
        if every > 1:
            due = (pl.col("date") - first_date).dt.total_days() % every == 0
            states = states.filter((pl.col("habit") != "habit 0") | due)
        table = links(states, days, today=LATER, resamples=1000)
        row = table.row(by_predicate=(pl.col("habit") == "habit 0") & (pl.col("lag_days") == 0), named=True)
        clear += bool(row["clear"])
        sign += bool(row["clear"]) and row["difference"] > 0
        inside += row["low"] is not None and row["low"] <= 0.5 * SPREAD <= row["high"]
        called = int(table.get_column("clear").sum())
        false.append((called - bool(row["clear"])) / max(called, 1))
    share = f"{100 * np.mean(false):.1f} ± {100 * np.std(false) / math.sqrt(runs):.1f}"
    return Found(Calls(clear, runs), Calls(sign, runs), Calls(inside, runs), share)


def coverage(phi: float, n: int, runs: int) -> Calls:
    """Intervals that hold 0, which is the truth."""
    inside = 0
    for run in range(runs):
        dice = np.random.default_rng([3, int(100 * phi), n, run])
        states, days = frames(dice, [marks(dice, phi, n)], series(dice, phi, n))
        row = links(states, days, today=LATER, lags=(0,), resamples=1000).row(0, named=True)
        inside += row["low"] is not None and row["low"] <= 0 <= row["high"]
    return Calls(inside, runs)


def trends(runs: int) -> Iterator[tuple[str, Calls, Calls]]:
    """Series that are not stationary: what the seam between their end and their beginning costs, at p 0.05."""
    line, n = np.linspace(-1, 1, 365), 365
    year = np.sin(2 * np.pi * np.arange(n) / 365)

    def rejected(name: str, one: Floats | None, other: Floats | None) -> tuple[str, Calls, Calls]:
        shifted = independent = 0
        for run in range(runs):
            dice = np.random.default_rng([4, len(name), run])
            habit = series(dice, 0.5, n) + (0 if one is None else one) < 0
            mood = np.clip(np.rint(3 + SPREAD * (series(dice, 0.5, n) + (0 if other is None else other))), 1, 5)
            shifted += shift_p(habit, mood) <= 0.05
            independent += scipy.stats.mannwhitneyu(mood[habit], mood[~habit], method="asymptotic").pvalue <= 0.05
        return name, Calls(shifted, runs), Calls(independent, runs)

    yield rejected("a habit that fades over the year, mood as ever", line, None)
    yield rejected("a habit that fades, mood that rises", line, line)
    yield rejected("a habit that fades, mood with the season", line, year)
    yield rejected("habit and mood both with the season, in step", -year, year)


def weekdays(runs: int) -> Iterator[tuple[float, Calls]]:
    for phi in PHIS:
        called = 0
        for run in range(runs):
            dice = np.random.default_rng([5, int(100 * phi), run])
            _, days = frames(dice, [marks(dice, 0, 365)], series(dice, phi, 365))
            called += weekday(days, turns=499).get_column("p").item() <= 0.05
        yield phi, Calls(called, runs)


def rank_shifts(runs: int) -> Iterator[tuple[float, Calls, Calls]]:
    for phi in PHIS:
        shifted = independent = 0
        for run in range(runs):
            dice = np.random.default_rng([6, int(100 * phi), run])
            one, mood = series(dice, phi, 365), np.clip(np.rint(3 + SPREAD * series(dice, phi, 365)), 1, 5)
            shifted += shift_p(ranks(one), ranks(mood)) <= 0.05
            independent += scipy.stats.spearmanr(one, mood).pvalue <= 0.05
        yield phi, Calls(shifted, runs), Calls(independent, runs)


def report(runs: int) -> Iterator[str]:
    yield f"""# How far the links can be trusted

Written by `python -m tests.benchmarks.bench_links`: {runs} generated journals in every row, shares in per cent with
their standard error. On {100 * UNRATED:.0f} % of the days no mood is noted; every habit is compared with the mood of
the same day and of the next; q is 0.05.

## No link there: journals in which any is called clear

Habits and mood are unrelated series of first order. "Independent" is Mann and Whitney's test under the same
Benjamini-Hochberg.

| phi | habits | pairs | days | by shifts | independent |
|---|---|---|---|---|---|"""
    for habits, n in ((6, 365), (3, 365), (10, 1095)):
        for phi in PHIS:
            shifted, independent = unrelated(phi, habits, n, runs)
            yield f"| {phi} | {habits} | {2 * habits} | {n} | {shifted} | {independent} |"
    yield """
## A link there: half a standard deviation, on the day itself

Mood has phi 0.5; the habit is done at random on half of the days; the other habits go with nothing and have phi 0.5.
With n days no p is under 1/n, so that a lone link among m pairs needs m / 0.05 days with a mood however strong it is:
the last column. "Interval" is the share of 95 % intervals that hold the planted 0.4 points, "false" the mean share of
false ones among what is called clear in a journal (what Benjamini-Hochberg keeps to 5 %).

| habits | pairs | due days | found | with its sign | interval | false | days a lone link needs |
|---|---|---|---|---|---|---|---|"""
    plans = (
        (1, 365, 1), (2, 365, 1), (4, 365, 1), (6, 365, 1), (8, 365, 1), (10, 365, 1), (10, 730, 1),
        (1, 365, 7), (1, 1095, 7),
    )  # fmt: skip
    for habits, n, every in plans:
        f = planted(habits, n, runs, every)
        due = -(-n // every)
        yield (
            f"| {habits} | {2 * habits} | {due}{', once a week' if every > 1 else ''} | {f.clear} | {f.sign} "
            f"| {f.inside} | {f.false} | {days_for_one(2 * habits)} |"
        )
    yield """
## Intervals

The share of 95 % intervals of unrelated series that hold 0.

| phi | days | hold 0 |
|---|---|---|"""
    for n in (120, 365):
        for phi in PHIS:
            yield f"| {phi} | {n} | {coverage(phi, n, runs)} |"
    yield """
## What is not stationary

A single comparison over a year, called at p 0.05. A series with a trend has a seam where its end meets its
beginning, and two that share a cause (here the season) do go together: no test of two series tells that from a link of
their own.

| | by shifts | independent |
|---|---|---|"""
    for name, shifted, independent in trends(runs):
        yield f"| {name} | {shifted} | {independent} |"
    yield """
## Measured things and weekdays

A single comparison over a year of unrelated series, called at p 0.05.

| phi | rank correlation, by shifts | independent | weekday, by turns within the week |
|---|---|---|---|"""
    for (phi, shifted, independent), (_, turned) in zip(rank_shifts(runs), weekdays(runs), strict=True):
        yield f"| {phi} | {shifted} | {independent} | {turned} |"


def main() -> None:
    quick = "--quick" in sys.argv
    lines = []
    for line in report(JOURNALS // 10 if quick else JOURNALS):
        print(line, flush=True)
        lines.append(line)
    if not quick:
        REPORT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
