"""Recurrence rules of RFC 5545 (Desruisseaux 2009, section 3.3.10) for whole days: the typed rule, read from text.

`journal.schedule` computes all days of a rule at once. `falls_on` looks at one day, without numpy: for a few days that
is quicker than the import alone. `journal.wording.rules` puts a rule into words.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from typing import Any, Literal, cast

import msgspec

from journal.errors import RuleError
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, LazyText, Phrase, any_of

Frequency = Literal["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]

WEEKDAY_CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")

_FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_SUB_DAILY = ("SECONDLY", "MINUTELY", "HOURLY", "BYSECOND", "BYMINUTE", "BYHOUR")
_EXAMPLES = {
    "FREQ": "FREQ=DAILY", "INTERVAL": "INTERVAL=2", "COUNT": "COUNT=10", "UNTIL": "UNTIL=20251231", "WKST": "WKST=MO",
    "BYMONTH": "BYMONTH=6,7", "BYWEEKNO": "BYWEEKNO=20", "BYYEARDAY": "BYYEARDAY=1,-1", "BYMONTHDAY": "BYMONTHDAY=1,-1",
    "BYDAY": "BYDAY=MO,FR", "BYSETPOS": "BYSETPOS=-1",
}  # fmt: skip
_NAMES = ", ".join(_EXAMPLES)
_GREATEST = {"BYMONTH": 12, "BYWEEKNO": 53, "BYYEARDAY": 366, "BYMONTHDAY": 31, "BYSETPOS": 366}
_WEEKDAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
_DAY = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_LEAVE_OUT = L_("leave it out")
_YEARLY_ONLY = N_("{name} goes with FREQ=YEARLY only")
_YEARLY = L_("write FREQ=YEARLY or leave it out")
_MONTHLY = L_("write FREQ=MONTHLY or leave it out")
_FIFTH = L_("write e.g. {example}", example=any_of(["BYDAY=5MO", "-1MO"]))
_SOME_DAYS = L_("add e.g. {example}", example="BYDAY=MO,TU,WE,TH,FR")
_NUMBERED = L_("a numbered weekday goes with FREQ=MONTHLY or YEARLY only")
_MONDAYS = L_("write e.g. {example}", example="BYDAY=MO")
_LAST_DAY = N_("write the last day, e.g. {example}")
_FROM_EITHER_END = N_("write whole numbers from 1 to {high} or from -{high} to -1, counted from the end")
_WEEKDAYS_A_MONTH, _WEEKDAYS_A_YEAR = 5, 53  # the most occurrences of one weekday


class WeekdayNum(msgspec.Struct, frozen=True, order=True):
    """A value of BYDAY: a weekday (0 is Monday) and its ordinal in the month or year (0: every one, -1: the last)."""

    weekday: int
    ordinal: int = 0


class Rule(msgspec.Struct, frozen=True, kw_only=True):
    """A recurrence rule. Its parts are named as in RFC 5545; absent parts are None or empty."""

    freq: Frequency
    interval: int = 1
    count: int | None = None
    until: dt.date | None = None
    wkst: int = 0
    bymonth: tuple[int, ...] = ()
    byweekno: tuple[int, ...] = ()
    byyearday: tuple[int, ...] = ()
    bymonthday: tuple[int, ...] = ()
    byday: tuple[WeekdayNum, ...] = ()
    bysetpos: tuple[int, ...] = ()

    def filled(self, start: dt.date) -> Rule:
        """The rule with the parts that its start implies: the weekday, or the day of the month or year.

        >>> parse("FREQ=MONTHLY").filled(dt.date(2025, 3, 13)).bymonthday
        (13,)
        """
        if self.freq == "DAILY" or self.byweekno or self.byyearday or self.bymonthday or self.byday:
            return self
        if self.freq == "WEEKLY":
            return msgspec.structs.replace(self, byday=(WeekdayNum(start.weekday()),))
        bymonth = self.bymonth or ((start.month,) if self.freq == "YEARLY" else ())
        return msgspec.structs.replace(self, bymonth=bymonth, bymonthday=(start.day,))


def parse(text: str) -> Rule:
    """Parse a recurrence rule, in upper or lower case, with or without the prefix "RRULE:".

    UNTIL is the last day, inclusive. A value that occurs twice in a list counts once.

    >>> parse("freq=monthly;byday=-1fr").byday
    (WeekdayNum(weekday=4, ordinal=-1),)

    Raises RuleError, one line with the remedy, for anything that RFC 5545 does not allow in a rule for whole days.

    >>> parse("DAILY")
    Traceback (most recent call last):
    journal.errors.RuleError: "DAILY": DAILY stands without its name; write FREQ=DAILY
    """
    try:
        values = _values(text.strip().upper().removeprefix("RRULE:"))
        rule = Rule(**{name.lower(): _read(name, value) for name, value in values.items()})
        _check_together(rule)
    except RuleError as error:
        raise RuleError(error.reason, error.remedy, rule=_quoted(text)) from None
    return rule


def falls_on(rule: Rule, start: dt.date, day: dt.date) -> bool:
    """Whether a day is due by a rule that is `filled` with its start, as `schedule.due` has it.

    >>> start = dt.date(2025, 3, 14)
    >>> rule = parse("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR").filled(start)
    >>> [day for day in range(14, 29) if falls_on(rule, start, dt.date(2025, 3, day))]
    [14, 28]

    Raises NotImplementedError for a rule with COUNT or BYSETPOS: whether a day is due depends on others there.
    """
    if rule.count is not None or rule.bysetpos:
        raise NotImplementedError
    if day < start or (rule.until is not None and day > rule.until):
        return False
    return (
        (_unit(rule, day) - _unit(rule, start)) % rule.interval == 0
        and (not rule.bymonth or day.month in rule.bymonth)
        and (not rule.byweekno or _is_in_weeks(rule, day))
        and (not rule.byyearday or _is_either_end(*_in_year(day), rule.byyearday))
        and (not rule.bymonthday or _is_either_end(*_in_month(day), rule.bymonthday))
        and (not rule.byday or _is_on_weekday(rule, day))
    )


def _unit(rule: Rule, day: dt.date) -> int:
    """The running number of the day, week, month or year of a day, by the rule's frequency."""
    match rule.freq:
        case "DAILY":
            return day.toordinal()
        case "WEEKLY":
            return (day.toordinal() - 1 - rule.wkst) // 7  # day 1 is a Monday
        case "MONTHLY":
            return day.year * 12 + day.month
        case "YEARLY":
            return day.year


def _in_month(day: dt.date) -> tuple[int, int]:
    """The position of a day in its month, from 1, and the length of the month."""
    later = day.replace(day=28) + dt.timedelta(days=4)
    return day.day, (later - dt.timedelta(days=later.day)).day


def _in_year(day: dt.date) -> tuple[int, int]:
    """The position of a day in its year, from 1, and the length of the year."""
    first = dt.date(day.year, 1, 1)
    return (day - first).days + 1, (dt.date(day.year, 12, 31) - first).days + 1


def _is_either_end(position: int, length: int, wanted: tuple[int, ...]) -> bool:
    return position in wanted or position - length - 1 in wanted


def _is_in_weeks(rule: Rule, day: dt.date) -> bool:
    fourth = day + dt.timedelta(days=3 - (day.weekday() - rule.wkst) % 7)
    position, length = _in_year(fourth)
    number, weeks_after = (position - 1) // 7 + 1, (length - position) // 7
    return _is_either_end(number, number + weeks_after, rule.byweekno)


def _is_on_weekday(rule: Rule, day: dt.date) -> bool:
    is_of_year = rule.freq == "YEARLY" and not rule.bymonth
    position, length = _in_year(day) if is_of_year else _in_month(day)
    ordinals = (0, (position - 1) // 7 + 1, -((length - position) // 7) - 1)
    return any(day.weekday() == wanted.weekday and wanted.ordinal in ordinals for wanted in rule.byday)


def _quoted(text: str) -> str:
    """A text as one short quoted line. Unprintable characters are escaped."""
    short = text if len(text) <= 80 else text[:77] + "..."
    return f'"{"".join(character if character.isprintable() else _escaped(character) for character in short)}"'


def _escaped(character: str) -> str:
    return character.encode("unicode_escape").decode("ascii")


def _is(name: str, value: str) -> LazyText:
    return L_("{name} is {value}", name=name, value=_quoted(value))


def _has(name: str, value: str) -> LazyText:
    return L_("{name} has {value}", name=name, value=_quoted(value))


def _one_of(names: Iterable[str]) -> LazyText:
    return L_("write one of {names}", names=", ".join(names))


def _values(body: str) -> dict[str, str]:
    """Map the names of a rule's parts to their values. Raises RuleError for duplicate, empty and unknown parts."""
    values: dict[str, str] = {}
    for part in body.split(";"):
        name, _, value = part.partition("=")
        if name in _SUB_DAILY:
            raise RuleError(L_("{name} is finer than a day, and habits are due on days only", name=name), _LEAVE_OUT)
        if name not in _EXAMPLES:
            if name in _FREQUENCIES:
                reason = L_("{name} stands without its name", name=name)
                raise RuleError(reason, L_("write {name}", name=f"FREQ={name}"))
            import difflib  # noqa: PLC0415 (for mistakes only)

            near = difflib.get_close_matches(name, _EXAMPLES, n=1)
            known = L_("did you mean {name}?", name=near[0]) if near else L_("the parts are {names}", names=_NAMES)
            raise RuleError(L_("{value} is no part of a rule", value=_quoted(part)), known)
        if name in values:
            remedy = L_("keep one, and list several values after one {name}=", name=name)
            raise RuleError(L_("{name} is given twice", name=name), remedy)
        if not value:
            raise RuleError(L_("{name} has no value", name=name), L_("write e.g. {example}", example=_EXAMPLES[name]))
        values[name] = value
    if "FREQ" not in values:
        raise RuleError(L_("it does not say how often"), L_("begin with FREQ=DAILY, WEEKLY, MONTHLY or YEARLY"))
    return values


def _read(name: str, value: str) -> Any:
    """Parse the value of one part to the type of its field."""
    if name == "FREQ":
        return _frequency(value)
    if name in ("INTERVAL", "COUNT"):
        return _positive(name, value)
    if name == "UNTIL":
        return _until(value)
    if name == "WKST":
        if value not in WEEKDAY_CODES:
            raise RuleError(L_("WKST is no weekday in {value}", value=_quoted(value)), _one_of(WEEKDAY_CODES))
        return WEEKDAY_CODES.index(value)
    reader = _weekday if name == "BYDAY" else _number
    return tuple(sorted({reader(name, item) for item in value.split(",")}))


def _frequency(value: str) -> Frequency:
    if value in _SUB_DAILY:
        reason = L_("{name} is finer than a day, and habits are due on days only", name=value)
        raise RuleError(reason, L_("write {name}", name="FREQ=DAILY"))
    if value not in _FREQUENCIES:
        raise RuleError(_is("FREQ", value), _one_of(_FREQUENCIES))
    return cast("Frequency", value)


def _positive(name: str, value: str) -> int:
    # Five digits: 99999 days are 273 years, longer than any journal, and day arithmetic cannot overflow.
    if not re.fullmatch(r"[0-9]{1,5}", value) or int(value) == 0:
        remedy = L_("write a whole number from 1 to {high}, e.g. {example}", high="99999", example=_EXAMPLES[name])
        raise RuleError(_is(name, value), remedy)
    return int(value)


def _until(value: str) -> dt.date:
    match = _DAY.fullmatch(value)
    try:
        if match is not None:
            return dt.date(*map(int, match.groups()))
    except ValueError:
        pass
    text = N_("write the last day without an hour, e.g. {example}") if "T" in value else _LAST_DAY
    raise RuleError(_is("UNTIL", value), L_(text, example=_EXAMPLES["UNTIL"]))


def _weekday(name: str, item: str) -> WeekdayNum:
    match = _WEEKDAY.fullmatch(item)
    if match is None or (match[1] is not None and not 1 <= abs(int(match[1])) <= _WEEKDAYS_A_YEAR):
        raise RuleError(_has(name, item), L_("write e.g. MO, or 1MO for the first, -1MO for the last Monday"))
    return WeekdayNum(WEEKDAY_CODES.index(match[2]), int(match[1] or 0))


def _number(name: str, item: str) -> int:
    greatest = _GREATEST[name]
    number = int(item) if re.fullmatch(r"[+-]?[0-9]{1,3}", item) else 0
    if not 1 <= abs(number) <= greatest or (number < 0 and name == "BYMONTH"):
        text = N_("write whole numbers from 1 to {high}") if name == "BYMONTH" else _FROM_EITHER_END
        raise RuleError(_has(name, item), L_(text, high=greatest))
    return number


def _check_together(rule: Rule) -> None:
    """Reject combinations that RFC 5545 section 3.3.10 forbids, and rules that never occur."""
    ordinals = [day.ordinal for day in rule.byday if day.ordinal]
    most = _WEEKDAYS_A_MONTH if rule.freq == "MONTHLY" or rule.bymonth else _WEEKDAYS_A_YEAR
    by = (rule.bymonth, rule.byweekno, rule.byyearday, rule.bymonthday, rule.byday)
    conditions: tuple[tuple[object, Phrase, Phrase], ...] = (
        (rule.count and rule.until, L_("COUNT and UNTIL both say where it ends"), L_("keep one of them")),
        (rule.byweekno and rule.freq != "YEARLY", L_(_YEARLY_ONLY, name="BYWEEKNO"), _YEARLY),
        (rule.byyearday and rule.freq != "YEARLY", L_(_YEARLY_ONLY, name="BYYEARDAY"), _YEARLY),
        (rule.bymonthday and rule.freq == "WEEKLY", L_("BYMONTHDAY does not go with FREQ=WEEKLY"), _MONTHLY),
        (ordinals and rule.freq in ("DAILY", "WEEKLY"), _NUMBERED, _MONDAYS),
        (ordinals and rule.byweekno, L_("a numbered weekday does not go with BYWEEKNO"), _MONDAYS),
        (any(abs(n) > most for n in ordinals), L_("a month has at most 5 of any weekday"), _FIFTH),
        (rule.bysetpos and not any(by), L_("BYSETPOS picks among days that another BY part names"), _SOME_DAYS),
    )
    for holds, reason, remedy in conditions:
        if holds:
            raise RuleError(reason, remedy)
