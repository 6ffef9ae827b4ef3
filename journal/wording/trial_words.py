"""Trials by lot in words: what is looked at, how far a trial is, and what the lot says of a day."""

from __future__ import annotations

import datetime as dt
from typing import Literal

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


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)
