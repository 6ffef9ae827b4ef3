"""How often a link is told, and said to have ended, over the whole life of a journal.

    python -m tests.benchmarks.bench_links_ever [--count N] [--seed S] [--part P]

writes tests/benchmarks/links_ever.md. The journals are those of `bench_links`: first-order series, mood rounded to
1..5, seven of a hundred days unrated. Every month's end is a look. Nothing here measures time. With an option, tables
are printed and no file is written.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import polars as pl

from journal.measures import looks
from journal.measures.circular_shift import Whole, shift_p
from journal.measures.false_discovery import CLEAR, benjamini_hochberg
from journal.measures.half_shift import fine_p
from journal.measures.link_record import LinkEvent, judged
from tests.benchmarks.wandering import FIRST, KINDS, SPREAD, UNRATED, Calls, Dice, Floats, Marks, marks, series

JOURNALS = 300
YEARS = (1, 3, 10)
REPORT = Path(__file__).with_name("links_ever.md")
_DATES = pl.date_range(FIRST, FIRST.replace(year=FIRST.year + 12), eager=True)
MONTHS: Whole = (_DATES.dt.year().cast(pl.Int64) * 12 + _DATES.dt.month() - 1).to_numpy()
WEEKDAYS: Whole = (_DATES.dt.weekday() - 1).cast(pl.Int64).to_numpy()


class Course(NamedTuple):
    """The months after which the planted link is told and ended (1 is the first), and the number of others told."""

    told: int | None
    ended: int | None
    others: int


def rated(dice: Dice, felt: Floats) -> Floats:
    mood = np.clip(np.rint(3 + SPREAD * felt), 1, 5)
    mood[dice.random(mood.size) < UNRATED] = np.nan
    return mood


def pairs_of(
    done: list[Marks], mood: Floats, *, begin: list[int] | None = None, every: int = 1
) -> list[looks.DatedPairs]:
    """The pairs of each habit with the mood of the day and of the next, from the day `begin` on, due each `every`."""
    before = np.concatenate([[np.nan], mood])
    pairs = []
    for habit, first in zip(done, begin or [0] * len(done), strict=True):
        for lag in (0, 1):
            t = np.arange(first, mood.size - lag, every)
            t = t[np.isfinite(mood[t + lag])]
            one = habit[t].astype(np.float64)
            pairs.append(looks.DatedPairs(MONTHS[t + lag], WEEKDAYS[t], one, mood[t + lag], before[t]))
    return pairs


def unrelated(kind: str, phi: float, habits: int, n: int, *, run: int, seed: int = 1) -> list[LinkEvent]:
    """The links told in a journal in which no habit goes with mood."""
    return _told(*_unrelated(kind, phi, habits, n, run=run, seed=seed))


def _unrelated(kind: str, phi: float, habits: int, n: int, *, run: int, seed: int) -> tuple[list[Marks], Floats]:
    some_marks, some_mood = KINDS[kind]
    dice = np.random.default_rng([seed, int(100 * phi), habits, run])
    return [some_marks(dice, phi, n) for _ in range(habits)], rated(dice, some_mood(dice, phi, n))


def _told(done: list[Marks], mood: Floats, *, begin: list[int] | None = None, every: int = 1) -> list[LinkEvent]:
    last = int(MONTHS[mood.size - 1])
    return [event for event in judged(pairs_of(done, mood, begin=begin, every=every), last) if not event.ended]


def added(phi: float, n: int, run: int, seed: int) -> list[LinkEvent]:
    """As `unrelated`, with two habits from the start and another in each half year."""
    begin = [0, 0, *range(182, n - 365, 182)]
    done, mood = _unrelated("first order", phi, len(begin), n, run=run, seed=seed)
    return _told(done, mood, begin=begin)


def once_a_week(phi: float, n: int, run: int, seed: int) -> list[LinkEvent]:
    done, mood = _unrelated("first order", phi, 4, n, run=run, seed=seed)
    return _told(done, mood, every=7)


def planted(
    habits: int, effect: float | Floats, lag: int, n: int, run: int, *, seed: int = 2, phi: float = 0.5
) -> Course:
    """The first habit is random and raises mood by `effect` standard deviations (one number, or one for each day)."""
    dice = np.random.default_rng([seed, habits, lag, run])
    first = dice.random(n) < 0.5
    felt = series(dice, phi, n) + np.roll(effect * (first - 0.5), lag)
    done = [first, *(marks(dice, phi, n) for _ in range(habits - 1))]
    events = list(judged(pairs_of(done, rated(dice, felt)), int(MONTHS[n - 1])))
    mine = [event for event in events if event.pair == lag]
    since = {
        ended: next((e.month - int(MONTHS[0]) + 1 for e in mine if e.ended is ended), None) for ended in (False, True)
    }
    return Course(since[False], since[True], sum(not e.ended and e.pair != lag for e in events))


# --- What else was tried: a test of all days so far, at each month's end


def q_at_ends(pairs: list[looks.DatedPairs], months: int) -> Floats:
    """The q of every pair after each month: months x pairs, NaN while a side has under 14 days."""
    table = np.full((months, len(pairs)), np.nan)
    for k in range(months):
        p = np.full(len(pairs), np.nan)
        for place, pair in enumerate(pairs):
            upto = int(np.searchsorted(pair.month, MONTHS[0] + k, side="right"))
            one, values = pair.one[:upto], pair.values[:upto]
            if min(one.sum(), upto - one.sum()) < 14:
                continue
            size = float(values[one > 0].mean() - values[one == 0].mean())
            p_whole = shift_p(one, values)
            p[place] = fine_p(one, values, pair.weekday[:upto], pair.before[:upto], p=p_whole, size=size)
        table[k] = benjamini_hochberg(pl.Series(p).fill_nan(None)).fill_null(np.nan).to_numpy()
    return table


def _spent(q: Floats) -> Marks:
    k = np.arange(1, q.shape[0] + 1)[:, None]
    return np.asarray(q <= 6 * CLEAR / (math.pi * k) ** 2)


def _doubled(q: Floats) -> Marks:
    """Looks after 3, 6, 12, 24 ... months, the j-th with CLEAR / (j (j + 1))."""
    hits = np.zeros(q.shape, np.bool_)
    for j in range(1, 7):
        after = 3 * 2 ** (j - 1) - 1
        if after < q.shape[0]:
            hits[after] = q[after] <= CLEAR / (j * (j + 1))
    return hits


RULES: dict[str, Callable[[Floats], Marks]] = {
    "q of 0.05 at any end": lambda q: np.asarray(q <= CLEAR),
    "two ends running": lambda q: np.asarray((q <= CLEAR) & (np.vstack([q[:1] * np.nan, q[:-1]]) <= CLEAR)),
    "three ends running": lambda q: np.asarray(
        (q <= CLEAR) & (np.vstack([q[:1] * np.nan, q[:-1]]) <= CLEAR) & (np.vstack([q[:2] * np.nan, q[:-2]]) <= CLEAR)
    ),
    "0.05 spent as 6 / (pi k)^2": _spent,
    "looks after 3, 6, 12, 24 ... months, 0.05 / (j (j + 1))": _doubled,
}


def _rates_of_rules(runs: int, n: int, seed: int) -> Iterator[tuple[str, list[Calls]]]:
    months = int(MONTHS[n - 1] - MONTHS[0] + 1)
    hits: dict[str, list[list[bool]]] = {name: [[], [], [], []] for name in [*RULES, "e-values of months"]}
    for column, (phi, habits) in enumerate(((0.5, 4), (0.9, 4))):
        for run in range(runs):
            pairs = pairs_of(*_unrelated("first order", phi, habits, n, run=run, seed=seed))
            q = q_at_ends(pairs, months)
            for name, rule in RULES.items():
                hits[name][column].append(bool(rule(q).any()))
            hits["e-values of months"][column].append(any(not e.ended for e in judged(pairs, int(MONTHS[n - 1]))))
    for run in range(runs):
        dice = np.random.default_rng([seed, 4, 0, run])
        first = dice.random(n) < 0.5
        felt = series(dice, 0.5, n) + 0.5 * (first - 0.5)
        pairs = pairs_of([first, *(marks(dice, 0.5, n) for _ in range(3))], rated(dice, felt))
        q = q_at_ends(pairs, months)
        for name, rule in RULES.items():
            ends = rule(q)[:, 0]
            hits[name][2].append(bool(ends[:12].any()))
            hits[name][3].append(bool(ends.any()))
        told = next((e.month - int(MONTHS[0]) + 1 for e in judged(pairs, int(MONTHS[n - 1])) if e.pair == 0), 999)
        hits["e-values of months"][2].append(told <= 12)
        hits["e-values of months"][3].append(told <= 36)
    for name, columns in hits.items():
        yield name, [Calls(sum(column), runs) for column in columns]


# --- The report


def _by_year(events: list[list[LinkEvent]]) -> str:
    first = int(MONTHS[0])
    return " | ".join(
        str(Calls(sum(any(e.month < first + 12 * years for e in told) for told in events), len(events)))
        for years in YEARS
    )


def _within(months: list[int | None], limit: int) -> Calls:
    return Calls(sum(month is not None and month <= limit for month in months), len(months))


N = 3652
"""Days of ten years."""


def unrelated_part(runs: int, seed: int) -> Iterator[str]:
    n = N
    yield f"""# Links over the life of a journal

Written by `python -m tests.benchmarks.bench_links_ever`: {runs} generated journals in every row, shares in per cent
with their standard error. Every month's end is a look; each habit is compared with the mood of the day and of the next.

## No link there: journals in which one is ever told

| series | phi | habits | within 1 year | within 3 years | within 10 years |
|---|---|---|---|---|---|"""
    for kind in KINDS:
        for phi in (0.0, 0.5, 0.7, 0.9) if kind == "first order" else (0.0, 0.9):
            for habits in (1, 4, 10) if kind == "first order" else (10,):
                events = [unrelated(kind, phi, habits, n, run=run, seed=seed) for run in range(runs)]
                yield f"| {kind} | {phi} | {habits} | {_by_year(events)} |"
    for phi in (0.0, 0.9):
        events = [added(phi, n, run, seed) for run in range(runs)]
        yield f"| first order, a habit more each half year | {phi} | 2 to 20 | {_by_year(events)} |"
        events = [once_a_week(phi, n, run, seed) for run in range(runs)]
        yield f"| first order, due once a week | {phi} | 4 | {_by_year(events)} |"


def planted_part(runs: int, seed: int) -> Iterator[str]:
    n = N
    yield """
## A link there, from the first day on: journals in which it is told

Mood has phi 0.5, the habit is done at random on half of the days; the other habits go with nothing. "Others" is the
mean number of false links told in a journal in ten years. "Ended" is the share in which the link, which lasts, is
said to have ended, ever in ten years.

| habits | standard deviations | mood of | within 6 months | within 1 year | within 3 years | others | ended |
|---|---|---|---|---|---|---|---|"""
    for habits, effect, lag in ((1, 0.5, 0), (4, 0.5, 0), (10, 0.5, 0), (1, 0.5, 1), (10, 0.5, 1), (4, 0.3, 0)):
        courses = [planted(habits, effect, lag, n, run, seed=seed + 1) for run in range(runs)]
        told = [course.told for course in courses]
        others = np.mean([course.others for course in courses])
        counts = " | ".join(str(_within(told, limit)) for limit in (6, 12, 36))
        ended = _within([course.ended for course in courses], 120)
        yield f"| {habits} | {effect} | {('the day', 'the next day')[lag]} | {counts} | {others:.2f} | {ended} |"


def changed_part(runs: int, seed: int) -> Iterator[str]:
    n = N
    yield """
## A link that changes after two years: told as ended

Four habits, half a standard deviation, so many years after the change.

| after two years | within 1 year | within 2 years | within 3 years | within 5 years |
|---|---|---|---|---|"""
    day = np.arange(n)
    for name, later in (("gone", 0.0), ("turned", -0.5), ("as before", 0.5)):
        effect_by_day = np.where(day < 730, 0.5, later)
        ended_after = [planted(4, effect_by_day, 0, n, run, seed=seed + 1).ended for run in range(runs)]
        yield f"| {name} | {' | '.join(str(_within(ended_after, 24 + 12 * k)) for k in (1, 2, 3, 5))} |"


def tried_part(runs: int, seed: int) -> Iterator[str]:
    few = max(runs // 4, 1)
    yield f"""
## What else was tried

Four habits, three years, {few} journals. All but the last test all days so far at each end: q over `p_fine`.

| rule | ever told, no link, phi 0.5 | phi 0.9 | a link of 0.5 found within 1 year | within 3 years |
|---|---|---|---|---|"""
    for name, columns in _rates_of_rules(few, 1096, seed):
        yield f"| {name} | {' | '.join(map(str, columns))} |"


PARTS = {"unrelated": unrelated_part, "planted": planted_part, "changed": changed_part, "tried": tried_part}


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--count", type=int, default=JOURNALS)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--part", choices=[*PARTS])
    chosen = options.parse_args()
    lines = []
    for name, part in PARTS.items():
        for line in part(chosen.count, chosen.seed) if chosen.part in (None, name) else ():
            print(line, flush=True)
            lines.append(line)
    if (chosen.count, chosen.seed, chosen.part) == (JOURNALS, 1, None):
        REPORT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
