"""Texts of trials by lot: the plan, the lot of a day, the result, and what weakens it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from journal.lots import Lot, last_planned
from journal.settings import Settings, Trial
from journal.wording import dates, numbers

CLEAR = 0.05

NOT_FOR = (
    "A trial by lot is not for medicines or doses, diets or fasting, going without sleep, alcohol, or anything that a "
    "doctor has prescribed or forbidden."
)
"""Said at the start of every trial."""

CAN_SAY = (
    "The days were drawn, so what else makes a day good or bad fell on both kinds alike. A clear difference comes from "
    "what was drawn."
)
CANNOT_SAY = (
    "It says nothing of other people, of other times, or of doing it every day. You knew what was drawn: some of the "
    "difference may come from what you expected. One that is not clear may still be there, within the interval."
)


def outcome(trial: Trial, settings: Settings) -> str:
    """What a trial looks at.

    >>> outcome(_PLAN, Settings(title="Small", places=()))
    'mood on the day after'
    """
    named = {"mood": "mood", "energy": "energy", "sleep": "minutes of sleep"}
    what = named.get(trial.outcome) or settings.habit_name(trial.outcome)
    if trial.outcome == "sleep":
        return f"{what} in the night after"
    return f"{what} on the day after" if trial.lag else f"{what} on the same day"


def plan(trial: Trial, settings: Settings) -> str:
    """The plan of a trial.

    >>> plan(_PLAN, Settings(title="Small", places=()))
    'walk by lot on 60 days, 1 March to 29 April 2025, in blocks of 2 days; looked at is mood on the day after;
    seed 4711'
    """
    days = f"{numbers.plural(trial.days, 'day')}, {dates.stretch(trial.start, last_planned(trial))}"
    washout = f", the first {trial.washout} of each left out" if trial.washout else ""
    return (
        f"{settings.habit_name(trial.habit)} by lot on {days}, in blocks of {trial.block} days{washout}; "
        f"looked at is {outcome(trial, settings)}; seed {trial.seed}"
    )


def lot(drawn: Lot, name: str) -> str:
    """What is drawn for a day, with the name of the habit.

    >>> lot(Lot(dt.date(2025, 3, 3), 0, 1, "off", False), "Walk")
    'The lot says: without “Walk”'
    """
    return f"The lot says: {'with' if drawn.is_on else 'without'} “{name}”"


def length(needed: Mapping[str, Any], what: str) -> str:
    """How long a trial must run, from the fields of `trial_length.TrialLength`. `what` is the outcome without its day.

    >>> row = {"days": 132, "pairs": 33, "effect": 0.47, "outcomes": 340, "is_assumed": False, "is_reached": True}
    >>> length(row, "mood")
    '132 days, to find a difference of 0.47 in mood (half a standard deviation) in 8 of 10 trials; simulated from 340
    values of your last year, with their spread, weekdays and memory from day to day'
    >>> length(row | {"outcomes": 12, "is_assumed": True}, "mood")
    '132 days, to find half a standard deviation in 8 of 10 trials; there are only 12 values of mood in your last year,
    so a usual spread and memory from day to day are assumed'
    """
    days = numbers.plural(needed["days"], "day")
    if not needed["is_reached"]:
        return f"even {days} would find half a standard deviation of {what} in fewer than 8 of 10 trials"
    if needed["is_assumed"]:
        return (
            f"{days}, to find half a standard deviation in 8 of 10 trials; there are only {needed['outcomes']} values "
            f"of {what} in your last year, so a usual spread and memory from day to day are assumed"
        )
    return (
        f"{days}, to find a difference of {_size(needed['effect'])} in {what} (half a standard deviation) in 8 of 10 "
        f"trials; simulated from {needed['outcomes']} values of your last year, with their spread, weekdays and memory "
        "from day to day"
    )


def kept(row: Mapping[str, Any]) -> str:
    """How many days were done as drawn, from a row of `trials.results`. Empty before the first.

    >>> kept({"known": 32, "otherwise": 4}), kept({"known": 1, "otherwise": 0}), kept({"known": 0, "otherwise": 0})
    ('done as drawn on 28 of 32 days; the other 4 count as they were drawn', 'done as drawn on 1 of 1 day', '')
    """
    if not row["known"]:
        return ""
    text = f"done as drawn on {numbers.of(row['known'] - row['otherwise'], row['known'], 'day')}"
    return text + (f"; the other {row['otherwise']} count as they were drawn" if row["otherwise"] else "")


def result(row: Mapping[str, Any], what: str) -> str:
    """The result of a row of `trials.results`, empty where it is not shown.

    >>> row = {"effect": 0.42, "low": 0.11, "high": 0.73, "p": 0.0123, "p_adjusted": 0.0246, "n_on": 58, "n_off": 57,
    ...        "mean_on": 3.6, "mean_off": 3.1}
    >>> result(row, "mood")
    'mood is higher by 0.42 with it (95\\xa0% interval 0.11 to 0.73, p 0.012, adjusted 0.025; 58 days with it, 57
    without): a clear difference'
    >>> result(row | {"p": 0.21, "p_adjusted": 0.21, "low": -0.1}, "mood")
    'mood is higher by 0.42 with it (95\\xa0% interval -0.1 to 0.73, p 0.21; 58 days with it, 57 without): no clear
    difference'
    """
    if row["effect"] is None:
        return ""
    way = "higher" if row["effect"] > 0 else "lower"
    days = f"{numbers.plural(row['n_on'], 'day')} with it, {row['n_off']} without"
    said = f"{what} is {way} by {_size(abs(row['effect']))} with it"
    if row["p"] is None:
        return f"{said} ({days}): no test, see below"
    ends = f"{numbers.NINETY_FIVE} interval {_end(row['low'], 'below')} to {_end(row['high'], 'above')}"
    several = row["p_adjusted"] is not None and row["p_adjusted"] > row["p"]
    adjusted = f", adjusted {_p(row['p_adjusted'])}" if several else ""
    verdict = "a clear difference" if (row["p_adjusted"] or row["p"]) <= CLEAR else "no clear difference"
    return f"{said} ({ends}, p {_p(row['p'])}{adjusted}; {days}): {verdict}"


def notes(row: Mapping[str, Any]) -> list[str]:
    """What weakens a result or has to be known with it, a sentence each, from a row of `trials.results`.

    >>> row = {"state": "finished", "changed": False, "looks": 0, "missing_on": 2, "missing_off": 1, "assignments": 256,
    ...        "days": 60, "planned_days": 60}
    >>> notes(row)
    ['Without a value, and left out: 2 days with it, 1 without.']
    >>> notes(row | {"state": "stopped", "looks": 1, "days": 40, "missing_on": 0, "missing_off": 0})[0]
    'You stopped it after 40 of 60 days. You had looked once before: a look could have ended it, so p and the interval
    count it as a test.'
    """
    found = []
    of_days = f"after {row['days']} of {numbers.plural(row['planned_days'], 'day')}"
    looked = f"You had looked {numbers.times(row['looks'])} before" if row["looks"] else ""
    if row["changed"]:
        found.append("The plan is not the one that was drawn: p and interval are left out, as the days are another's.")
    if row["state"] == "stopped" and looked:
        counted = "a look could have ended it, so p and the interval count it as a test"
        found.append(f"You stopped it {of_days}. {looked}: {counted}.")
    elif row["state"] == "stopped":
        unseen = "p holds if how the days went had nothing to do with it"
        found.append(f"You stopped it {of_days}, without having seen the result; {unseen}.")
    elif row["state"] == "interrupted":
        by_mood = "That depends on mood, not on what was drawn, so p holds"
        found.append(f"It was interrupted {of_days}, after many low days. {by_mood}.")
    elif looked:
        counted = "A look could have ended it, so p and the interval count it as a test"
        found.append(f"{looked} the end. {counted}.")
    if row["missing_on"] or row["missing_off"]:
        with_it = numbers.plural(row["missing_on"], "day")
        found.append(f"Without a value, and left out: {with_it} with it, {row['missing_off']} without.")
    return found


def care(words: Sequence[str]) -> str:
    """The question that a plan with such words asks before it begins.

    >>> care(["pill"])
    'The plan says “pill”. Such a trial belongs to a doctor: ask yours before. Begin all the same only if it is none of
    these.'
    """
    listed = numbers.listed([f"“{word}”" for word in words])
    return (
        f"The plan says {listed}. Such a trial belongs to a doctor: ask yours before. Begin all the same only if it is "
        "none of these."
    )


def interruption(questions: Sequence[str]) -> str:
    """What is said when low days interrupt trials, with their questions.

    >>> interruption(["Does a walk help?"])
    'Mood was low on most of the last two weeks. “Does a walk help?” is interrupted, and nothing is drawn any more:
    do what does you good. If it lasts, talk to someone, or to a doctor.'
    """
    which = numbers.listed([f"“{question}”" for question in questions])
    stands = "is" if len(questions) == 1 else "are"
    return (
        f"Mood was low on most of the last two weeks. {which} {stands} interrupted, and nothing is drawn any more: do "
        "what does you good. If it lasts, talk to someone, or to a doctor."
    )


def _size(value: float) -> str:
    return numbers.number(value, 2 if value < 10 else 0)


def _end(value: float | None, way: str) -> str:
    if value is None:
        return f"far {way}"
    text = _size(abs(value))
    return f"-{text}" if value < 0 and text != "0" else text


def _p(value: float) -> str:
    """A p with two significant figures, as it is usually printed."""
    return "below 0.001" if value < 0.001 else f"{value:.2g}" if value < 0.995 else "1"


_PLAN = Trial(
    key="evening-walk", question="?", habit="walk", start=dt.date(2025, 3, 1), days=60, seed=4711, lag=1
)  # fmt: skip
