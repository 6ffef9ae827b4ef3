"""Time zones by name, and a stand-in zone that has the clock changes of a place but not its name.

To count minutes of sleep, only the clock changes of a time zone matter. For a reader who may not learn where a journal
was kept, its zones are replaced by one text, "changes 2025-03-30T02:00+3600". It lists each change: the local time just
before it, and the seconds by which the clock moved forward. After a journey the evening and the morning of a night lie
in two zones: "journey:2025-07-02+18000" says how far the clock moved at the midnight before that day. The stand-in
reveals no more of the places than the minutes of such nights do.
"""

from __future__ import annotations

import datetime as dt
import functools
import io
import struct
from collections.abc import Collection, Iterable, Mapping
from zoneinfo import ZoneInfo

import polars as pl

_WORD = "changes"  # cannot be confused with a zone name
_JOURNEY = "journey:"
_EPOCH = dt.datetime(1970, 1, 1)  # noqa: DTZ001 (a clock's reading, not a moment)
_DAY = dt.timedelta(days=1)
_FARTHEST = 23 * 3600
"""The largest offset from UTC in seconds: it must be less than a day. In a stand-in for many journeys, each with only
one change of a pair, the offsets can add up to more."""


@functools.cache
def zone(name: str) -> ZoneInfo:
    """A time zone of the IANA database by its name, or a stand-in by its text.

    >>> zone("Europe/Ljubljana").key, zone("changes").utcoffset(dt.datetime(2025, 7, 1))
    ('Europe/Ljubljana', datetime.timedelta(0))

    Raises zoneinfo.ZoneInfoNotFoundError if there is no zone of that name.
    """
    word, *changes = name.split(" ")
    if word != _WORD:
        return ZoneInfo(name)
    changes = [text for text in changes if not text.startswith(_JOURNEY)]
    return _zone_with([(dt.datetime.fromisoformat(text[:-6]), int(text[-6:])) for text in changes])


def stand_in(days: pl.DataFrame, zones: Mapping[str, str], *, nights: Collection[dt.date] = ()) -> str:
    """One stand-in text for `zone` and `journeys` with the clock changes of all days, each in the zone of its place.

    In: `Tables.days` (date, place; a null or unknown place is home); `zones`, the time zone of each place by its key,
    home first (UTC if it is empty); `nights`, the days whose night began before midnight: only their journeys are
    listed. If the zone of home is already a stand-in, it is returned.

    >>> days = pl.DataFrame({"date": pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 12, 31), eager=True),
    ...     "place": pl.Series([None] * 365, dtype=pl.String)})
    >>> print(stand_in(days, {"home": "Europe/Ljubljana"}))
    changes 2025-03-30T02:00:00+03600 2025-10-26T03:00:00-03600
    """
    home = next(iter(zones.values()), "UTC")
    if home.split(" ")[0] == _WORD:
        return home
    words, total = [_WORD], 0
    for date, place in days.select("date", "place").sort("date").iter_rows():
        changed = change(date, zones.get(place, home))
        if changed is None:
            continue
        before, seconds = changed
        if abs(total + seconds) > _FARTHEST:
            # Return to offset 0 at noon, when a sleep is least likely.
            noon = dt.datetime.combine(date - _DAY, dt.time(12))
            words.append(f"{noon.isoformat()}{-total:+06d}")
            total = 0
        words.append(f"{before.isoformat()}{seconds:+06d}")
        total += seconds
    words += [f"{_JOURNEY}{date}{seconds:+06d}" for date, seconds in journeys(days, zones).items() if date in nights]
    return " ".join(words)


def journeys(days: pl.DataFrame, zones: Mapping[str, str]) -> dict[dt.date, int]:
    """How far the clock moves, in seconds, at the midnight before each day whose zone is not that of the day before.

    In: as for `stand_in`. A day without a row is at home. Days between which the clock does not move are left out.

    >>> days = pl.DataFrame({"date": [dt.date(2025, 7, 1), dt.date(2025, 7, 2)], "place": ["york", None]})
    >>> journeys(days, {"home": "Europe/Lisbon", "york": "America/New_York"})
    {datetime.date(2025, 7, 1): -18000, datetime.date(2025, 7, 2): 18000}
    """
    home = next(iter(zones.values()), "UTC")
    told = [text.removeprefix(_JOURNEY) for text in home.split(" ") if text.startswith(_JOURNEY)]
    if home.split(" ")[0] == _WORD:
        return {dt.date.fromisoformat(text[:-6]): int(text[-6:]) for text in told}
    away = {date: zones.get(place, home) for date, place in days.select("date", "place").sort("date").iter_rows()}
    away = {date: name for date, name in away.items() if name != home}
    moved = {}
    for date in sorted({day for there in away for day in (there, there + _DAY)}):
        midnight = dt.datetime.combine(date, dt.time())
        before, after = (
            _seconds(midnight.replace(tzinfo=zone(away.get(day, home))).utcoffset()) for day in (date - _DAY, date)
        )
        if before != after:
            moved[date] = after - before
    return moved


def change(date: dt.date, name: str) -> tuple[dt.datetime, int] | None:
    """The clock change on a date: the local time just before it, and the seconds by which the clock moves forward.

    >>> change(dt.date(2025, 3, 30), "Europe/Ljubljana"), change(dt.date(2025, 3, 31), "Europe/Ljubljana")
    ((datetime.datetime(2025, 3, 30, 2, 0), 3600), None)
    """
    where = zone(name)
    begin, end = (dt.datetime.combine(day, dt.time(), tzinfo=where) for day in (date, date + _DAY))
    was, will = _seconds(begin.utcoffset()), _seconds(end.utcoffset())
    if was == will:
        return None
    # The search starts a second before midnight, since some clocks change at midnight itself.
    low, high = begin.timestamp() - 1, end.timestamp()
    while high - low > 1:
        middle = (low + high) // 2
        still = _seconds(dt.datetime.fromtimestamp(middle, where).utcoffset()) == was
        low, high = (middle, high) if still else (low, middle)
    return _EPOCH + dt.timedelta(seconds=high + was), will - was


def _seconds(offset: dt.timedelta | None) -> int:
    assert offset is not None  # a zone has one for every moment
    return round(offset.total_seconds())


def _zone_with(changes: Iterable[tuple[dt.datetime, int]]) -> ZoneInfo:
    """A zone with these changes. Before the first change it is UTC.

    The zone is encoded as a TZif file (RFC 9636, version 2, whose first block may be empty) and read back, so the
    standard library handles repeated and skipped hours.
    """
    offsets, moments = [0], []
    for before, seconds in changes:
        moments.append(round((before - _EPOCH).total_seconds()) - offsets[-1])
        offsets.append(offsets[-1] + seconds)
    kinds = list(dict.fromkeys(offsets))
    head = struct.Struct(">4sc15x6l")  # magic, version, counts of: UT indicators, standard indicators, leap seconds,
    text = head.pack(b"TZif", b"2", 0, 0, 0, 0, 0, 0)  # transitions, local time types, characters of names
    text += head.pack(b"TZif", b"2", 0, 0, 0, len(moments), len(kinds), 2)
    text += struct.pack(f">{len(moments)}q", *moments) + bytes(kinds.index(offset) for offset in offsets[1:])
    text += b"".join(struct.pack(">lbb", offset, 0, 0) for offset in kinds) + b"-\0" + b"\n\n"
    return ZoneInfo.from_file(io.BytesIO(text))
