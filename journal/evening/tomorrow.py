"""The next day before it is planned: its strip, what is set in it, what comes round on it, and the time it leaves.

strip          from its page, else the weekday's hours of journal.toml, else the usual ones
appointments   from its page and from the calendar files
routines       due on it, not on its page yet
room           open time, and planned work time without an appointment
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal, NamedTuple

import polars as pl

from journal import schedule
from journal.entry import MINUTES_A_DAY, Appointment, Entry, Span, clock_text, minute_of_day
from journal.evening.form_schema import AppointmentOffer, RoutineOffer, Strip
from journal.folder.identity import identities
from journal.settings import WEEKDAYS, Settings
from journal.sun import rise_set
from journal.wording import dates, rules

SpansByCategory = Mapping[str, Sequence[Span]]
"""Category to stretches of a day."""

PlannedFrom = Literal["page", "weekday", "usual", "nothing"]


class Timed(NamedTuple):
    """Something at a set time, in minutes of the day."""

    title: str
    start_minute: int
    end_minute: int


class Room(NamedTuple):
    """The time a day has for tasks, in minutes: `open` without plan or appointment, `work` planned for work and without
    an appointment."""

    open: int
    work: int

    @property
    def both(self) -> int:
        return self.open + self.work


def strip(entry: Entry, settings: Settings, date: dt.date) -> tuple[dict[str, tuple[Span, ...]], PlannedFrom]:
    """The strip that a day starts from, and where it comes from."""
    if entry.hours.planned:
        return entry.hours.planned, "page"
    weekday = settings.hours.get(WEEKDAYS[date.weekday()])
    if weekday is not None:
        return weekday, "weekday"
    usual = settings.hours.get("usual")
    return (usual, "usual") if usual is not None else ({}, "nothing")


def as_text(spans: SpansByCategory) -> Strip:
    """Stretches as a file has them.

    >>> as_text({"sleep": [Span(0, 375)]})
    {'sleep': ['00:00-06:15']}
    """
    return {key: [f"{clock_text(s.start_minute)}-{clock_text(s.end_minute)}" for s in of] for key, of in spans.items()}


def routines(settings: Settings, date: dt.date, on_page: Collection[str]) -> list[RoutineOffer]:
    """The routines that fall on a day and whose title is not among those on its page.

    >>> from journal.settings import Routine
    >>> count = Routine(title="Stock count", every="FREQ=WEEKLY;INTERVAL=2;BYDAY=FR", start=dt.date(2025, 1, 3))
    >>> small = Settings(title="Small", places=(), routines=(count,))
    >>> [offer.said for offer in routines(small, dt.date(2025, 3, 14), [])], routines(small, dt.date(2025, 3, 21), [])
    (['every other Friday'], [])
    """
    return [
        RoutineOffer(title=routine.title, estimate=routine.estimate, said=rules.words(routine.every, routine.start))
        for routine in settings.routines
        if routine.title not in on_page
        and routine.start <= date
        and (routine.until is None or date <= routine.until)
        and schedule.due(routine.every, routine.start, date, date).item()
    ]


def appointments(entry: Entry, calendar: pl.DataFrame, date: dt.date) -> list[AppointmentOffer]:
    """What is set on a day, from its page and its calendars, whole days first, then by time.

    In: the frame of `evening.appointments` (date, title, start_minute, end_minute). One that stands on both with
    the same title and start is told once, as on the page.
    """
    tables = [
        {k: clock_text(v) if isinstance(v, int) else v for k, v in _given(a).items() if v is not None}
        for a in entry.appointments
    ]
    typed = [
        AppointmentOffer(ref=ref, title=a.title, start=_text(a.start), end=_text(a.end), from_="page")
        for a, ref in zip(entry.appointments, identities("appointments", tables), strict=True)
    ]
    known = {(offer.title, offer.start) for offer in typed}
    rows = calendar.filter(pl.col("date") == date).select("title", "start_minute", "end_minute").iter_rows()
    found = [
        AppointmentOffer(ref=None, title=title, start=_text(start), end=_text(end), from_="calendar")
        for title, start, end in rows
    ]
    every = [*typed, *(offer for offer in found if (offer.title, offer.start) not in known)]
    return sorted(every, key=lambda offer: (offer.start or "", offer.end or "", offer.title))


def _given(appointment: Appointment) -> dict[str, object]:
    return {"title": appointment.title, "start": appointment.start}


def _text(minute: int | None) -> str | None:
    return None if minute is None else clock_text(minute)


def room(planned: SpansByCategory, set_times: Iterable[Timed], work: Collection[str]) -> Room:
    """The time a day has for tasks.

    Open are the minutes of the 24 hours without a plan and without an appointment. Work are those planned in a category
    of `work` and without an appointment: tasks of the trade are done in them.

    >>> planned = {"sleep": [Span(0, 360), Span(1320, 1440)], "workshop": [Span(540, 720)]}
    >>> room(planned, [Timed("Paper merchant", 510, 570)], {"workshop"})
    Room(open=750, work=150)
    """
    taken = bytearray(MINUTES_A_DAY)
    for key, spans in planned.items():
        for span in spans:
            taken[span.start_minute : span.end_minute] = bytes([2 if key in work else 1]) * (
                span.end_minute - span.start_minute
            )
    for one in set_times:
        taken[one.start_minute : one.end_minute] = bytes([1]) * (one.end_minute - one.start_minute)
    return Room(open=taken.count(0), work=taken.count(2))


def timed(offers: Iterable[AppointmentOffer]) -> list[Timed]:
    """The appointments that take time: with a start and an end."""
    return [
        Timed(offer.title, minute_of_day(offer.start), minute_of_day(offer.end))
        for offer in offers
        if offer.start is not None and offer.end is not None
    ]


def overlaps(set_times: Sequence[Timed], planned: SpansByCategory, settings: Settings) -> list[str]:
    """What is set over something else: two appointments at a time, or one in planned sleep.

    >>> two = [Timed("Paper merchant", 510, 540), Timed("Delivery", 525, 555)]
    >>> overlaps(two, {}, Settings(title="Small", places=()))
    ['Paper merchant and Delivery are both set from 08:45 to 09:00']
    """
    found = []
    ordered = sorted(set_times, key=lambda one: (one.start_minute, one.end_minute))
    for i, one in enumerate(ordered):
        for other in ordered[i + 1 :]:
            shared = _shared(one.start_minute, one.end_minute, other.start_minute, other.end_minute)
            if shared:
                found.append(f"{one.title} and {other.title} are both set {_from_to(*shared, settings)}")
    for one in ordered:
        for category in settings.categories:
            for span in planned.get(category.key, ()) if category.sleep else ():
                shared = _shared(one.start_minute, one.end_minute, span.start_minute, span.end_minute)
                if shared:
                    found.append(
                        f"{one.title} is set {_from_to(*shared, settings)}, in planned {category.name.lower()}"
                    )
    return found


def _shared(start: int, end: int, other_start: int, other_end: int) -> tuple[int, int] | None:
    first, last = max(start, other_start), min(end, other_end)
    return (first, last) if first < last else None


def _from_to(start: int, end: int, settings: Settings) -> str:
    return f"from {dates.clock(start, settings.clock)} to {dates.clock(end, settings.clock)}"


def sun_words(days: pl.DataFrame, settings: Settings, date: dt.date) -> str:
    """The sun of a day where it will be spent, in words; empty for a journal without a place. In: `Tables.days`."""
    rows = rise_set.for_journal(days, settings, date, date)
    if not rows.height:
        return ""
    return " · ".join(rise_set.words(rows.row(0, named=True), settings.clock))


def daylight(days: pl.DataFrame, settings: Settings, date: dt.date) -> list[int] | None:
    """The minutes of a day, by its own clock, from sunrise to sunset: within the day, all of it under a polar sun.

    In: `Tables.days`. None where the sun does not rise, and for a journal without a place.
    """
    rows = rise_set.for_journal(days, settings, date, date)
    if not rows.height or rows.item(0, "state") == "down all day":
        return None
    rise, setting = rows.item(0, "rise_minute"), rows.item(0, "set_minute")
    # A sunset may come after midnight, and under a polar sun there is neither.
    return [
        0 if rise is None else max(int(rise), 0),
        MINUTES_A_DAY if setting is None else min(int(setting), MINUTES_A_DAY),
    ]
