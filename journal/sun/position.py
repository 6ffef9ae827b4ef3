"""Where the sun stands over a place, and when it crosses the horizon.

The sun rises and sets where its centre stands 50 minutes of arc below a level horizon: 34 for the refraction of the air
and 16 for the sun's own radius (Explanatory Supplement to the Astronomical Almanac, 1992, section 9.33, from memory).
The height of the place is left out. Positions come from ephem; the crossings are looked for here, because ephem's own
search goes by one circuit of the sky at a time and misses a sun that only grazes the horizon.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

import ephem

HORIZON_DEGREES = -50 / 60
"""Of the sun's centre, without the air."""

DAY_SECONDS = 86_400
_STEP_SECONDS = 7_200
"""Between two looks at the sun. In it the sun moves by 30 degrees at most, and passes at most one highest or lowest."""
_REACH = math.radians(30)
_PRECISION_SECONDS = 0.05
_EPHEM_ZERO = dt.datetime(1899, 12, 31, 12, tzinfo=dt.UTC).timestamp()
"""ephem counts days from noon of 31 December 1899."""


class Crossing(NamedTuple):
    """The sun comes up or goes down, at a Unix time."""

    at: float
    rises: bool


class Sky:
    """The sun over one place, by Unix time in seconds."""

    def __init__(self, latitude: float, longitude: float) -> None:
        self._sun = ephem.Sun()
        self._place = ephem.Observer()
        self._place.lat, self._place.lon = math.radians(latitude), math.radians(longitude)
        self._place.elevation = 0
        self._place.pressure = 0  # no air: its refraction is in HORIZON_DEGREES

    def _look(self, at: float) -> Any:
        self._place.date = (at - _EPHEM_ZERO) / DAY_SECONDS
        self._sun.compute(self._place)
        return self._sun

    def height(self, at: float) -> float:
        """Radians from the standard altitude, above 0 where the sun is up."""
        return float(self._look(at).alt) - math.radians(HORIZON_DEGREES)

    def noon(self, near: float) -> float:
        """The passage over the meridian that is nearest to a time."""
        for _ in range(3):  # a solar day is within 30 s of 24 h, so each round is 3,000 times nearer
            turn = float(self._look(near).ha) / math.tau
            near -= (turn - round(turn)) * DAY_SECONDS
        return near

    def crossings(self, first: float, last: float) -> list[Crossing]:
        """Every rise and set from one time (included) to another (not included), in order."""
        # A turn is seen by the looks on either side of it, so there are two more at each end.
        steps = range(-2, math.ceil((last - first) / _STEP_SECONDS) + 3)
        points = [(at, self.height(at)) for at in (first + _STEP_SECONDS * step for step in steps)]
        found = self._between(list(self._with_turns(points)))
        return [crossing for crossing in found if first <= crossing.at < last]

    def _with_turns(self, points: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
        """The points, and between them a highest or lowest one that crosses the horizon where they do not."""
        yield points[0]
        for (start, before), (at, here), (end, after) in zip(points, points[1:], points[2:], strict=False):
            sign = 1 if here < 0 else -1
            if abs(here) < _REACH and sign * here >= max(sign * before, sign * after):
                turn, height = self._furthest(start, end, sign)
                if sign * height > 0:
                    yield from sorted([(turn, height), (at, here)])
                    continue
            yield at, here
        yield from points[1:][-1:]

    def _furthest(self, start: float, end: float, sign: int) -> tuple[float, float]:
        """The time between two at which the sun is highest (`sign` 1) or lowest (-1), by golden section."""
        golden = (math.sqrt(5) - 1) / 2
        while end - start > _PRECISION_SECONDS:
            one, two = end - golden * (end - start), start + golden * (end - start)
            if sign * self.height(one) > sign * self.height(two):
                end = two
            else:
                start = one
        return start, self.height(start)

    def _between(self, points: list[tuple[float, float]]) -> Iterator[Crossing]:
        for (start, before), (end, after) in pairwise(points):
            if (before < 0) != (after < 0):
                yield Crossing(_zero(self.height, start, before, end, after), after >= 0)


def _zero(height: Callable[[float], float], start: float, before: float, end: float, after: float) -> float:
    """Where a function changes sign, by false position (Illinois: Dowell and Jarratt 1971, BIT 11)."""
    at = start
    for _ in range(60):  # about 6 are enough; the bound is for a tangent
        at, last = (start * after - end * before) / (after - before), at
        here = height(at)
        if abs(at - last) < _PRECISION_SECONDS or here == 0:
            break
        if (here < 0) == (after < 0):
            end, after, before = at, here, before / 2
        else:
            start, before, after = at, here, after / 2
    return at
