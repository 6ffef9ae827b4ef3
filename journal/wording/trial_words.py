"""Trials by lot in words: the plan, how far it is, the lot of a day, and what weakens a result."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from journal import lots
from journal.settings import Settings, Trial
from journal.wording import dates, numbers

TrialPhase = Literal["ahead", "running", "waiting", "over"]
"""Where a trial is: not begun; drawn today; its last value is still to come; over, whether or not it was whole."""

OF_THE_DAY = {"mood": "mood", "energy": "energy", "sleep": "minutes of sleep"}
"""What can be looked at beside the counted habits, by the outcome in journal.toml."""

INTERRUPTED = "Interrupted after a stretch of low days: nothing more is drawn."
_DAY = dt.timedelta(days=1)

ABOUT = (
    "What goes with good days need not bring them about. To know, do it on the days that the lot says, and compare "
    "those days with the others."
)

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


def outcome(settings: Settings, key: str) -> str:
    """What is looked at, as part of a sentence. A counted habit has its name.

    >>> outcome(Settings(title="Small", places=()), "sleep")
    'minutes of sleep'
    """
    return OF_THE_DAY.get(key) or f"“{settings.habit_name(key)}”"


def when(lag: int) -> str:
    """When it is looked at.

    >>> when(0), when(1)
    ('the same day', 'the day after')
    """
    return "the day after" if lag else "the same day"


def looked_at(trial: Trial, settings: Settings) -> str:
    """What a trial looks at, and when.

    >>> looked_at(_PLAN, Settings(title="Small", places=()))
    'mood on the day after'
    """
    what = OF_THE_DAY.get(trial.outcome) or settings.habit_name(trial.outcome)
    if trial.outcome == "sleep":
        return f"{what} in the night after"
    return f"{what} on the day after" if trial.lag else f"{what} on the same day"


def plan(trial: Trial, settings: Settings) -> str:
    """The plan of a trial.

    >>> plan(_PLAN, Settings(title="Small", places=()))
    'walk by lot on 60 days, 1 March to 29 April 2025, in blocks of 2 days; looked at is mood on the day after;
    seed 4711'
    """
    days = f"{numbers.plural(trial.days, 'day')}, {dates.stretch(trial.start, lots.last_planned(trial))}"
    washout = f", the first {trial.washout} of each left out" if trial.washout else ""
    return (
        f"{settings.habit_name(trial.habit)} by lot on {days}, in blocks of {trial.block} days{washout}; "
        f"looked at is {looked_at(trial, settings)}; seed {trial.seed}"
    )


def phase(trial: Trial, today: dt.date) -> TrialPhase:
    """Where a trial is on a day. The value of its last day may come `lag` days later, and is known when that is over.

    >>> walk = Trial(key="w", question="?", habit="walk", lag=1, start=dt.date(2025, 3, 1), days=20, seed=4711)
    >>> [phase(walk, dt.date(2025, *day)) for day in ((2, 28), (3, 20), (3, 21), (3, 22))]
    ['ahead', 'running', 'waiting', 'over']
    """
    last = lots.last_drawn(trial)
    if today < trial.start <= last:
        return "ahead"
    if today <= last:
        return "running"
    return "waiting" if trial.start <= last and today <= last + trial.lag * _DAY else "over"


def progress(trial: Trial, today: dt.date) -> list[str]:
    """How far a trial is, and what is drawn for today and tomorrow; for an end before the plan's, why.

    >>> walk = Trial(key="w", question="?", habit="walk", lag=1, start=dt.date(2025, 3, 1), days=20, seed=4711)
    >>> progress(walk, dt.date(2025, 2, 27)), progress(walk, dt.date(2025, 3, 21))
    (['Begins on 1 March 2025.'], ['The last value comes today.'])
    """
    where, last = phase(trial, today), lots.last_drawn(trial)
    count = (last - trial.start).days + 1
    ends = []
    if trial.interrupted is not None and last < lots.last_planned(trial) and trial.interrupted == last + _DAY:
        ends = [f"{INTERRUPTED} It ended on {_date(last)}, after {numbers.of(count, trial.days, 'day')}."]
    elif trial.stopped is not None and last < lots.last_planned(trial):
        ends = [f"Stopped: nothing is drawn after {_date(last)}, {numbers.of(count, trial.days, 'day')}."]
    if where == "ahead":
        return [f"Begins on {_date(trial.start)}.", *_drawn_tomorrow(trial, today), *ends]
    if where == "running":
        now = lots.lot_on(trial, today)
        words = [lot(now)] if now else []
        after = lots.lot_on(trial, today + _DAY)
        words += [f"tomorrow: {'on' if after.is_on else 'off'}"] if after else []
        told = f" {'; '.join(words)}." if words else ""
        return [f"Day {(today - trial.start).days + 1} of {trial.days}, until {_date(last)}.{told}", *ends]
    if where == "waiting":
        return [*ends, "The last value comes today."]
    return ends or [f"Over since {_date(last)}."]


def _drawn_tomorrow(trial: Trial, today: dt.date) -> list[str]:
    after = lots.lot_on(trial, today + _DAY)
    return [f"Tomorrow: {'on' if after.is_on else 'off'}."] if after else []


def lot(drawn: lots.Lot) -> str:
    """What the lot says of a day.

    >>> day = dt.date(2025, 3, 1)
    >>> lot(lots.Lot(day, 0, 0, "washout", True)), lot(lots.Lot(day, 0, 0, "off", False))
    ('By lot: on, left out of the result', 'By lot: off')
    """
    return f"By lot: {'on' if drawn.is_on else 'off'}{', left out of the result' if drawn.arm == 'washout' else ''}"


def otherwise(went: int, marked: int) -> str:
    """How many days went otherwise than drawn. Empty for none.

    >>> otherwise(2, 14), otherwise(1, 1), otherwise(0, 14)
    ('2 of 14 days went otherwise than drawn', '1 of 1 day went otherwise than drawn', '')
    """
    return f"{numbers.of(went, marked, 'day')} went otherwise than drawn" if went else ""


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


def notes(row: Mapping[str, Any]) -> list[str]:
    """What weakens a result or has to be known with it, a sentence each, from a row of `trials.results`.

    >>> row = {"state": "finished", "changed": False, "looks": 0, "missing_on": 2, "missing_off": 1, "assignments": 256,
    ...        "days": 60, "planned_days": 60}
    >>> notes(row)
    ['Without a value, and left out: 2 days drawn on and 1 day drawn off.']
    >>> notes(row | {"state": "stopped", "looks": 1, "days": 40, "missing_on": 0, "missing_off": 0})[0]
    'You stopped it after 40 of 60 days. You had looked once before: a look could have ended it, so p and the interval
    count it as a test.'
    >>> notes(row | {"state": "running", "looks": 1})[0]
    'You have looked once: each look counts as a test in p and the interval.'
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
    elif looked and row["state"] == "running":
        found.append(
            f"You have looked {numbers.times(row['looks'])}: each look counts as a test in p and the interval."
        )
    elif looked:
        counted = "A look could have ended it, so p and the interval count it as a test"
        found.append(f"{looked} the end. {counted}.")
    if row["missing_on"] or row["missing_off"]:
        by_arm = [(row[f"missing_{arm}"], arm) for arm in ("on", "off")]
        missing = numbers.listed([f"{numbers.plural(count, 'day')} drawn {arm}" for count, arm in by_arm if count])
        found.append(f"Without a value, and left out: {missing}.")
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


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)


def _size(value: float) -> str:
    return numbers.number(value, 2 if value < 10 else 0)


_PLAN = Trial(
    key="evening-walk", question="?", habit="walk", start=dt.date(2025, 3, 1), days=60, seed=4711, lag=1
)  # fmt: skip
