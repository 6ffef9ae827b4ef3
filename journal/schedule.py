"""Which days a recurrence rule falls on (RFC 5545, Desruisseaux 2009, section 3.3.10).

Each part of a rule is one condition on all the days at once, and a day is due where every condition holds; then
BYSETPOS picks within each period, and COUNT and UNTIL cut the end. Nothing steps from one occurrence to the next, so
a rule that never comes round costs no more than any other.
"""

from __future__ import annotations

import datetime as dt

import msgspec
import numpy as np
import numpy.typing as npt
import polars as pl

from journal.errors import UsageError
from journal.recurrence import Rule, parse

__all__ = ["Rule", "due", "parse"]

_Integers = npt.NDArray[np.int64]
_Booleans = npt.NDArray[np.bool_]

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
    """A stretch of days as columns of numbers: everything that a part of a rule can ask of a day."""

    def __init__(self, first: int, last: int) -> None:
        self.number = np.arange(first, last + 1, dtype=np.int64)
        self.weekday = (self.number + _EPOCH_WEEKDAY) % 7
        month = self.number.astype("datetime64[D]").astype("datetime64[M]")
        self.month = month.astype(np.int64)  # since January 1970
        self.day_of_month = self.number - _first_day(month) + 1
        self.days_in_month = _first_day(month + 1) - _first_day(month)
        year = month.astype("datetime64[Y]")
        self.year = year.astype(np.int64)  # since 1970
        self.day_of_year = self.number - _first_day(year) + 1
        self.days_in_year = _first_day(year + 1) - _first_day(year)

    def unit(self, rule: Rule) -> _Integers:
        """A running number of the day, week, month or year by which the rule counts."""
        if rule.freq == "WEEKLY":
            return (self.number + _EPOCH_WEEKDAY - rule.wkst) // 7
        return {"DAILY": self.number, "MONTHLY": self.month, "YEARLY": self.year}[rule.freq]


def _first_day(period: npt.NDArray[np.datetime64]) -> _Integers:
    return period.astype("datetime64[D]").astype(np.int64)


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
        on &= np.isin(days.month % 12 + 1, rule.bymonth)
    if rule.byweekno:
        on &= _in_weeks(days, rule)
    if rule.byyearday:
        on &= _either_end(days.day_of_year, days.days_in_year, rule.byyearday)
    if rule.bymonthday:
        on &= _either_end(days.day_of_month, days.days_in_month, rule.bymonthday)
    if rule.byday:
        on &= _on_weekdays(days, rule)
    return on


def _either_end(position: _Integers, length: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """Whether a position (from 1) is wanted, counted from the front or, below zero, from the back."""
    return np.isin(position, wanted) | np.isin(position - length - 1, wanted)


def _on_weekdays(days: _Days, rule: Rule) -> _Booleans:
    """BYDAY: any of the weekdays. A numbered one counts in its month, in a yearly rule without BYMONTH in its year."""
    in_year = rule.freq == "YEARLY" and not rule.bymonth
    position = days.day_of_year if in_year else days.day_of_month
    length = days.days_in_year if in_year else days.days_in_month
    from_front, from_back = (position - 1) // 7 + 1, -((length - position) // 7) - 1
    on = np.isin(days.weekday, [day.weekday for day in rule.byday if not day.ordinal])
    for day in rule.byday:
        if day.ordinal:
            nth = from_front if day.ordinal > 0 else from_back
            on |= (days.weekday == day.weekday) & (nth == day.ordinal)
    return on


def _in_weeks(days: _Days, rule: Rule) -> _Booleans:
    """BYWEEKNO: ISO 8601 weeks (other starts than Monday alike), which belong to the year that has their fourth day."""
    week = days.unit(msgspec.structs.replace(rule, freq="WEEKLY"))
    fourth = week * 7 - _EPOCH_WEEKDAY + rule.wkst + 3
    year = fourth.astype("datetime64[D]").astype("datetime64[Y]")
    number = (fourth - _first_day(year)) // 7 + 1
    weeks_after = (_first_day(year + 1) - 1 - fourth) // 7
    return _either_end(number, number + weeks_after, rule.byweekno)


def _picked(on: _Booleans, unit: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """BYSETPOS: of the days that match within each period, the wanted ones, counted from either end."""
    places = np.flatnonzero(on)
    _, period, sizes = np.unique(unit[places], return_inverse=True, return_counts=True)
    position = np.arange(places.size) - (np.cumsum(sizes) - sizes)[period] + 1
    picked = np.zeros_like(on)
    picked[places[_either_end(position, sizes[period], wanted)]] = True
    return picked
