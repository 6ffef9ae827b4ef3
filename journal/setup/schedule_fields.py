"""The schedule of a habit or routine as fields of a form: everyday patterns, and back to the keys of journal.toml.

A pattern uses some of the fields; the others have their defaults. A rule that no pattern expresses has the pattern
"other", which keeps its text. `schedule_entered` reads the fields that a page sends.
"""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple, get_args

import msgspec

from journal.recurrence import WEEKDAY_CODES, Rule, WeekdayNum, parse
from journal.settings import WEEKDAYS, Habit, Routine, Weekday

SchedulePattern = Literal["day", "days", "weekdays", "month days", "month weekdays", "year", "quota", "other"]
PATTERNS: tuple[SchedulePattern, ...] = get_args(SchedulePattern)

QuotaPeriod = Literal["week", "month"]

MOST_TIMES: Mapping[QuotaPeriod, int] = {"week": 7, "month": 28}  # days in the shortest of each
GREATEST_INTERVAL = 999
ORDINALS = (1, 2, 3, 4, 5, -1)
_LAST = -1
_LEAP_YEAR = 2024  # has every day that a year can have


class ScheduleFields(msgspec.Struct, frozen=True, kw_only=True):
    """A schedule as fields.

    - day: every day. days: every `interval` days.
    - weekdays: every `interval` weeks on `weekdays` ("MO" to "SU").
    - month days: every `interval` months on `month_days` (1 to 31), and on the last day with `last_day`.
    - month weekdays: every `interval` months on the `ordinals` (1 to 5, -1 is the last) of `weekdays`.
    - year: every `interval` years on day `month_days` of `month` (1 to 12).
    - quota: `times` per `per`, on any days.
    - other: `rule`, an RFC 5545 rule.

    `weeks_from` is the weekday from which every second or third week is counted. `rule` is the rule as it stands in
    journal.toml, empty without one; it is written again as it stands while the fields say the same.
    """

    pattern: SchedulePattern = "day"
    interval: int = 1
    weekdays: tuple[str, ...] = ()
    ordinals: tuple[int, ...] = ()
    month_days: tuple[int, ...] = ()
    last_day: bool = False
    month: int | None = None
    times: int | None = None
    per: QuotaPeriod = "week"
    weeks_from: str = "MO"
    rule: str = ""


class ScheduleKeys(NamedTuple):
    """The keys of journal.toml for a schedule: `every`, or `times` and `per`. The others are None."""

    every: str | None
    times: int | None = None
    per: QuotaPeriod | None = None

    @property
    def table(self) -> dict[str, Any]:
        """The keys that are written.

        >>> ScheduleKeys(None, 3, "week").table
        {'times': 3, 'per': 'week'}
        """
        return {name: value for name, value in self._asdict().items() if value is not None}


def of(schedule: Habit | Routine, *, week_starts: Weekday) -> ScheduleFields:
    """The fields of a habit's or routine's schedule.

    >>> swim = Habit(key="swim", name="Swim", start=dt.date(2025, 5, 1), times=3, per="week")
    >>> fields = of(swim, week_starts="monday")
    >>> fields.pattern, fields.times, fields.per
    ('quota', 3, 'week')

    Raises RuleError for a rule that cannot be read.
    """
    if isinstance(schedule, Habit) and schedule.every is None:
        code = WEEKDAY_CODES[WEEKDAYS.index(week_starts)]
        return ScheduleFields(pattern="quota", times=schedule.times, per=schedule.per or "week", weeks_from=code)
    assert schedule.every is not None
    return of_rule(schedule.every, schedule.start, week_starts=week_starts)


def of_rule(text: str, start: dt.date, *, week_starts: Weekday) -> ScheduleFields:
    """The fields of a rule that counts from `start`. The journal's `week_starts` applies if the rule's own has no
    effect.

    >>> fields = of_rule("FREQ=WEEKLY;INTERVAL=2", dt.date(2025, 3, 14), week_starts="monday")
    >>> fields.pattern, fields.interval, fields.weekdays
    ('weekdays', 2, ('FR',))
    >>> of_rule("FREQ=MONTHLY;BYDAY=1MO,-1FR", dt.date(2025, 3, 14), week_starts="monday").pattern
    'other'

    Raises RuleError for a rule that cannot be read.
    """
    rule = parse(text).filled(start)
    fields = _pattern_of(rule) or ScheduleFields(pattern="other")
    has_weeks = fields.pattern == "weekdays" and rule.interval > 1
    weekday = rule.wkst if has_weeks else WEEKDAYS.index(week_starts)
    return msgspec.structs.replace(fields, weeks_from=WEEKDAY_CODES[weekday], rule=text)


def keys(fields: ScheduleFields, start: dt.date) -> ScheduleKeys:
    """The keys of journal.toml for a schedule from `start` on.

    >>> friday = dt.date(2025, 3, 14)
    >>> keys(ScheduleFields(pattern="month days", month_days=(1, 15), last_day=True), friday).every
    'FREQ=MONTHLY;BYMONTHDAY=1,15,-1'
    >>> keys(of_rule("freq=weekly", friday, week_starts="monday"), friday).every  # unchanged
    'freq=weekly'
    """
    if fields.pattern == "quota":
        return ScheduleKeys(None, fields.times, fields.per)
    if fields.pattern == "other":
        return ScheduleKeys(fields.rule)
    made = _rule_text(fields)
    if fields.rule:
        week_starts = WEEKDAYS[WEEKDAY_CODES.index(fields.weeks_from)]
        before = of_rule(fields.rule, start, week_starts=week_starts)
        if before.pattern != "other" and _rule_text(before) == made:
            return ScheduleKeys(fields.rule)
    return ScheduleKeys(made)


def _pattern_of(rule: Rule) -> ScheduleFields | None:
    """The fields of a filled rule, or None if no pattern expresses it."""
    has_no_field = rule.count or rule.until or rule.bysetpos or rule.byweekno or rule.byyearday
    if has_no_field or rule.interval > GREATEST_INTERVAL:
        return None
    if rule.bymonth:
        return _of_year(rule)
    if rule.bymonthday:
        return None if rule.byday else _of_month_days(rule)
    if rule.byday:
        return _of_weekdays(rule)
    return ScheduleFields(pattern="day" if rule.interval == 1 else "days", interval=rule.interval)


def _of_weekdays(rule: Rule) -> ScheduleFields | None:
    weekdays = tuple(WEEKDAY_CODES[n] for n in sorted({day.weekday for day in rule.byday}))
    if any(day.ordinal for day in rule.byday):
        return _of_month_weekdays(rule, weekdays) if rule.freq == "MONTHLY" else None
    if rule.interval == 1 and len(weekdays) == len(WEEKDAY_CODES):
        return ScheduleFields(pattern="day")
    # Every Monday of every month is every Monday; of every other month it is not.
    is_weekly = rule.interval == 1 or rule.freq == "WEEKLY"
    return ScheduleFields(pattern="weekdays", interval=rule.interval, weekdays=weekdays) if is_weekly else None


def _of_year(rule: Rule) -> ScheduleFields | None:
    plain = len(rule.bymonth) == len(rule.bymonthday) == 1 and not rule.byday
    if not plain or rule.freq != "YEARLY" or not 1 <= rule.bymonthday[0] <= month_length(rule.bymonth[0]):
        return None
    return ScheduleFields(pattern="year", interval=rule.interval, month=rule.bymonth[0], month_days=rule.bymonthday)


def _of_month_days(rule: Rule) -> ScheduleFields | None:
    if any(day < _LAST for day in rule.bymonthday) or (rule.interval > 1 and rule.freq != "MONTHLY"):
        return None
    days = tuple(day for day in rule.bymonthday if day > 0)
    return ScheduleFields(
        pattern="month days", interval=rule.interval, month_days=days, last_day=_LAST in rule.bymonthday
    )


def _of_month_weekdays(rule: Rule, weekdays: tuple[str, ...]) -> ScheduleFields | None:
    """Each of the ordinals with each of the weekdays, or None for other combinations."""
    ordinals = tuple(n for n in ORDINALS if n in {day.ordinal for day in rule.byday})
    every_pair = {WeekdayNum(WEEKDAY_CODES.index(code), n) for code in weekdays for n in ordinals}
    if every_pair != set(rule.byday):
        return None
    return ScheduleFields(pattern="month weekdays", interval=rule.interval, weekdays=weekdays, ordinals=ordinals)


def month_length(month: int) -> int:
    """The most days a month can have."""
    return calendar.monthrange(_LEAP_YEAR, month)[1]


def _rule_text(fields: ScheduleFields) -> str:
    every = f";INTERVAL={fields.interval}" if fields.interval > 1 else ""
    match fields.pattern:
        case "days":
            return f"FREQ=DAILY{every}"
        case "weekdays":
            weeks = f";WKST={fields.weeks_from}" if every and fields.weeks_from != "MO" else ""
            return f"FREQ=WEEKLY{every};BYDAY={','.join(fields.weekdays)}{weeks}"
        case "month days":
            days = [*map(str, fields.month_days), *([str(_LAST)] if fields.last_day else [])]
            return f"FREQ=MONTHLY{every};BYMONTHDAY={','.join(days)}"
        case "month weekdays":
            days = [f"{n}{code}" for n in fields.ordinals for code in fields.weekdays]
            return f"FREQ=MONTHLY{every};BYDAY={','.join(days)}"
        case "year":
            return f"FREQ=YEARLY{every};BYMONTH={fields.month};BYMONTHDAY={fields.month_days[0]}"
        case _:
            return "FREQ=DAILY"
