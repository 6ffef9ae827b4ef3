"""Daylight spans of calendar days, for the hours strips."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts.week_strips import Daylight
from journal.entry import MINUTES_A_DAY

_DAY = dt.timedelta(days=1)


def bands(sun: pl.DataFrame) -> Daylight:
    """The daylight spans of each date, in minutes from its midnight.

    In: the frame of `sun.rise_set.for_journal` or `sun.rise_set.days` (date, state, rise_minute, set_minute). If the
    sun sets after midnight, the next date begins with a span; if it rises before midnight, the previous date ends with
    one. A day with the sun up all day is covered whole, a day with the sun down has no span. Dates outside of the frame
    get only such overlaps, so pass one more day on either side where nights are white.

    >>> june = pl.DataFrame({"date": [dt.date(2024, 6, 20)], "state": ["normal"], "rise_minute": [175.0],
    ...     "set_minute": [1444.0]})
    >>> bands(june)
    {datetime.date(2024, 6, 20): [(175.0, 1440.0)], datetime.date(2024, 6, 21): [(0.0, 4.0)]}
    """
    spans_by_date: dict[dt.date, list[tuple[float, float]]] = {}
    for date, state, rise, down in sun.select("date", "state", "rise_minute", "set_minute").iter_rows():
        if state is None or state == "down all day":
            continue
        # Without a rise the sun is up from the previous day. Without a set it stays up into the next.
        up, until = (0.0 if rise is None else rise), (float(MINUTES_A_DAY) if down is None else down)
        for day, start in ((date - _DAY, -MINUTES_A_DAY), (date, 0), (date + _DAY, MINUTES_A_DAY)):
            first, last = max(up - start, 0.0), min(until - start, float(MINUTES_A_DAY))
            if first < last:
                spans_by_date.setdefault(day, []).append((first, last))
    return {day: sorted(spans) for day, spans in sorted(spans_by_date.items())}
