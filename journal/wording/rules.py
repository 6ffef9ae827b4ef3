"""Recurrence rules and quotas as text: "every other Friday", "3 times a week".

A rule without an everyday name is described part by part. Such a text is correct, if long.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Literal

from journal.language.catalogue import N_, _, _n
from journal.language.spoken import spoken
from journal.recurrence import Rule, parse
from journal.wording import dates, numbers

_NUMBER_WORDS = {1: N_("first"), 2: N_("second"), 3: N_("third"), 4: N_("fourth"), 5: N_("fifth"), -1: N_("last")}
_NEAR_THE_END = {  # a language may have words for these
    -2: (N_("2nd to last day"), N_("2nd to last")),
    -3: (N_("3rd to last day"), N_("3rd to last")),
}
_OFTEN = (
    N_("Mondays"), N_("Tuesdays"), N_("Wednesdays"), N_("Thursdays"), N_("Fridays"), N_("Saturdays"), N_("Sundays"),
)  # fmt: skip
_SHORTEST_MONTH = 28  # every month has at least 28 days
_MOST_WEEKDAYS_A_MONTH = 5  # a fifth Monday is in some months only
_WORKING_DAYS = 5


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
    often = numbers.times(times)
    return _("{often} a week", often=often) if per == "week" else _("{often} a month", often=often)


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
        if not (plain and rule.bymonthday[0] > 0):
            return ""
        name = _("{weekdays} the {days}", weekdays=_weekdays(rule), days=_month_days(rule))
        return _in_months(rule, name)
    if rule.bymonth:
        return _date_of_year(rule) if rule.freq == "YEARLY" else ""
    rare = any(abs(day) > _SHORTEST_MONTH for day in rule.bymonthday)
    if rule.interval == 1:
        name = _("monthly on the {days}", days=_month_days(rule))
    else:
        name = _("{often} on the {days}", often=_every(rule), days=_month_days(rule))
    name = _where_there_is_one(name) if rare else name
    return name if rule.freq == "MONTHLY" or rule.interval == 1 else ""


def _where_there_is_one(name: str) -> str:
    return _("{often}, where there is one", often=name)


def _date_of_year(rule: Rule) -> str:
    if len(rule.bymonth) > 1 or len(rule.bymonthday) > 1:
        return ""
    (month,), (name,), (day,) = rule.bymonth, _months(rule), rule.bymonthday
    if day < 0:
        return _("{often} on the {days} of {month}", often=_every(rule), days=_month_days(rule), month=name)
    date = spoken().date.format(day=day, month=name)
    text = _("{often} on {date}", often=_every(rule), date=date)
    return _where_there_is_one(text) if (month, day) == (2, 29) else text


def _by_weekday(rule: Rule) -> str:
    if any(day.ordinal for day in rule.byday):
        return _numbered_weekdays(rule)
    if rule.interval == 1:
        return _in_months(rule, _weekdays(rule))
    if rule.freq != "WEEKLY" or rule.bymonth:
        return ""
    names = [dates.weekday(place) for place in _weekday_places(rule)]
    if (len(names), rule.interval) == (1, 2):
        return _("every other {weekday}", weekday=names[0])
    return _("{often} on {weekdays}", often=_every(rule), weekdays=numbers.listed(names))


def _numbered_weekdays(rule: Rule) -> str:
    """E.g. "the first and third Monday of the month", or "" if a number has no everyday word."""
    in_month = rule.freq == "MONTHLY" and not rule.bymonth
    if not (in_month or (rule.freq == "YEARLY" and rule.bymonth)):
        return ""
    if not all(day.ordinal in _NUMBER_WORDS for day in rule.byday):
        return ""
    by_name: dict[str, list[str]] = {}
    for day in sorted(rule.byday, key=lambda day: (day.ordinal < 0, day.ordinal, day.weekday)):
        by_name.setdefault(dates.weekday(day.weekday), []).append(_(_NUMBER_WORDS[day.ordinal]))
    days = numbers.listed(
        _("the {numbers} {weekday}", numbers=numbers.listed(places), weekday=name) for name, places in by_name.items()
    )
    if in_month and rule.interval == 1:
        text = _("{days} of the month", days=days)
    elif in_month:
        text = _("{often} on {days}", often=_every(rule), days=days)
    else:
        text = _("{often} on {days} of {months}", often=_every(rule), days=days, months=numbers.listed(_months(rule)))
    rare = any(day.ordinal == _MOST_WEEKDAYS_A_MONTH for day in rule.byday)
    return _where_there_is_one(text) if rare else text


def _every(rule: Rule) -> str:
    """How often the period of a rule comes: "every other week"."""
    count = rule.interval
    if rule.freq == "DAILY":
        return {1: _("every day"), 2: _("every other day")}.get(count) or _n(
            "every {count} day", "every {count} days", count
        )
    if rule.freq == "WEEKLY":
        return {1: _("every week"), 2: _("every other week")}.get(count) or _n(
            "every {count} week", "every {count} weeks", count
        )
    if rule.freq == "MONTHLY":
        return {1: _("every month"), 2: _("every other month")}.get(count) or _n(
            "every {count} month", "every {count} months", count
        )
    return {1: _("every year"), 2: _("every other year")}.get(count) or _n(
        "every {count} year", "every {count} years", count
    )


def _weekday_places(rule: Rule) -> list[int]:
    """The weekdays of a rule without ordinals, Monday 0, in the order of its week."""
    return sorted({day.weekday for day in rule.byday}, key=lambda day: (day - rule.wkst) % 7)


def _weekdays(rule: Rule) -> str:
    places = _weekday_places(rule)
    if len(places) in (0, 7):
        return _("every day")
    if set(places) == set(range(_WORKING_DAYS)):
        return _("every weekday")
    if len(places) == 1:
        return _("every {weekday}", weekday=dates.weekday(places[0]))
    return numbers.listed(_(_OFTEN[place]) for place in places)


def _months(rule: Rule) -> list[str]:
    return [dates.month_name(month) for month in rule.bymonth]


def _in_months(rule: Rule, often: str) -> str:
    return _("{often} in {months}", often=often, months=numbers.listed(_months(rule))) if rule.bymonth else often


def _month_days(rule: Rule) -> str:
    return _places(rule.bymonthday, "and", of_days=True)


def _places(values: Iterable[int], last: Literal["and", "or"], *, of_days: bool = False) -> str:
    """Positions from the front, then from the back: "1st, 15th and last day"."""
    front = [numbers.ordinal(value) for value in sorted(values) if value > 0]
    back = [_from_back(value, of_days) for value in sorted(values, reverse=True) if value < 0]
    return numbers.listed([*front, *back], last)


def _from_back(value: int, of_days: bool) -> str:
    if value == -1:
        return _("last day") if of_days else _("last")
    if value in _NEAR_THE_END:
        return _(_NEAR_THE_END[value][0] if of_days else _NEAR_THE_END[value][1])
    number = numbers.ordinal(-value)
    return _("{number} to last day", number=number) if of_days else _("{number} to last", number=number)


def _description(rule: Rule) -> str:
    """The rule as conditions on days, one per part, for a rule without an everyday name."""
    conditions = [
        _("in {months}", months=numbers.listed(_months(rule), "or")) if rule.bymonth else "",
        _("in the {numbers} week of the year", numbers=_places(rule.byweekno, "or")) if rule.byweekno else "",
        _("on the {numbers} day of the year", numbers=_places(rule.byyearday, "or")) if rule.byyearday else "",
        _("on the {numbers} day of the month", numbers=_places(rule.bymonthday, "or")) if rule.bymonthday else "",
        _("on {weekdays}", weekdays=numbers.listed(_any_weekday(rule), "or")) if rule.byday else "",
    ]
    days = _("days {conditions}", conditions=", ".join(condition for condition in conditions if condition))
    if rule.bysetpos:
        places = _places(rule.bysetpos, "and")
        return _("{often}: the {numbers} of the {days}", often=_every(rule), numbers=places, days=days)
    return days if rule.interval == 1 else _("{often}: {days}", often=_every(rule), days=days)


def _any_weekday(rule: Rule) -> list[str]:
    in_year = rule.freq == "YEARLY" and not rule.bymonth
    names = []
    for day in rule.byday:
        name = dates.weekday(day.weekday)
        if not day.ordinal:
            names.append(_("a {weekday}", weekday=name))
            continue
        number = _places([day.ordinal], "or")
        names.append(
            _("the {number} {weekday} of the year", number=number, weekday=name)
            if in_year
            else _("the {number} {weekday} of the month", number=number, weekday=name)
        )
    return names


def _end(rule: Rule) -> str:
    """The end of the rule, and the start of its weeks if that makes a difference."""
    weekly = rule.freq == "WEEKLY" and (rule.bysetpos or (rule.interval > 1 and len(rule.byday) > 1))
    week = ""
    if rule.wkst and (weekly or rule.byweekno):
        week = _(", weeks from {weekday}", weekday=dates.weekday(rule.wkst))
    if rule.count is not None:
        return week + (_(", once only") if rule.count == 1 else _(", {count} times in all", count=rule.count))
    if rule.until is not None:
        return week + _(", until {date}", date=dates.day(rule.until, weekday=False, year=True))
    return week
