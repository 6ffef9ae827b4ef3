"""Appointments and planned hours as a calendar file (RFC 5545, Desruisseaux 2009), for a phone or another calendar.

Times on a page are in the time zone of the place of its day. In the file they are in UTC (section 3.3.5, form 2), which
every program reads alike. A time skipped by a clock change uses the offset before the change; a time that occurs twice
is the first one (same section). Hours that end at midnight and continue under the same name are one event.
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
from journal.language.catalogue import _
from journal.language.languages import ENGLISH
from journal.language.spoken import spoken

if TYPE_CHECKING:
    from journal import Journal
    from journal.periods import Period

EventKind = Literal["appointments", "planned"]
KINDS: tuple[EventKind, ...] = ("appointments", "planned")

PRODUCT = "-//Duskbook//Calendar//EN"
_NAMES = uuid.UUID("6a1d2f0e-53c4-5b0a-9d59-0b6f3c1f7a44")
"""The namespace of the UIDs (RFC 9562, version 5). A UID depends only on day, kind and title."""
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")  # not allowed in the text of a calendar (section 3.1)
_DAY = dt.timedelta(days=1)


class CalendarEvent(msgspec.Struct, frozen=True, kw_only=True):
    """An event from a minute of one day to a minute of the same or a later day.

    `start_minute` is None for a whole day; `end_minute` is None for a whole day or without an end.
    """

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
        """None without an end, or if a clock change skips the whole event."""
        end = None if self.end_minute is None else _moment(self.last, self.end_minute, self.zone)
        return end if end is not None and end > self.begins else None


def calendar(journal: Journal, first: dt.date, last: dt.date, kinds: Iterable[EventKind] = KINDS) -> bytes | None:
    """The appointments and planned hours of a range of days as one .ics file; None without any.

    Lines end in CRLF and are folded at 75 octets. Every event is private; planned hours do not mark the time as busy.
    The UID depends on day, kind and title. DTSTAMP is required; it is the local midnight at the start of the day, so
    that the same journal gives the same bytes.
    """
    ordered = sorted(
        (event for kind in kinds for event in events(journal, kind, first, last)),
        key=lambda s: (s.begins, s.kind, s.title, s.last, s.end_minute or 0, s.start_minute is None),
    )
    if not ordered:
        return None
    file = icalendar.Calendar()
    file.add("VERSION", "2.0")
    file.add("PRODID", PRODUCT)
    file.add("CALSCALE", "GREGORIAN")
    number_of = Counter[tuple[dt.date, str, str]]()
    for event in ordered:
        name = (event.first, event.kind, event.title)
        number_of[name] += 1
        file.add_component(_component(event, number_of[name]))
    return bytes(file.to_ical())


def write(journal: Journal, year: Period, progress: Progress) -> ExportOutput:
    """The file of a year with both kinds, for the year page."""
    progress(_("Laying out the calendar"))
    return ExportOutput(calendar(journal, year.first, year.last) or {})


def events(journal: Journal, kind: EventKind, first: dt.date, last: dt.date) -> Iterator[CalendarEvent]:
    """The appointments, or the planned hours with their categories as titles, joined across midnight."""
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
    """Events in order of their days; an event that continues after midnight is joined."""
    waiting: dict[tuple[str, str], CalendarEvent] = {}  # events that end at midnight, by title and zone
    for row in rows:
        name = (row.title, row.zone)
        before = waiting.get(name)
        continues = row.start_minute == 0 and row.end_minute is not None
        if before is not None and continues and before.last + _DAY == row.first:
            row = msgspec.structs.replace(row, first=before.first, start_minute=before.start_minute)  # noqa: PLW2901
            del waiting[name]
        if row.end_minute == MINUTES_A_DAY:
            if name in waiting:
                yield waiting[name]
            waiting[name] = row
        else:
            yield row
    yield from waiting.values()


def _component(event: CalendarEvent, number: int) -> icalendar.Event:
    component = icalendar.Event()
    component.add("UID", str(uuid.uuid5(_NAMES, f"{event.first}\n{event.kind}\n{number}\n{event.title}")))
    component.add("DTSTAMP", _moment(event.first, 0, event.zone))
    if event.start_minute is None:
        component.add("DTSTART", event.first)
    else:
        component.add("DTSTART", event.begins)
        if event.ends is not None:
            component.add("DTEND", event.ends)
    component.add("SUMMARY", event.title)
    language = {} if spoken() == ENGLISH else {"LANGUAGE": spoken().code}
    category = _("Planned") if event.kind == "planned" else _("Appointment")
    component.add("CATEGORIES", [category], parameters=language)
    component.add("CLASS", CLASS.PRIVATE)
    component.add("TRANSP", TRANSP.TRANSPARENT if event.kind == "planned" else TRANSP.OPAQUE)
    return component


def _moment(date: dt.date, minute: int, zone: str) -> dt.datetime:
    """A minute of a day in a time zone, as a moment in UTC."""
    return (dt.datetime.combine(date, dt.time(), ZoneInfo(zone)) + dt.timedelta(minutes=minute)).astimezone(dt.UTC)
