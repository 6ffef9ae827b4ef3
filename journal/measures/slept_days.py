"""The frames of sleep of a journal: sleeps, nights and pairs of days, each made on first use, for the days asked for.

What a page shows of a month costs the same in every year: the hours are cut to its days, and a week around them,
before they are joined.
"""

from __future__ import annotations

import datetime as dt
from functools import cached_property

import polars as pl

from journal.measures import sleep, sleep_summary
from journal.settings import Settings

LONGEST_SLEEP = dt.timedelta(days=7)
"""A sleep is joined from spans less than an hour apart. The hours of a week before the first day and after the last are
enough."""
_MOST = 4
"""The ranges of days whose frames are kept: a page shows one period, and has signs of the last weeks."""


class SleptDays:
    """The frames of sleep of some days: `sleep.sleeps`, `sleep.nights` and `sleep_summary.regularity_pairs`.

    >>> march = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 31), eager=True)
    >>> days = pl.DataFrame({"date": march, "place": None})
    >>> strip = pl.concat(days.select("date", layer=pl.lit("actual"), category=pl.lit("sleep"),
    ...     start_minute=pl.lit(start), end_minute=pl.lit(end)) for start, end in ((0, 375), (1350, 1440)))
    >>> slept = SleptDays(strip, days, Settings(title="Small", places=()), today=dt.date(2025, 4, 1))
    >>> slept.nights.height, slept.between(dt.date(2025, 3, 14), dt.date(2025, 3, 15)).nights.rows()[0][:4]
    (30, (datetime.date(2025, 3, 14), '22:30', '06:15', 465))
    """

    def __init__(self, hours: pl.DataFrame, days: pl.DataFrame, settings: Settings, *, today: dt.date) -> None:
        """In: `Tables.hours` and `Tables.days`, unfiltered: a night begins on the day before."""
        self._hours, self._days, self._settings, self._today = hours, days, settings, today
        self._span: tuple[dt.date, dt.date] | None = None
        self._narrower: dict[tuple[dt.date, dt.date], SleptDays] = {}

    def between(self, first: dt.date, last: dt.date) -> SleptDays:
        """The frames with the rows of the days from `first` to `last` alone. Those of other days are not made."""
        if (first, last) not in self._narrower:
            if len(self._narrower) == _MOST:
                del self._narrower[next(iter(self._narrower))]
            around = pl.col("date").is_between(_moved(first, -LONGEST_SLEEP), _moved(last, LONGEST_SLEEP))
            hours, days = self._hours.filter(around), self._days.filter(around)
            narrow = SleptDays(hours, days, self._settings, today=self._today)
            narrow._span = first, last
            self._narrower[first, last] = narrow
        return self._narrower[first, last]

    @cached_property
    def sleeps(self) -> pl.DataFrame:
        """`sleep.sleeps`: every night, nap and part of a night."""
        return self._cut(self._around)

    @cached_property
    def nights(self) -> pl.DataFrame:
        """`sleep.nights`, by the day of waking."""
        settings = self._settings
        nights = sleep.nights(
            self._hours,
            self._days,
            sleep=settings.asleep,
            zones=settings.zones,
            today=self._today,
            work=settings.working,
            every=self._around,
        )
        return self._cut(nights)

    @cached_property
    def pairs(self) -> pl.DataFrame:
        """`sleep_summary.regularity_pairs`: the similarity of sleep on neighbouring days."""
        return self._cut(sleep_summary.regularity_pairs(self._hours, sleep=self._settings.asleep, today=self._today))

    @cached_property
    def _around(self) -> pl.DataFrame:
        return sleep.sleeps(self._hours, self._days, sleep=self._settings.asleep, zones=self._settings.zones)

    def _cut(self, frame: pl.DataFrame) -> pl.DataFrame:
        return frame if self._span is None else frame.filter(pl.col("date").is_between(*self._span))


def _moved(day: dt.date, by: dt.timedelta) -> dt.date:
    """A day moved, at most to the end of the calendar."""
    return dt.date.fromordinal(min(max(day.toordinal() + by.days, 1), dt.date.max.toordinal()))
