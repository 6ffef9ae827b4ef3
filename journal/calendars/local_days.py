"""Splitting of a time span at each local midnight, by the clock."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from zoneinfo import ZoneInfo

_DAY = dt.timedelta(days=1)


def split(
    start: dt.date, end: dt.date, first: dt.date, last: dt.date, zone: ZoneInfo, *, exact_seconds: int = 0
) -> Iterator[tuple[dt.date, int | None, int | None, bool]]:
    """Yield date, start, end and whether all day for each local date from `first` to `last` that a span touches.

    Minutes are by the clock since midnight, from 0 to 1440, rounded out to whole minutes. If `start` is a date without
    time, the days up to `end` (not included) have null for both. A span of length zero has a null end. Times without
    zone are local. `exact_seconds` is the time part of a DURATION, which is exact time rather than clock time. On the
    day that repeats an hour, an end that the clock shows before the start is replaced by start plus length.

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
            continue  # it ends at the midnight before
        if to_minute <= from_minute:
            to_minute = min(from_minute + max(1, round(length.total_seconds() / 60)), 1440)
        yield date, from_minute, to_minute, False


def plain(at: dt.date) -> dt.datetime:
    """Return a date or time without its zone, for clock arithmetic."""
    return at.replace(tzinfo=None) if isinstance(at, dt.datetime) else dt.datetime.combine(at, dt.time())


def instant(at: dt.date) -> dt.datetime:
    """Return a date or time in UTC. One without a zone is treated as UTC, to compare it with others without a zone."""
    return at.astimezone(dt.UTC) if isinstance(at, dt.datetime) and at.tzinfo else plain(at).replace(tzinfo=dt.UTC)


def _end(start: dt.datetime, end: dt.date, zone: ZoneInfo, exact_seconds: int) -> dt.datetime:
    length = plain(end) - plain(start)
    if not exact_seconds or length.seconds != exact_seconds:  # another length: this instance has its own
        return end if isinstance(end, dt.datetime) else dt.datetime.combine(end, dt.time(), start.tzinfo)
    # Days by the clock, then exact hours (RFC 5545, section 3.3.6).
    return _local(start + length.days * _DAY, zone).astimezone(dt.UTC) + dt.timedelta(seconds=exact_seconds)


def _dates(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    return (first + i * _DAY for i in range((last - first).days + 1))


def _local(at: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    # Through UTC, so that a skipped clock time moves to after the gap (section 3.3.5).
    return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(dt.UTC).astimezone(zone)


def _minute(at: dt.datetime, *, up: bool = False) -> int:
    return at.hour * 60 + at.minute + (up and at.second > 0)
