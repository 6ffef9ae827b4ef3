"""Sheets for the month to come: habits by day to be filled in by hand, and the prompts of its challenges."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from journal import Journal
from journal.export import ornament, upcoming
from journal.periods import Period, between, containing
from journal.settings import Challenge, Settings
from journal.wording import dates, numbers

_DAY = dt.timedelta(days=1)

MOST = 20
"""Columns of one sheet: so narrow that a mark of 3.4 mm still has air beside it. More make further sheets."""


class Bracket(msgspec.Struct, frozen=True, kw_only=True):
    """The days of the month, counted from 0, over which a quota goes; open where its week began before or goes on."""

    start: int
    end: int
    times: int
    from_before: bool
    into_next: bool


class SheetColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A habit or challenge: for each day "due" (a box), "any" (a day that may count for a quota), "rest" or ""."""

    name: str
    said: str
    days: tuple[str, ...]
    brackets: tuple[Bracket, ...] = ()


class SheetDay(msgspec.Struct, frozen=True, kw_only=True):
    """A day of the month: its number, weekday, whether it is a weekend's, whether a week begins, and its prompts."""

    number: int
    weekday: str
    weekend: bool
    begins_week: bool
    prompts: tuple[str, ...]


class MonthSheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All that is set on the sheet. `prompted` where the prompts are to stand on it."""

    title: str
    part: str
    days: tuple[SheetDay, ...]
    columns: tuple[SheetColumn, ...]
    prompted: bool


class MonthSheet(msgspec.Struct, frozen=True, kw_only=True, tag="month"):
    """A sheet of a month: its words, the text alternative of its grid, and the ornament of its first day as SVG."""

    words: MonthSheetData
    alt: str
    ornament: str


def of(book: Journal, month: Period) -> list[MonthSheet]:
    """The sheets of a month: one, or more where there are more than `MOST` habits and challenges.

    A habit that is in force on a day of it has a column, in the journal's order, then each challenge.
    """
    columns = [*_habits(book, month), *_challenges(book.settings, month)]
    count = max(1, -(-len(columns) // MOST))
    size = -(-len(columns) // count)
    days = tuple(_days(book.settings, month))
    sheets = []
    for nth in range(count):
        mine = tuple(columns[nth * size : (nth + 1) * size])
        last = nth == count - 1
        words = MonthSheetData(
            title=dates.period(month),
            part=f"{nth + 1} of {count}" if count > 1 else "",
            days=days,
            columns=mine,
            prompted=last and any(day.prompts for day in days),
        )
        sheets.append(MonthSheet(words=words, alt=_alt(words), ornament=ornament.svg(ornament.of(month.first))))
    return sheets


def _habits(book: Journal, month: Period) -> Iterator[SheetColumn]:
    beside = upcoming.marks(book, month.first - _DAY, month.last + _DAY)
    for (key,), rows in beside.group_by("habit", maintain_order=True):
        days = {row["date"]: row for row in rows.iter_rows(named=True)}
        inside = [row for date, row in days.items() if date in month]
        if not inside:
            continue
        habit = book.settings.habit_on(str(key), inside[-1]["date"])
        assert habit is not None  # it is in force on every day that it has a row for
        said = dict.fromkeys(upcoming.asked(row, habit.unit) for row in inside)
        yield SheetColumn(
            name=habit.name,
            said=", then ".join(filter(None, said)),
            days=tuple(_mark(days.get(date)) for date in month.dates),
            brackets=tuple(_brackets(days, month, book.settings)),
        )


def _mark(row: dict[str, Any] | None) -> str:
    if row is None:
        return ""
    if row["rest"]:
        return "rest"
    return "any" if row["per"] is not None else "due" if row["due"] else ""


def _brackets(days: dict[dt.date, dict[str, Any]], month: Period, settings: Settings) -> Iterator[Bracket]:
    """A bracket for each week or month of a quota, over those of its days on which it is in force.

    `days` are those of the month and the one on either side, which tell whether a week begins before it or goes on.
    """
    for kind in ("week", "month"):
        for period in between(month.first, month.last, kind, week_starts=settings.week_starts):
            held = [date for date in period.dates if date in days and days[date]["per"] == kind]
            here = [date for date in held if date in month]
            if here:
                yield Bracket(
                    start=(here[0] - month.first).days,
                    end=(here[-1] - month.first).days,
                    times=days[here[0]]["times"],
                    from_before=held[0] < month.first,
                    into_next=held[-1] > month.last,
                )


def _challenges(settings: Settings, month: Period) -> Iterator[SheetColumn]:
    for one in settings.challenges:
        days = tuple("due" if one.start <= date <= one.until else "" for date in month.dates)
        if any(days):
            yield SheetColumn(name=one.name, said="", days=days)


def _days(settings: Settings, month: Period) -> Iterator[SheetDay]:
    for date in month.dates:
        yield SheetDay(
            number=date.day,
            weekday=dates.WEEKDAY_NAMES[date.weekday()][:3],
            weekend=date.weekday() >= 5,
            begins_week=containing(date, "week", week_starts=settings.week_starts).first == date,
            prompts=tuple(filter(None, (_prompt(one, date) for one in settings.challenges))),
        )


def _prompt(challenge: Challenge, date: dt.date) -> str:
    at = (date - challenge.start).days
    return challenge.prompts[at] if 0 <= at < len(challenge.prompts) and date <= challenge.until else ""


def _alt(words: MonthSheetData) -> str:
    """The grid in words: which days each column asks for, and the prompts."""
    if not words.columns:
        return f"The days of {words.title}, a row each. No habit is due."
    columns = "; ".join(f"{column.name}: {_asked(column)}" for column in words.columns)
    prompts = "; ".join(f"{day.number}, {', '.join(day.prompts)}" for day in words.days if day.prompts)
    told = f" Prompts: {prompts}." if words.prompted else ""
    return f"Habits of {words.title}, a row a day and a column each. {columns}.{told}"


def _asked(column: SheetColumn) -> str:
    due, rest = (_numbers(column.days, kind) for kind in ("due", "rest"))
    quotas = dict.fromkeys(bracket.times for bracket in column.brackets)
    parts = [
        column.said if quotas or column.said else "",
        f"due on {due}" if due else "",
        f"rest on {rest}" if rest else "",
    ]
    return ", ".join(filter(None, parts)) or "not due"


def _numbers(days: Sequence[str], kind: str) -> str:
    """The days of a kind, in words."""
    found = [nth + 1 for nth, mark in enumerate(days) if mark == kind]
    return "" if not found else "every day" if len(found) == len(days) else numbers.listed(map(str, found))
