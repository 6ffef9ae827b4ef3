"""Checks of the trials of journal.toml. A trial that cannot be drawn or read is dropped; the others apply."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from journal import lots
from journal.folder.faults import Fault, Key, choose, quoted, value_text
from journal.settings import Settings, Trial

LONGEST_DAYS = 731
"""Two years. A longer trial is a slip of the pen, and would be costly to test."""
FEWEST_PAIRS = 6
"""With n pairs the least two-sided p is 2 / 2^n: 0.06 for 5 and 0.03 for 6."""
BLOCKS = range(2, 15)
OUTCOMES = ("mood", "energy", "sleep")
"""What can be looked at besides a counted habit."""

_PLAN = re.compile(f"[0-9a-f]{{{lots.DIGEST_LENGTH}}}")


def trials(page: Settings) -> list[Fault]:
    """Return the faults of the trials."""
    faults: list[Fault] = []
    drawn: list[Trial] = []
    for i, trial in enumerate(page.trials):
        where: Key = ("trials", i)
        fatal = list(_numbers(trial, where)) or list(_names(trial, page, where)) or list(_others(trial, drawn, where))
        faults += fatal
        if not fatal:
            drawn.append(trial)
            faults += _remarks(trial, page, where)
    return faults


def _numbers(trial: Trial, where: Key) -> Iterator[Fault]:
    """Numbers with which nothing can be drawn."""
    most_days = min(LONGEST_DAYS, (dt.date.max - trial.start).days)  # with the day after the last one
    ranges = {
        "days": (1, most_days, f"write e.g. {min(60, most_days)}"),
        "block": (BLOCKS[0], BLOCKS[-1], "write e.g. 2"),
        "washout": (0, trial.block - 1, f"leave out fewer days than the {trial.block} of a block, or none"),
    }
    for name, (least, most, remedy) in ranges.items():
        number = getattr(trial, name)
        if not least <= number <= most:
            expected = f"a number from {least} to {most}"
            got = value_text(number)
            yield Fault(where=(*where, name), expected=expected, got=got, remedy=remedy, drop=where)
    if trial.seed < 0:
        expected, remedy = "a whole number, 0 or more", "write e.g. 4711"
        yield Fault(where=(*where, "seed"), expected=expected, got=str(trial.seed), remedy=remedy, drop=where)


def _names(trial: Trial, page: Settings, where: Key) -> Iterator[Fault]:
    """A habit or an outcome that does not exist, or that cannot answer the question."""
    if trial.habit not in page.habit_keys:
        remedy = choose(trial.habit, page.habit_keys, "write the key of one that is there")
        expected, got = "a habit of journal.toml", quoted(trial.habit)
        yield Fault(where=(*where, "habit"), expected=expected, got=got, remedy=remedy, drop=where)
    counted = {habit.key for habit in page.habits if habit.target is not None} - {trial.habit}
    if trial.outcome not in (*OUTCOMES, *counted):
        remedy = choose(trial.outcome, [*OUTCOMES, *sorted(counted)], "write one of them")
        expected = '"mood", "energy", "sleep" or the key of another habit, with a target'
        got = quoted(trial.outcome)
        yield Fault(where=(*where, "outcome"), expected=expected, got=got, remedy=remedy, drop=where)
    if trial.outcome == "sleep" and trial.lag == 0:
        expected = "1 for sleep (a night belongs to the day of waking, and is over before the habit)"
        yield Fault(where=(*where, "lag"), expected=expected, got="0", remedy="write lag = 1", drop=where)


def _others(trial: Trial, earlier: list[Trial], where: Key) -> Iterator[Fault]:
    """A key that another trial has, or days on which another trial draws the same habit."""
    for other in earlier:
        if other.key == trial.key:
            expected = f"a key that no other trial has ({quoted(other.question)} has it)"
            remedy = "give one of the two another"
            yield Fault(where=(*where, "key"), expected=expected, got=quoted(trial.key), remedy=remedy, drop=where)
        elif other.habit == trial.habit and _overlap(trial, other):
            expected = f"days on which no other trial draws {quoted(trial.habit)} ({quoted(other.key)} does"
            expected += f" from {other.start} to {lots.last_drawn(other)})"
            got = f"{trial.start} to {lots.last_drawn(trial)}"
            remedy = 'write a later "from"'
            yield Fault(where=(*where, "from"), expected=expected, got=got, remedy=remedy, drop=where)


def _overlap(one: Trial, other: Trial) -> bool:
    return max(one.start, other.start) <= min(lots.last_drawn(one), lots.last_drawn(other))


def _remarks(trial: Trial, page: Settings, where: Key) -> Iterator[Fault]:
    """Problems of a trial that is drawn all the same."""
    pairs = lots.pair_count(trial.days, trial.block)
    if pairs < FEWEST_PAIRS:
        expected = f"at least {2 * trial.block * FEWEST_PAIRS} days, {FEWEST_PAIRS} pairs of blocks"
        least = 2 / 2**pairs
        got = f"{trial.days} days, which can show nothing (p is at least {least:.2g})"
        remedy = "write more days, or a smaller block"
        yield Fault(where=(*where, "days"), expected=expected, got=got, remedy=remedy, drop=())
    if page.habit_on(trial.habit, trial.start) is None or page.habit_on(trial.habit, lots.last_drawn(trial)) is None:
        expected = f"days on which {quoted(trial.habit)} is in force"
        got = f"{trial.start} to {lots.last_drawn(trial)}"
        remedy = 'change "from" or "until" of the habit, or of the trial'
        yield Fault(where=(*where, "from"), expected=expected, got=got, remedy=remedy, drop=())
    if trial.plan and not _PLAN.fullmatch(trial.plan):
        expected, remedy = f"the {lots.DIGEST_LENGTH} digits 0-9 and a-f that Duskbook made", "take the line out"
        # It stays: without it the plan would count as the one that was drawn.
        yield Fault(where=(*where, "plan"), expected=expected, got=quoted(trial.plan), remedy=remedy, drop=())
    for name in ("stopped", "interrupted"):
        day = getattr(trial, name)
        if day is not None and day > lots.last_planned(trial):
            expected = f"a day up to the last of the trial, {lots.last_planned(trial)}"
            yield Fault(where=(*where, name), expected=expected, got=str(day), remedy="take the line out")
