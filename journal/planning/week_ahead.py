"""The seven days from tomorrow: what each holds already, and whether it has time for its tasks.

Today is not among them: it is run from its own page and closed in the evening. On the evening before a week begins,
the seven days are that week.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Literal

import msgspec
import polars as pl

from journal import schedule
from journal.calendars import appointments as calendar_appointments
from journal.entry import Entry
from journal.errors import WriteError
from journal.evening import capacity, carryover, tomorrow, triage_list
from journal.evening.capacity import Fit
from journal.evening.form_schema import AppointmentOffer, RoutineOffer, TaskOffer
from journal.evening.tomorrow import Timed
from journal.evening.triage_list import UndecidedTask
from journal.folder import calendar_files
from journal.folder.page_versions import UNDATED
from journal.measures import clock_changes
from journal.measures import tasks as task_measures
from journal.saving import base_pages
from journal.saving.base_pages import DAY
from journal.settings import Habit, Settings
from journal.wording import dates, rules

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.page_versions import Base

DAYS = 7


class HabitAhead(msgspec.Struct, frozen=True, kw_only=True):
    """A habit on a day to come: due by its rule, rest, or marked in advance. A quota habit is on a day only as rest."""

    name: str
    state: Literal["due", "rest", "marked"]


class DayAhead(msgspec.Struct, frozen=True, kw_only=True):
    """A day to come. `notes` say what is special of it: another place, a change of the clocks.

    `open` and `work` are minutes, as in `tomorrow.room`, null for a day without planned or usual hours. `room` and
    `fit` are sentences. A `broken` page cannot be read, so no task can be put on it; `problems` say why.
    """

    day: str
    title: str
    weekday: str
    notes: list[str]
    appointments: list[AppointmentOffer]
    routines: list[RoutineOffer]
    habits: list[HabitAhead]
    tasks: list[TaskOffer]
    open: int | None
    work: int | None
    planned_from: tomorrow.PlannedFrom
    room: str
    fit: str
    holds: bool | None
    broken: bool
    problems: list[str]


class WeekAhead(msgspec.Struct, frozen=True, kw_only=True):
    """The days to come as of `day`, and the tasks to put on one of them: those to decide on, then the undated ones.

    `daily` are the habits that come on each of the days; a day repeats them only where they rest or are marked.
    `anytime` are the quota habits, in words.
    """

    base: str
    day: str
    days: list[DayAhead]
    waiting: list[UndecidedTask]
    daily: list[str]
    anytime: list[str]
    clock: Literal[12, 24]
    problems: list[str]


def offer(book: Journal) -> WeekAhead:
    """Return the seven days from tomorrow, from the current pages, and the tasks without one of these days.

    >>> import journal, tempfile, pathlib
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> _ = pathlib.Path(folder.name, "2025-03-17.toml").write_text('[[tasks]]\\ntitle = "Quote"\\nestimate = 45')
    >>> ahead = offer(journal.open(folder.name, today=dt.date(2025, 3, 16)))
    >>> [day.title for day in ahead.days][::6], ahead.days[0].fit, ahead.days[0].room
    (['Monday 17 March', 'Sunday 23 March'], '45 min of tasks.', 'No hours are planned, and no usual hours are set.')
    >>> folder.cleanup()
    """
    versions, settings = book.files.pages, book.settings
    dates_ahead = [book.today + (i + 1) * DAY for i in range(DAYS)]
    keys = (*base_pages.evening_keys(book.today), *(date.isoformat() for date in dates_ahead))
    undecided = triage_list.offer(book)
    bases = {base.key: base for base in base_pages.submitted(undecided.base, versions)}
    bases |= {base.key: base for base in base_pages.look(versions, tuple(dict.fromkeys(keys)))}
    builder = _DaysBuilder(book)
    days = [builder.day(date, bases[date.isoformat()]) for date in dates_ahead]
    daily = [name for name in builder.names if _is_daily(name, days)]
    return WeekAhead(
        base=base_pages.packed(tuple(bases.values())),
        day=book.today.isoformat(),
        days=[_without(day, daily) for day in days],
        waiting=_waiting(book, undecided.tasks, bases[UNDATED], {day.day for day in days}),
        daily=daily,
        anytime=_anytime(settings, dates_ahead),
        clock=settings.clock,
        problems=[*builder.calendar_problems, *_unreadable(bases[UNDATED])],
    )


def told(ahead: WeekAhead, title: str, to: str) -> str:
    """Return where a task went, and what its day holds now.

    >>> from types import SimpleNamespace
    >>> tuesday = SimpleNamespace(day="2025-03-18", title="Tuesday 18 March", fit="2 h of tasks. That may not fit.")
    >>> told(SimpleNamespace(days=[tuesday]), "Cut", "2025-03-18")
    '"Cut" is on Tuesday 18 March. That day has 2 h of tasks. That may not fit.'
    >>> told(SimpleNamespace(days=[tuesday]), "Cut", "undated")
    '"Cut" is without a day.'
    """
    day = next((day for day in ahead.days if day.day == to), None)
    if day is None:
        return f'"{title}" is without a day.' if to == UNDATED else f'"{title}" is on {to}.'
    return f'"{title}" is on {day.title}. That day has {day.fit}'


class _DaysBuilder:
    """Builds the days. What they share, the calendar and the past tasks, is read once."""

    def __init__(self, book: Journal) -> None:
        self.book, self.settings = book, book.settings
        calendars = calendar_files.read(book.folder, self.settings.calendars)
        zone = self.settings.places[0].timezone if self.settings.places else "UTC"
        self._calendar, problems = calendar_appointments.appointments(
            calendars.files, book.today + DAY, book.today + DAYS * DAY, zone
        )
        self.calendar_problems = [str(problem) for problem in (*calendars.problems, *problems)]
        past = book.tables.tasks.filter(pl.col("date") <= book.today)
        self._lives = task_measures.lives(past, today=book.today)
        self._ratios = task_measures.ratios(self._lives)
        self._working = set(self.settings.working)
        self.names = [self.settings.habit_name(key) for key in self.settings.habit_keys]

    def day(self, date: dt.date, base: Base) -> DayAhead:
        entry, problems = base_pages.entry(base, self.book.files.basis.known)
        offered = carryover.offers_of_page(entry, date, self._lives, as_of=self.book.today)
        appointments = tomorrow.appointments(entry, self._calendar, date)
        strip, planned_from = tomorrow.strip(entry, self.settings, date)
        notes, skipped = self._notes(entry, date)
        room = tomorrow.room(strip, [*tomorrow.timed(appointments), *skipped], self._working)
        known = planned_from != "nothing"
        fit = self._fit([task for task in offered if task.status == "open"], room.open)
        return DayAhead(
            day=date.isoformat(),
            title=dates.day(date, year=date.year != self.book.today.year),
            weekday=dates.WEEKDAY_NAMES[date.weekday()],
            notes=notes,
            appointments=appointments,
            routines=tomorrow.routines(self.settings, date, {task.title for task in entry.tasks}),
            habits=self._habits(entry, date),
            tasks=offered,
            open=room.open if known else None,
            work=room.work if known else None,
            planned_from=planned_from,
            room=_room_words(room, planned_from),
            fit=capacity.short(fit, room.both if known else None),
            holds=not capacity.verdict(fit, room.both) if known and fit.planned else None,
            broken=bool(_unreadable(base)),
            problems=[str(problem) for problem in problems],
        )

    def _fit(self, tasks: list[TaskOffer], open_minutes: int) -> Fit:
        """Compare the tasks of a day with its open time, as the evening before it does."""
        rows = [(task.title, task.estimate) for task in tasks]
        frame = pl.DataFrame(rows, schema={"title": pl.String, "estimate": pl.Float64}, orient="row")
        filled = capacity.filled_in(frame, self._lives)
        from_like = filled.filter(pl.col("like").is_in(["same", "any"])).height
        estimates = filled.get_column("minutes").to_list()
        return capacity.fit(estimates, self._ratios, open_minutes=open_minutes, filled=from_like)

    def _notes(self, entry: Entry, date: dt.date) -> tuple[list[str], list[Timed]]:
        """Return notes on the place and the clock of a day, and the hour that its clock skips."""
        if not self.settings.places:
            return [], []
        home = self.settings.places[0]
        place = next((place for place in self.settings.places if place.key == entry.place), home)
        notes = []
        if place.key != home.key:
            zone = f"; calendars by the clock of {home.name}" if place.timezone != home.timezone else ""
            notes.append(f"In {place.name}{zone}")
        changed = clock_changes.change(date, place.timezone)
        if changed is None:
            return notes, []
        before, seconds = changed
        minute, by = before.hour * 60 + before.minute, seconds // 60
        way = "forward" if by > 0 else "back"
        notes.append(f"The clocks go {way} by {dates.minutes(abs(by))} at {dates.clock(minute, self.settings.clock)}")
        if by < 0 or before.date() != date:
            return notes, []
        return notes, [Timed("", minute, min(minute + by, 24 * 60))]

    def _habits(self, entry: Entry, date: dt.date) -> list[HabitAhead]:
        habits = []
        for key in self.settings.habit_keys:
            definition = self.settings.habit_on(key, date)
            state = _state(definition, entry, date, self.settings) if definition is not None else None
            if state is not None:
                habits.append(HabitAhead(name=self.settings.habit_name(key), state=state))
        return habits


def _state(habit: Habit, entry: Entry, date: dt.date, settings: Settings) -> Literal["due", "rest", "marked"] | None:
    """Return what a day has of a habit in force, None if it is not due. A quota habit is due on no day of its own."""
    mark = (entry.habits or {}).get(habit.key)
    is_due = habit.every is not None and bool(schedule.due(habit.every, habit.start, date, date).item())
    if mark == "rest":
        return "rest"
    if mark is not None:
        return "marked"
    if not is_due and habit.per is None:
        return None
    if any(rest.covers(habit.key) and rest.start <= date <= rest.until for rest in settings.rests):
        return "rest"
    return "due" if is_due else None


def _room_words(room: tomorrow.Room, planned_from: tomorrow.PlannedFrom) -> str:
    if planned_from == "nothing":
        return "No hours are planned, and no usual hours are set."
    words = capacity.available(room.open, room.work)
    return f"{words}, as planned." if planned_from == "page" else f"{words}."


def _is_daily(name: str, days: list[DayAhead]) -> bool:
    """Whether a habit comes on each of the days, and is due on one at least."""
    states = [habit.state for day in days for habit in day.habits if habit.name == name]
    return len(states) == len(days) and "due" in states


def _without(day: DayAhead, daily: list[str]) -> DayAhead:
    """The day without the habits that are due on all days, except where one rests or is marked."""
    kept = [habit for habit in day.habits if habit.name not in daily or habit.state != "due"]
    return msgspec.structs.replace(day, habits=kept)


def _anytime(settings: Settings, days: list[dt.date]) -> list[str]:
    """The quota habits in force on any of the days, e.g. "Swim, 3 times a week"."""
    lines = []
    for key in settings.habit_keys:
        definitions = [habit for day in days if (habit := settings.habit_on(key, day)) is not None]
        quotas = [habit for habit in definitions if habit.per is not None and habit.times is not None]
        if quotas:
            times, per = quotas[-1].times or 0, quotas[-1].per or "week"
            lines.append(f"{settings.habit_name(key)}, {rules.quota(times, per)}")
    return lines


def _waiting(book: Journal, undecided: list[UndecidedTask], base: Base, days: set[str]) -> list[UndecidedTask]:
    """The tasks to decide on that are on none of the days, then the undated ones."""
    to_decide = [task for task in undecided if task.ref.partition("/")[0] not in (*days, UNDATED)]
    undated = base_pages.undated(base)
    refs = list(base_pages.Pages((base,), lambda _: base).tasks(UNDATED)) if undated.tasks else []
    rows = zip(refs, undated.tasks, strict=True)
    return [*to_decide, *(_undated_task(ref, task.title, task.estimate, task.since, book.today) for ref, task in rows)]


def _undated_task(ref: str, title: str, estimate: float | None, since: dt.date | None, today: dt.date) -> UndecidedTask:
    parts = [carryover.since_words(since, today) if since else "", dates.minutes(estimate) if estimate else ""]
    return UndecidedTask(
        ref=f"{UNDATED}/{ref}",
        title=title,
        estimate=estimate,
        said=", ".join(part for part in parts if part),
        where="without a day",
        kind="undated",
        waits=None,
    )


def _unreadable(base: Base) -> list[str]:
    """The problems of a page that cannot be read at all."""
    try:
        _ = base.values
    except WriteError as error:
        return [str(problem) for problem in error.problems] or [str(error)]
    return []
