"""The next day before it is planned: its strip, its appointments, its routines, and the free time.

strip          from its page, else the weekday's hours of journal.toml, else the usual hours
appointments   from its page and from the calendar files
routines       due on that day and not on its page yet
room           open time, and planned work time without an appointment
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

import polars as pl

from journal import schedule
from journal.calendars.appointment_columns import APPOINTMENTS
from journal.entry import MINUTES_A_DAY, Appointment, Entry, Span, clock_text, minute_of_day
from journal.errors import Problem
from journal.evening.form_schema import AppointmentOffer, RoutineOffer, Strip
from journal.folder import calendar_files
from journal.folder.identity import identities
from journal.language.catalogue import _
from journal.settings import WEEKDAYS, Routine, Settings
from journal.sun import rise_set
from journal.wording import dates, numbers, rules

if TYPE_CHECKING:
    from journal import Journal

SpansByCategory = Mapping[str, Sequence[Span]]
"""Category to spans of a day."""

PlannedFrom = Literal["page", "weekday", "usual", "nothing"]


class Timed(NamedTuple):
    """An appointment with start and end, in minutes of the day."""

    title: str
    start_minute: int
    end_minute: int


class Room(NamedTuple):
    """The time that a day has for tasks, in minutes.

    `open` is time without plan or appointment, `work` is time planned for work and without an appointment.
    """

    open: int
    work: int

    @property
    def both(self) -> int:
        return self.open + self.work


def strip(entry: Entry, settings: Settings, date: dt.date) -> tuple[dict[str, tuple[Span, ...]], PlannedFrom]:
    """Return the strip that a day starts from, and its source."""
    if entry.hours.planned:
        return entry.hours.planned, "page"
    weekday = settings.hours.get(WEEKDAYS[date.weekday()])
    if weekday is not None:
        return weekday, "weekday"
    usual = settings.hours.get("usual")
    return (usual, "usual") if usual is not None else ({}, "nothing")


def as_text(spans: SpansByCategory) -> Strip:
    """Return spans as a file has them.

    >>> as_text({"sleep": [Span(0, 375)]})
    {'sleep': ['00:00-06:15']}
    """
    return {
        key: [f"{clock_text(span.start_minute)}-{clock_text(span.end_minute)}" for span in key_spans]
        for key, key_spans in spans.items()
    }


def routines(settings: Settings, date: dt.date, on_page: Collection[str]) -> list[RoutineOffer]:
    """Return the routines due on a day whose title is not on its page.

    >>> from journal.settings import Routine
    >>> count = Routine(title="Stock count", every="FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", start=dt.date(2025, 1, 3))
    >>> small = Settings(title="Small", places=(), routines=(count,))
    >>> [offer.said for offer in routines(small, dt.date(2025, 3, 14), [])], routines(small, dt.date(2025, 3, 21), [])
    (['every other Friday'], [])
    """
    return [
        RoutineOffer(title=routine.title, estimate=routine.estimate, said=rules.words(routine.every, routine.start))
        for routine in due_routines(settings, date)
        if routine.title not in on_page
    ]


def due_routines(settings: Settings, date: dt.date) -> list[Routine]:
    """Return the routines due on a day."""
    return [
        routine
        for routine in settings.routines
        if routine.start <= date
        and (routine.until is None or date <= routine.until)
        and schedule.is_due(routine.every, routine.start, date)
    ]


def appointments(entry: Entry, calendar: pl.DataFrame, date: dt.date) -> list[AppointmentOffer]:
    """Return the appointments of a day from its page and its calendars, all-day ones first, then by time.

    In: the frame of `calendars.appointments` (date, title, start_minute, end_minute, source). An appointment that
    both have, with the same title and start, is listed once, as on the page.
    """
    tables = [
        {k: clock_text(v) if isinstance(v, int) else v for k, v in _named_values(a).items() if v is not None}
        for a in entry.appointments
    ]
    typed = [
        AppointmentOffer(ref=ref, title=a.title, start=_clock_or_none(a.start), end=_clock_or_none(a.end), from_="page")
        for a, ref in zip(entry.appointments, identities("appointments", tables), strict=True)
    ]
    known = {(offer.title, offer.start) for offer in typed}
    rows = calendar.filter(pl.col("date") == date).select("title", "start_minute", "end_minute", "source").iter_rows()
    from_calendar = [
        AppointmentOffer(
            ref=None,
            title=title,
            start=_clock_or_none(start),
            end=_clock_or_none(end),
            from_="calendar",
            source=source,
        )
        for title, start, end, source in rows
    ]
    offers = [*typed, *(offer for offer in from_calendar if (offer.title, offer.start) not in known)]
    return sorted(offers, key=lambda offer: (offer.start or "", offer.end or "", offer.title))


def calendar_of(book: Journal, date: dt.date, until: dt.date | None = None) -> tuple[pl.DataFrame, list[Problem]]:
    """Return the appointments of the journal's calendar files, by the clock at home, and the files' problems.

    They are those of one day, or of all days from `date` to `until`.
    """
    calendars = calendar_files.read(book.folder, book.settings.calendars)
    if not calendars.files:
        return pl.DataFrame(schema=APPOINTMENTS), list(calendars.problems)
    from journal.calendars.appointments import appointments  # noqa: PLC0415 - 40 ms, for calendars alone

    zone = book.settings.places[0].timezone if book.settings.places else "UTC"
    frame, problems = appointments(calendars.files, date, until or date, zone)
    return frame, [*calendars.problems, *problems]


def _named_values(appointment: Appointment) -> dict[str, object]:
    return {"title": appointment.title, "start": appointment.start}


def _clock_or_none(minute: int | None) -> str | None:
    return None if minute is None else clock_text(minute)


def room(planned: SpansByCategory, set_times: Iterable[Timed], work: Collection[str]) -> Room:
    """Return the time that a day has for tasks.

    Open time is the minutes of the 24 hours without a plan or an appointment. Work time is planned in a category of
    `work`, without an appointment: work tasks are done in it.

    >>> planned = {"sleep": [Span(0, 360), Span(1320, 1440)], "workshop": [Span(540, 720)]}
    >>> room(planned, [Timed("Paper merchant", 510, 570)], {"workshop"})
    Room(open=750, work=150)
    """
    minutes = bytearray(MINUTES_A_DAY)
    for key, spans in planned.items():
        for span in spans:
            minutes[span.start_minute : span.end_minute] = bytes([2 if key in work else 1]) * (
                span.end_minute - span.start_minute
            )
    for appointment in set_times:
        minutes[appointment.start_minute : appointment.end_minute] = bytes([1]) * (
            appointment.end_minute - appointment.start_minute
        )
    return Room(open=minutes.count(0), work=minutes.count(2))


def timed(offers: Iterable[AppointmentOffer]) -> list[Timed]:
    """Return the appointments that have a start and an end."""
    return [
        Timed(offer.title, minute_of_day(offer.start), minute_of_day(offer.end))
        for offer in offers
        if offer.start is not None and offer.end is not None
    ]


def overlaps(set_times: Sequence[Timed], planned: SpansByCategory, settings: Settings) -> list[str]:
    """Return sentences about overlaps: of two appointments, or of one with planned sleep.

    >>> two = [Timed("Paper merchant", 510, 540), Timed("Delivery", 525, 555)]
    >>> overlaps(two, {}, Settings(title="Small", places=()))
    ['Paper merchant and Delivery are both set from 08:45 to 09:00']
    """
    sentences = []
    ordered = sorted(set_times, key=lambda appointment: (appointment.start_minute, appointment.end_minute))
    for i, appointment in enumerate(ordered):
        for other in ordered[i + 1 :]:
            overlap = _overlap(appointment.start_minute, appointment.end_minute, other.start_minute, other.end_minute)
            if overlap:
                titles = {"one": appointment.title, "other": other.title}
                sentences.append(
                    _("{one} and {other} are both set {times}", **titles, times=_from_to(*overlap, settings))
                )
    for appointment in ordered:
        for category in settings.categories:
            for span in planned.get(category.key, ()) if category.sleep else ():
                overlap = _overlap(appointment.start_minute, appointment.end_minute, span.start_minute, span.end_minute)
                if overlap:
                    in_sleep = _(
                        "{appointment} is set {times}, in planned {category}",
                        appointment=appointment.title,
                        times=_from_to(*overlap, settings),
                        category=numbers.in_sentence(category.name),
                    )
                    sentences.append(in_sleep)
    return sentences


def _overlap(start: int, end: int, other_start: int, other_end: int) -> tuple[int, int] | None:
    first, last = max(start, other_start), min(end, other_end)
    return (first, last) if first < last else None


def _from_to(start: int, end: int, settings: Settings) -> str:
    start_text, end_text = dates.clock(start, settings.clock), dates.clock(end, settings.clock)
    return _("from {start} to {end}", start=start_text, end=end_text)


def sun_words(days: pl.DataFrame, settings: Settings, date: dt.date) -> str:
    """Return sunrise and sunset of a day in words, empty for a journal without places. In: `Tables.days`."""
    rows = rise_set.for_journal(days, settings, date, date)
    if not rows.height:
        return ""
    return " · ".join(rise_set.words(rows.row(0, named=True), settings.clock))


def daylight(days: pl.DataFrame, settings: Settings, date: dt.date) -> list[int] | None:
    """Return the minutes of a day, by its own clock, of sunrise and sunset, limited to the day.

    In: `Tables.days`. All 24 hours if the sun stays up; None if it does not rise, or for a journal without places.
    """
    rows = rise_set.for_journal(days, settings, date, date)
    if not rows.height or rows.item(0, "state") == "down all day":
        return None
    rise, setting = rows.item(0, "rise_minute"), rows.item(0, "set_minute")
    # A sunset can be after midnight, and a polar day has neither.
    return [
        0 if rise is None else max(int(rise), 0),
        MINUTES_A_DAY if setting is None else min(int(setting), MINUTES_A_DAY),
    ]
