"""When the sun is up, as stretches of calendar days for the hours strips."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts.week_strips import Daylight
from journal.entry import MINUTES_A_DAY

_DAY = dt.timedelta(days=1)


def bands(sun: pl.DataFrame) -> Daylight:
    """Stretches of daylight of each date.

    In: the frame of `evening.sun.for_journal` or `evening.sun.days` (date, state, rise_minute, set_minute). A set after
    midnight belongs to the next date from there on, and a rise before it to the date before. All of a day on which
    the sun stays up, none of one on which it stays down. Dates outside of the frame get no stretch of their own sun, so
    ask for a day more on either side where nights are white.

    >>> june = pl.DataFrame({"date": [dt.date(2024, 6, 20)], "state": ["normal"], "rise_minute": [175.0],
    ...     "set_minute": [1444.0]})
    >>> bands(june)
    {datetime.date(2024, 6, 20): [(175.0, 1440.0)], datetime.date(2024, 6, 21): [(0.0, 4.0)]}
    """
    found: dict[dt.date, list[tuple[float, float]]] = {}
    for date, state, rise, down in sun.select("date", "state", "rise_minute", "set_minute").iter_rows():
        if state is None or state == "down all day":
            continue
        # Without a rise the sun was up from the day before on, without a set it stays up into the next.
        up, until = (0.0 if rise is None else rise), (float(MINUTES_A_DAY) if down is None else down)
        for day, start in ((date - _DAY, -MINUTES_A_DAY), (date, 0), (date + _DAY, MINUTES_A_DAY)):
            first, last = max(up - start, 0.0), min(until - start, float(MINUTES_A_DAY))
            if first < last:
                found.setdefault(day, []).append((first, last))
    return {day: sorted(stretches) for day, stretches in sorted(found.items())}
