"""Days, weeks, months and years: ISO 8601 periods with a first and a last day.

A week that does not start on Monday has the ISO 8601 name of the ISO week that contains its middle (fourth) day. ISO
8601 assigns a week to the year that contains its Thursday by the same rule.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Literal

import msgspec

from journal import home_day
from journal.errors import UsageError
from journal.language.catalogue import N_, _
from journal.settings import WEEKDAYS, Settings, Weekday

PeriodKind = Literal["day", "week", "month", "year"]

_DAY = dt.timedelta(days=1)
_SHAPES: dict[PeriodKind, re.Pattern[str]] = {
    "day": re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})"),
    "week": re.compile(r"([0-9]{4})-W([0-9]{2})"),
    "month": re.compile(r"([0-9]{4})-([0-9]{2})"),
    "year": re.compile(r"([0-9]{4})"),
}
_NO_SUCH: dict[PeriodKind | None, str] = {
    "day": N_('there is no day "{typed}"; write e.g. "2025-03-14"'),
    "week": N_('there is no week "{typed}"; write e.g. "2025-W11"'),
    "month": N_('there is no month "{typed}"; write e.g. "2025-03"'),
    "year": N_('there is no year "{typed}"; write e.g. "2025"'),
    None: N_('there is no period "{typed}"; write e.g. "2025-03-14", "2025-W11", "2025-03" or "2025"'),
}


class Period(msgspec.Struct, frozen=True, order=True):
    """A day, week, month or year: its ISO 8601 name, its first and its last day."""

    first: dt.date
    last: dt.date
    kind: PeriodKind
    key: str

    @property
    def days(self) -> int:
        """The number of days."""
        return (self.last - self.first).days + 1

    def __contains__(self, day: dt.date) -> bool:
        return self.first <= day <= self.last

    @property
    def dates(self) -> list[dt.date]:
        """All days, in order."""
        return [self.first + i * _DAY for i in range(self.days)]


class PeriodName(msgspec.Struct, frozen=True):
    """The ISO 8601 name of a day, week, month or year. The days of a week depend on the journal's `week_starts`."""

    kind: PeriodKind
    key: str
    inside: dt.date
    """A day of the period for any start of the week: the Thursday of an ISO week, else the first day."""

    def period(self, *, week_starts: Weekday) -> Period:
        """The period with its days, given the weekday on which weeks start.

        >>> parse_name("2025-W11").period(week_starts="sunday").first.isoformat()
        '2025-03-09'
        """
        return containing(self.inside, self.kind, week_starts=week_starts)


def day_of(moment: dt.datetime, settings: Settings) -> dt.date:
    """The journal's day of a moment (with a time zone).

    It is the local date at home, or the day before if the local time is before `[day] turns`. Local clock time
    decides, so a change to or from summer time has no effect.

    >>> from journal.settings import Place
    >>> home = Place(key="home", name="Ljubljana", latitude=46, longitude=14.5, timezone="Europe/Ljubljana")
    >>> settings = Settings(title="Spine and thread", places=(home,))
    >>> day_of(dt.datetime(2025, 3, 15, 2, 59, tzinfo=dt.timezone.utc), settings).isoformat()  # 03:59 there
    '2025-03-14'
    >>> day_of(dt.datetime(2025, 3, 15, 3, 0, tzinfo=dt.timezone.utc), settings).isoformat()
    '2025-03-15'
    """
    zone = settings.places[0].timezone if settings.places else None
    return home_day.at(moment, zone, settings.day.turns.minute)


def containing(day: dt.date, kind: PeriodKind, *, week_starts: Weekday) -> Period:
    """The period of a kind that contains a day.

    >>> containing(dt.date(2021, 1, 3), "week", week_starts="monday").key
    '2020-W53'
    >>> containing(dt.date(2021, 1, 3), "week", week_starts="sunday").key
    '2021-W01'
    """
    if kind == "day":
        return Period(day, day, kind, day.isoformat())
    if kind == "week":
        first = day - ((day.weekday() - WEEKDAYS.index(week_starts)) % 7) * _DAY
        iso_year, week, _weekday = (first + 3 * _DAY).isocalendar()
        return Period(first, first + 6 * _DAY, kind, f"{iso_year:04d}-W{week:02d}")
    return month(day) if kind == "month" else year(day.year)


def month(day: dt.date) -> Period:
    """The calendar month that contains a day.

    >>> month(dt.date(2024, 2, 9)).last.isoformat()
    '2024-02-29'
    """
    first = day.replace(day=1)
    last = (first + 31 * _DAY).replace(day=1) - _DAY if day.month < 12 else first.replace(day=31)
    return Period(first, last, "month", f"{day.year:04d}-{day.month:02d}")


def year(number: int) -> Period:
    """A calendar year.

    >>> year(2024).days
    366
    """
    return Period(dt.date(number, 1, 1), dt.date(number, 12, 31), "year", f"{number:04d}")


def before(period: Period) -> Period:
    """The previous period of the same kind. A week is preceded by one that starts on the same weekday.

    >>> before(parse("2025-03", week_starts="monday")).key
    '2025-02'
    """
    return containing(period.first - _DAY, period.kind, week_starts=_start(period))


def after(period: Period) -> Period:
    """The next period of the same kind. A week is followed by one that starts on the same weekday."""
    return containing(period.last + _DAY, period.kind, week_starts=_start(period))


def _start(period: Period) -> Weekday:
    return WEEKDAYS[period.first.weekday()]


def between(first: dt.date, last: dt.date, kind: PeriodKind, *, week_starts: Weekday) -> list[Period]:
    """All periods of a kind that overlap the days from `first` to `last`, in order.

    >>> [p.key for p in between(dt.date(2024, 12, 30), dt.date(2025, 1, 6), "week", week_starts="monday")]
    ['2025-W01', '2025-W02']
    """
    periods: list[Period] = []
    while first <= last:
        period = containing(first, kind, week_starts=week_starts)
        periods.append(period)
        first = period.last + _DAY
    return periods


def parse_name(text: str, kind: PeriodKind | None = None) -> PeriodName:
    """Parse an ISO 8601 name, of any kind or of the given one.

    >>> parse_name("2025-W11").kind, parse_name("2025-03").kind
    ('week', 'month')

    Raises UsageError with the remedy if there is no such period. The years 1 and 9999 are not supported.
    """
    for shape in [kind] if kind else list(_SHAPES):
        match = _SHAPES[shape].fullmatch(text)
        if match is None:
            continue
        numbers = [int(part) for part in match.groups()]
        if numbers[0] in (dt.MINYEAR, dt.MAXYEAR):
            break  # their outer weeks have days that `date` cannot represent
        try:
            if shape == "week":
                return PeriodName(shape, text, dt.date.fromisocalendar(numbers[0], numbers[1], 4))
            return PeriodName(shape, text, dt.date(*numbers, *[1] * (3 - len(numbers))))
        except ValueError:
            break
    raise UsageError(_(_NO_SUCH[kind], typed=text))


def parse(text: str, kind: PeriodKind | None = None, *, week_starts: Weekday) -> Period:
    """Parse an ISO 8601 name to a period, given the weekday on which weeks start.

    >>> parse("2025-W11", week_starts="monday").first, parse("2024-02", week_starts="monday").days
    (datetime.date(2025, 3, 10), 29)

    Raises UsageError as `parse_name` does.
    """
    return parse_name(text, kind).period(week_starts=week_starts)
