"""Sunrise, sunset and the length of the day at the places of a journal's days.

Days are local calendar days, by the clock of the place. `journal.sun.position` defines rise and set.
"""

from __future__ import annotations

import datetime as dt
import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any, Literal, NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl

from journal.errors import UsageError
from journal.language.catalogue import _
from journal.language.digits import signed
from journal.settings import Settings
from journal.sun.position import DAY_SECONDS, Sky
from journal.wording import dates

SunState = Literal["normal", "up all day", "down all day"]
STATES: tuple[SunState, ...] = ("normal", "up all day", "down all day")

SUN: dict[str, Any] = {
    "date": pl.Date,
    "rise": pl.String,
    "set": pl.String,
    "day_minutes": pl.Float64,
    "state": pl.Enum(STATES),
    "transit": pl.String,
    "change_seconds": pl.Float64,
    "rise_minute": pl.Float64,
    "set_minute": pl.Float64,
}
"""The columns of `days`."""

CROSSINGS: dict[str, Any] = {"date": pl.Date, "kind": pl.Enum(("rise", "set")), "at": pl.String}
"""The columns of `crossings`."""

_DAY = dt.timedelta(days=1)


def days(first: dt.date, last: dt.date, latitude: float, longitude: float, timezone: str) -> pl.DataFrame:
    """Return sunrise, sunset and the length of the day, one row for each calendar day, both ends included.

    In: degrees north and east, an IANA time zone. Out, with the columns of `SUN`:

    - date (Date)
    - rise, set, transit (String): ISO 8601, local, to the second, with offset. They belong to the daylight around
      that day's solar noon, so a set can be after midnight, on the next date; set − rise is the length of the day
    - day_minutes (Float64): 1440 if the sun is up all day, 0 if it is down all day
    - state: "up all day" or "down all day" if the sun neither rises nor sets between the two midnights of that date
      (rise and set are then null), else "normal". On a normal day with only a rise (the first of a midnight sun) or
      only a set (its last, near a pole) the other is null, and the length counts the 12 hours on either side of noon
    - change_seconds (Float64): the length of the day minus that of the day before at the same place
    - rise_minute, set_minute (Float64): clock minutes since 00:00 of `date`, above 1440 after its midnight

    A date that the zone skipped (30 December 2011 in Samoa) has null in every column but the first. A hidden place,
    whose degrees are NaN, has no rows.

    >>> days(dt.date(2025, 3, 14), dt.date(2025, 3, 14), 46.05, 14.51, "Europe/Ljubljana").row(0, named=True)["set"]
    '2025-03-14T18:06:30+01:00'
    >>> midsummer = days(dt.date(2024, 6, 21), dt.date(2024, 6, 21), 69.65, 18.96, "Europe/Oslo")
    >>> midsummer.select("set", "day_minutes", "state").row(0)
    (None, 1440.0, 'up all day')

    Raises UsageError for a place that is not on Earth and for an unknown time zone.
    """
    if math.isnan(latitude) and math.isnan(longitude):
        return pl.DataFrame(schema=SUN)
    return pl.DataFrame(_rows(first, last, latitude, longitude, timezone), schema=SUN, orient="row")


@lru_cache(maxsize=32)  # the evening form needs the next day several times, and again after each save
def _rows(first: dt.date, last: dt.date, latitude: float, longitude: float, timezone: str) -> list[tuple[Any, ...]]:
    zone, rows = _zone(timezone), list[tuple[Any, ...]]()
    before: float | None = None
    for date, day in _run(first - _DAY, last, _sky(latitude, longitude), zone):
        length = None if day is None else day.seconds
        rows.append((date, *_row(day, date, zone, None if None in (length, before) else length - before)))  # type: ignore[operator]
        before = length
    return rows[1:]


def crossings(first: dt.date, last: dt.date, latitude: float, longitude: float, timezone: str) -> pl.DataFrame:
    """Return all rises and sets by the calendar date on which they fall, sorted, both ends included.

    In: as `days`. Out: date (Date), kind ("rise" or "set"), at (String: ISO 8601, local, with offset).

    >>> day = dt.date(2024, 6, 21)
    >>> crossings(day, day, 64.1466, -21.9426, "Atlantic/Reykjavik").get_column("at").to_list()
    ['2024-06-21T00:03:54+00:00', '2024-06-21T02:55:18+00:00']

    Raises UsageError as `days` does.
    """
    zone, sky = _zone(timezone), _sky(latitude, longitude)
    sky_crossings = sky.crossings(_midnight(first, zone), _midnight(last + _DAY, zone))
    local = [
        (_local(at, zone), "rise" if rises else "set")
        for at, rises in zip(sky_crossings.at.tolist(), sky_crossings.rises.tolist(), strict=True)
    ]
    rows = [(at.date(), kind, at.isoformat()) for at, kind in local if first <= at.date() <= last]
    return pl.DataFrame(rows, schema=CROSSINGS, orient="row")


def for_journal(days_frame: pl.DataFrame, settings: Settings, first: dt.date, last: dt.date) -> pl.DataFrame:
    """Return `days` for the place of each day: home, or the place on its page.

    In: `Tables.days` (date, place). Out: the columns of `SUN`, and place (String, the key). The change of a day's
    length is always that at its own place. A journal without places, or with a hidden place, has no rows.

    >>> from journal.settings import Place
    >>> home = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
    >>> away = Place(key="graz", name="Graz", latitude=47.07, longitude=15.44, timezone="Europe/Vienna")
    >>> pages = pl.DataFrame({"date": [dt.date(2025, 3, 14)], "place": ["graz"]})
    >>> settings = Settings(title="Spine and thread", places=(home, away))
    >>> for_journal(pages, settings, dt.date(2025, 3, 13), dt.date(2025, 3, 14)).select("place", "rise").rows()
    [('home', '2025-03-13T06:18:21+01:00'), ('graz', '2025-03-14T06:13:00+01:00')]
    """
    empty = pl.DataFrame(schema=SUN | {"place": pl.String})
    if not settings.places:
        return empty
    places = {place.key: place for place in reversed(settings.places)}
    away = dict(days_frame.filter(pl.col("date").is_between(first, last)).select("date", "place").iter_rows())
    runs: list[tuple[str, dt.date, dt.date]] = []
    for date in (first + i * _DAY for i in range((last - first).days + 1)):
        key = away.get(date) if away.get(date) in places else settings.places[0].key
        if runs and runs[-1][0] == key:
            runs[-1] = (*runs[-1][:2], date)
        else:
            runs.append((str(key), date, date))
    frames = [
        days(start, end, places[key].latitude, places[key].longitude, places[key].timezone).with_columns(
            place=pl.lit(key)
        )
        for key, start, end in runs
    ]
    return pl.concat([empty, *frames])


class _Sunlight(NamedTuple):
    """The sun of one calendar day, in Unix times."""

    state: SunState
    noon: float
    rise: float | None
    set: float | None
    seconds: float


def _run(first: dt.date, last: dt.date, sky: Sky, zone: ZoneInfo) -> Iterator[tuple[dt.date, _Sunlight | None]]:
    """Yield the days with their sunlight, or None for a date that the zone skipped."""
    dates = [first + i * _DAY for i in range((last - first).days + 1)]
    midnights = [_midnight(date, zone) for date in (*dates, last + _DAY)]
    clock_noons = [dt.datetime.combine(date, dt.time(12), zone).timestamp() for date in dates]
    # A day and a half more on each side: solar noon can be 12 h from clock noon, and its daylight 24 h from that.
    found = sky.crossings(midnights[0] - 1.5 * DAY_SECONDS, midnights[-1] + 1.5 * DAY_SECONDS)
    noons = sky.noons(np.array(clock_noons))
    are_up = (sky.heights(noons) >= 0).tolist()
    middles = (sky.heights((np.array(midnights[:-1]) + np.array(midnights[1:])) / 2) >= 0).tolist()
    times, rises = found.at.tolist(), found.rises.tolist()
    for i, (date, noon) in enumerate(zip(dates, noons.tolist(), strict=True)):
        if _local(clock_noons[i], zone).date() != date:
            yield date, None
            continue
        start, end = bisect_left(times, midnights[i]), bisect_left(times, midnights[i + 1])
        if start == end:  # as at any time of the date, which its solar noon may lie outside of
            always = middles[i]
            state: SunState = "up all day" if always else "down all day"
            yield date, _Sunlight(state, noon, None, None, always * float(DAY_SECONDS))
            continue
        if are_up[i]:
            after = bisect_left(times, noon)
            rise = times[after - 1] if after and noon - times[after - 1] < DAY_SECONDS else None
            set_ = times[after] if after < len(times) and times[after] - noon < DAY_SECONDS else None
        else:
            rise = next((times[k] for k in range(start, end) if rises[k]), None)
            set_ = next((times[k] for k in range(start, end) if not rises[k]), None)
        yield date, _Sunlight("normal", noon, rise, set_, _seconds_up(noon, are_up[i], rise, set_))


def _seconds_up(noon: float, up: bool, rise: float | None, set_: float | None) -> float:
    if rise is not None and set_ is not None and rise < set_:
        return round(set_) - round(rise)
    start, end = noon - DAY_SECONDS / 2, noon + DAY_SECONDS / 2
    if up:
        return min(end, end if set_ is None else set_) - max(start, start if rise is None else rise)
    morning = 0 if set_ is None else min(max(set_ - start, 0), DAY_SECONDS)
    return min(morning + (0 if rise is None else max(end - rise, 0)), DAY_SECONDS)


def _row(day: _Sunlight | None, date: dt.date, zone: ZoneInfo, change: float | None) -> tuple[Any, ...]:
    if day is None:
        return (None,) * (len(SUN) - 1)
    rise, set_, noon = (None if at is None else _local(at, zone) for at in (day.rise, day.set, day.noon))
    texts = [at.isoformat() if at else None for at in (rise, set_, noon)]
    minutes = [None if at is None else _minute(at, date) for at in (rise, set_)]
    return (*texts[:2], day.seconds / 60, day.state, texts[2], change, *minutes)


def _minute(at: dt.datetime, date: dt.date) -> float:
    return (at.date() - date).days * 1440 + at.hour * 60 + at.minute + at.second / 60


def _local(at: float, zone: ZoneInfo) -> dt.datetime:
    """Return a local time, rounded to the nearest second."""
    return (dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(seconds=round(at))).astimezone(zone)


def _midnight(date: dt.date, zone: ZoneInfo) -> float:
    return dt.datetime.combine(date, dt.time(), zone).timestamp()


def _sky(latitude: float, longitude: float) -> Sky:
    if not (abs(latitude) <= 90 and abs(longitude) <= 180):
        raise UsageError(
            _(
                "there is no place at {latitude} north, {longitude} east; latitudes go to 90, longitudes to 180",
                latitude=signed(str(latitude)),
                longitude=signed(str(longitude)),
            )
        )
    return Sky(latitude, longitude)


@lru_cache(maxsize=32)
def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise UsageError(_('there is no time zone "{name}"; write e.g. "Europe/Ljubljana"', name=name)) from None


def words(row: Mapping[str, Any], clock: Literal[12, 24] = 24) -> tuple[str, ...]:
    """Return a row of `days` as texts to join: sunrise, sunset, and the change of the day's length.

    Times are to the nearest minute.

    >>> sun = days(dt.date(2025, 3, 14), dt.date(2025, 3, 14), 46.05, 14.51, "Europe/Ljubljana").row(0, named=True)
    >>> words(sun, clock=12)
    ('Sunrise 6:16 am', 'sunset 6:07 pm', 'the day is 3 min 17 s longer')
    >>> words({"state": "up all day", "change_seconds": 0.0})
    ('The sun stays up all day',)
    """
    if row["state"] is None:
        return (_("This date is left out here"),)
    if row["state"] != "normal":
        is_up = row["state"] == "up all day"
        return (_("The sun stays up all day") if is_up else _("The sun stays down all day"),)
    rise, set_ = (_clock_text(row[f"{kind}_minute"], clock) for kind in ("rise", "set"))
    pieces = [
        _("Sunrise {time}", time=rise) if rise else _("No sunrise"),
        _("sunset {time}", time=set_) if set_ else _("no sunset"),
    ]
    change = _change_text(row["change_seconds"])
    return (*pieces, change) if change else tuple(pieces)


def _clock_text(minute: float | None, clock: Literal[12, 24]) -> str:
    if minute is None:
        return ""
    whole = math.floor(minute + 0.5)
    time = dates.clock(whole % 1440, clock)
    if whole < 0:
        return _("{time} the evening before", time=time)
    return _("{time} after midnight", time=time) if whole >= 1440 else time


def _change_text(change: float | None) -> str:
    if change is None:
        return ""
    minutes, seconds = divmod(round(abs(change)), 60)
    hours, minutes = divmod(minutes, 60)
    amount = " ".join(f"{n} {unit}" for n, unit in ((hours, "h"), (minutes, "min"), (seconds, "s")) if n)
    if not amount:
        return _("the day is as long as the last")
    return _("the day is {time} longer", time=amount) if change > 0 else _("the day is {time} shorter", time=amount)
