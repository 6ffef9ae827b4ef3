"""When low days end a trial, and the days that it leaves free until then, without frames."""

from __future__ import annotations

import datetime as dt

import msgspec

from journal import lots
from journal.measures import mood_levels
from journal.measures.mood_levels import LowOn
from journal.settings import Trial

_DAY = dt.timedelta(days=1)


def interrupted(trial: Trial, low_on: LowOn, *, today: dt.date) -> Trial:
    """The trial, interrupted after the first day on which its moods show a low stretch, as `trial_care.interrupted`.

    >>> from journal.lots import _EXAMPLE as plan
    >>> interrupted(plan, lambda day: day < plan.start.toordinal(), today=dt.date(2025, 3, 6)).interrupted
    datetime.date(2025, 3, 1)
    """
    before = trial.start - _DAY
    last = min(lots.last_drawn(trial), today)
    if last < before:
        return trial
    found = mood_levels.first_low_stretch(low_on, first=before.toordinal(), last=last.toordinal())
    if found is None or found >= lots.last_drawn(trial).toordinal():
        return trial
    return msgspec.structs.replace(trial, interrupted=dt.date.fromordinal(found) + _DAY)


class FreeDays:
    """The days that the trials of a habit leave free, as of a day. Moods are looked up once a day hangs on them.

    >>> from journal.lots import _EXAMPLE as plan
    >>> free = FreeDays((plan,), "walk", lambda day: None, today=dt.date(2025, 3, 6))
    >>> [day for day in range(1, 9) if dt.date(2025, 3, day) in free]
    [3, 4]
    """

    def __init__(self, trials: tuple[Trial, ...], habit: str, low_on: LowOn, *, today: dt.date) -> None:
        self._trials = [trial for trial in trials if trial.habit == habit]
        self._low_on, self._today = low_on, today
        self._ended: dict[Trial, Trial] = {}

    def __contains__(self, day: dt.date) -> bool:
        return any(self._is_free(trial, day) for trial in self._trials)

    def _is_free(self, trial: Trial, day: dt.date) -> bool:
        lot = lots.lot_on(trial, day)
        if lot is None or lot.is_on:
            return False
        if trial not in self._ended:
            self._ended[trial] = interrupted(trial, self._low_on, today=self._today)
        return day <= lots.last_drawn(self._ended[trial])
