"""What is said of a plan before its lots are drawn: how long it must run, and whether a trial is for that at all."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import msgspec
import polars as pl

from journal.language.catalogue import _, _n
from journal.measures import trial_care, trial_length, trial_lots
from journal.measures.trial_length import OutcomeRecord
from journal.settings import Trial
from journal.wording import numbers, rules, trial_notes, trial_words

if TYPE_CHECKING:
    from journal import Journal

_DAILY = "FREQ=DAILY"
_YEAR = dt.timedelta(days=trial_length.RECORD_DAYS - 1)


def words(book: Journal, plan: Trial) -> list[str]:
    """How long a trial with these blocks must run to tell half a standard deviation apart, what this one can, and that
    the lot does not follow the rule of its habit, if it has one.

    By simulation from the outcomes of the last year (`measures.trial_length`), which takes a moment.
    """
    own = record(book, plan)
    needed = trial_length.needed(own, block=plan.block, washout=plan.washout)
    is_enough = plan.days >= needed.days and needed.is_reached
    power = None if is_enough else trial_length.power(own, days=plan.days, block=plan.block, washout=plan.washout)
    length = trial_notes.length(msgspec.structs.asdict(needed), trial_words.outcome(book.settings, plan.outcome))
    return [_("How long it must run: {length}.", length=length), _own(plan, power), *_rule(book, plan)]


def asks_again(book: Journal, raw: Mapping[str, Any]) -> list[str]:
    """What is asked once more where the words of a plan ask for care (`trial_care`); empty for other plans.

    In: a plan as it was sent.

    >>> import journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text('title = "Small"')
    ...     book = journal.open(folder, today=dt.date(2025, 3, 13))
    >>> print(asks_again(book, {"question": "Do I sleep better without my pills?"})[1])
    The plan says “pill”. Such a trial belongs to a doctor: ask yours before. Begin all the same only if it is none of
    these.
    """
    habit = str(raw.get("habit"))
    names = [one.name for one in book.settings.definitions(habit)]
    found = trial_care.needs_care(str(raw.get("question") or ""), habit, *names)
    if not found:
        return []
    return [_(trial_words.NOT_FOR), trial_notes.care(found)]


def record(book: Journal, plan: Trial) -> OutcomeRecord:
    """What is looked at, day by day over the last year."""
    year = msgspec.structs.replace(
        plan, start=book.today - _YEAR, days=_YEAR.days + 1, lag=0, stopped=None, interrupted=None
    )
    slept = book.slept.between(year.start, book.today)
    days = trial_lots.drawn([year], book.states, book.tables.days, slept.nights, today=book.today)
    scale = {"mood": book.settings.mood, "energy": book.settings.energy}.get(plan.outcome)
    low, high = (scale.low, scale.high) if scale else (-math.inf, math.inf)
    return trial_length.record(days.select("date", pl.col("outcome")), today=book.today, low=low, high=high)


def _own(plan: Trial, power: float | None) -> str:
    if power is None:
        return _n("Yours of {count} day is long enough.", "Yours of {count} days is long enough.", plan.days)
    return _n(
        "Yours of {count} day finds that much in {share} of trials, and a smaller effect more seldom.",
        "Yours of {count} days finds that much in {share} of trials, and a smaller effect more seldom.",
        plan.days,
        share=numbers.percent(power),
    )


def _rule(book: Journal, plan: Trial) -> list[str]:
    """What is said of a habit that is not due every day."""
    habit = book.settings.habit_on(plan.habit, plan.start)
    if habit is None:
        return []
    by_rule = rules.words(habit.every, habit.start) if habit.every else ""
    due = by_rule or rules.quota(habit.times or 1, habit.per or "week")
    if due == rules.words(_DAILY, habit.start):
        return []
    return [
        _(
            "“{habit}” is due {due} otherwise. The lot is drawn for all days alike: half of them ask for it.",
            habit=book.settings.habit_name(plan.habit),
            due=due,
        )
    ]
