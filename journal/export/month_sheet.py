"""The paper sheets of a month: mood, habits and challenges by day to fill in by hand, and the prompts of challenges."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

import msgspec

from journal import Journal
from journal.export import ornament, sheet_texts
from journal.language.catalogue import N_, _
from journal.language.spoken import spoken
from journal.paper import month_layout, month_plan
from journal.paper.layout import SheetLayout
from journal.paper.month_plan import SheetColumn
from journal.periods import Period, containing
from journal.settings import Challenge, Settings
from journal.wording import dates, numbers


class SheetDay(msgspec.Struct, frozen=True, kw_only=True):
    """A day of the month, with the prompts of its challenges."""

    number: int
    weekday: str
    label: str
    weekend: bool
    begins_week: bool
    prompts: tuple[str, ...]


class MonthSheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All texts of the sheet. `prompted` says whether the prompts go on this sheet."""

    title: str
    names_title: str
    prompts_title: str
    part: str
    days: tuple[SheetDay, ...]
    columns: tuple[SheetColumn, ...]
    prompted: bool


class MonthSheet(msgspec.Struct, frozen=True, kw_only=True, tag="month"):
    """A sheet of a month: its texts, the text alternative of its grid, its ornament as SVG, and its layout."""

    words: MonthSheetData
    alt: str
    ornament: str
    layout: SheetLayout

    def drawing(self) -> dict[str, object]:
        """The places of everything on it, for the template."""
        placed = month_layout.places(self.words.columns, prompted=self.words.prompted)
        return self.layout.drawing() | {
            "columns": [{"left": place.left, "width": place.width, "boxes": place.boxes} for place in placed],
            "top": month_layout.GRID_TOP,
            "row": month_layout.ROW,
            "left": month_layout.GRID_LEFT,
            "right": month_layout.GRID_RIGHT,
            "first": month_layout.FIRST,
        }


def of(book: Journal, month: Period) -> list[MonthSheet]:
    """The sheets of a month: as few as have room for all columns."""
    days = tuple(_days(book.settings, month))
    parts = month_layout.parts(month_plan.columns(book, month))
    prompted = month_layout.is_prompted(book.settings, month)
    sheets = []
    for nth, own in enumerate(parts):
        words = MonthSheetData(
            title=dates.period(month),
            names_title=_("Names of {month}", month=dates.period(month)),
            prompts_title=_("Prompts of {month}", month=dates.period(month)),
            part=sheet_texts.part(nth, len(parts)),
            days=days,
            columns=own,
            prompted=prompted and nth == len(parts) - 1,
        )
        sheets.append(
            MonthSheet(
                words=words,
                alt=_alt(words),
                ornament=ornament.svg(ornament.of(month.first)),
                layout=month_layout.of(own, month, nth, prompted=words.prompted),
            )
        )
    return sheets


def _days(settings: Settings, month: Period) -> Iterator[SheetDay]:
    for date in month.dates:
        yield SheetDay(
            number=date.day,
            weekday=dates.weekday_short(date.weekday()),
            label=sheet_texts.short_day(date),
            weekend=date.weekday() >= 5,
            begins_week=containing(date, "week", week_starts=settings.week_starts).first == date,
            prompts=tuple(filter(None, (_prompt(challenge, date) for challenge in settings.challenges))),
        )


def _prompt(challenge: Challenge, date: dt.date) -> str:
    index = (date - challenge.start).days
    return challenge.prompts[index] if 0 <= index < len(challenge.prompts) and date <= challenge.until else ""


def _alt(words: MonthSheetData) -> str:
    """The text alternative of the grid: the due days of each column, and the prompts."""
    habits = [column for column in words.columns if column.field != "mood"]
    mood = _("A column for mood.") if len(habits) < len(words.columns) else None
    if not habits:
        days = _("The days of {month}, a row each.", month=words.title)
        return numbers.joined([days, mood, _("No habit is due.")], " ")
    columns = "; ".join(f"{column.name}: {_due_days(column)}" for column in habits)
    prompts = "; ".join(f"{day.number}, {', '.join(day.prompts)}" for day in words.days if day.prompts)
    parts = [
        _("Habits of {month}, a row a day and a column each.", month=words.title),
        mood,
        f"{columns}.",
        _("Prompts: {prompts}.", prompts=prompts) if words.prompted else None,
    ]
    return numbers.joined(parts, " ")


def _due_days(column: SheetColumn) -> str:
    quotas = dict.fromkeys(bracket.times for bracket in column.brackets)
    parts = [
        column.detail if quotas or column.detail else "",
        _on(column.days, "due", _("due on every day"), N_("due on {days}")),
        _on(column.days, "rest", _("rest on every day"), N_("rest on {days}")),
    ]
    return ", ".join(filter(None, parts)) or _("not due")


def _on(days: Sequence[str], kind: str, every: str, some: str) -> str:
    """The days of a kind, in words."""
    on = [nth + 1 for nth, mark in enumerate(days) if mark == kind]
    if len(on) == len(days):
        return every
    number = spoken().day_number
    return _(some, days=numbers.listed(number.format(day=day) for day in on)) if on else ""
