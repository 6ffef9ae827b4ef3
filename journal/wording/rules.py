"""Recurrence rules and quotas as text: "every other Friday", "3 times a week".

A rule without an everyday name is described part by part. Such a text is correct, if long.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Literal

from journal.recurrence import Rule, parse
from journal.wording import dates, numbers

_UNITS = {"DAILY": "day", "WEEKLY": "week", "MONTHLY": "month", "YEARLY": "year"}
_NUMBER_WORDS = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", -1: "last"}
_SHORTEST_MONTH = 28  # every month has at least 28 days
_MOST_WEEKDAYS_A_MONTH = 5  # a fifth Monday is in some months only
_WHERE_THERE_IS_ONE = ", where there is one"


def words(rule: str | Rule, start: dt.date) -> str:
    """The text of a rule that counts from `start`.

    >>> monday = dt.date(2025, 3, 3)
    >>> words("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", monday), words("FREQ=MONTHLY;BYDAY=-1FR", monday)
    ('every other Friday', 'the last Friday of the month')
    >>> words("FREQ=WEEKLY;BYDAY=MO,WE,FR;UNTIL=20251231", monday)
    'Mondays, Wednesdays and Fridays, until 31 December 2025'

    Raises RuleError for a rule that cannot be read.
    """
    rule = (parse(rule) if isinstance(rule, str) else rule).filled(start)
    return (_everyday_name(rule) or _description(rule)) + _end(rule)


def quota(times: int, per: Literal["week", "month"]) -> str:
    """The text of a quota.

    >>> quota(1, "month"), quota(3, "week")
    ('once a month', '3 times a week')
    """
    return f"{numbers.times(times)} a {per}"


def _everyday_name(rule: Rule) -> str:
    """The everyday name, or "" if the rule has none."""
    if rule.bysetpos or rule.byweekno or rule.byyearday:
        return ""
    if rule.bymonthday:
        return _by_date(rule)
    return _by_weekday(rule) if rule.byday or rule.bymonth else _every(rule)


def _by_date(rule: Rule) -> str:
    if rule.byday:
        plain = len(rule.byday) == len(rule.bymonthday) == rule.interval == 1 and not rule.byday[0].ordinal
        return (
            f"{_weekdays(rule)} the {_month_days(rule)}{_in_months(rule)}" if plain and rule.bymonthday[0] > 0 else ""
        )
    if rule.bymonth:
        return _date_of_year(rule) if rule.freq == "YEARLY" else ""
    often = "monthly" if rule.interval == 1 else _every(rule)
    rare = any(abs(day) > _SHORTEST_MONTH for day in rule.bymonthday)
    name = f"{often} on the {_month_days(rule)}{_WHERE_THERE_IS_ONE if rare else ''}"
    return name if rule.freq == "MONTHLY" or rule.interval == 1 else ""


def _date_of_year(rule: Rule) -> str:
    if len(rule.bymonth) > 1 or len(rule.bymonthday) > 1:
        return ""
    (month,), (day,) = _months(rule), rule.bymonthday
    if day < 0:
        return f"{_every(rule)} on the {_month_days(rule)} of {month}"
    return f"{_every(rule)} on {day} {month}{_WHERE_THERE_IS_ONE if (month, day) == ('February', 29) else ''}"


def _by_weekday(rule: Rule) -> str:
    if any(day.ordinal for day in rule.byday):
        return _numbered_weekdays(rule)
    if rule.interval == 1:
        return _weekdays(rule) + _in_months(rule)
    if rule.freq != "WEEKLY" or rule.bymonth:
        return ""
    names = _weekday_names(rule)
    if (len(names), rule.interval) == (1, 2):
        return f"every other {names[0]}"
    return f"{_every(rule)} on {numbers.listed(names)}"


def _numbered_weekdays(rule: Rule) -> str:
    """E.g. "the first and third Monday of the month", or "" if a number has no everyday word."""
    in_month = rule.freq == "MONTHLY" and not rule.bymonth
    if not (in_month or (rule.freq == "YEARLY" and rule.bymonth)):
        return ""
    if not all(day.ordinal in _NUMBER_WORDS for day in rule.byday):
        return ""
    by_name: dict[str, list[str]] = {}
    for day in sorted(rule.byday, key=lambda day: (day.ordinal < 0, day.ordinal, day.weekday)):
        by_name.setdefault(dates.WEEKDAY_NAMES[day.weekday], []).append(_NUMBER_WORDS[day.ordinal])
    days = numbers.listed(f"the {numbers.listed(places)} {name}" for name, places in by_name.items())
    months = "" if in_month else f" of {numbers.listed(_months(rule))}"
    rare = _WHERE_THERE_IS_ONE if any(day.ordinal == _MOST_WEEKDAYS_A_MONTH for day in rule.byday) else ""
    return (f"{days} of the month" if in_month and rule.interval == 1 else f"{_every(rule)} on {days}{months}") + rare


def _every(rule: Rule) -> str:
    unit = _UNITS[rule.freq]
    return {1: f"every {unit}", 2: f"every other {unit}"}.get(rule.interval, f"every {rule.interval} {unit}s")


def _weekday_names(rule: Rule) -> list[str]:
    """Weekday names of a rule without ordinals, in the order of its week."""
    days = sorted({day.weekday for day in rule.byday}, key=lambda day: (day - rule.wkst) % 7)
    return [dates.WEEKDAY_NAMES[day] for day in days]


def _weekdays(rule: Rule) -> str:
    names = _weekday_names(rule)
    if len(names) in (0, 7):
        return "every day"
    if set(names) == set(dates.WEEKDAY_NAMES[:5]):
        return "every weekday"
    return f"every {names[0]}" if len(names) == 1 else numbers.listed(f"{name}s" for name in names)


def _months(rule: Rule) -> list[str]:
    return [dates.MONTH_NAMES[month - 1] for month in rule.bymonth]


def _in_months(rule: Rule) -> str:
    return f" in {numbers.listed(_months(rule))}" if rule.bymonth else ""


def _month_days(rule: Rule) -> str:
    return _places(rule.bymonthday, "and", " day")


def _places(values: Iterable[int], last: str, noun: str = "") -> str:
    """Positions from the front, then from the back: "1st, 15th and last day"."""
    front = [numbers.ordinal(value) for value in sorted(values) if value > 0]
    back = [_from_back(value) + noun for value in sorted(values, reverse=True) if value < 0]
    return numbers.listed([*front, *back], last)


def _from_back(value: int) -> str:
    return "last" if value == -1 else f"{numbers.ordinal(-value)} to last"


def _description(rule: Rule) -> str:
    """The rule as conditions on days, one per part, for a rule without an everyday name."""
    conditions = [
        f"in {numbers.listed(_months(rule), 'or')}" if rule.bymonth else "",
        f"in the {_places(rule.byweekno, 'or')} week of the year" if rule.byweekno else "",
        f"on the {_places(rule.byyearday, 'or')} day of the year" if rule.byyearday else "",
        f"on the {_places(rule.bymonthday, 'or')} day of the month" if rule.bymonthday else "",
        f"on {numbers.listed(_any_weekday(rule), 'or')}" if rule.byday else "",
    ]
    days = f"days {', '.join(condition for condition in conditions if condition)}"
    if rule.bysetpos:
        return f"{_every(rule)}: the {_places(rule.bysetpos, 'and')} of the {days}"
    return days if rule.interval == 1 else f"{_every(rule)}: {days}"


def _any_weekday(rule: Rule) -> list[str]:
    period = "year" if rule.freq == "YEARLY" and not rule.bymonth else "month"
    return [
        f"the {_places([day.ordinal], 'or')} {dates.WEEKDAY_NAMES[day.weekday]} of the {period}"
        if day.ordinal
        else f"a {dates.WEEKDAY_NAMES[day.weekday]}"
        for day in rule.byday
    ]


def _end(rule: Rule) -> str:
    """The end of the rule, and the start of its weeks if that makes a difference."""
    weekly = rule.freq == "WEEKLY" and (rule.bysetpos or (rule.interval > 1 and len(rule.byday) > 1))
    week = f", weeks from {dates.WEEKDAY_NAMES[rule.wkst]}" if rule.wkst and (weekly or rule.byweekno) else ""
    if rule.count is not None:
        return f"{week}, {'once only' if rule.count == 1 else f'{rule.count} times in all'}"
    if rule.until is not None:
        return f"{week}, until {dates.day(rule.until, weekday=False, year=True)}"
    return week
