"""A stretch of time cut at each local midnight, as the clock on the wall has it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from zoneinfo import ZoneInfo

_DAY = dt.timedelta(days=1)


def split(
    start: dt.date, end: dt.date, first: dt.date, last: dt.date, zone: ZoneInfo, *, exact_seconds: int = 0
) -> Iterator[tuple[dt.date, int | None, int | None, bool]]:
    """Each local date from `first` to `last` on which a stretch lies: date, start and end in minutes, whether all day.

    Minutes are by the clock since midnight, from 0 to 1440, to the minute that holds them. Where `start` is a date and
    no time, whole days up to `end` (not included) have null for both. A stretch without length has a null end. Times
    without a zone are taken as local. `exact_seconds` are the hours of a length, which are hours of time and not of
    the clock. On the day that repeats an hour, an end that the clock shows before the start is start plus length.

    >>> zone = ZoneInfo("Europe/Ljubljana")
    >>> days = split(dt.datetime(2025, 3, 14, 22), dt.datetime(2025, 3, 15, 1, 30), dt.date.min, dt.date.max, zone)
    >>> [(date.isoformat(), *minutes) for date, *minutes in days]
    [('2025-03-14', 1320, 1440, False), ('2025-03-15', 0, 90, False)]
    """
    if not isinstance(start, dt.datetime):
        end = max(end.date() if isinstance(end, dt.datetime) else end, start + _DAY)
        yield from ((date, None, None, True) for date in _dates(max(start, first), min(end - _DAY, last)))
        return
    begins, ends = _local(start, zone), _local(_end(start, end, zone, exact_seconds), zone)
    length = ends.astimezone(dt.UTC) - begins.astimezone(dt.UTC)
    if not length:
        yield from ((date, _minute(begins), None, False) for date in {begins.date()} if first <= date <= last)
        return
    for date in _dates(max(begins.date(), first), min(ends.date(), last)):
        from_minute = _minute(begins) if date == begins.date() else 0
        to_minute = _minute(ends, up=True) if date == ends.date() else 1440
        if to_minute == 0:
            continue  # it ends with the day before
        if to_minute <= from_minute:
            to_minute = min(from_minute + max(1, round(length.total_seconds() / 60)), 1440)
        yield date, from_minute, to_minute, False


def plain(at: dt.date) -> dt.datetime:
    """A date or time without its zone, to count with by the clock."""
    return at.replace(tzinfo=None) if isinstance(at, dt.datetime) else dt.datetime.combine(at, dt.time())


def instant(at: dt.date) -> dt.datetime:
    """A date or time in UTC, where it has a zone; else as if that were its zone, to be compared with its like."""
    return at.astimezone(dt.UTC) if isinstance(at, dt.datetime) and at.tzinfo else plain(at).replace(tzinfo=dt.UTC)


def _end(start: dt.datetime, end: dt.date, zone: ZoneInfo, exact_seconds: int) -> dt.datetime:
    length = plain(end) - plain(start)
    if not exact_seconds or length.seconds != exact_seconds:  # else this one was given a length of its own
        return end if isinstance(end, dt.datetime) else dt.datetime.combine(end, dt.time(), start.tzinfo)
    # Days by the clock, then hours by their length (RFC 5545, section 3.3.6).
    return _local(start + length.days * _DAY, zone).astimezone(dt.UTC) + dt.timedelta(seconds=exact_seconds)


def _dates(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    return (first + i * _DAY for i in range((last - first).days + 1))


def _local(at: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    # By way of UTC, so that a time that the clock left out comes to stand where the clock went on (section 3.3.5).
    return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(dt.UTC).astimezone(zone)


def _minute(at: dt.datetime, *, up: bool = False) -> int:
    return at.hour * 60 + at.minute + (up and at.second > 0)
