"""The paper sheet of a day: what is planned for it, and room to write the rest by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec
import polars as pl

from journal import Journal
from journal.entry import Entry, Weather, minute_of_day
from journal.evening import habit_preview, tomorrow
from journal.evening.form_schema import AppointmentOffer
from journal.export import day_strip, ornament
from journal.export.day_strip import DayStrip
from journal.paper import upcoming
from journal.periods import containing
from journal.saving import base_pages
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
    """A task with a short detail beside it. `done` occurs only for past days."""

    title: str
    detail: str
    done: bool = False


class Slot(msgspec.Struct, frozen=True, kw_only=True):
    """A rank and its tasks; empty if it is not chosen yet."""

    rank: int
    tasks: tuple[SheetTask, ...]


class Due(msgspec.Struct, frozen=True, kw_only=True):
    """A habit to mark. `kind` is "due", "any" (of a quota) or "rest"; `detail` is its target or quota."""

    name: str
    detail: str
    kind: str


class DaySheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All texts of the sheet, ready to print."""

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
    """The sheet of a day: its texts, the text alternative of its strip, and its ornament as SVG."""

    words: DaySheetData
    alt: str
    ornament: str


def of(book: Journal, date: dt.date) -> DaySheet:
    """The sheet of a day, from its page, the calendars, and the routines.

    Hours are those planned on the page, else the usual ones. Carried and dropped tasks are omitted.

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
    calendar, _ = tomorrow.calendar_of(book, date)
    set_times = tomorrow.appointments(entry, calendar, date)
    planned, hours_from = tomorrow.strip(entry, settings, date)
    drawn = day_strip.strip(planned, set_times, book.tables.days, settings, date)
    timed = [(_time(appointment, settings), appointment.title) for appointment in set_times]
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
            appointments=tuple(timed),
            slots=ranked,
            others=others,
            habits=_habits(book, date),
            challenges=_challenges(book, date),
            gratitude_lines=settings.day.gratitude_lines,
            mood=steps(settings.mood),
        ),
        alt=day_strip.alt(drawn, dates.day(date), [f"{time} {title}" for time, title in timed]),
        ornament=ornament.svg(ornament.of(date)),
    )


def steps(scale: Scale) -> tuple[str, ...]:
    """The whole steps of a scale as words, else as numbers.

    >>> steps(Scale(low=1, high=3, words=("low", "even", "high"))), steps(Scale(low=0, high=2))
    (('low', 'even', 'high'), ('0', '1', '2'))
    """
    values = [scale.low + nth for nth in range(int(scale.high - scale.low) + 1)]
    return tuple(scale.word(value) or numbers.number(value) for value in values)


def _sun(book: Journal, date: dt.date) -> tuple[str, ...]:
    """Sunrise and sunset, then the length of the day, at the place of the day; empty without a place."""
    rows = rise_set.for_journal(book.tables.days, book.settings, date, date)
    if not rows.height:
        return ()
    row = rows.row(0, named=True)
    pieces = rise_set.words(row, book.settings.clock)
    if row["state"] != "normal":
        return (" · ".join(pieces),)
    return " · ".join(pieces[:2]), " · ".join([f"{dates.minutes(row['day_minutes'])} of daylight", *pieces[2:]])


def _weather(weather: Weather, settings: Settings) -> str:
    """The weather in a line.

    >>> _weather(Weather(sky="cloudy", high=19, low=5), Settings(title="Small", places=(), temperature="F"))
    'Cloudy, 5 to 19 °F'
    """
    sky = (weather.sky or "").strip()
    degrees = " to ".join(numbers.number(value) for value in (weather.low, weather.high) if value is not None)
    text = ", ".join(filter(None, [sky, f"{degrees} °{settings.temperature}" if degrees else ""]))
    return text[:1].upper() + text[1:]


def _time(appointment: AppointmentOffer, settings: Settings) -> str:
    if appointment.start is None:
        return "all day"
    end = None if appointment.end is None else minute_of_day(appointment.end)
    return day_strip.span_text(minute_of_day(appointment.start), end, settings)


def _tasks(entry: Entry, settings: Settings, date: dt.date) -> tuple[tuple[Slot, ...], tuple[SheetTask, ...]]:
    """The slots of all ranks with their tasks, and the tasks without a rank, routines last."""
    listed = [task for task in entry.tasks if task.status in ("open", "done")]

    def with_rank(rank: int | None) -> tuple[SheetTask, ...]:
        return tuple(
            SheetTask(title=task.title, detail=_length(task.estimate), done=task.status == "done")
            for task in listed
            if task.rank == rank
        )

    ranks = max([settings.day.ranked_tasks, *(task.rank or 0 for task in listed)])
    known = {task.title for task in entry.tasks}
    routines = [
        SheetTask(title=routine.title, detail=", ".join(filter(None, [routine.said, _length(routine.estimate)])))
        for routine in tomorrow.routines(settings, date, known)
    ]
    # A routine that is on the page already keeps the words of its rule.
    repeats = {routine.title: rules.words(routine.every, routine.start) for routine in settings.routines}
    others = [
        msgspec.structs.replace(task, detail=", ".join(filter(None, [repeats.get(task.title, ""), task.detail])))
        for task in with_rank(None)
    ]
    return tuple(Slot(rank=rank, tasks=with_rank(rank)) for rank in range(1, ranks + 1)), (*others, *routines)


def _length(estimate: float | None) -> str:
    return "" if estimate is None else dates.minutes(estimate)


def _habits(book: Journal, date: dt.date) -> tuple[Due, ...]:
    """The habits due on a day, then the quota habits."""
    rows = upcoming.marks(book, date, date).filter(pl.col("due").fill_null(True))
    habits = [_due(row, book.settings, date) for row in rows.iter_rows(named=True)]
    return tuple(sorted(habits, key=lambda habit: habit.kind == "any"))


def _due(row: dict[str, Any], settings: Settings, date: dt.date) -> Due:
    habit = settings.habit_on(row["habit"], date)
    assert habit is not None  # `upcoming.marks` has rows only for days on which the habit is in force
    kind = "rest" if row["rest"] else "any" if row["per"] is not None else "due"
    detail = "a rest day" if row["rest"] else upcoming.target(row, habit.unit)
    return Due(name=habit.name, detail=detail, kind=kind)


def _challenges(book: Journal, date: dt.date) -> tuple[tuple[str, str], ...]:
    """The challenges of a day: the name with the number of the day, and the prompt."""
    offers = habit_preview.challenges(book.settings, book.tables.ticks, date, {})
    return tuple((f"{offer.name}, {offer.number} of {offer.days}", offer.prompt or "") for offer in offers)
