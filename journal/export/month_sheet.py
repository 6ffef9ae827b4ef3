"""The paper sheets of a month: habits by day to fill in by hand, and the prompts of its challenges."""

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

MOST_COLUMNS = 20
"""Most columns of one sheet. With more, a mark of 3.4 mm would have no space beside it; they go on another sheet."""


class Bracket(msgspec.Struct, frozen=True, kw_only=True):
    """The days of a quota, counted from 0. `from_before` and `into_next` mark a week that crosses the month's ends."""

    start: int
    end: int
    times: int
    from_before: bool
    into_next: bool


class SheetColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A habit or challenge: for each day "due" (a box), "any" (a day that may count for a quota), "rest" or ""."""

    name: str
    detail: str
    days: tuple[str, ...]
    brackets: tuple[Bracket, ...] = ()


class SheetDay(msgspec.Struct, frozen=True, kw_only=True):
    """A day of the month, with the prompts of its challenges."""

    number: int
    weekday: str
    weekend: bool
    begins_week: bool
    prompts: tuple[str, ...]


class MonthSheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All texts of the sheet. `prompted` says whether the prompts go on this sheet."""

    title: str
    part: str
    days: tuple[SheetDay, ...]
    columns: tuple[SheetColumn, ...]
    prompted: bool


class MonthSheet(msgspec.Struct, frozen=True, kw_only=True, tag="month"):
    """A sheet of a month: its texts, the text alternative of its grid, and the ornament of its first day as SVG."""

    words: MonthSheetData
    alt: str
    ornament: str


def of(book: Journal, month: Period) -> list[MonthSheet]:
    """The sheets of a month: one for every `MOST_COLUMNS` habits and challenges.

    Each habit in force in the month has a column, in the order of journal.toml, then each challenge.
    """
    columns = [*_habits(book, month), *_challenges(book.settings, month)]
    count = max(1, -(-len(columns) // MOST_COLUMNS))
    size = -(-len(columns) // count)
    days = tuple(_days(book.settings, month))
    sheets = []
    for nth in range(count):
        own = tuple(columns[nth * size : (nth + 1) * size])
        last = nth == count - 1
        words = MonthSheetData(
            title=dates.period(month),
            part=f"{nth + 1} of {count}" if count > 1 else "",
            days=days,
            columns=own,
            prompted=last and any(day.prompts for day in days),
        )
        sheets.append(MonthSheet(words=words, alt=_alt(words), ornament=ornament.svg(ornament.of(month.first))))
    return sheets


def _habits(book: Journal, month: Period) -> Iterator[SheetColumn]:
    marks = upcoming.marks(book, month.first - _DAY, month.last + _DAY)
    for (key,), rows in marks.group_by("habit", maintain_order=True):
        days = {row["date"]: row for row in rows.iter_rows(named=True)}
        inside = [row for date, row in days.items() if date in month]
        if not inside:
            continue
        habit = book.settings.habit_on(str(key), inside[-1]["date"])
        assert habit is not None  # `upcoming.marks` has rows only for days on which the habit is in force
        targets = dict.fromkeys(upcoming.target(row, habit.unit) for row in inside)
        yield SheetColumn(
            name=habit.name,
            detail=", then ".join(filter(None, targets)),
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
    """A bracket for each week or month of a quota, over the days on which the habit is in force.

    `days` has the rows of the month and of one day on either side, which show whether a week crosses its ends.
    """
    for kind in ("week", "month"):
        for period in between(month.first, month.last, kind, week_starts=settings.week_starts):
            in_force = [date for date in period.dates if date in days and days[date]["per"] == kind]
            inside = [date for date in in_force if date in month]
            if inside:
                yield Bracket(
                    start=(inside[0] - month.first).days,
                    end=(inside[-1] - month.first).days,
                    times=days[inside[0]]["times"],
                    from_before=in_force[0] < month.first,
                    into_next=in_force[-1] > month.last,
                )


def _challenges(settings: Settings, month: Period) -> Iterator[SheetColumn]:
    for challenge in settings.challenges:
        days = tuple("due" if challenge.start <= date <= challenge.until else "" for date in month.dates)
        if any(days):
            yield SheetColumn(name=challenge.name, detail="", days=days)


def _days(settings: Settings, month: Period) -> Iterator[SheetDay]:
    for date in month.dates:
        yield SheetDay(
            number=date.day,
            weekday=dates.WEEKDAY_NAMES[date.weekday()][:3],
            weekend=date.weekday() >= 5,
            begins_week=containing(date, "week", week_starts=settings.week_starts).first == date,
            prompts=tuple(filter(None, (_prompt(challenge, date) for challenge in settings.challenges))),
        )


def _prompt(challenge: Challenge, date: dt.date) -> str:
    index = (date - challenge.start).days
    return challenge.prompts[index] if 0 <= index < len(challenge.prompts) and date <= challenge.until else ""


def _alt(words: MonthSheetData) -> str:
    """The text alternative of the grid: the due days of each column, and the prompts."""
    if not words.columns:
        return f"The days of {words.title}, a row each. No habit is due."
    columns = "; ".join(f"{column.name}: {_due_days(column)}" for column in words.columns)
    prompts = "; ".join(f"{day.number}, {', '.join(day.prompts)}" for day in words.days if day.prompts)
    prompt_text = f" Prompts: {prompts}." if words.prompted else ""
    return f"Habits of {words.title}, a row a day and a column each. {columns}.{prompt_text}"


def _due_days(column: SheetColumn) -> str:
    due, rest = (_numbers(column.days, kind) for kind in ("due", "rest"))
    quotas = dict.fromkeys(bracket.times for bracket in column.brackets)
    parts = [
        column.detail if quotas or column.detail else "",
        f"due on {due}" if due else "",
        f"rest on {rest}" if rest else "",
    ]
    return ", ".join(filter(None, parts)) or "not due"


def _numbers(days: Sequence[str], kind: str) -> str:
    """The days of a kind, in words."""
    on = [nth + 1 for nth, mark in enumerate(days) if mark == kind]
    if len(on) == len(days):
        return "every day"
    return numbers.listed(map(str, on)) if on else ""
