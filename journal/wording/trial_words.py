"""Trials by lot in words: the plan, how far it is, the lot of a day, and what weakens a result."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from journal import lots
from journal.language.catalogue import N_, _, _n
from journal.settings import Settings, Trial
from journal.wording import dates, numbers
from journal.wording.numbers import quoted

TrialPhase = Literal["ahead", "running", "waiting", "over"]
"""Where a trial is: not begun; drawn today; its last value is still to come; over, whether or not it was whole."""

OF_THE_DAY = {"mood": N_("mood"), "energy": N_("energy"), "sleep": N_("minutes of sleep")}
"""What can be looked at beside the counted habits, by the outcome in journal.toml, for `_`."""

INTERRUPTED = N_("Interrupted after a stretch of low days: nothing more is drawn.")
_DAY = dt.timedelta(days=1)

ABOUT = N_(
    "What goes with good days need not bring them about. To know, do it on the days that the lot says, and compare "
    "those days with the others."
)

CLEAR = 0.05

NOT_FOR = N_(
    "A trial by lot is not for medicines or doses, diets or fasting, going without sleep, alcohol, or anything that a "
    "doctor has prescribed or forbidden."
)
"""Said at the start of every trial."""

CAN_SAY = N_(
    "The days were drawn, so what else makes a day good or bad fell on both kinds alike. A clear difference comes from "
    "what was drawn."
)
CANNOT_SAY = N_(
    "It says nothing of other people, of other times, or of doing it every day. You knew what was drawn: some of the "
    "difference may come from what you expected. One that is not clear may still be there, within the interval."
)


def outcome(settings: Settings, key: str) -> str:
    """What is looked at, as part of a sentence. A counted habit has its name.

    >>> outcome(Settings(title="Small", places=()), "sleep")
    'minutes of sleep'
    """
    return _(OF_THE_DAY[key]) if key in OF_THE_DAY else quoted(settings.habit_name(key))


def when(lag: int) -> str:
    """When it is looked at.

    >>> when(0), when(1)
    ('the same day', 'the day after')
    """
    return _("the day after") if lag else _("the same day")


def looked_at(trial: Trial, settings: Settings) -> str:
    """What a trial looks at, and when.

    >>> looked_at(_PLAN, Settings(title="Small", places=()))
    'mood on the day after'
    """
    if trial.outcome == "sleep":
        return _("minutes of sleep in the night after")
    what = _(OF_THE_DAY[trial.outcome]) if trial.outcome in OF_THE_DAY else settings.habit_name(trial.outcome)
    return _("{what} on the day after", what=what) if trial.lag else _("{what} on the same day", what=what)


def plan(trial: Trial, settings: Settings) -> str:
    """The plan of a trial.

    >>> plan(_PLAN, Settings(title="Small", places=()))
    'walk by lot on 60 days, 1 March to 29 April 2025, in blocks of 2 days; looked at is mood on the day after;
    seed 4711'
    """
    parts = {
        "habit": settings.habit_name(trial.habit),
        "days": _n("on {count} day", "on {count} days", trial.days),
        "dates": dates.stretch(trial.start, lots.last_planned(trial)),
        "block": trial.block,
        "washout": trial.washout,
        "outcome": looked_at(trial, settings),
        "seed": trial.seed,
    }
    if trial.washout:
        return _(
            "{habit} by lot {days}, {dates}, in blocks of {block} days, the first {washout} of each left out; looked "
            "at is {outcome}; seed {seed}",
            **parts,
        )
    return _("{habit} by lot {days}, {dates}, in blocks of {block} days; looked at is {outcome}; seed {seed}", **parts)


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


def stand(trial: Trial, today: dt.date) -> str:
    """Where a trial is, in one sentence.

    >>> walk = Trial(key="w", question="?", habit="walk", lag=1, start=dt.date(2025, 3, 1), days=20, seed=4711)
    >>> stand(walk, dt.date(2025, 3, 3)), stand(walk, dt.date(2025, 5, 3))
    ('Day 3 of 20, until 20 March 2025.', 'Over since 20 March 2025.')
    """
    where = phase(trial, today)
    if where == "ahead":
        return _("Begins on {date}.", date=_date(trial.start))
    if where == "running":
        number, last = (today - trial.start).days + 1, _date(lots.last_drawn(trial))
        return _("Day {number} of {days}, until {date}.", number=number, days=trial.days, date=last)
    return _(INTERRUPTED) if _is_interrupted(trial) else progress(trial, today)[0]


def _is_interrupted(trial: Trial) -> bool:
    """Whether low days ended a trial before its plan did."""
    last = lots.last_drawn(trial)
    return last < lots.last_planned(trial) and trial.interrupted == last + _DAY


def progress(trial: Trial, today: dt.date) -> list[str]:
    """How far a trial is, and what is drawn for today and tomorrow; for an end before the plan's, why.

    >>> walk = Trial(key="w", question="?", habit="walk", lag=1, start=dt.date(2025, 3, 1), days=20, seed=4711)
    >>> progress(walk, dt.date(2025, 2, 27)), progress(walk, dt.date(2025, 3, 21))
    (['Begins on 1 March 2025.'], ['The last value comes today.'])
    """
    where, last = phase(trial, today), lots.last_drawn(trial)
    count = (last - trial.start).days + 1
    ends = []
    if _is_interrupted(trial):
        of_days = numbers.of(count, trial.days, "day")
        ended = _("It ended on {date}, after {days}.", date=_date(last), days=of_days)
        ends = [f"{_(INTERRUPTED)} {ended}"]
    elif trial.stopped is not None and last < lots.last_planned(trial):
        of_days = numbers.of(count, trial.days, "day")
        ends = [_("Stopped: nothing is drawn after {date}, {days}.", date=_date(last), days=of_days)]
    if where == "ahead":
        return [stand(trial, today), *_drawn_tomorrow(trial, today), *ends]
    if where == "running":
        now = lots.lot_on(trial, today)
        words = [lot(now)] if now else []
        after = lots.lot_on(trial, today + _DAY)
        words += [_("tomorrow: on") if after.is_on else _("tomorrow: off")] if after else []
        told = f" {'; '.join(words)}." if words else ""
        return [stand(trial, today) + told, *ends]
    if where == "waiting":
        return [*ends, _("The last value comes today.")]
    return ends or [_("Over since {date}.", date=_date(last))]


def _drawn_tomorrow(trial: Trial, today: dt.date) -> list[str]:
    after = lots.lot_on(trial, today + _DAY)
    if after is None:
        return []
    return [_("Tomorrow: on.") if after.is_on else _("Tomorrow: off.")]


def lot(drawn: lots.Lot) -> str:
    """What the lot says of a day.

    >>> day = dt.date(2025, 3, 1)
    >>> lot(lots.Lot(day, 0, 0, "washout", True)), lot(lots.Lot(day, 0, 0, "off", False))
    ('By lot: on, left out of the result', 'By lot: off')
    """
    if drawn.arm == "washout":
        return _("By lot: on, left out of the result") if drawn.is_on else _("By lot: off, left out of the result")
    return _("By lot: on") if drawn.is_on else _("By lot: off")


def otherwise(went: int, marked: int) -> str:
    """How many days went otherwise than drawn. Empty for none.

    >>> otherwise(2, 14), otherwise(1, 1), otherwise(0, 14)
    ('2 of 14 days went otherwise than drawn', '1 of 1 day went otherwise than drawn', '')
    """
    if not went:
        return ""
    return _n(
        "{went} of {count} day went otherwise than drawn",
        "{went} of {count} days went otherwise than drawn",
        marked,
        went=went,
    )


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)


_PLAN = Trial(
    key="evening-walk", question="?", habit="walk", start=dt.date(2025, 3, 1), days=60, seed=4711, lag=1
)  # fmt: skip
