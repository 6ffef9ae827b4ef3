"""Which days a recurrence rule falls on (RFC 5545, Desruisseaux 2009, section 3.3.10).

Each part of a rule is one condition on all the days at once, and a day is due where every condition holds; then
BYSETPOS picks within each period, and COUNT and UNTIL cut the end. Nothing steps from one occurrence to the next, so
a rule that never comes round costs no more than any other.
"""

from __future__ import annotations

import datetime as dt
from functools import cached_property

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.errors import UsageError
from journal.recurrence import Rule, parse

__all__ = ["Rule", "due", "parse"]

_Integers = npt.NDArray[np.int64]
_Booleans = npt.NDArray[np.bool_]
_Periods = npt.NDArray[np.datetime64]

_EPOCH = dt.date(1970, 1, 1).toordinal()  # numpy's day 0
_EPOCH_WEEKDAY = 3  # a Thursday


def due(rule: str | Rule, start: dt.date, first: dt.date, last: dt.date) -> pl.Series:
    """Whether the rule falls on each day from `first` to `last`, both included.

    Returns a Boolean series "due" without nulls, one value a day. The rule counts from `start` (DTSTART): INTERVAL
    from the day, week, month or year that holds it, COUNT from the first day that matches. No day before `start` is
    due, and `start` itself is only where it matches.

    >>> due("FREQ=WEEKLY;BYDAY=MO,WE", dt.date(2025, 3, 4), dt.date(2025, 3, 3), dt.date(2025, 3, 5)).to_list()
    [False, False, True]

    Raises RuleError for a rule that cannot be read, UsageError where `last` is before `first`.
    """
    if last < first:
        raise UsageError(f"the stretch from {first} to {last} ends before it starts; swap the two days")
    rule = (parse(rule) if isinstance(rule, str) else rule).filled(start)
    begin = min(start, first) if rule.count is not None else first
    days = _Days(*_whole_periods(rule, _day_number(begin), _day_number(last)))
    on = _matches(rule, days, start)
    if rule.bysetpos:
        on = _picked(on, days.unit(rule), rule.bysetpos)
    on &= days.number >= _day_number(start)
    if rule.count is not None:
        on &= np.cumsum(on) <= rule.count
    if rule.until is not None:
        on &= days.number <= _day_number(rule.until)
    offset = _day_number(first) - int(days.number[0])
    return pl.Series("due", on[offset : offset + (last - first).days + 1], dtype=pl.Boolean)


def _day_number(day: dt.date) -> int:
    """Days since 1970-01-01."""
    return day.toordinal() - _EPOCH


class _Days:
    """A stretch of days as columns of numbers: everything that a part of a rule can ask of a day, once it asks."""

    def __init__(self, first: int, last: int) -> None:
        self.number: _Integers = np.arange(first, last + 1, dtype=np.int64)

    @cached_property
    def weekday(self) -> _Integers:
        return (self.number + _EPOCH_WEEKDAY) % 7

    @cached_property
    def months(self) -> _Periods:
        return self.number.astype("datetime64[D]").astype("datetime64[M]")

    @cached_property
    def years(self) -> _Periods:
        return self.months.astype("datetime64[Y]")

    @cached_property
    def in_month(self) -> tuple[_Integers, _Integers]:
        """Position in the month, from 1, and the length of the month."""
        return _within(self.months, self.number)

    @cached_property
    def in_year(self) -> tuple[_Integers, _Integers]:
        """Position in the year, from 1, and the length of the year."""
        return _within(self.years, self.number)

    def unit(self, rule: Rule) -> _Integers:
        """A running number of the day, week, month or year by which the rule counts."""
        match rule.freq:
            case "DAILY":
                return self.number
            case "WEEKLY":
                return (self.number + _EPOCH_WEEKDAY - rule.wkst) // 7
            case "MONTHLY":
                return self.months.astype(np.int64)
            case "YEARLY":
                return self.years.astype(np.int64)


def _first_day(periods: _Periods) -> _Integers:
    return periods.astype("datetime64[D]").astype(np.int64)


def _within(periods: _Periods, number: _Integers) -> tuple[_Integers, _Integers]:
    """The position, from 1, of each day in its period, and the length of that period."""
    first = _first_day(periods)
    return number - first + 1, _first_day(periods + 1) - first


def _whole_periods(rule: Rule, first: int, last: int) -> tuple[int, int]:
    """The stretch, widened to whole weeks, months or years of the rule where BYSETPOS has to see all of one."""
    if not rule.bysetpos or rule.freq == "DAILY":
        return first, last
    # A week, month or year that holds `first` starts at most 365 days before it, one that holds `last` ends as soon.
    days = _Days(first - 365, last + 365)
    unit = days.unit(rule)
    inside = days.number[(unit >= unit[365]) & (unit <= unit[-366])]
    return int(inside[0]), int(inside[-1])


def _matches(rule: Rule, days: _Days, start: dt.date) -> _Booleans:
    """Whether each day meets every part of the rule but BYSETPOS, COUNT and UNTIL."""
    (phase,) = _Days(_day_number(start), _day_number(start)).unit(rule)
    on: _Booleans = (days.unit(rule) - phase) % rule.interval == 0
    if rule.bymonth:
        on &= np.isin(days.months.astype(np.int64) % 12 + 1, rule.bymonth)
    if rule.byweekno:
        on &= _in_weeks(days, rule)
    if rule.byyearday:
        on &= _either_end(*days.in_year, rule.byyearday)
    if rule.bymonthday:
        on &= _either_end(*days.in_month, rule.bymonthday)
    if rule.byday:
        on &= _on_weekdays(days, rule)
    return on


def _either_end(position: _Integers, length: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """Whether a position (from 1) is wanted, counted from the front or, below zero, from the back."""
    on = np.isin(position, [place for place in wanted if place > 0])
    if min(wanted) < 0:
        on |= np.isin(position - length - 1, wanted)
    return on


def _on_weekdays(days: _Days, rule: Rule) -> _Booleans:
    """BYDAY: any of the weekdays. A numbered one counts in its month, in a yearly rule without BYMONTH in its year."""
    on = np.isin(days.weekday, [day.weekday for day in rule.byday if not day.ordinal])
    numbered = [day for day in rule.byday if day.ordinal]
    if numbered:
        position, length = days.in_year if rule.freq == "YEARLY" and not rule.bymonth else days.in_month
        for day in numbered:
            nth = (position - 1) // 7 + 1 if day.ordinal > 0 else -((length - position) // 7) - 1
            on |= (days.weekday == day.weekday) & (nth == day.ordinal)
    return on


def _in_weeks(days: _Days, rule: Rule) -> _Booleans:
    """BYWEEKNO: ISO 8601 weeks (other starts than Monday alike), which belong to the year that has their fourth day."""
    week_start = days.number - (days.weekday - rule.wkst) % 7
    fourth = week_start + 3
    years = fourth.astype("datetime64[D]").astype("datetime64[Y]")
    position, length = _within(years, fourth)
    number, weeks_after = (position - 1) // 7 + 1, (length - position) // 7
    return _either_end(number, number + weeks_after, rule.byweekno)


def _picked(on: _Booleans, unit: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """BYSETPOS: of the days that match within each period, the wanted ones, counted from either end."""
    places = np.flatnonzero(on)
    _, period, sizes = np.unique(unit[places], return_inverse=True, return_counts=True)
    position = np.arange(places.size) - (np.cumsum(sizes) - sizes)[period] + 1
    picked = np.zeros_like(on)
    picked[places[_either_end(position, sizes[period], wanted)]] = True
    return picked
