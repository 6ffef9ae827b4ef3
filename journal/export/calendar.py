"""Appointments and planned hours as a calendar file (RFC 5545, Desruisseaux 2009), for a telephone or another calendar.

The times of a page are by the clock of the place of its day; in the file they are moments in UTC (section 3.3.5, form
2), which every reader has the same time for. A time that a change of the clocks leaves out is read by the clock as it
was before, and one that it brings twice is the first (same section). What ends at a midnight and goes on under the same
name is one event.
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Literal
from zoneinfo import ZoneInfo

import icalendar
import msgspec
import polars as pl
from icalendar.enums import CLASS, TRANSP

from journal.entry import MINUTES_A_DAY
from journal.export.formats import ExportOutput, Progress

if TYPE_CHECKING:
    from journal import Journal
    from journal.periods import Period

EventKind = Literal["appointments", "planned"]
KINDS: tuple[EventKind, ...] = ("appointments", "planned")

PRODUCT = "-//Duskbook//Calendar//EN"
_NAMES = uuid.UUID("6a1d2f0e-53c4-5b0a-9d59-0b6f3c1f7a44")
"""What the UIDs are made in (RFC 9562, version 5). They follow from a day, a kind and a title, and nothing else."""
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")  # not allowed in the text of a calendar (section 3.1)
_DAY = dt.timedelta(days=1)


class CalendarEvent(msgspec.Struct, frozen=True, kw_only=True):
    """Something from a minute of one day to a minute of the same or a later day; null for a whole day, or no end."""

    kind: EventKind
    title: str
    zone: str
    first: dt.date
    start_minute: int | None
    last: dt.date
    end_minute: int | None

    @property
    def begins(self) -> dt.datetime:
        return _moment(self.first, self.start_minute or 0, self.zone)

    @property
    def ends(self) -> dt.datetime | None:
        """Null where there is no end, or where the clock left the whole of it out."""
        end = None if self.end_minute is None else _moment(self.last, self.end_minute, self.zone)
        return end if end is not None and end > self.begins else None


def calendar(journal: Journal, first: dt.date, last: dt.date, kinds: Iterable[EventKind] = KINDS) -> bytes | None:
    """The appointments and planned hours from one day to another as one .ics file; None where there are none.

    Lines end in CRLF and are folded at 75 octets, every event is private, and what is planned does not make busy. The
    UID of an event follows from its day, kind and title; DTSTAMP, which has to be there, is the local midnight
    that begins its day, so that the same journal gives the same bytes.
    """
    found = sorted(
        (stretch for kind in kinds for stretch in stretches(journal, kind, first, last)),
        key=lambda s: (s.begins, s.kind, s.title, s.last, s.end_minute or 0, s.start_minute is None),
    )
    if not found:
        return None
    whole = icalendar.Calendar()
    whole.add("VERSION", "2.0")
    whole.add("PRODID", PRODUCT)
    whole.add("CALSCALE", "GREGORIAN")
    same = Counter[tuple[dt.date, str, str]]()
    for stretch in found:
        name = (stretch.first, stretch.kind, stretch.title)
        same[name] += 1
        whole.add_component(_event(stretch, same[name]))
    return bytes(whole.to_ical())


def write(journal: Journal, year: Period, progress: Progress) -> ExportOutput:
    """Both kinds of a year, as the year page offers them."""
    progress("Laying out the calendar")
    return ExportOutput(calendar(journal, year.first, year.last) or {})


def stretches(journal: Journal, kind: EventKind, first: dt.date, last: dt.date) -> Iterator[CalendarEvent]:
    """The appointments, or the planned hours under the names of their categories, joined over midnights."""
    tables, settings = journal.tables, journal.settings
    zones, names = settings.zones, {category.key: category.name for category in settings.categories}
    frame = (
        tables.appointments
        if kind == "appointments"
        else tables.hours.filter(layer="planned").with_columns(title=pl.col("category").replace(names))
    )
    rows = (
        frame.filter(pl.col("date").is_between(first, last))
        .join(tables.days.select("date", "place"), on="date", how="left", maintain_order="left")
        .select("date", "title", "start_minute", "end_minute", "place")
        .sort("date", "start_minute", maintain_order=True)
    )
    home = next(iter(zones.values()), "UTC")
    return _joined(
        CalendarEvent(
            kind=kind,
            title=_CONTROL.sub(" ", title),
            zone=zones.get(place, home),
            first=date,
            start_minute=start,
            last=date,
            end_minute=end,
        )
        for date, title, start, end, place in rows.iter_rows()
    )


def _joined(rows: Iterable[CalendarEvent]) -> Iterator[CalendarEvent]:
    """Stretches in the order of their days, those that go on over a midnight as one."""
    waiting: dict[tuple[str, str], CalendarEvent] = {}  # those that end at a midnight, by title and zone
    for row in rows:
        name = (row.title, row.zone)
        before = waiting.get(name)
        goes_on = row.start_minute == 0 and row.end_minute is not None
        if before is not None and goes_on and before.last + _DAY == row.first:
            row = msgspec.structs.replace(row, first=before.first, start_minute=before.start_minute)  # noqa: PLW2901
            del waiting[name]
        if row.end_minute == MINUTES_A_DAY:
            if name in waiting:
                yield waiting[name]
            waiting[name] = row
        else:
            yield row
    yield from waiting.values()


def _event(stretch: CalendarEvent, number: int) -> icalendar.Event:
    event = icalendar.Event()
    event.add("UID", str(uuid.uuid5(_NAMES, f"{stretch.first}\n{stretch.kind}\n{number}\n{stretch.title}")))
    event.add("DTSTAMP", _moment(stretch.first, 0, stretch.zone))
    if stretch.start_minute is None:
        event.add("DTSTART", stretch.first)
    else:
        event.add("DTSTART", stretch.begins)
        if stretch.ends is not None:
            event.add("DTEND", stretch.ends)
    event.add("SUMMARY", stretch.title)
    event.add("CATEGORIES", ["Planned" if stretch.kind == "planned" else "Appointment"])
    event.add("CLASS", CLASS.PRIVATE)
    event.add("TRANSP", TRANSP.TRANSPARENT if stretch.kind == "planned" else TRANSP.OPAQUE)
    return event


def _moment(date: dt.date, minute: int, zone: str) -> dt.datetime:
    """The moment, in UTC, of a minute of a day by the clock of a zone."""
    return (dt.datetime.combine(date, dt.time(), ZoneInfo(zone)) + dt.timedelta(minutes=minute)).astimezone(dt.UTC)
