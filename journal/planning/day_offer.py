"""The initial values of a day's page: `offer` builds them for any day, past, today or coming."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from journal import schedule
from journal.entry import MINUTES_A_DAY, Entry, Mark
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
from journal.evening.form_schema import AppointmentOffer
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import _
from journal.planning.day_schema import ComingHabit, DayKind, DayOffer, PlaceOffer
from journal.saving import base_pages
from journal.saving.base_pages import DAY
from journal.settings import Habit, Settings
from journal.wording import dates, numbers, rules

if TYPE_CHECKING:
    from journal import Journal

LATE_AFTERNOON = 17 * 60  # from here on the page leads to the evening, whatever is still planned


def offer(book: Journal, day: dt.date, now: dt.datetime) -> DayOffer:
    """Return the page of a day of a journal, from its current files. `book` is the journal as of today.

    >>> import journal, tempfile, pathlib
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> today = dt.date(2025, 3, 13)
    >>> page = offer(journal.open(folder.name, today=today), today, dt.datetime(2025, 3, 13, 14, 20, tzinfo=dt.UTC))
    >>> page.title, page.now, page.closes, page.after
    ('Today, Thursday 13 March', 860, 1020, '2025-03-14')
    >>> folder.cleanup()
    """
    settings, versions, known = book.settings, book.files.pages, book.files.basis.known
    bases = base_pages.look(versions, keys(day))
    entry, problems = base_pages.entry(bases[0], known)
    undated = base_pages.undated(bases[1])
    kind: DayKind = "today" if day == book.today else "past" if day < book.today else "coming"
    lives = book.task_frames.lives_on(day)
    of_day = carryover.offers_of_page(entry, day, lives)
    planned, planned_from = tomorrow.strip(entry, settings, day)
    calendar, calendar_problems = tomorrow.calendar_of(book, day)
    appointments = tomorrow.appointments(entry, calendar, day)
    marks = entry.habits or {}
    open_rows = [(task.title, task.estimate) for task in of_day if task.status == "open"]
    undated_problems = [problem for problem in (broken_files.problem(bases[1]),) if problem is not None]
    is_set = broken_files.is_set(book.files.basis)
    return DayOffer(
        day=day.isoformat(),
        title=_title(day, book.today),
        kind=kind,
        today=book.today.isoformat(),
        before=(day - DAY).isoformat(),
        after=(day + DAY).isoformat(),
        before_title=dates.day(day - DAY),
        after_title=dates.day(day + DAY),
        file=bases[0].path,
        base=base_pages.packed(bases),
        clock=settings.clock,
        now=_minute(now, day, entry, settings) if kind == "today" else None,
        turns=settings.day.turns.minute,
        closes=_closes(planned, appointments, settings),
        closed=entry.logged and entry.asked,
        sun=tomorrow.sun_words(book.tables.days, settings, day),
        daylight=tomorrow.daylight(book.tables.days, settings, day),
        fields=form_fields.field_offers("tomorrow", entry, settings, is_set=is_set),
        place=entry.place or (settings.places[0].key if settings.places else ""),
        places=[PlaceOffer(key=place.key, name=place.name) for place in settings.places],
        categories=form_fields.categories(settings),
        planned=tomorrow.as_text(planned),
        planned_from=planned_from,
        actual=tomorrow.as_text(entry.hours.actual),
        appointments=appointments,
        tasks=sorted(of_day, key=lambda task: task.rank or MINUTES_A_DAY),
        ranked=settings.day.ranked_tasks,
        routines=[] if kind == "past" else tomorrow.routines(settings, day, {task.title for task in entry.tasks}),
        left=carryover.left_open(book.tables.tasks, lives, undated, day) if kind == "today" else [],
        undated=[] if kind == "past" else task_rows.undated_rows(undated, day),
        habits=[] if kind == "coming" else habit_preview.habit_offers(book, day, marks),
        coming_habits=list(_coming_habits(book, day, marks)) if kind == "coming" else [],
        challenges=habit_preview.challenges(settings, book.tables.ticks, day, entry.challenges),
        gratitude=list(entry.gratitude),
        notes=list(entry.notes),
        fit=fit_offer.of_day(book, day, open_rows, planned, tomorrow.timed(appointments)) if kind == "coming" else None,
        problems=[str(problem) for problem in (*problems, *undated_problems, *calendar_problems)],
    )


def keys(day: dt.date) -> tuple[str, str]:
    """Return the keys of the pages of a day's page: the day, and the undated tasks.

    >>> keys(dt.date(2025, 3, 13))
    ('2025-03-13', 'undated')
    """
    return day.isoformat(), UNDATED


def _title(day: dt.date, today: dt.date) -> str:
    date = dates.day(day, year=day.year != today.year)
    match (day - today).days:
        case 0:
            return _("Today, {day}", day=date)
        case 1:
            return _("Tomorrow, {day}", day=date)
        case -1:
            return _("Yesterday, {day}", day=date)
    return date


def _minute(now: dt.datetime, day: dt.date, entry: Entry, settings: Settings) -> int:
    """Return the minute of the day by the clock where the day is spent, 1440 or more after its midnight."""
    zone = settings.zones.get(entry.place or "") or (settings.places[0].timezone if settings.places else None)
    local = now.astimezone(ZoneInfo(zone)) if zone else now
    return (local.date() - day).days * MINUTES_A_DAY + local.hour * 60 + local.minute


def _closes(planned: tomorrow.SpansByCategory, appointments: list[AppointmentOffer], settings: Settings) -> int:
    """Return the minute from which closing the day is due."""
    waking = [spans for key, spans in planned.items() if key != settings.asleep]
    ends = [span.end_minute for spans in waking for span in spans]
    ends += [appointment.end_minute for appointment in tomorrow.timed(appointments)]
    return min(max(ends, default=LATE_AFTERNOON), LATE_AFTERNOON)


def _coming_habits(book: Journal, day: dt.date, marks: Mapping[str, Mark]) -> Iterator[ComingHabit]:
    """Yield the habits that are due or drawn by lot on a coming day, which no frame has yet."""
    settings, drawn = book.settings, lots_of_day.by_habit(book, day)
    for key in settings.habit_keys:
        habit, lot = settings.habit_on(key, day), drawn.get(key)
        if habit is None:
            continue
        if lot is None and habit.every and not schedule.due(habit.every, habit.start, day, day).item():
            continue
        off = settings.is_off(key, day)
        rule = "" if lot and lot.arm == "off" else _rule(habit)
        said = _("rest") if off or marks.get(key) == "rest" else rule
        yield ComingHabit(name=habit.name, said=numbers.joined([lot.said if lot else "", said]))


def _rule(habit: Habit) -> str:
    if habit.times is not None and habit.per is not None:
        return rules.quota(habit.times, habit.per)
    if habit.target is None:
        return ""
    amount = f"{numbers.number(habit.target)} {habit.unit}".strip()
    return amount if habit.aim == "at least" else _("at most {amount}", amount=amount)
