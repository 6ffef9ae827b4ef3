"""Mood and energy. The effects that the measures of links should detect are planted only here.

    mood = 3.1 + season + AR(1) + effects, rounded to 1..5

    walk     +0.60  the same day
    swim     +0.50  the day after
    screen   +0.40  the day after an evening that kept to the limit (that is, -0.40 after one that did not)

All other habits have no effect. The sizes are in points of the mood scale, before rounding and clipping.
"""

from __future__ import annotations

import math

from tests.invented_year.marks import SCREEN_LIMIT
from tests.invented_year.story import Day, date, stream

WALK_SAME_DAY = 0.60
SWIM_NEXT_DAY = 0.50
SCREEN_KEPT_NEXT_DAY = 0.40
PLANTED = {("walk", 0): WALK_SAME_DAY, ("swim", 1): SWIM_NEXT_DAY, ("screen", 1): SCREEN_KEPT_NEXT_DAY}

_PHI = 0.5  # the lag-1 autocorrelation of the lasting part
_SPREAD = 0.80  # standard deviation of the lasting part
_SEASON = 0.35  # half the difference between late June and late December
_UNRATED = {date(1, 30), date(4, 3), date(5, 22), date(7, 23), date(9, 9), date(10, 21), date(12, 3)}


def _effects(day: Day, before: Day | None) -> float:
    """The sum of the effects, centred on the usual rates of the habits so the mean does not change."""
    total = WALK_SAME_DAY * ((day.marks.get("walk") is True) - 0.68) if day.marks.get("walk") != "rest" else 0.0
    if before is None or not before.marks:
        return total
    if "swim" in before.marks:
        total += SWIM_NEXT_DAY * ((before.marks["swim"] is True) - 0.43)
    screen = before.marks.get("screen")
    if isinstance(screen, int):
        total += SCREEN_KEPT_NEXT_DAY * ((screen <= SCREEN_LIMIT) - 0.64)
    return total


def add_mood(days: list[Day]) -> None:
    """Set mood (except on a few unrated days) and energy (on about five days of six) of every logged day."""
    rng, lasting, before = stream("mood"), 0.0, None
    for day in days:
        lasting = _PHI * lasting + rng.gauss(0, _SPREAD * math.sqrt(1 - _PHI**2))
        season = _SEASON * math.cos(2 * math.pi * (day.date - date(6, 24)).days / 365)
        event = -1.1 if day.flu else 0.3 if day.trip else 0.0
        latent = 3.1 + season + lasting + event + _effects(day, before)
        vigour = 0.5 * (latent - 3.1) + rng.gauss(0, 0.7) + (2.2 if day.flu else 3.2)
        tells_energy = rng.random() < 0.84
        before = day
        if day.blank:
            continue
        day.mood = None if day.date in _UNRATED else min(max(round(latent), 1), 5)
        day.energy = min(max(round(vigour), 1), 5) if tells_energy else None
