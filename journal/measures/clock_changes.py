"""Time zones by name, and a stand-in for one that says when clocks change and nothing of where.

Minutes slept need the changes of the clocks and no more of a time zone than those. So for a reader who may not know
where a journal was kept its zones are replaced by one text, "changes 2025-03-30T02:00+3600": a list of the moments, as
a clock had them just before, and the seconds that it then went on. What is left of the place is what the minutes of
such a night tell anyway.
"""

from __future__ import annotations

import datetime as dt
import functools
import io
import struct
from collections.abc import Iterable, Mapping
from zoneinfo import ZoneInfo

import polars as pl

_WORD = "changes"  # no name of a zone: these have no blank after it
_EPOCH = dt.datetime(1970, 1, 1)  # noqa: DTZ001 (a clock's reading, not a moment)
_DAY = dt.timedelta(days=1)
_FARTHEST = 23 * 3600
"""Seconds that a zone may be from UTC: less than a day. The days of many a journey, each with one change of a pair, may
add up to more in a stand-in."""


@functools.cache
def zone(name: str) -> ZoneInfo:
    """A time zone of the IANA database by its name, or a stand-in by its text.

    >>> zone("Europe/Ljubljana").key, zone("changes").utcoffset(dt.datetime(2025, 7, 1))
    ('Europe/Ljubljana', datetime.timedelta(0))

    Raises zoneinfo.ZoneInfoNotFoundError where there is none of that name.
    """
    word, *changes = name.split(" ")
    if word != _WORD:
        return ZoneInfo(name)
    return _made([(dt.datetime.fromisoformat(text[:-6]), int(text[-6:])) for text in changes])


def stand_in(days: pl.DataFrame, zones: Mapping[str, str]) -> str:
    """The changes of the clocks on some days, each in the zone of where the day was spent, as one zone for `zone`.

    In: `Tables.days` (date, place; a null or unknown place is home); `zones`, the time zone of each place by its key,
    home first (UTC where there is none). Where home has a stand-in already, that is it.

    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 12, 31), eager=True),
    ...     "place": pl.Series([None] * 365, dtype=pl.String)})
    >>> print(stand_in(days, {"home": "Europe/Ljubljana"}))
    changes 2025-03-30T02:00:00+03600 2025-10-26T03:00:00-03600
    """
    home = next(iter(zones.values()), "UTC")
    if home.split(" ")[0] == _WORD:
        return home
    found, total = [_WORD], 0
    for date, place in days.select("date", "place").sort("date").iter_rows():
        change = _change(date, zones.get(place, home))
        if change is None:
            continue
        before, seconds = change
        if abs(total + seconds) > _FARTHEST:
            # Back to the beginning at a noon, when the fewest are asleep.
            noon = dt.datetime.combine(date - _DAY, dt.time(12))
            found.append(f"{noon.isoformat()}{-total:+06d}")
            total = 0
        found.append(f"{before.isoformat()}{seconds:+06d}")
        total += seconds
    return " ".join(found)


def _change(date: dt.date, name: str) -> tuple[dt.datetime, int] | None:
    """The change of the clocks on a date: when it was, as the clock had it before, and the seconds that it went on."""
    where = zone(name)
    begin, end = (dt.datetime.combine(day, dt.time(), tzinfo=where) for day in (date, date + _DAY))
    was, will = _seconds(begin.utcoffset()), _seconds(end.utcoffset())
    if was == will:
        return None
    # A second before midnight is begun at, since some clocks change at midnight itself.
    low, high = begin.timestamp() - 1, end.timestamp()
    while high - low > 1:
        middle = (low + high) // 2
        still = _seconds(dt.datetime.fromtimestamp(middle, where).utcoffset()) == was
        low, high = (middle, high) if still else (low, middle)
    return _EPOCH + dt.timedelta(seconds=high + was), will - was


def _seconds(offset: dt.timedelta | None) -> int:
    assert offset is not None  # a zone has one for every moment
    return round(offset.total_seconds())


def _made(changes: Iterable[tuple[dt.datetime, int]]) -> ZoneInfo:
    """A zone with these changes, at UTC until the first.

    It is written in the form of the zone database (RFC 9636: TZif, version 2, whose first block may be empty) and read
    back, so that the clock's doubled and skipped hours are the standard library's to count.
    """
    offsets, moments = [0], []
    for before, seconds in changes:
        moments.append(round((before - _EPOCH).total_seconds()) - offsets[-1])
        offsets.append(offsets[-1] + seconds)
    kinds = list(dict.fromkeys(offsets))
    head = struct.Struct(">4sc15x6l")  # magic, version, then how many of: UT marks, standard marks, leap seconds,
    text = head.pack(b"TZif", b"2", 0, 0, 0, 0, 0, 0)  # changes, kinds of time, letters of names
    text += head.pack(b"TZif", b"2", 0, 0, 0, len(moments), len(kinds), 2)
    text += struct.pack(f">{len(moments)}q", *moments) + bytes(kinds.index(offset) for offset in offsets[1:])
    text += b"".join(struct.pack(">lbb", offset, 0, 0) for offset in kinds) + b"-\0" + b"\n\n"
    return ZoneInfo.from_file(io.BytesIO(text))
