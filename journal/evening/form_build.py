"""The initial values of the evening form: `offer` builds the whole form.

Usage:
    book = journal.open(folder, today=today)
    page = offer(book, book.today)                      # a typed value; msgspec.to_builtins makes JSON of it
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

import polars as pl

from journal.entry import DAY_FIELDS, Entry, Undated
from journal.errors import Problem, WriteError
from journal.evening import carryover, fit_offer, habit_preview, task_rows, tomorrow
from journal.evening.form_schema import (
    CategoryOffer,
    FieldOffer,
    LateOffer,
    Offer,
    ScaleStep,
    TaskOffer,
    TomorrowOffer,
)
from journal.fields import Field
from journal.measures import tasks as task_measures
from journal.saving import base_pages
from journal.settings import Scale, Settings
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.writing import Base

LATE_DAYS = 14


def offer(book: Journal, day: dt.date) -> Offer:
    """Return the evening form of a day of a journal, from its current pages.

    `book` is the journal as of today; `day` is today or an earlier day that is closed late.

    >>> import journal, tempfile, pathlib
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> today = dt.date(2025, 3, 13)
    >>> page = offer(journal.open(folder.name, today=today), today)
    >>> page.title, page.tomorrow.title, page.files
    ('Today, Thursday 13 March', 'Tomorrow, Friday 14 March', ['2025/2025-03-13.toml', '2025/2025-03-14.toml'])
    >>> folder.cleanup()
    """
    settings, next_day = book.settings, day + base_pages.DAY
    versions, known = book.files.pages, book.files.basis.known
    bases = base_pages.look(versions, base_pages.evening_keys(day))
    (entry, problems), (next_entry, next_problems) = (base_pages.entry(base, known) for base in bases[:2])
    undated = base_pages.undated(bases[2])
    lives = task_measures.lives(book.tables.tasks, today=day)
    of_day = carryover.offers_of_page(entry, day, lives)
    calendar, calendar_problems = tomorrow.calendar_of(book, next_day)
    following = _tomorrow(book, next_day, next_entry, undated, calendar=calendar, of_day=of_day, lives=lives)
    left_open = carryover.left_open(book.tables.tasks, lives, undated, day)
    planned, _ = tomorrow.strip(entry, settings, day)
    is_new = not entry.hours.actual
    return Offer(
        day=day.isoformat(),
        title=("Today, " if day == book.today else "") + dates.day(day, year=day.year != book.today.year),
        files=[base.path for base in bases[:2]],
        clock=settings.clock,
        base=base_pages.packed(
            (*bases, *base_pages.look(versions, tuple(dict.fromkeys(task.page for task in left_open))))
        ),
        fields=_fields("today", entry, settings),
        habits=habit_preview.habit_offers(book, day, entry.habits or {}),
        challenges=habit_preview.challenges(settings, book.tables.ticks, day, entry.challenges),
        gratitude=list(entry.gratitude),
        gratitude_lines=settings.day.gratitude_lines,
        memory=entry.memory or "",
        share=entry.shares,
        notes=list(entry.notes),
        categories=[
            CategoryOffer(key=c.key, name=c.name, colour=settings.colour(c.key), sleep=c.sleep, work=c.work)
            for c in settings.categories
        ],
        planned=tomorrow.as_text(planned),
        actual=tomorrow.as_text(planned if is_new else entry.hours.actual),
        actual_from_plan=is_new,
        tasks=[*of_day, *left_open],
        tomorrow=following,
        fit=fit_offer.of_offer(book, next_day, following),
        late=_late(book),
        problems=[str(problem) for problem in _all_problems(bases, (*problems, *next_problems, *calendar_problems))],
    )


def _fields(side: Literal["today", "tomorrow"], entry: Entry, settings: Settings) -> list[FieldOffer]:
    """Return the fields on one side of the form, each with its value on the page."""
    return [_field(field, entry, settings) for field in DAY_FIELDS if field.asked == side]


def _field(field: Field, entry: Entry, settings: Settings) -> FieldOffer:
    scale: Scale | None = getattr(settings, field.scale) if field.scale else None
    steps = [scale.low + step for step in range(int(scale.high - scale.low) + 1)] if scale else []
    return FieldOffer(
        path=list(field.path),
        label=field.label,
        question=field.question or field.label,
        unit=field.unit_on(settings.temperature),
        example=field.example,
        control="scale" if scale else "number" if field.is_number else "text",
        steps=[ScaleStep(value=step, word=scale.word(step)) for step in steps] if scale else [],
        value=field.value(entry),
        low=scale.low if scale else field.low,
        high=scale.high if scale else field.high,
    )


def _all_problems(bases: Sequence[Base], problems: Iterable[Problem]) -> Iterable[Problem]:
    """Yield the problems of the pages and calendars. undated.toml is included only if it cannot be read."""
    yield from problems
    try:
        _ = bases[2].values
    except WriteError as error:
        yield from error.problems


def _tomorrow(
    book: Journal,
    date: dt.date,
    entry: Entry,
    undated: Undated,
    *,
    calendar: pl.DataFrame,
    of_day: list[TaskOffer],
    lives: pl.DataFrame,
) -> TomorrowOffer:
    settings = book.settings
    planned, planned_from = tomorrow.strip(entry, settings, date)
    return TomorrowOffer(
        day=date.isoformat(),
        title=("Tomorrow, " if date == book.today + base_pages.DAY else "The day after, ") + dates.day(date),
        sun=tomorrow.sun_words(book.tables.days, settings, date),
        daylight=tomorrow.daylight(book.tables.days, settings, date),
        fields=_fields("tomorrow", entry, settings),
        appointments=tomorrow.appointments(entry, calendar, date),
        planned=tomorrow.as_text(planned),
        planned_from=planned_from,
        tasks=task_rows.planned(entry, date, of_day, lives),
        routines=tomorrow.routines(settings, date, {task.title for task in entry.tasks}),
        undated=task_rows.undated_rows(undated, date),
        ranked=settings.day.ranked_tasks,
    )


def _late(book: Journal) -> list[LateOffer]:
    """Return the days before today that can be closed late, newest first, none from before the journal."""
    logged = dict(book.tables.days.select("date", "logged").iter_rows())
    days = [book.today - (i + 1) * base_pages.DAY for i in range(LATE_DAYS)]
    return [
        LateOffer(day=day.isoformat(), title=dates.day(day), logged=bool(logged[day])) for day in days if day in logged
    ]
