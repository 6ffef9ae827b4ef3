"""Checks of the trials of journal.toml. A trial that cannot be drawn or read is dropped; the others apply."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from journal import lots
from journal.folder.faults import Fault, Key, chosen, quoted, value_words
from journal.folder.page_names import NAMES_OF
from journal.language.lazy_text import L_, L_n, L_p, LazyText
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
        "days": (1, most_days, L_("write e.g. {example}", example=str(min(60, most_days)))),
        "block": (BLOCKS[0], BLOCKS[-1], L_("write e.g. {example}", example="2")),
        "washout": (
            0,
            trial.block - 1,
            L_("leave out fewer days than the {count} of a block, or none", count=trial.block),
        ),
    }
    for name, (least, most, remedy) in ranges.items():
        number = getattr(trial, name)
        if not least <= number <= most:
            expected = L_("a number from {low} to {high}", low=least, high=most)
            got = value_words(number)
            yield Fault(where=(*where, name), expected=expected, got=got, remedy=remedy, drop=where)
    if trial.seed < 0:
        expected, remedy = L_("a whole number, 0 or more"), L_("write e.g. {example}", example="4711")
        yield Fault(where=(*where, "seed"), expected=expected, got=str(trial.seed), remedy=remedy, drop=where)


def _names(trial: Trial, page: Settings, where: Key) -> Iterator[Fault]:
    """A habit or an outcome that does not exist, or that cannot answer the question."""
    if trial.habit not in page.habit_keys:
        remedy = chosen(trial.habit, page.habit_keys, L_("write the key of one that is there"))
        expected, got = NAMES_OF["habits"], quoted(trial.habit)
        yield Fault(where=(*where, "habit"), expected=expected, got=got, remedy=remedy, drop=where)
    counted = {habit.key for habit in page.habits if habit.target is not None} - {trial.habit}
    if trial.outcome not in (*OUTCOMES, *counted):
        remedy = chosen(trial.outcome, [*OUTCOMES, *sorted(counted)], L_("write one of them"))
        expected = L_('"mood", "energy", "sleep" or the key of another habit, with a target')
        got = quoted(trial.outcome)
        yield Fault(where=(*where, "outcome"), expected=expected, got=got, remedy=remedy, drop=where)
    if trial.outcome == "sleep" and trial.lag == 0:
        expected = L_("1 for sleep (a night belongs to the day of waking, and is over before the habit)")
        remedy = L_("write {name}", name="lag = 1")
        yield Fault(where=(*where, "lag"), expected=expected, got="0", remedy=remedy, drop=where)


def _others(trial: Trial, earlier: list[Trial], where: Key) -> Iterator[Fault]:
    """A key that another trial has, or days on which another trial draws the same habit."""
    for other in earlier:
        if other.key == trial.key:
            expected = L_("a key that no other trial has ({name} has it)", name=quoted(other.question))
            remedy = L_p("a key", "give one of the two another")
            yield Fault(where=(*where, "key"), expected=expected, got=quoted(trial.key), remedy=remedy, drop=where)
        elif other.habit == trial.habit and _overlap(trial, other):
            expected = L_(
                "days on which no other trial draws {habit} ({trial} does from {first} to {last})",
                habit=quoted(trial.habit),
                trial=quoted(other.key),
                first=str(other.start),
                last=str(lots.last_drawn(other)),
            )
            got, remedy = _days(trial), L_('write a later "from"')
            yield Fault(where=(*where, "from"), expected=expected, got=got, remedy=remedy, drop=where)


def _days(trial: Trial) -> LazyText:
    return L_("{first} to {last}", first=str(trial.start), last=str(lots.last_drawn(trial)))


def _overlap(one: Trial, other: Trial) -> bool:
    return max(one.start, other.start) <= min(lots.last_drawn(one), lots.last_drawn(other))


def _remarks(trial: Trial, page: Settings, where: Key) -> Iterator[Fault]:
    """Problems of a trial that is drawn all the same."""
    pairs = lots.pair_count(trial.days, trial.block)
    if pairs < FEWEST_PAIRS:
        expected = L_(
            "at least {days} days, {pairs} pairs of blocks", days=2 * trial.block * FEWEST_PAIRS, pairs=FEWEST_PAIRS
        )
        least = float(f"{2 / 2**pairs:.2g}")
        got = L_n(
            "{count} day, which can show nothing (p is at least {least})",
            "{count} days, which can show nothing (p is at least {least})",
            trial.days,
            least=least,
        )
        remedy = L_("write more days, or a smaller block")
        yield Fault(where=(*where, "days"), expected=expected, got=got, remedy=remedy, drop=())
    if page.habit_on(trial.habit, trial.start) is None or page.habit_on(trial.habit, lots.last_drawn(trial)) is None:
        expected, got = L_("days on which {habit} is in force", habit=quoted(trial.habit)), _days(trial)
        remedy = L_('change "from" or "until" of the habit, or of the trial')
        yield Fault(where=(*where, "from"), expected=expected, got=got, remedy=remedy, drop=())
    if trial.plan and not _PLAN.fullmatch(trial.plan):
        expected = L_("the {count} digits 0-9 and a-f that Duskbook made", count=lots.DIGEST_LENGTH)
        remedy = L_("take the line out")
        # It stays: without it the plan would count as the one that was drawn.
        yield Fault(where=(*where, "plan"), expected=expected, got=quoted(trial.plan), remedy=remedy, drop=())
    for name in ("stopped", "interrupted"):
        day = getattr(trial, name)
        if day is not None and day > lots.last_planned(trial):
            expected = L_("a day up to the last of the trial, {day}", day=str(lots.last_planned(trial)))
            yield Fault(where=(*where, name), expected=expected, got=str(day), remedy=L_("take the line out"))
