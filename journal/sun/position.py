"""The position of the sun at a place, and when it crosses the horizon.

Sunrise and sunset are when the sun's centre is 50 minutes of arc below a level horizon: 34 for refraction and 16 for
the sun's radius (Explanatory Supplement to the Astronomical Almanac, 1992, section 9.33, from memory). The elevation of
the place is ignored. Positions come from ephem. The crossings are searched here, because ephem's own search proceeds
one revolution at a time and misses a sun that only grazes the horizon.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

import ephem

HORIZON_DEGREES = -50 / 60
"""Altitude of the sun's centre, without refraction."""

DAY_SECONDS = 86_400
_STEP_SECONDS = 7_200
"""Seconds between two samples. In this time the sun moves 30 degrees at most, and has at most one extreme altitude."""
_REACH = math.radians(30)
_PRECISION_SECONDS = 0.05
_EPHEM_ZERO = dt.datetime(1899, 12, 31, 12, tzinfo=dt.UTC).timestamp()
"""ephem counts days from noon of 31 December 1899."""


class Crossing(NamedTuple):
    """A sunrise or sunset at a Unix time."""

    at: float
    rises: bool


class Sky:
    """The sun at one place, by Unix time in seconds."""

    def __init__(self, latitude: float, longitude: float) -> None:
        self._sun = ephem.Sun()
        self._place = ephem.Observer()
        self._place.lat, self._place.lon = math.radians(latitude), math.radians(longitude)
        self._place.elevation = 0
        self._place.pressure = 0  # no atmosphere: HORIZON_DEGREES includes refraction

    def _look(self, at: float) -> Any:
        self._place.date = (at - _EPHEM_ZERO) / DAY_SECONDS
        self._sun.compute(self._place)
        return self._sun

    def height(self, at: float) -> float:
        """Return the sun's height above the horizon of sunrise, in radians: above 0 if the sun is up."""
        return float(self._look(at).alt) - math.radians(HORIZON_DEGREES)

    def noon(self, near: float) -> float:
        """Return the meridian passage nearest to a time."""
        for _ in range(3):  # a solar day is within 30 s of 24 h, so each round is 3,000 times nearer
            revolutions = float(self._look(near).ha) / math.tau
            near -= (revolutions - round(revolutions)) * DAY_SECONDS
        return near

    def crossings(self, first: float, last: float) -> list[Crossing]:
        """Return all rises and sets from one time (included) to another (excluded), sorted."""
        # An extreme is detected by the samples on both sides, so there are two more at each end.
        steps = range(-2, math.ceil((last - first) / _STEP_SECONDS) + 3)
        points = [(at, self.height(at)) for at in (first + _STEP_SECONDS * step for step in steps)]
        crossings = self._between(list(self._with_extremes(points)))
        return [crossing for crossing in crossings if first <= crossing.at < last]

    def _with_extremes(self, points: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
        """Yield the points, and between them each extreme that crosses the horizon when its neighbours do not."""
        yield points[0]
        for (start, before), (at, height_at), (end, after) in zip(points, points[1:], points[2:], strict=False):
            sign = 1 if height_at < 0 else -1
            if abs(height_at) < _REACH and sign * height_at >= max(sign * before, sign * after):
                extreme_at, height = self._furthest(start, end, sign)
                if sign * height > 0:
                    yield from sorted([(extreme_at, height), (at, height_at)])
                    continue
            yield at, height_at
        yield from points[1:][-1:]

    def _furthest(self, start: float, end: float, sign: int) -> tuple[float, float]:
        """Return the time between two at which the sun is highest (`sign` 1) or lowest (-1), by golden section."""
        golden = (math.sqrt(5) - 1) / 2
        while end - start > _PRECISION_SECONDS:
            left, right = end - golden * (end - start), start + golden * (end - start)
            if sign * self.height(left) > sign * self.height(right):
                end = right
            else:
                start = left
        return start, self.height(start)

    def _between(self, points: list[tuple[float, float]]) -> Iterator[Crossing]:
        for (start, before), (end, after) in pairwise(points):
            if (before < 0) != (after < 0):
                yield Crossing(_zero(self.height, start, before, end, after), after >= 0)


def _zero(height: Callable[[float], float], start: float, before: float, end: float, after: float) -> float:
    """Return where a function changes sign, by false position (Illinois: Dowell and Jarratt 1971, BIT 11)."""
    at = start
    for _ in range(60):  # about 6 are enough; the limit is for a tangent
        at, last = (start * after - end * before) / (after - before), at
        height_at = height(at)
        if abs(at - last) < _PRECISION_SECONDS or height_at == 0:
            break
        if (height_at < 0) == (after < 0):
            end, after, before = at, height_at, before / 2
        else:
            start, before, after = at, height_at, after / 2
    return at
