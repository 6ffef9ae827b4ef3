"""Due days of a recurrence rule (RFC 5545, Desruisseaux 2009, section 3.3.10).

Each part of a rule is one condition, evaluated on all days at once. A day is due if every condition holds. Then
BYSETPOS selects within each period, and COUNT and UNTIL limit the end. No code steps from one occurrence to the next,
so a rule that never occurs costs no more than any other.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from functools import cached_property

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.errors import UsageError
from journal.language.catalogue import N_, _
from journal.recurrence import Rule, falls_on, parse

__all__ = ["Rule", "due", "parse"]

_Integers = npt.NDArray[np.int64]
_Booleans = npt.NDArray[np.bool_]
_Periods = npt.NDArray[np.datetime64]

_EPOCH = dt.date(1970, 1, 1).toordinal()  # numpy's day 0
_EPOCH_WEEKDAY = 3  # a Thursday
_FEW = 4  # so many numbers are compared one after the other sooner than by `numpy.isin`


def due(rule: str | Rule, start: dt.date, first: dt.date, last: dt.date) -> pl.Series:
    """Whether each day from `first` to `last`, both inclusive, is due.

    Returns a Boolean series "due" without nulls, one value per day. The rule counts from `start` (DTSTART): INTERVAL
    from the day, week, month or year that contains it, COUNT from the first matching day. No day before `start` is
    due; `start` itself is due only if it matches.

    >>> due("FREQ=WEEKLY;BYDAY=MO,WE", dt.date(2025, 3, 4), dt.date(2025, 3, 3), dt.date(2025, 3, 5)).to_list()
    [False, False, True]

    Raises RuleError for an invalid rule, UsageError if `last` is before `first`.
    """
    if last < first:
        text = N_("the stretch from {first} to {last} ends before it starts; swap the two days")
        raise UsageError(_(text, first=first, last=last))
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


def is_due(rule: str | Rule, start: dt.date, day: dt.date) -> bool:
    """Whether one day is due, as `due` has it, in a hundredth of the time where that needs no other day.

    >>> is_due("FREQ=WEEKLY;BYDAY=MO,WE", dt.date(2025, 3, 4), dt.date(2025, 3, 5))
    True

    Raises RuleError for an invalid rule.
    """
    rule = (parse(rule) if isinstance(rule, str) else rule).filled(start)
    if rule.count is None and not rule.bysetpos:
        return falls_on(rule, start, day)
    return bool(due(rule, start, day, day).item())


def _day_number(day: dt.date) -> int:
    """Days since 1970-01-01."""
    return day.toordinal() - _EPOCH


class _Days:
    """A range of days as columns of numbers that the parts of a rule need. Each is computed on first use."""

    def __init__(self, first: int, last: int) -> None:
        self.number: _Integers = np.arange(first, last + 1, dtype=np.int64)

    def first(self, count: int) -> _Days:
        """The first so many of the days, or all. What repeats is computed for these alone."""
        return _Days(int(self.number[0]), int(self.number[:count][-1]))

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
        """The running number of each day's period: day, week, month or year, by the rule's frequency."""
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
    """The position of each day in its period, from 1, and the length of the period in days."""
    first, one = _first_day(periods), np.ones((), dtype=f"m8[{np.datetime_data(periods.dtype)[0]}]")
    return number - first + 1, _first_day(periods + one) - first


def _whole_periods(rule: Rule, first: int, last: int) -> tuple[int, int]:
    """The range of days, extended to whole periods of the rule if it has BYSETPOS, which needs them complete."""
    if not rule.bysetpos or rule.freq == "DAILY":
        return first, last
    # The period that contains `first` starts at most 365 days before it. The one of `last` ends at most 365 days after.
    days = _Days(first - 365, last + 365)
    unit = days.unit(rule)
    inside = days.number[(unit >= unit[365]) & (unit <= unit[-366])]
    return int(inside[0]), int(inside[-1])


def _matches(rule: Rule, days: _Days, start: dt.date) -> _Booleans:
    """Whether each day meets every part of the rule except BYSETPOS, COUNT and UNTIL."""
    on = _in_interval(rule, days, start)
    if rule.bymonth:
        on &= _is_any(days.months.astype(np.int64) % 12 + 1, rule.bymonth)
    if rule.byweekno:
        on &= _in_weeks(days, rule)
    if rule.byyearday:
        on &= _either_end(*days.in_year, rule.byyearday)
    if rule.bymonthday:
        on &= _either_end(*days.in_month, rule.bymonthday)
    if rule.byday:
        on &= _on_weekdays(days, rule)
    return on


def _in_interval(rule: Rule, days: _Days, start: dt.date) -> _Booleans:
    """Whether each day is in a period that the interval does not skip, counted from the period of `start`."""
    if rule.interval == 1:
        return np.ones(days.number.size, np.bool_)
    (phase,) = _Days(_day_number(start), _day_number(start)).unit(rule)
    repeats = {"DAILY": rule.interval, "WEEKLY": 7 * rule.interval}.get(rule.freq, days.number.size)
    pattern: _Booleans = (days.first(repeats).unit(rule) - phase) % rule.interval == 0
    return _repeated(pattern, days.number.size)


def _repeated(pattern: _Booleans, size: int) -> _Booleans:
    """A pattern from the first day on, again and again."""
    return np.tile(pattern, -(-size // max(pattern.size, 1)))[:size]


def _is_any(values: _Integers, wanted: Sequence[int]) -> _Booleans:
    """Whether each value is one of the numbers of a rule."""
    if len(wanted) > _FEW:
        return np.isin(values, wanted)
    on = np.zeros(values.size, np.bool_)
    for number in wanted:
        on |= values == number
    return on


def _either_end(position: _Integers, length: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """Whether a position (from 1) is in `wanted`, which counts from the front or, if negative, from the back."""
    on = _is_any(position, [place for place in wanted if place > 0])
    if min(wanted) < 0:
        on |= _is_any(position - length - 1, wanted)
    return on


def _on_weekdays(days: _Days, rule: Rule) -> _Booleans:
    """BYDAY: any of the weekdays. Ordinals count in the month, or in the year for a yearly rule without BYMONTH."""
    week = _is_any(days.first(7).weekday, [day.weekday for day in rule.byday if not day.ordinal])
    on = _repeated(week, days.number.size)
    numbered = [day for day in rule.byday if day.ordinal]
    if numbered:
        position, length = days.in_year if rule.freq == "YEARLY" and not rule.bymonth else days.in_month
        for day in numbered:
            nth = (position - 1) // 7 + 1 if day.ordinal > 0 else -((length - position) // 7) - 1
            on |= (days.weekday == day.weekday) & (nth == day.ordinal)
    return on


def _in_weeks(days: _Days, rule: Rule) -> _Booleans:
    """BYWEEKNO: ISO 8601 weeks, for any start of the week. A week belongs to the year of its fourth day."""
    week_start = days.number - (days.weekday - rule.wkst) % 7
    fourth = week_start + 3
    years = fourth.astype("datetime64[D]").astype("datetime64[Y]")
    position, length = _within(years, fourth)
    number, weeks_after = (position - 1) // 7 + 1, (length - position) // 7
    return _either_end(number, number + weeks_after, rule.byweekno)


def _picked(on: _Booleans, unit: _Integers, wanted: tuple[int, ...]) -> _Booleans:
    """BYSETPOS: of the matching days of each period, those at the wanted positions from either end."""
    places = np.flatnonzero(on)
    _units, period, sizes = np.unique(unit[places], return_inverse=True, return_counts=True)
    position = np.arange(places.size) - (np.cumsum(sizes) - sizes)[period] + 1
    picked = np.zeros_like(on)
    picked[places[_either_end(position, sizes[period], wanted)]] = True
    return picked
