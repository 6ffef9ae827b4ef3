"""The seven days from tomorrow: what each holds already, and whether it has time for its tasks.

Today is not among them: it is run from its own page and closed in the evening. On the evening before a week begins,
the seven days are that week.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

import msgspec

from journal.entry import Entry
from journal.evening import broken_files, capacity, carryover, fit_offer, lots_of_day, tomorrow, triage_list
from journal.evening.capacity import Fit
from journal.evening.form_schema import AppointmentOffer, RoutineOffer, TaskOffer
from journal.evening.tomorrow import Timed
from journal.evening.triage_list import UndecidedTask
from journal.folder.page_versions import UNDATED
from journal.language.catalogue import _
from journal.measures import clock_changes
from journal.measures import tasks as task_measures
from journal.planning import habits_ahead
from journal.planning.habits_ahead import HabitAhead, RegularHabits
from journal.saving import base_pages
from journal.saving.base_pages import DAY
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.page_versions import Base

DAYS = 7


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

    `regular` are the habits that come on most of the days, and the quota habits, by their rule in words. A day repeats
    them only where they rest, are marked or are drawn by lot.
    """

    base: str
    day: str
    days: list[DayAhead]
    waiting: list[UndecidedTask]
    regular: list[RegularHabits]
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
    builder = _DaysBuilder(book, {date: bases[date.isoformat()] for date in dates_ahead})
    days = [builder.day(date, bases[date.isoformat()]) for date in dates_ahead]
    regular = habits_ahead.regular(settings, dates_ahead, [day.habits for day in days])
    named = {name for habits in regular for name in habits.names}
    undated = broken_files.problem(bases[UNDATED])
    return WeekAhead(
        base=base_pages.packed(tuple(bases.values())),
        day=book.today.isoformat(),
        days=[_without(day, named) for day in days],
        waiting=_waiting(book, undecided.tasks, bases[UNDATED], {day.day for day in days}),
        regular=regular,
        clock=settings.clock,
        problems=[*builder.calendar_problems, *([str(undated)] if undated else [])],
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
        if to == UNDATED:
            return _('"{title}" is without a day.', title=title)
        return _('"{title}" is on {day}.', title=title, day=to)
    return _('"{title}" is on {day}. That day has {tasks}', title=title, day=day.title, tasks=day.fit)


class _DaysBuilder:
    """Builds the days. What they share, the calendar and the past tasks, is read once."""

    def __init__(self, book: Journal, bases: Mapping[dt.date, Base]) -> None:
        self.book, self.settings = book, book.settings
        self._calendar, problems = tomorrow.calendar_of(book, book.today + DAY, book.today + DAYS * DAY)
        self.calendar_problems = [str(problem) for problem in problems]
        self._lives = book.task_frames.past_lives
        self._ratios = task_measures.ratios(self._lives)
        self._entries = {date: base_pages.entry(base, book.files.basis.known) for date, base in bases.items()}
        tasks = [(task, date) for date, (entry, _problems) in self._entries.items() for task in entry.tasks]
        self._lives_like = carryover.lives_like(tasks, self._lives)
        self._working = set(self.settings.working)

    def day(self, date: dt.date, base: Base) -> DayAhead:
        entry, problems = self._entries[date]
        offered = carryover.offers_of_page(entry, date, self._lives_like, as_of=self.book.today)
        appointments = tomorrow.appointments(entry, self._calendar, date)
        strip, planned_from = tomorrow.strip(entry, self.settings, date)
        notes, skipped = self._notes(entry, date)
        room = tomorrow.room(strip, [*tomorrow.timed(appointments), *skipped], self._working)
        known = planned_from != "nothing"
        fit = self._fit([task for task in offered if task.status == "open"], room.open)
        return DayAhead(
            day=date.isoformat(),
            title=dates.day(date, year=date.year != self.book.today.year),
            weekday=dates.weekday(date.weekday()),
            notes=notes,
            appointments=appointments,
            routines=tomorrow.routines(self.settings, date, {task.title for task in entry.tasks}),
            habits=habits_ahead.of_day(self.settings, entry, date, self._lots(date)),
            tasks=offered,
            open=room.open if known else None,
            work=room.work if known else None,
            planned_from=planned_from,
            room=_room_words(room, planned_from),
            fit=capacity.short(fit, room.both if known else None),
            holds=not capacity.verdict(fit, room.both) if known and fit.planned else None,
            broken=broken_files.problem(base) is not None,
            problems=[str(problem) for problem in problems],
        )

    def _lots(self, date: dt.date) -> dict[str, str]:
        return {key: lot.said for key, lot in lots_of_day.by_habit(self.book, date).items()}

    def _fit(self, tasks: list[TaskOffer], open_minutes: int) -> Fit:
        """Compare the tasks of a day with its open time, as the evening before it does."""
        rows = [(task.title, task.estimate) for task in tasks]
        return fit_offer.of_tasks(rows, self._lives, self._ratios, open_minutes)

    def _notes(self, entry: Entry, date: dt.date) -> tuple[list[str], list[Timed]]:
        """Return notes on the place and the clock of a day, and the hour that its clock skips."""
        if not self.settings.places:
            return [], []
        home = self.settings.places[0]
        place = next((place for place in self.settings.places if place.key == entry.place), home)
        notes = []
        if place.key != home.key:
            if place.timezone == home.timezone:
                notes.append(_("In {place}", place=place.name))
            else:
                notes.append(_("In {place}; calendars by the clock of {home}", place=place.name, home=home.name))
        changed = clock_changes.change(date, place.timezone)
        if changed is None:
            return notes, []
        before, seconds = changed
        minute, by = before.hour * 60 + before.minute, seconds // 60
        when = {"time": dates.minutes(abs(by)), "clock": dates.clock(minute, self.settings.clock)}
        if by > 0:
            notes.append(_("The clocks go forward by {time} at {clock}", **when))
        else:
            notes.append(_("The clocks go back by {time} at {clock}", **when))
        if by < 0 or before.date() != date:
            return notes, []
        return notes, [Timed("", minute, min(minute + by, 24 * 60))]


def _room_words(room: tomorrow.Room, planned_from: tomorrow.PlannedFrom) -> str:
    if planned_from == "nothing":
        return _("No hours are planned, and no usual hours are set.")
    words = capacity.available(room.open, room.work)
    return _("{room}, as planned.", room=words) if planned_from == "page" else f"{words}."


def _without(day: DayAhead, regular: set[str]) -> DayAhead:
    """The day without the regular habits, except where one rests, is marked or is drawn by lot."""
    kept = [habit for habit in day.habits if habit.name not in regular or habit.state != "due" or habit.lot]
    return msgspec.structs.replace(day, habits=kept)


def _waiting(book: Journal, undecided: list[UndecidedTask], base: Base, days: set[str]) -> list[UndecidedTask]:
    """The tasks to decide on that are on none of the days, then the undated ones."""
    to_decide = [task for task in undecided if task.ref.partition("/")[0] not in (*days, UNDATED)]
    undated = base_pages.undated(base)
    refs = list(base_pages.Pages((base,), lambda _key: base).tasks(UNDATED)) if undated.tasks else []
    rows = zip(refs, undated.tasks, strict=True)
    return [*to_decide, *(_undated_task(ref, task.title, task.estimate, task.since, book.today) for ref, task in rows)]


def _undated_task(ref: str, title: str, estimate: float | None, since: dt.date | None, today: dt.date) -> UndecidedTask:
    parts = [carryover.since_words(since, today) if since else "", dates.minutes(estimate) if estimate else ""]
    return UndecidedTask(
        ref=f"{UNDATED}/{ref}",
        title=title,
        estimate=estimate,
        said=", ".join(part for part in parts if part),
        where=_("without a day"),
        kind="undated",
        waits=None,
    )
