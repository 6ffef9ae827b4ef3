"""The false positive rate and the power of the tests of links.

    python -m tests.benchmarks.bench_links [--quick]

writes tests/benchmarks/links.md. The journals are generated. Each habit is a first-order series, cut at the quantile
that gives its share of done days. Mood is another such series, rounded to 1..5, with seven of a hundred days unrated.
There are two other kinds: a random weekly cycle in each habit and in mood; and series that are not reversible in time,
with a habit that grows and stops at once, and a mood that falls at once and recovers slowly. Nothing here measures
time. `--quick` uses a tenth of the journals and writes no file.
"""

from __future__ import annotations

import datetime as dt
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import polars as pl
import scipy.stats

from journal.measures.circular_shift import shift_p
from journal.measures.compared_days import compared
from journal.measures.correlates import drivers, weekday
from journal.measures.false_discovery import CLEAR, benjamini_hochberg, is_clear, together
from journal.measures.half_shift import fine_p
from journal.measures.link_record import EVENTS
from journal.measures.links import links
from journal.measures.season import day_length
from tests.benchmarks.wandering import FIRST, KINDS, SPREAD, UNRATED, Calls, Floats, frames, marks, series

JOURNALS = 400
LATER = dt.date(2035, 1, 1)
PHIS = (0.0, 0.5, 0.85, 0.9)
REPORT = Path(__file__).with_name("links.md")


def independent_q(states: pl.DataFrame, days: pl.DataFrame) -> pl.Series:
    """The q of Mann and Whitney's test, which assumes independent days, with the same Benjamini-Hochberg adjustment."""
    p = []
    for lag in (0, 1):
        for pairs in compared(states, days, today=LATER, lag=lag).partition_by("habit"):
            kept, left = (pairs.filter(pl.col("done") == done).get_column("value").to_numpy() for done in (True, False))
            both = kept.size and left.size  # in a short journal with long runs a habit can be done on every day
            p.append(scipy.stats.mannwhitneyu(kept, left, method="asymptotic").pvalue if both else 1.0)
    return benjamini_hochberg(pl.Series(p))


def one_look(states: pl.DataFrame, days: pl.DataFrame) -> pl.DataFrame:
    """The rows of `links`, called clear by q alone: what a single look at these days says."""
    nothing_stands = pl.DataFrame(schema=EVENTS)
    table = links(states, days, today=LATER, standing=nothing_stands).drop("told")
    return table.with_columns(is_clear(pl.col("q")).alias("clear"))


def whole_clear(table: pl.DataFrame) -> pl.Series:
    """Whether each row would be clear if q were computed from p, the whole shifts."""
    q = benjamini_hochberg(table.get_column("p"))
    return pl.DataFrame({"q": q}).select(is_clear(pl.col("q")).fill_null(False)).to_series()


def unrelated(kind: str, phi: float, habits: int, n: int, runs: int) -> tuple[Calls, Calls, Calls]:
    """Journals without links in which any is called clear: by q, by whole shifts and by the independent test."""
    some_marks, some_mood = KINDS[kind]
    called = whole = independent = 0
    for run in range(runs):
        dice = np.random.default_rng([1, int(100 * phi), habits, n, run])
        states, days = frames(dice, [some_marks(dice, phi, n) for _ in range(habits)], some_mood(dice, phi, n))
        table = one_look(states, days)
        called += bool(table.get_column("clear").any())
        whole += bool(whole_clear(table).any())
        independent += bool((independent_q(states, days) <= CLEAR).any())
    return Calls(called, runs), Calls(whole, runs), Calls(independent, runs)


class Found(NamedTuple):
    clear: Calls
    sign: Calls
    whole: Calls
    beside: Calls
    false: str


def planted(habits: int, n: int, runs: int, *, every: int = 1, measured: int = 0, lag: int = 0) -> Found:
    """The first habit is random and raises mood by half a standard deviation; the others have no effect.

    `every` 7 makes it a habit of one weekday, `lag` 1 raises the mood of the next day. `beside`: clear when q also
    covers `measured` drivers without an effect.
    """
    clear = sign = whole = beside = 0
    false = []
    for run in range(runs):
        dice = np.random.default_rng([2, habits, n, every, run, *[lag] * lag])
        first = dice.random(n) < 0.5
        felt = series(dice, 0.5, n) + 0.5 * np.roll(first - 0.5, lag)
        states, days = frames(dice, [first, *(marks(dice, 0.5, n) for _ in range(habits - 1))], felt)
        first_date = pl.lit(FIRST)
        if every > 1:
            due = (pl.col("date") - first_date).dt.total_days() % every == 0
            states = states.filter((pl.col("habit") != "habit 0") | due)
        table = one_look(states, days)
        of_first = (pl.col("habit") == "habit 0") & (pl.col("lag_days") == lag)
        row = table.row(by_predicate=of_first, named=True)
        clear += bool(row["clear"])
        sign += bool(row["clear"]) and row["difference"] > 0
        whole += bool(table.with_columns(whole=whole_clear(table)).filter(of_first).get_column("whole").item())
        called = int(table.get_column("clear").sum())
        false.append((called - bool(row["clear"])) / max(called, 1))
        if measured:
            things = {str(i): days.select("date", value=pl.Series(series(dice, 0.5, n))) for i in range(measured)}
            both, _ = together(table, drivers(days, things))
            beside += bool(both.row(by_predicate=of_first, named=True)["clear"])
    share = f"{100 * np.mean(false):.1f} ± {100 * np.std(false) / math.sqrt(runs):.1f}"
    calls = {"clear": clear, "sign": sign, "whole": whole, "beside": beside}
    return Found(false=share, **{name: Calls(count, runs) for name, count in calls.items()})


def trends(runs: int) -> Iterator[tuple[str, Calls, Calls, Calls]]:
    """False positives at p 0.05 for series that are not stationary, with a jump between their end and beginning."""
    line, n = np.linspace(-1, 1, 365), 365
    year = np.sin(2 * np.pi * np.arange(n) / 365)

    def rejected(name: str, one: Floats | None, other: Floats | None) -> tuple[str, Calls, Calls, Calls]:
        shifted = independent = finely = 0
        drift, swing = (np.zeros(n) if way is None else way for way in (one, other))
        for run in range(runs):
            dice = np.random.default_rng([4, len(name), run])
            habit = series(dice, 0.5, n) + drift < 0
            mood = np.clip(np.rint(3 + SPREAD * (series(dice, 0.5, n) + swing)), 1, 5)
            p, size = shift_p(habit, mood), float(mood[habit].mean() - mood[~habit].mean())
            before = np.concatenate([[np.nan], mood[:-1]])
            finely += fine_p(habit.astype(np.float64), mood, np.arange(n) % 7, before, p=p, size=size) <= 0.05
            shifted += p <= 0.05
            independent += scipy.stats.mannwhitneyu(mood[habit], mood[~habit], method="asymptotic").pvalue <= 0.05
        return name, Calls(finely, runs), Calls(shifted, runs), Calls(independent, runs)

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


def measured(runs: int) -> Iterator[tuple[float, Calls, Calls, Calls]]:
    for phi in PHIS:
        finely = shifted = independent = 0
        for run in range(runs):
            dice = np.random.default_rng([6, int(100 * phi), run])
            one, (_, days) = series(dice, phi, 365), frames(dice, [marks(dice, 0, 365)], series(dice, phi, 365))
            thing = days.select("date", value=pl.Series(one))
            row = drivers(days, {"thing": thing}, lags=(0,)).row(0, named=True)
            both = days.with_columns(value=pl.Series(one)).drop_nulls()
            finely += row["p_fine"] <= 0.05
            shifted += row["p"] <= 0.05
            independent += scipy.stats.spearmanr(both["value"], both["mood"]).pvalue <= 0.05
        yield phi, Calls(finely, runs), Calls(shifted, runs), Calls(independent, runs)


def seasons(runs: int) -> Iterator[tuple[str, list[Calls]]]:
    """The test of mood and day length, over one to four years."""
    plans = ((0.9, 0.0, 0), (0.985, 0.0, 0), (0.5, 0.5, 0), (0.5, 0.5, 30), (0.5, 0.5, 60), (0.5, 0.3, 0))
    for phi, swing, behind in plans:
        row = []
        for years in (1, 2, 3, 4):
            n, called = 365 * years, 0
            since = np.arange(n) + 10  # the shortest day is ten days before New Year
            dates = pl.date_range(FIRST, FIRST + dt.timedelta(days=n - 1), eager=True)
            light = pl.DataFrame({"date": dates, "day_minutes": 720 - 220 * np.cos(since / 365.25 * 2 * np.pi)})
            for run in range(runs):
                dice = np.random.default_rng([7, years, int(1000 * phi), int(100 * swing), behind, run])
                wave = swing * np.cos((since - behind) / 365.25 * 2 * np.pi)
                mood = np.clip(np.rint(3 + SPREAD * (series(dice, phi, n) - wave)), 1, 5)
                days = pl.DataFrame({"date": dates, "mood": mood})
                called += (day_length(days, light, years=1, turns=499).get_column("p").item() or 1) <= 0.05
            row.append(Calls(called, runs))
        late = f", {behind} days behind the light" if behind else ""
        yield (f"{swing} standard deviations{late}" if swing else f"no season, phi {phi}"), row


def report(runs: int) -> Iterator[str]:
    yield f"""# How far the links can be trusted

Written by `python -m tests.benchmarks.bench_links`: {runs} generated journals in every row, shares in per cent with
their standard error. On {100 * UNRATED:.0f} % of the days no mood is noted; every habit is compared with the mood of
the same day and of the next; q is 0.05.

"Clear" is a q of 0.05 in one look at all the days: q over p_fine, each half of the days turned by itself, against what
mood has beyond its weekday and the day before. The pages call a link clear by repeated looks: links_ever.md. "Whole
shifts" is q over p, as it would be without the finer count. "Independent" is Mann and Whitney's test under the same
Benjamini-Hochberg. Intervals: intervals.md.

## No link there: journals in which any is called clear

Habits and mood are unrelated.

| series | phi | habits | pairs | days | clear | whole shifts | independent |
|---|---|---|---|---|---|---|---|"""
    first, week, turned = KINDS
    plans = [(first, habits, n) for habits, n in ((1, 365), (4, 365), (10, 365), (10, 120), (10, 1095))]
    plans += [(week, 1, 365), (week, 10, 365), (turned, 10, 365)]
    for kind, habits, n in plans:
        for phi in PHIS:
            clear, whole, independent = unrelated(kind, phi, habits, n, runs)
            yield f"| {kind} | {phi} | {habits} | {2 * habits} | {n} | {clear} | {whole} | {independent} |"
    yield """
## A link there: half a standard deviation

On the day itself, but in the last two rows. Mood has phi 0.5; the habit is done at random on half of the days; the
other habits go with nothing and have phi 0.5. By whole shifts n days give no p under 1/n, so that a lone link among m
pairs needs m / 0.05 days with a mood however strong it is: 400 with ten habits. "False" is the
mean share of false ones among what is called clear in a journal (what Benjamini-Hochberg keeps to 5 %). "With 12
measured" is found where q is taken over the 24 comparisons of 12 measured things as well.

| habits | pairs | due days | found | with its sign | whole shifts | with 12 measured | false |
|---|---|---|---|---|---|---|---|"""
    first_year = [(habits, 365, 1) for habits in (1, 2, 4, 6, 8, 10)]
    for habits, n, every in [*first_year, (10, 180, 1), (1, 365, 7), (1, 1095, 7)]:
        f = planted(habits, n, runs, every=every, measured=12 if n == 365 and every == 1 else 0)
        due = f"{-(-n // every)}{', once a week' if every > 1 else ''}"
        beside = f.beside if n == 365 and every == 1 else "-"
        counts = f"{habits} | {2 * habits} | {due}"
        yield f"| {counts} | {f.clear} | {f.sign} | {f.whole} | {beside} | {f.false} |"
    for habits in (4, 10):
        f = planted(habits, 365, runs, lag=1)
        counts = f"{habits} | {2 * habits} | 365, the next day's mood"
        yield f"| {counts} | {f.clear} | {f.sign} | {f.whole} | - | {f.false} |"
    yield """
## What is not stationary

A single comparison over a year, called at p_fine and p 0.05. A series with a trend has a seam where its end meets its
beginning, and two that share a cause (here the season) do go together: no test of two series tells that from a link of
their own.

| | by halves | whole shifts | independent |
|---|---|---|---|"""
    for name, finely, shifted, independent in trends(runs):
        yield f"| {name} | {finely} | {shifted} | {independent} |"
    yield """
## Measured things and weekdays

A single comparison over a year of unrelated series, called at p 0.05: rank correlations, and the weekday.

| phi | by halves | whole shifts | independent | weekday, by turns within the week |
|---|---|---|---|---|"""
    for (phi, finely, shifted, independent), (_, by_week) in zip(measured(runs), weekdays(runs), strict=True):
        yield f"| {phi} | {finely} | {shifted} | {independent} | {by_week} |"
    yield """
## Mood with the length of the day

Each year turned by itself, called at p 0.05; the page gives an answer from three years on. Mood swings by so much to
either side of its mean, with phi 0.5. What comes two months behind the light is not found: two turns of three go with
the length of the day at least as much.

| mood | 1 year | 2 years | 3 years | 4 years |
|---|---|---|---|---|"""
    for name, row in seasons(runs):
        yield f"| {name} | {' | '.join(map(str, row))} |"


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
