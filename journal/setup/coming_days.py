"""The next due days of a schedule as text, shown before it is saved."""

from __future__ import annotations

import datetime as dt

from journal import schedule
from journal.language.catalogue import _
from journal.setup.schedule_fields import ScheduleKeys
from journal.wording import dates, numbers, rules

_SHOWN = 4
_YEARS_AHEAD = 12  # more than the eight years that may lie between two 29ths of February
_DAY = dt.timedelta(days=1)


def due_days(
    keys: ScheduleKeys, start: dt.date, *, first: dt.date, until: dt.date | None = None, most: int = _SHOWN
) -> list[dt.date]:
    """The next due days of a rule that counts from `start`, from `first` to `until`, at most `most`, within twelve
    years. A quota has none.

    >>> rule = ScheduleKeys("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR")
    >>> [day.isoformat() for day in due_days(rule, dt.date(2025, 3, 14), first=dt.date(2025, 3, 15), most=2)]
    ['2025-03-28', '2025-04-11']

    Raises RuleError for a rule that cannot be read.
    """
    if keys.every is None:
        return []
    first = max(first, start)
    final = dt.date(first.year + _YEARS_AHEAD, 1, 1)
    days: list[dt.date] = []
    window_days = 62  # most rules show enough days in two months; rare ones are searched in growing steps
    while first <= (last := min(final, until or final)) and len(days) < most:
        last = min(last, first + (window_days - 1) * _DAY)
        due = schedule.due(keys.every, start, first, last)
        days += [first + place * _DAY for place in due.arg_true().to_list()]
        first, window_days = last + _DAY, window_days * 4
    return days[:most]


def words(keys: ScheduleKeys, start: dt.date, *, first: dt.date, until: dt.date | None = None) -> str:
    """A schedule with its next due days, as text.

    >>> monday = dt.date(2025, 3, 3)
    >>> words(ScheduleKeys("FREQ=WEEKLY;BYDAY=FR"), monday, first=dt.date(2025, 12, 20))
    'Every Friday: 26 December, 2 January 2026, 9 January 2026, 16 January 2026 and so on.'
    >>> words(ScheduleKeys("FREQ=WEEKLY;BYDAY=TU,FR"), monday, first=monday, until=dt.date(2025, 3, 8))
    'Tuesdays and Fridays: Tuesday 4 March and Friday 7 March, then no more.'
    >>> words(ScheduleKeys(None, 3, "week"), monday, first=monday)
    '3 times a week, on any days.'
    >>> words(ScheduleKeys("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"), monday, first=monday).partition(": ")[2]
    'no day in the next twelve years.'
    """
    if keys.every is None:
        often = rules.quota(keys.times or 1, keys.per or "week")
        return _sentence(f"{often}, {listed(keys, start, first=first)}.")
    return _sentence(f"{rules.words(keys.every, start)}: {listed(keys, start, first=first, until=until)}.")


def listed(keys: ScheduleKeys, start: dt.date, *, first: dt.date, until: dt.date | None = None) -> str:
    """The next due days of a schedule as text.

    >>> listed(ScheduleKeys("FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"), dt.date(2025, 3, 14), first=dt.date(2025, 4, 1))
    '11 April, 25 April, 9 May, 23 May and so on'
    """
    if keys.every is None:
        return _("on any days")
    days = due_days(keys, start, first=first, until=until, most=_SHOWN + 1)
    if not days:
        if until is None:
            return _("no day in the next twelve years")
        return _("no day until {date}", date=dates.day(until, weekday=False, year=True))
    has_one_weekday = len({day.weekday() for day in days}) == 1
    texts = [dates.day(day, weekday=not has_one_weekday, year=day.year != first.year) for day in days]
    if len(days) > _SHOWN:
        return _("{days} and so on", days=_between(texts).join(texts[:_SHOWN]))
    days_listed = numbers.listed(texts) if _between(texts) == ", " else "; ".join(texts)
    return _("{days}, then no more", days=days_listed)


def _between(texts: list[str]) -> str:
    """What stands between dates, which may have a comma of their own."""
    return "; " if any("," in text for text in texts) else ", "


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]
