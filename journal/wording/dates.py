"""Dates, date ranges, times of day and durations as text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from itertools import groupby
from typing import Literal

from journal.language.catalogue import _, _p
from journal.language.spoken import spoken
from journal.periods import Period
from journal.wording import numbers


def weekday(place: int) -> str:
    """The name of a weekday, from Monday, 0.

    >>> weekday(dt.date(2025, 3, 13).weekday())
    'Thursday'
    """
    return spoken().weekdays[place]


def weekday_short(place: int, letters: int = 3) -> str:
    """The first letters of a weekday, as many as the language has in such a place and at most `letters`.

    >>> weekday_short(3), weekday_short(3, 1)
    ('Thu', 'T')
    """
    language = spoken()
    return language.weekdays[place][: min(letters, language.short_weekday)]


def month_name(number: int) -> str:
    """The name of a month, from 1.

    >>> month_name(3)
    'March'
    """
    return spoken().months[number - 1]


def month_short(number: int, letters: int = 3) -> str:
    """The first letters of a month, from 1.

    >>> month_short(3), month_short(3, 1)
    ('Mar', 'M')
    """
    return month_name(number)[:letters]


def day(date: dt.date, *, weekday: bool = True, year: bool = False) -> str:
    """A date as text.

    >>> day(dt.date(2025, 3, 13)), day(dt.date(2025, 3, 13), weekday=False, year=True)
    ('Thursday 13 March', '13 March 2025')
    """
    language = spoken()
    if weekday:
        pattern = language.day_year if year else language.day
    else:
        pattern = language.date_year if year else language.date
    month, name = language.months[date.month - 1], language.weekdays[date.weekday()]
    return pattern.format(weekday=name, day=date.day, month=month, year=date.year)


def day_number(date: dt.date) -> str:
    """The number of a day as part of a date.

    >>> day_number(dt.date(2025, 3, 13))
    '13'
    """
    return spoken().day_number.format(day=date.day)


def date_short(date: dt.date) -> str:
    """A date with the first letters of its month, for an axis.

    >>> date_short(dt.date(2025, 3, 13))
    '13 Mar'
    """
    return spoken().date.format(day=date.day, month=month_short(date.month))


def day_of_month(date: dt.date) -> str:
    """A date without its month, for places where the month is known.

    >>> day_of_month(dt.date(2025, 3, 13))
    'Thursday 13'
    """
    return spoken().weekday_day.format(weekday=spoken().weekdays[date.weekday()], day=date.day)


def month(date: dt.date) -> str:
    """The month of a date, with its year.

    >>> month(dt.date(2025, 3, 13))
    'March 2025'
    """
    return spoken().month_year.format(month=month_name(date.month), year=date.year)


def stretch(first: dt.date, last: dt.date, *, year: bool = True) -> str:
    """A date range, without repeating its month or year.

    >>> stretch(dt.date(2025, 3, 10), dt.date(2025, 3, 16)), stretch(dt.date(2025, 4, 28), dt.date(2025, 5, 4))
    ('10 to 16 March 2025', '28 April to 4 May 2025')
    >>> stretch(dt.date(2025, 12, 29), dt.date(2026, 1, 4)), stretch(dt.date(2025, 3, 3), dt.date(2025, 3, 3))
    ('29 December 2025 to 4 January 2026', '3 March 2025')
    """
    end = day(last, weekday=False, year=year or first.year != last.year)
    if first == last:
        return end
    if first.year != last.year:
        beginning = day(first, weekday=False, year=True)
    elif first.month != last.month:
        beginning = day(first, weekday=False)
    else:
        beginning = day_number(first)
    return _p("dates", "{first} to {last}", first=beginning, last=end)


def period(period: Period) -> str:
    """A period as text: its days, its month or its year.

    >>> from journal.periods import parse
    >>> [period(parse(name, week_starts="monday")) for name in ("2025-03", "2025-W11", "2025", "2025-03-14")]
    ['March 2025', '10 to 16 March 2025', '2025', '14 March 2025']
    """
    if period.kind == "year":
        return str(period.first.year)
    return month(period.first) if period.kind == "month" else stretch(period.first, period.last)


def title(span: Period) -> str:
    """The heading of a period. A week has its number.

    >>> from journal.periods import parse
    >>> [title(parse(name, week_starts="monday")) for name in ("2025-W11", "2025-03")]
    ['Week 11, 10 to 16 March 2025', 'March 2025']
    """
    if span.kind != "week":
        return period(span)
    return _("Week {number}, {days}", number=int(span.key[-2:]), days=period(span))


def by_month(dates: Iterable[dt.date]) -> list[str]:
    """Dates as lines of text, one per month.

    >>> by_month([dt.date(2025, 4, 1), dt.date(2025, 3, 7), dt.date(2025, 3, 4)])
    ['March 2025: 4, 7', 'April 2025: 1']
    """
    return [f"{name}: {', '.join(str(date.day) for date in days)}" for name, days in groupby(sorted(dates), key=month)]


def clock(minute: int, hours: Literal[12, 24] = 24) -> str:
    """A time of day on a 24 or 12 hour clock.

    >>> clock(510), clock(510, 12), clock(0, 12), clock(1440)
    ('08:30', '8:30 am', '12:00 am', '24:00')
    """
    hour, rest = divmod(minute, 60)
    if hours == 24:
        return f"{hour:02d}:{rest:02d}"
    time = f"{(hour - 1) % 12 + 1}:{rest:02d}"
    return _("{time} am", time=time) if hour % 24 < 12 else _("{time} pm", time=time)


def minutes(count: float) -> str:
    """A duration as text.

    >>> minutes(45), minutes(120), minutes(135), minutes(0)
    ('45 min', '2 h', '2 h 15 min', '0 min')
    """
    hours, rest = divmod(int(numbers.half_up(count)), 60)
    if not hours:
        return _("{minutes} min", minutes=rest)
    return _("{hours} h {minutes} min", hours=hours, minutes=rest) if rest else _("{hours} h", hours=hours)


def hours(minutes: float | None) -> str:
    r"""Minutes as hours: one decimal, none from 100 h. None is "not noted".

    >>> hours(90), hours(174180), hours(20), hours(None)
    ('1.5\xa0h', '2,903\xa0h', '0.3\xa0h', 'not noted')
    """
    if minutes is None:
        return _("not noted")
    digits = 1 if minutes < 6000 else 0  # a tenth of an hour does not matter from 100 h
    return _("{hours} h", hours=numbers.number(minutes / 60, digits)).replace(" ", "\N{NO-BREAK SPACE}")
