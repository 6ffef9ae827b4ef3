"""A sheet for the day to come: what is known of it already, and room to write the rest by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec
import polars as pl

from journal import Journal
from journal.entry import Entry, Weather, minute_of_day
from journal.evening import base_pages, habit_preview, tomorrow
from journal.evening.form_build import calendar_of
from journal.evening.form_schema import AppointmentOffer
from journal.export import day_strip, ornament, upcoming
from journal.export.day_strip import DayStrip
from journal.periods import containing
from journal.settings import Scale, Settings
from journal.sun import rise_set
from journal.wording import dates, numbers, rules

_HOURS_FROM = {
    "page": "planned on its page",
    "weekday": "the usual hours of the weekday",
    "usual": "the usual hours",
    "nothing": "nothing planned yet",
}


class SheetTask(msgspec.Struct, frozen=True, kw_only=True):
    """A task, and what is said beside it; `done` on a day that is past already."""

    title: str
    said: str
    done: bool = False


class Slot(msgspec.Struct, frozen=True, kw_only=True):
    """A rank and what has it; nothing where it is still to be chosen."""

    rank: int
    tasks: tuple[SheetTask, ...]


class Due(msgspec.Struct, frozen=True, kw_only=True):
    """A habit to be marked: "due", "any" (of a quota) or "rest"; `said` is what it asks for."""

    name: str
    said: str
    kind: str


class DaySheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All that is set on the sheet, as it will be read."""

    title: str
    date: str
    sun: tuple[str, ...]
    weather: str
    hours_from: str
    strip: DayStrip
    appointments: tuple[tuple[str, str], ...]
    slots: tuple[Slot, ...]
    others: tuple[SheetTask, ...]
    habits: tuple[Due, ...]
    challenges: tuple[tuple[str, str], ...]
    gratitude_lines: int
    mood: tuple[str, ...]


class DaySheet(msgspec.Struct, frozen=True, kw_only=True, tag="day"):
    """The sheet of a day: its words, the text alternative of its strip, and its ornament as SVG."""

    words: DaySheetData
    alt: str
    ornament: str


def of(book: Journal, date: dt.date) -> DaySheet:
    """The sheet of a day: by its page as it lies there, the calendars, and what comes round by rules.

    Hours are those planned on the page, else the usual ones; a task that was carried on or dropped is no longer on it.

    >>> import journal, pathlib, tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> sheet = of(journal.open(folder.name, today=dt.date(2025, 3, 13)), dt.date(2025, 3, 14))
    >>> sheet.words.title, sheet.words.date, sheet.words.hours_from
    ('Friday', '14 March 2025, week 11', 'nothing planned yet')
    >>> folder.cleanup()
    """
    settings = book.settings
    entry, _ = base_pages.entry(book.files.pages.look(date.isoformat()), book.files.basis.known)
    calendar, _ = calendar_of(book, date)
    set_times = tomorrow.appointments(entry, calendar, date)
    planned, hours_from = tomorrow.strip(entry, settings, date)
    drawn = day_strip.strip(planned, set_times, book.tables.days, settings, date)
    said = [(_time(one, settings), one.title) for one in set_times]
    ranked, others = _tasks(entry, settings, date)
    week = int(containing(date, "week", week_starts=settings.week_starts).key.rpartition("W")[2])
    return DaySheet(
        words=DaySheetData(
            title=dates.WEEKDAY_NAMES[date.weekday()],
            date=f"{dates.day(date, weekday=False, year=True)}, week {week}",
            sun=_sun(book, date),
            weather=_weather(entry.weather or Weather(), settings),
            hours_from=_HOURS_FROM[hours_from],
            strip=drawn,
            appointments=tuple(said),
            slots=ranked,
            others=others,
            habits=_habits(book, date),
            challenges=_challenges(book, date),
            gratitude_lines=settings.day.gratitude_lines,
            mood=steps(settings.mood),
        ),
        alt=day_strip.alt(drawn, dates.day(date), [f"{time} {title}" for time, title in said]),
        ornament=ornament.svg(ornament.of(date)),
    )


def steps(scale: Scale) -> tuple[str, ...]:
    """The whole steps of a scale by their words, else by their numbers.

    >>> steps(Scale(low=1, high=3, words=("low", "even", "high"))), steps(Scale(low=0, high=2))
    (('low', 'even', 'high'), ('0', '1', '2'))
    """
    values = [scale.low + nth for nth in range(int(scale.high - scale.low) + 1)]
    return tuple(scale.word(value) or numbers.number(value) for value in values)


def _sun(book: Journal, date: dt.date) -> tuple[str, ...]:
    """Sunrise and sunset, then the length of the day, where it will be spent; nothing for a journal without a place."""
    rows = rise_set.for_journal(book.tables.days, book.settings, date, date)
    if not rows.height:
        return ()
    row = rows.row(0, named=True)
    pieces = rise_set.words(row, book.settings.clock)
    if row["state"] != "normal":
        return (" · ".join(pieces),)
    return " · ".join(pieces[:2]), " · ".join([f"{dates.minutes(row['day_minutes'])} of daylight", *pieces[2:]])


def _weather(weather: Weather, settings: Settings) -> str:
    """
    >>> _weather(Weather(sky="cloudy", high=19, low=5), Settings(title="Small", places=(), temperature="F"))
    'Cloudy, 5 to 19 °F'
    """
    sky = (weather.sky or "").strip()
    degrees = " to ".join(numbers.number(value) for value in (weather.low, weather.high) if value is not None)
    said = ", ".join(filter(None, [sky, f"{degrees} °{settings.temperature}" if degrees else ""]))
    return said[:1].upper() + said[1:]


def _time(one: AppointmentOffer, settings: Settings) -> str:
    if one.start is None:
        return "all day"
    return day_strip.span_text(minute_of_day(one.start), None if one.end is None else minute_of_day(one.end), settings)


def _tasks(entry: Entry, settings: Settings, date: dt.date) -> tuple[tuple[Slot, ...], tuple[SheetTask, ...]]:
    """The slots of all ranks with what has them, and the tasks without a rank, those that come round last."""
    standing = [task for task in entry.tasks if task.status in ("open", "done")]

    def shown(rank: int | None) -> tuple[SheetTask, ...]:
        return tuple(
            SheetTask(title=task.title, said=_length(task.estimate), done=task.status == "done")
            for task in standing
            if task.rank == rank
        )

    ranks = max([settings.day.ranked_tasks, *(task.rank or 0 for task in standing)])
    known = {task.title for task in entry.tasks}
    round_again = [
        SheetTask(title=one.title, said=", ".join(filter(None, [one.said, _length(one.estimate)])))
        for one in tomorrow.routines(settings, date, known)
    ]
    # What comes round and is on the page already keeps the words of its rule.
    repeats = {one.title: rules.words(one.every, one.start) for one in settings.routines}
    others = [
        msgspec.structs.replace(task, said=", ".join(filter(None, [repeats.get(task.title, ""), task.said])))
        for task in shown(None)
    ]
    return tuple(Slot(rank=rank, tasks=shown(rank)) for rank in range(1, ranks + 1)), (*others, *round_again)


def _length(estimate: float | None) -> str:
    return "" if estimate is None else dates.minutes(estimate)


def _habits(book: Journal, date: dt.date) -> tuple[Due, ...]:
    """The habits due on a day, then those of a quota that may be done on it."""
    rows = upcoming.marks(book, date, date).filter(pl.col("due").fill_null(True))
    found = [_due(row, book.settings, date) for row in rows.iter_rows(named=True)]
    return tuple(sorted(found, key=lambda one: one.kind == "any"))


def _due(row: dict[str, Any], settings: Settings, date: dt.date) -> Due:
    habit = settings.habit_on(row["habit"], date)
    assert habit is not None  # it is in force on every day that it has a row for
    kind = "rest" if row["rest"] else "any" if row["per"] is not None else "due"
    said = "a rest day" if row["rest"] else upcoming.asked(row, habit.unit)
    return Due(name=habit.name, said=said, kind=kind)


def _challenges(book: Journal, date: dt.date) -> tuple[tuple[str, str], ...]:
    """The challenges of a day: name with its place in their days, and the prompt."""
    offers = habit_preview.challenges(book.settings, book.tables.ticks, date, {})
    return tuple((f"{one.name}, {one.number} of {one.days}", one.prompt or "") for one in offers)
