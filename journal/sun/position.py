"""The position of the sun at a place, and when it crosses the horizon.

Sunrise and sunset are when the sun's centre is 50 minutes of arc below a level horizon: 34 for refraction and 16 for
the sun's radius (Explanatory Supplement to the Astronomical Almanac, 1992, section 9.33, from memory). The elevation of
the place is ignored. Positions come from ephem, one a day. They are interpolated between, for all times of a search at
once. The crossings are searched here, because ephem's own search proceeds one revolution at a time and misses a sun
that only grazes the horizon.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import NamedTuple

import ephem
import numpy as np
import numpy.typing as npt

HORIZON_DEGREES = -50 / 60
"""Altitude of the sun's centre, without refraction."""

DAY_SECONDS = 86_400
_STEP_SECONDS = 7_200
"""Seconds between two samples. In this time the sun moves 30 degrees at most, and has at most one extreme altitude."""
_REACH = math.radians(30)
_PRECISION_SECONDS = 0.05
_EPHEM_ZERO = dt.datetime(1899, 12, 31, 12, tzinfo=dt.UTC).timestamp()
"""ephem counts days from noon of 31 December 1899."""

_EARTH_RADIUS_AU = 4.26352e-5
_FLATTENED = 1 - 1 / 298.257  # the earth's polar radius by its equatorial one
_GOLDEN = (math.sqrt(5) - 1) / 2

Reals = npt.NDArray[np.float64]


class Crossings(NamedTuple):
    """Sunrises and sunsets by Unix time, sorted."""

    at: Reals
    rises: npt.NDArray[np.bool_]


class _Angles(NamedTuple):
    """The sun from the centre of the earth: hour angle and declination in radians, distance in astronomical units."""

    hour: Reals
    declination: Reals
    distance: Reals


class Sky:
    """The sun at one place, by Unix time in seconds."""

    def __init__(self, latitude: float, longitude: float) -> None:
        self._sun = ephem.Sun()
        self._place = ephem.Observer()
        self._latitude, self._longitude = math.radians(latitude), math.radians(longitude)
        self._place.lat, self._place.lon = self._latitude, self._longitude
        self._place.elevation = 0
        self._place.pressure = 0  # no atmosphere: HORIZON_DEGREES includes refraction
        self._first_day, self._noons = 0, np.empty((0, 3))  # ephem's positions, one at each noon in Greenwich

    def heights(self, at: Reals) -> Reals:
        """Return the sun's heights above the horizon of sunrise, in radians: above 0 if the sun is up."""
        if not at.size:
            return np.empty(0)
        sun = self._angles(at)
        flat = math.atan(_FLATTENED * math.tan(self._latitude))  # of the place, seen from the centre of the earth
        meridian, pole = np.cos(sun.declination) * np.cos(sun.hour), np.sin(sun.declination)
        parallax = _EARTH_RADIUS_AU / sun.distance
        up = meridian * math.cos(self._latitude) + pole * math.sin(self._latitude)
        up -= parallax * (
            math.cos(flat) * math.cos(self._latitude) + _FLATTENED * math.sin(flat) * math.sin(self._latitude)
        )
        nearer = parallax * (meridian * math.cos(flat) + pole * _FLATTENED * math.sin(flat))
        altitude = np.arcsin(np.clip(up / np.sqrt(1 - 2 * nearer + parallax**2), -1, 1))
        return np.asarray(altitude - math.radians(HORIZON_DEGREES))

    def height(self, at: float) -> float:
        """Return the height at one time, as `heights` does."""
        return float(self.heights(np.array([at]))[0])

    def noons(self, near: Reals) -> Reals:
        """Return the meridian passages nearest to the given times."""
        for _ in range(3):  # a solar day is within 30 s of 24 h, so each round is 3,000 times nearer
            revolutions = self._angles(near).hour / math.tau
            near = near - (revolutions - np.round(revolutions)) * DAY_SECONDS
        return near

    def crossings(self, first: float, last: float) -> Crossings:
        """Return all rises and sets from one time (included) to another (excluded)."""
        # An extreme is detected by the samples on both sides, so there are two more at each end.
        steps = np.arange(-2, math.ceil((last - first) / _STEP_SECONDS) + 3)
        samples: Reals = first + _STEP_SECONDS * steps.astype(np.float64)
        times, heights = self._with_extremes(samples, self.heights(samples))
        before = np.flatnonzero((heights[:-1] < 0) != (heights[1:] < 0))
        at = self._zeros(times[before], heights[before], times[before + 1], heights[before + 1])
        inside = (first <= at) & (at < last)
        return Crossings(at[inside], (heights[before + 1] >= 0)[inside])

    def _angles(self, at: Reals) -> _Angles:
        """Return the sun at some times, by a cubic through the four nearest positions of ephem.

        What is interpolated changes slowly: the equation of time, the declination and the distance. The cubic is within
        a thousandth of a second of ephem.
        """
        days = (at - _EPHEM_ZERO) / DAY_SECONDS
        whole = np.floor(days)
        x = days - whole
        self._cover(int(whole.min()) - 1, int(whole.max()) + 2)
        place = whole.astype(np.int64) - self._first_day
        before, here, after, later = (self._noons[place + offset].T for offset in (-1, 0, 1, 2))
        equation, declination, distance = (
            -x * (x - 1) * (x - 2) / 6 * before
            + (x + 1) * (x - 1) * (x - 2) / 2 * here
            - (x + 1) * x * (x - 2) / 2 * after
            + (x + 1) * x * (x - 1) / 6 * later
        )
        return _Angles(math.tau * x + self._longitude + equation, declination, distance)

    def _cover(self, first: int, last: int) -> None:
        """Look up the positions of the days from `first` to `last` that are not known yet."""
        known = range(self._first_day, self._first_day + len(self._noons))
        if not known:
            known = range(first, first)
        head, tail = range(first, known.start), range(known.stop, last + 1)
        if head or tail:
            self._noons = np.concatenate([self._looked(head), self._noons, self._looked(tail)])
            self._first_day = min(first, known.start)

    def _looked(self, days: range) -> Reals:
        rows = np.empty((len(days), 3))
        sun, place = self._sun, self._place
        for i, day in enumerate(days):
            place.date = day
            sun.compute(place)
            rows[i] = place.sidereal_time() - sun.g_ra - self._longitude, sun.g_dec, sun.earth_distance
        rows[:, 0] -= np.round(rows[:, 0] / math.tau) * math.tau
        return rows

    def _with_extremes(self, times: Reals, heights: Reals) -> tuple[Reals, Reals]:
        """Return the points, and between them each extreme that crosses the horizon when its neighbours do not."""
        middle = heights[1:-1]
        signs = np.where(middle < 0, 1, -1)
        is_extreme = (np.abs(middle) < _REACH) & (
            signs * middle >= np.maximum(signs * heights[:-2], signs * heights[2:])
        )
        near = np.flatnonzero(is_extreme)
        if not near.size:
            return times, heights
        extremes = self._furthest(times[near], times[near + 2], signs[near])
        extreme_heights = self.heights(extremes)
        is_over = signs[near] * extreme_heights > 0
        times, heights = np.append(times, extremes[is_over]), np.append(heights, extreme_heights[is_over])
        order = np.argsort(times, kind="stable")
        return times[order], heights[order]

    def _furthest(self, start: Reals, end: Reals, signs: npt.NDArray[np.int64]) -> Reals:
        """Return the times between two at which the sun is highest (sign 1) or lowest (-1), by golden section."""
        while (end - start).max() > _PRECISION_SECONDS:
            left, right = end - _GOLDEN * (end - start), start + _GOLDEN * (end - start)
            is_left = signs * self.heights(left) > signs * self.heights(right)
            start, end = np.where(is_left, start, left), np.where(is_left, right, end)
        return start

    def _zeros(self, start: Reals, before: Reals, end: Reals, after: Reals) -> Reals:
        """Return where the height changes sign, by false position (Illinois: Dowell and Jarratt 1971, BIT 11)."""
        at = np.array(start)
        left = np.arange(at.size)  # those that are not found yet
        for _ in range(60):  # about 6 are enough; the limit is for a tangent
            if not left.size:
                break
            last, at[left] = at[left], (start * after - end * before) / (after - before)
            heights = self.heights(at[left])
            is_start = (heights < 0) != (after < 0)
            start, end = np.where(is_start, at[left], start), np.where(is_start, end, at[left])
            before, after = np.where(is_start, heights, before / 2), np.where(is_start, after / 2, heights)
            going = ~((np.abs(at[left] - last) < _PRECISION_SECONDS) | (heights == 0))
            left, start, before, end, after = (values[going] for values in (left, start, before, end, after))
        return at
