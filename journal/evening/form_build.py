"""The initial values of the evening form: `offer` builds the whole form, `fit` answers while tomorrow is planned.

Usage:
    book = journal.open(folder, today=today)
    page = offer(book, book.today)                      # a typed value; msgspec.to_builtins makes JSON of it
    fit(book, book.today, {"tasks": [{"title": "Sew", "estimate": 60}], "planned": {...}, "appointments": [...]})
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal

import polars as pl

from journal.calendars import appointments as calendar_appointments
from journal.entry import DAY_FIELDS, Entry, Span, Undated
from journal.errors import Problem, WriteError
from journal.evening import capacity, carryover, habit_preview, tomorrow
from journal.evening.form_schema import (
    CategoryOffer,
    FieldOffer,
    FitOffer,
    LateOffer,
    Offer,
    PlannedTask,
    ScaleStep,
    TaskOffer,
    TomorrowOffer,
    UndatedOffer,
)
from journal.fields import Field
from journal.folder import calendar_files
from journal.folder.identity import identities
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
    calendar, calendar_problems = calendar_of(book, next_day)
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
        fit=_fit_of(book, next_day, following),
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
        tasks=_planned_tasks(entry, date, of_day, lives),
        routines=tomorrow.routines(settings, date, {task.title for task in entry.tasks}),
        undated=_undated(undated, date),
        ranked=settings.day.ranked_tasks,
    )


def calendar_of(book: Journal, date: dt.date) -> tuple[pl.DataFrame, list[Problem]]:
    """Return the appointments of the journal's calendar files on a day, by the clock at home, and their problems."""
    calendars = calendar_files.read(book.folder, book.settings.calendars)
    zone = book.settings.places[0].timezone if book.settings.places else "UTC"
    frame, problems = calendar_appointments.appointments(calendars.files, date, date, zone)
    return frame, [*calendars.problems, *problems]


def _planned_tasks(entry: Entry, date: dt.date, of_day: list[TaskOffer], lives: pl.DataFrame) -> list[PlannedTask]:
    """Return the tasks on the next day's page, each with the task of the day that it continues."""
    carried = [task for task in of_day if task.status == "carried"]
    tasks = []
    for task in carryover.offers_of_page(entry, date, lives):
        source = next((carried_task for carried_task in carried if _is_same_task_offer(carried_task, task)), None)
        tasks.append(
            PlannedTask(
                ref=task.ref,
                title=task.title,
                status=task.status,
                rank=task.rank,
                estimate=task.estimate,
                since=task.since,
                id=task.id,
                said=task.said,
                source_ref=source.ref if source else None,
            )
        )
    return tasks


def _is_same_task_offer(a: TaskOffer, b: TaskOffer) -> bool:
    if a.id and b.id:
        return a.id == b.id
    return (a.title, a.since) == (b.title, b.since)


def _undated(undated: Undated, day: dt.date) -> list[UndatedOffer]:
    names = [
        {k: v for k, v in (("title", t.title), ("since", t.since), ("id", t.id)) if v is not None}
        for t in undated.tasks
    ]
    return [
        UndatedOffer(
            ref=ref,
            title=task.title,
            estimate=task.estimate,
            since=task.since.isoformat() if task.since else None,
            said=carryover.since_words(task.since, day) if task.since else "",
        )
        for task, ref in zip(undated.tasks, identities("tasks", names), strict=True)
        if task.since is None or task.since <= day  # a task that began later cannot be on a day that is closed late
    ]


def _late(book: Journal) -> list[LateOffer]:
    """Return the days before today that can be closed late, newest first, none from before the journal."""
    logged = dict(book.tables.days.select("date", "logged").iter_rows())
    days = [book.today - (i + 1) * base_pages.DAY for i in range(LATE_DAYS)]
    return [
        LateOffer(day=day.isoformat(), title=dates.day(day), logged=bool(logged[day])) for day in days if day in logged
    ]


def fit(book: Journal, day: dt.date, asked: Mapping[str, Any]) -> FitOffer:
    """Return whether the day after `day` has time for its planned tasks.

    `asked` has "tasks", each with a title and an estimate or null, or only "estimates"; "planned", a strip; and
    "appointments", the typed ones, with start and end: those of the calendars are added here. Invalid values are
    skipped: saving reports them.
    """
    tasks = asked.get("tasks")
    if not isinstance(tasks, list):
        tasks = [{"title": "", "estimate": estimate} for estimate in asked.get("estimates") or []]
    rows = [(str(task.get("title") or ""), _minutes(task.get("estimate"))) for task in tasks if isinstance(task, dict)]
    planned = asked.get("planned")
    spans = {
        str(key): [span for text in texts if (span := _span(text)) is not None]
        for key, texts in (planned.items() if isinstance(planned, dict) else ())
        if isinstance(texts, list)
    }
    set_times = [
        tomorrow.Timed(str(appointment.get("title") or "An appointment"), *span)
        for appointment in asked.get("appointments") or []
        if isinstance(appointment, dict)
        and appointment.get("from") != "calendar"
        and (span := _span(f"{appointment.get('start')}-{appointment.get('end')}")) is not None
    ]
    calendar, _ = calendar_of(book, day + base_pages.DAY)
    set_times += tomorrow.timed(tomorrow.appointments(Entry(), calendar, day + base_pages.DAY))
    return _fit(book, day + base_pages.DAY, rows, spans, set_times)


def _minutes(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) and value > 0 else None


def _span(text: object) -> Span | None:
    try:
        return Span.parse(str(text))
    except ValueError:
        return None


def _fit_of(book: Journal, date: dt.date, following: TomorrowOffer) -> FitOffer:
    rows = [(task.title, task.estimate) for task in following.tasks if task.status == "open"]
    spans = {key: [Span.parse(text) for text in texts] for key, texts in following.planned.items()}
    return _fit(book, date, rows, spans, tomorrow.timed(following.appointments))


def _fit(
    book: Journal,
    date: dt.date,
    rows: Sequence[tuple[str, float | None]],
    planned: tomorrow.SpansByCategory,
    set_times: Sequence[tomorrow.Timed],
) -> FitOffer:
    past = book.tables.tasks.filter(pl.col("date") < date)
    lives = task_measures.lives(past, today=date - base_pages.DAY)
    tasks = pl.DataFrame(rows, schema={"title": pl.String, "estimate": pl.Float64}, orient="row")
    filled = capacity.filled_in(tasks, lives)
    estimates = filled.get_column("minutes").to_list()
    room = tomorrow.room(planned, set_times, {c.key for c in book.settings.categories if c.work})
    from_like = filled.filter(pl.col("like").is_in(["same", "any"])).height
    result = capacity.fit(estimates, task_measures.ratios(lives), open_minutes=room.open, filled=from_like)
    usual = capacity.usual(past, day=date)
    return FitOffer(
        sentence=capacity.sentence(result, room.work),
        detail=capacity.detail(result, usual, date, work_minutes=room.work),
        planned=result.planned,
        expected=result.expected,
        low=result.low,
        high=result.high,
        open=room.open,
        work=room.work,
        room=room.both,
        overlaps=tomorrow.overlaps(set_times, planned, book.settings),
    )
