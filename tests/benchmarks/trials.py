"""How far the trials can be trusted: false effects, power in a trial of the length that was asked for, intervals.

    python -m tests.benchmarks.trials --count 2000 --seed 1 --only effect

Writes trials.md beside it if `--write` is given.
"""

from __future__ import annotations

import argparse
import datetime as dt
import itertools
import math
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import numpy as np

from journal.measures import trial_length
from journal.settings import Trial
from tests.benchmarks.trial_journals import (
    FIRST,
    RECORD,
    MoodKind,
    every_p,
    felt,
    on_days,
    outcome_of,
    plan,
    rated,
    rated_frame,
    redrawn,
)
from tests.benchmarks.wandering import Calls, Dice, Floats

REPORT = Path(__file__).with_name("trials.md")
KINDS = tuple(MoodKind(phi, moves) for phi, moves in itertools.product((0.0, 0.5, 0.9), (False, True)))
LEVEL = 0.05
_CHECKED = 20
"""Journals of a row whose p is compared with that of `trials.results`, from frames."""
_REDRAWN = 40
LAST = FIRST + dt.timedelta(days=RECORD - 1)


class Power(NamedTuple):
    """What trials of the length asked for found, and whether their intervals held the effect."""

    found: Calls
    held: Calls
    days: Floats


def false_effects(kind: MoodKind, count: int, seed: int, **changes: Any) -> tuple[Calls, float]:
    """How many of the trials of a habit that does nothing have a p of 0.05 or less, and what share of all draws would.

    The first has the luck of the draws. The second has none: it is the largest share of any of the journals.
    """
    dice = np.random.default_rng(seed)
    hits, largest = 0, 0.0
    for i in range(count):
        trial = plan(dice, **changes)
        noted = rated(dice, felt(dice, kind, RECORD + trial.days + trial.lag))
        p, own = every_p(trial, noted)
        if i < _CHECKED:
            assert math.isclose(p[own], outcome_of(trial, noted, dice)["p"])
        hits += bool(p[own] <= LEVEL)
        largest = max(largest, float((p <= LEVEL).mean()))
    return Calls(hits, count), largest


def power(kind: MoodKind, count: int, seed: int, *, block: int = 2, washout: int = 0, lag: int = 0) -> Power:
    """Trials of a habit that adds half a standard deviation of the moods of the record, as long as was asked for."""
    dice = np.random.default_rng(seed)
    found = held = 0
    days = np.zeros(count)
    for i in range(count):
        mood = felt(dice, kind, RECORD + trial_length.LONGEST_DAYS + 1)
        record = rated_frame(rated(dice, mood[:RECORD])).rename({"mood": "outcome"})
        own = trial_length.record(record, today=LAST, low=1, high=5)
        length = trial_length.needed(own, block=block, washout=washout, seed=i)
        trial = plan(dice, days=length.days, block=block, washout=washout, lag=lag)
        lifted = mood[: RECORD + trial.days + trial.lag] + length.effect * on_days(trial)
        result = outcome_of(trial, rated(dice, lifted), dice)
        found += result["p"] <= LEVEL
        low, high = (-math.inf if result["low"] is None else result["low"], result["high"])
        held += low <= length.effect <= (math.inf if high is None else high)
        days[i] = length.days
    return Power(Calls(found, count), Calls(held, count), days)


def watched(kind: MoodKind, count: int, seed: int) -> tuple[Calls, Calls]:
    """Trials of a habit that does nothing, looked at each week and stopped as soon as p is 0.05 or less.

    Returns how many have an effect at any look or at the end, by the p of the days run and by the p that counts looks.
    """
    dice = np.random.default_rng(seed)
    plainly = counted = 0
    for _ in range(count):
        trial = plan(dice, days=84)
        noted = rated(dice, felt(dice, kind, RECORD + trial.days))
        plain, honest = _at_any_look(trial, noted, dice)
        plainly += plain
        counted += honest
    return Calls(plainly, count), Calls(counted, count)


def _at_any_look(trial: Trial, noted: Floats, dice: Dice) -> tuple[bool, bool]:
    """Whether p is 0.05 or less at any weekly look or at the end: of the days run, and as looks are counted."""
    looks: tuple[dt.date, ...] = ()
    plain = honest = False
    for week in range(4, 13):
        today = trial.start + dt.timedelta(days=7 * week)
        known = noted[: RECORD + 7 * week]
        run = {"stopped": today} if week < 12 else {}
        unseen = msgspec.structs.replace(trial, **run)
        looks = (*looks, today) if week < 12 else looks
        plain |= outcome_of(unseen, known, dice, today=today)["p"] <= LEVEL
        seen = msgspec.structs.replace(unseen, looked=looks)
        honest |= outcome_of(seen, known, dice, today=today)["p"] <= LEVEL
    return plain, honest


HEAD = """# How far trials by lot can be trusted

Written from the output of `python -m tests.benchmarks.trials`: count 2000, seed 1; rows with fewer journals are the
first of that run. Shares in per cent with their standard error.

Mood is from 1 to 5 in whole steps, with a standard deviation of 0.9 before it is rounded; 7 % of the evenings are not
written; the habit is done as drawn on 90 % of the days. "Trend, week and season" adds a rise or fall of half a standard
deviation over the first 60 days, weekdays that differ by a third of one, and a season of half of one to either side.
"""


def nothing(count: int, seed: int) -> Iterator[str]:
    """The section on a habit that does nothing."""
    yield f"""
## The habit does nothing: trials that are called an effect

{count} journals a row, called at p 0.05. "Called" has the luck of the draws. "Of all draws" has none: each of the
draws that a journal could have had is tested, and the largest share that is called in any journal is given.

The test is exact: p is the share of draws at least as far apart, ties and the draw itself counted, so of no journal
more than 5 % of the draws are called. A "called" above 5 is the luck of {count} draws, of a standard error of 0.5.

| phi | days | block | left out | lag | called | of all draws, at most |
|---|---|---|---|---|---|---|"""
    for row, kind in enumerate(KINDS):
        called, largest = false_effects(kind, count, seed + row, days=48)
        yield f"| {kind} | 48 | 2 | 0 | 0 | {called} | {100 * largest:.2f} |"
    for row, kind in enumerate(KINDS[1::2], start=len(KINDS)):
        called, largest = false_effects(kind, count, seed + row, days=98, block=7, washout=1, lag=1)
        yield f"| {kind} | 98 | 7 | 1 | 1 | {called} | {100 * largest:.2f} |"


def effect(count: int, seed: int) -> Iterator[str]:
    """The section on a habit that adds half a standard deviation."""
    yield """
## The habit adds half a standard deviation

The trial is as long as the page asks for, from the year before it: its middle length, and the lengths that 10 and 90 %
are below. "Held" is the share of 95 % intervals that hold the effect.

| journals | phi | block | left out | days | 10 % | 90 % | found | held |
|---|---|---|---|---|---|---|---|---|"""
    for row, kind in enumerate((*KINDS[::2], *KINDS[1::2])):
        yield _power_row(kind, count, seed + 20 + row)
    yield _power_row(KINDS[3], count, seed + 30, block=7, washout=1)


def draws(count: int, seed: int) -> Iterator[str]:
    """The section on the same journals with each trial drawn many times."""
    yield f"""
## The same, each trial drawn {_REDRAWN} times

One draw a journal has the luck of the draw. Here the trial of each journal is drawn {_REDRAWN} times over the same
mood, so that few journals tell as much. The standard error is that over journals.

| journals | phi | block | left out | days | 10 % | 90 % | found | held |
|---|---|---|---|---|---|---|---|---|"""
    for row, kind in enumerate((*KINDS[::2], *KINDS[1::2])):
        yield _redrawn_row(kind, count // 10, seed + 50 + row)
    yield _redrawn_row(KINDS[3], count // 10, seed + 60, block=7, washout=1)


def _redrawn_row(kind: MoodKind, count: int, seed: int, *, block: int = 2, washout: int = 0) -> str:
    dice = np.random.default_rng(seed)
    days, found, held = np.zeros(count), np.zeros(count), np.zeros(count)
    for i in range(count):
        mood = felt(dice, kind, RECORD + trial_length.LONGEST_DAYS + 1)
        record = rated_frame(rated(dice, mood[:RECORD])).rename({"mood": "outcome"})
        own = trial_length.record(record, today=LAST, low=1, high=5)
        length = trial_length.needed(own, block=block, washout=washout, seed=i)
        trial = plan(dice, days=length.days, block=block, washout=washout)
        days[i] = length.days
        found[i], held[i] = redrawn(dice, trial, mood, length.effect, _REDRAWN)
    low, middle, high = np.quantile(days, [0.1, 0.5, 0.9])
    shares = " | ".join(
        f"{100 * all_.mean():.1f} ± {100 * all_.std() / math.sqrt(count):.1f}" for all_ in (found, held)
    )
    return f"| {count} | {kind} | {block} | {washout} | {middle:.0f} | {low:.0f} | {high:.0f} | {shares} |"


def looks(count: int, seed: int) -> Iterator[str]:
    """The section on looks before the end."""
    yield """
## Looked at each week: called at any look or at the end

Trials of 84 days of a habit that does nothing, looked at from the fourth week on.

| trials | phi | by the days run | as looks are counted |
|---|---|---|---|"""
    for kind in KINDS[::2]:
        plain, honest = watched(kind, count // 4, seed + 40)
        yield f"| {count // 4} | {kind} | {plain} | {honest} |"


SECTIONS = {"nothing": nothing, "effect": effect, "draws": draws, "looks": looks}


def _power_row(kind: MoodKind, count: int, seed: int, *, block: int = 2, washout: int = 0) -> str:
    rates = power(kind, count // 2, seed, block=block, washout=washout)
    low, middle, high = np.quantile(rates.days, [0.1, 0.5, 0.9])
    lengths = f"{middle:.0f} | {low:.0f} | {high:.0f}"
    return f"| {count // 2} | {kind} | {block} | {washout} | {lengths} | {rates.found} | {rates.held} |"


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    arguments.add_argument("--count", type=int, default=2000)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--only", choices=SECTIONS, action="append", help="a section; by default all")
    arguments.add_argument("--write", action="store_true", help="write trials.md, with all sections")
    chosen = arguments.parse_args()
    started = time.monotonic()
    lines = [HEAD.rstrip()]
    for name in chosen.only or SECTIONS:
        for line in SECTIONS[name](chosen.count, chosen.seed):
            print(line, flush=True)
            lines.append(line)
    print(f"\ncount {chosen.count}, seed {chosen.seed}, {time.monotonic() - started:.0f} seconds")
    if chosen.write and not chosen.only:
        REPORT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
