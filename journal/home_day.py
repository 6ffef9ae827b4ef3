"""The journal's day of a moment, from the time zone of home and the hour at which a day turns.

It needs no settings, so a command that knows both already starts without reading journal.toml.
"""

from __future__ import annotations

import datetime as dt


def at(moment: dt.datetime, timezone: str | None, turns_minute: int) -> dt.date:
    """The day of a moment (with a time zone), as `periods.day_of` describes it. Without `timezone` its own counts.

    >>> at(dt.datetime(2025, 3, 15, 2, 59, tzinfo=dt.timezone.utc), "Europe/Ljubljana", 240).isoformat()
    '2025-03-14'
    """
    if timezone is not None:
        from zoneinfo import ZoneInfo  # noqa: PLC0415 (not every caller has a zone)

        moment = moment.astimezone(ZoneInfo(timezone))
    is_early = moment.hour * 60 + moment.minute < turns_minute
    return moment.date() - dt.timedelta(days=1) if is_early else moment.date()
