"""The initial values of the evening form: `offer` builds the whole form.

Usage:
    book = journal.open(folder, today=today)
    page = offer(book, book.today)                      # a typed value; msgspec.to_builtins makes JSON of it
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Literal

import polars as pl

from journal.entry import Entry, Undated
from journal.evening import (
    broken_files,
    carryover,
    fit_offer,
    form_fields,
    habit_preview,
    lots_of_day,
    task_rows,
    tomorrow,
)
from journal.evening.form_schema import (
    LateOffer,
    Offer,
    TaskOffer,
    TomorrowOffer,
)
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

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

    Raises UsageError for a day of a year that no page can have.
    """
    settings, next_day = book.settings, base_pages.next_day(base_pages.reachable(day), book.today)
    versions, known = book.files.pages, book.files.basis.known
    bases = base_pages.look(versions, base_pages.evening_keys(day, next_day))
    broken = broken_files.offers(book.files.basis, bases)
    is_set = broken_files.is_set(book.files.basis)
    (entry, problems), (next_entry, next_problems) = (base_pages.entry(base, known) for base in bases[:2])
    undated = base_pages.undated(bases[2])
    lives = book.task_frames.lives_on(day)
    of_day = carryover.offers_of_page(entry, day, lives)
    calendar, calendar_problems = tomorrow.calendar_of(book, day, next_day)
    following = _tomorrow(book, day, next_entry, undated, calendar=calendar, of_day=of_day, lives=lives, is_set=is_set)
    left_open = carryover.left_open(book.tables.tasks, lives, undated, day)
    planned, _other = tomorrow.strip(entry, settings, day)
    is_new = not entry.hours.actual
    return Offer(
        day=day.isoformat(),
        title=_("Today, {day}", day=dates.day(day)) if day == book.today else _other_day(day, book.today),
        files=[base.path for base in bases[: 2 if following.asks == "plan" else 1]],
        clock=settings.clock,
        base=base_pages.packed(
            (*bases, *base_pages.look(versions, tuple(dict.fromkeys(task.page for task in left_open))))
        ),
        fields=form_fields.field_offers("today", entry, settings, is_set=is_set),
        planned_fields=form_fields.field_offers("tomorrow", entry, settings, is_set=is_set),
        appointments=tomorrow.appointments(entry, calendar, day),
        habits=habit_preview.habit_offers(book, day, entry.habits or {}),
        challenges=habit_preview.challenges(settings, book.tables.ticks, day, entry.challenges),
        gratitude=list(entry.gratitude),
        gratitude_lines=settings.day.gratitude_lines,
        memory=entry.memory or "",
        share=entry.shares,
        notes=list(entry.notes),
        categories=form_fields.categories(settings),
        planned=tomorrow.as_text(planned),
        actual=tomorrow.as_text(planned if is_new else entry.hours.actual),
        actual_from_plan=is_new,
        tasks=[*of_day, *left_open],
        tomorrow=following,
        fit=fit_offer.of_offer(book, next_day, following),
        late=_late(book),
        problems=[str(problem) for problem in (*problems, *next_problems, *calendar_problems)],
        broken=broken,
    )


def _next_title(date: dt.date, today: dt.date) -> str:
    day = dates.day(date)
    return _("Today, {day}", day=day) if date == today else _("Tomorrow, {day}", day=day)


def _other_day(day: dt.date, today: dt.date) -> str:
    return dates.day(day, year=day.year != today.year)


def _asks(book: Journal, day: dt.date, date: dt.date, entry: Entry) -> tuple[Literal["plan", "carry"], str]:
    """Return what is asked for the day that an evening opens, and for a day closed late the reason."""
    if day == book.today:
        return "plan", ""
    if date > day + base_pages.DAY:
        over = dates.day(day + base_pages.DAY)
        text = _("{day} is over, so no plan is asked for. Tasks that you carry go to today.", day=over)
        return "carry", text
    if entry.hours.planned or entry.hours.actual or entry.logged:
        return "carry", _("Today is planned already, so no plan is asked for. Tasks that you carry go to today.")
    return "plan", _("Today has no plan yet. You can make it here.")


def _tomorrow(
    book: Journal,
    day: dt.date,
    entry: Entry,
    undated: Undated,
    *,
    calendar: pl.DataFrame,
    of_day: list[TaskOffer],
    lives: pl.DataFrame,
    is_set: bool,
) -> TomorrowOffer:
    settings, date = book.settings, base_pages.next_day(day, book.today)
    planned, planned_from = tomorrow.strip(entry, settings, date)
    asks, said = _asks(book, day, date, entry)
    routines = {routine.title for routine in tomorrow.routines(settings, date, ())}
    return TomorrowOffer(
        day=date.isoformat(),
        title=_("Today, {day}", day=dates.day(date))
        if date == book.today
        else _("Tomorrow, {day}", day=dates.day(date)),
        asks=asks,
        said=said,
        sun=tomorrow.sun_words(book.tables.days, settings, date),
        daylight=tomorrow.daylight(book.tables.days, settings, date),
        fields=form_fields.field_offers("tomorrow", entry, settings, is_set=is_set),
        appointments=tomorrow.appointments(entry, calendar, date),
        planned=tomorrow.as_text(planned),
        planned_from=planned_from,
        tasks=task_rows.planned(entry, date, of_day, lives, routines),
        routines=tomorrow.routines(settings, date, {task.title for task in entry.tasks}),
        undated=task_rows.undated_rows(undated, date),
        ranked=settings.day.ranked_tasks,
        lots=lots_of_day.of_day(book, date),
    )


def _late(book: Journal) -> list[LateOffer]:
    """Return the days before today that can be closed late, newest first, none from before the journal."""
    days = [book.today - (i + 1) * base_pages.DAY for i in range(LATE_DAYS)]
    logged = dict(book.tables.days.filter(pl.col("date").is_in(days)).select("date", "logged").iter_rows())
    return [
        LateOffer(day=day.isoformat(), title=dates.day(day), logged=bool(logged[day])) for day in days if day in logged
    ]
