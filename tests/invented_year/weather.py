"""Sky and temperatures: a seasonal curve for Ljubljana with an autocorrelated anomaly.

The monthly means are round figures from memory, good enough for an invented year. No measured series is used.
"""

from __future__ import annotations

import datetime as dt
import random

from tests.invented_year.story import TRIP, Day, date, stream

_HIGHS = (3, 6, 12, 16, 21, 25, 28, 27, 22, 16, 9, 4)  # degrees Celsius, mid-month
_LOWS = (-3, -2, 2, 6, 11, 14, 16, 16, 12, 8, 3, -1)
_WET = (0.25, 0.25, 0.28, 0.35, 0.38, 0.40, 0.30, 0.30, 0.33, 0.35, 0.40, 0.30)  # share of days with rain or snow
_FOG = (0.30, 0.18, 0.05, 0.0, 0.0, 0.0, 0.0, 0.0, 0.10, 0.25, 0.30, 0.30)

# Weather that dated lines mention.
_MENTIONED = {
    date(1, 11): "snow", date(1, 12): "snow", date(1, 27): "snow", date(2, 3): "snow",
    date(2, 15): "partly cloudy", date(2, 21): "snow", date(3, 14): "cloudy", date(4, 17): "thunderstorm",
    date(4, 24): "thunderstorm", date(4, 30): "clear", date(5, 1): "clear", date(6, 20): "clear",
    date(6, 21): "clear", date(6, 23): "partly cloudy", date(7, 12): "clear", date(7, 19): "clear",
    date(8, 2): "cloudy", date(9, 25): "showers", date(11, 1): "clear", date(11, 19): "cloudy",
    date(11, 20): "snow", date(11, 21): "snow", date(12, 12): "snow", date(12, 13): "snow",
}  # fmt: skip


def _curve(day: dt.date, monthly: tuple[int, ...]) -> float:
    """The value on a day, by linear interpolation between mid-months."""
    place = day.month - 1 + (day.day - 15) / 30.4
    left = int(place // 1)
    share = place - left
    return monthly[left % 12] * (1 - share) + monthly[(left + 1) % 12] * share


def _sky(day: Day, wet: bool, rng: random.Random) -> str:
    month = day.date.month - 1
    if wet:
        if day.high <= 2:
            return "snow"
        if 4 <= month <= 8 and rng.random() < 0.4:
            return "thunderstorm"
        return rng.choice(["rain", "rain", "showers", "drizzle" if day.high < 18 else "showers"])
    if rng.random() < _FOG[month]:
        return "fog"
    return rng.choice(["clear", "clear", "partly cloudy", "partly cloudy", "cloudy"])


def add_weather(days: list[Day]) -> None:
    """Set sky, high and low of each day. The anomaly is an AR(1) with phi 0.7. Rain narrows the range of the day."""
    rng = stream("weather")
    anomaly, wet = 0.0, False
    for day in days:
        anomaly = 0.7 * anomaly + rng.gauss(0, 2.1)
        chance = _WET[day.date.month - 1]
        wet = rng.random() < (chance + 0.25 if wet else chance * 0.75)
        range_shift = -2.5 if wet else 1.5
        day.high = round(_curve(day.date, _HIGHS) + anomaly + range_shift)
        day.low = min(round(_curve(day.date, _LOWS) + 0.7 * anomaly - range_shift / 3), day.high - 2)
        day.sky = _sky(day, wet, rng)
        day.sky = _MENTIONED.get(day.date, day.sky)
        if day.sky == "snow":
            day.high, day.low = min(day.high, 1), min(day.low, -1)
        if day.date in TRIP:
            day.high, day.low = 13 + rng.randrange(4), 7 + rng.randrange(3)
            day.sky = _MENTIONED.get(day.date, rng.choice(["showers", "windy", "cloudy", "clear"]))
