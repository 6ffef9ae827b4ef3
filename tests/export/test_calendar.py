"""The calendar file: valid by RFC 5545, and read back unchanged by our reader and by others."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import icalendar
import pytest
import recurring_ical_events
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.calendars.appointments import appointments
from journal.entry import Appointment, Clock, Entry, Hours, Span
from journal.export import calendar
from journal.folder.calendar_files import CalendarFile
from tests.export.books import HOME, book

FIRST, LAST = dt.date(2025, 1, 1), dt.date(2025, 12, 31)
SPRING, AUTUMN = dt.date(2025, 3, 30), dt.date(2025, 10, 26)
"""The days of 2025 on which Ljubljana changes the clock: 02:00 to 03:00, and 03:00 to 02:00 (tz database)."""

Row = tuple[dt.date, str, int | None, int | None]


def made(days: dict[dt.date, Entry], only: calendar.EventKind | None = None) -> bytes:
    data = calendar.calendar(book(days), FIRST, LAST, (only,) if only else calendar.KINDS)
    assert data is not None
    return data


def read(data: bytes, first: dt.date = FIRST, last: dt.date = LAST, zone: str = HOME.timezone) -> list[Row]:
    frame, problems = appointments([CalendarFile("a.ics", data)], first, last, zone)
    assert problems == []
    return frame.select("date", "title", "start_minute", "end_minute").rows()


def planned(day: dt.date, *spans: tuple[int, int]) -> dict[dt.date, Entry]:
    return {day: Entry(hours=Hours(planned={"sleep": tuple(Span(*span) for span in spans)}))}


# --- Round trip -------------------------------------------------------------------------------------------------------

DAYS = [day + dt.timedelta(i) for day in (SPRING, AUTUMN) for i in (-1, 0)]
TITLES = st.sampled_from(
    ["Paper", "Paper merchant, by phone; \\n twice", 'A "b": c', "Žiga & 日本 🎻 " * 9, "BEGIN:VEVENT"]
)


@st.composite
def appointments_of(draw: st.DrawFn, day: dt.date) -> Appointment:
    """An appointment of a day, not at a time that a clock change skips."""
    minutes = st.one_of(st.sampled_from([0, 120, 180, 1439, 1440]), st.integers(0, 1440)).filter(
        lambda minute: day != SPRING or not 120 <= minute < 180
    )
    title = draw(TITLES)
    start, end = sorted(draw(st.lists(minutes, min_size=2, max_size=2, unique=True)))
    kind = draw(st.sampled_from(["whole", "open", "both"]))
    if kind == "whole":
        return Appointment(title=title)
    return Appointment(title=title, start=Clock(start), end=None if kind == "open" else Clock(end))


@settings(max_examples=40)  # each is read by two libraries
@given(st.fixed_dictionaries({day: st.lists(appointments_of(day), max_size=3) for day in DAYS}))
def test_our_reader_reads_the_same_appointments(days: dict[dt.date, list[Appointment]]) -> None:
    wanted = {
        (
            day,
            " ".join(a.title.split()),
            None if a.start is None else int(a.start),
            None if a.end is None else int(a.end),
        )
        for day, all_of in days.items()
        for a in all_of
    }
    data = calendar.calendar(book({d: Entry(appointments=tuple(a)) for d, a in days.items()}), FIRST, LAST)
    assert (data is None) == (not wanted)
    assert set(read(data) if data else []) == wanted


def test_a_day_away_uses_the_time_zone_there() -> None:
    entry = Entry(place="lisbon", appointments=(Appointment(title="Fair", start=Clock(600), end=Clock(660)),))
    data = made({dt.date(2025, 3, 14): entry})
    assert b"DTSTART:20250314T100000Z" in data  # Lisbon keeps UTC in winter (tz database)
    assert read(data, zone="Europe/Lisbon") == [(dt.date(2025, 3, 14), "Fair", 600, 660)]
    assert read(data) == [(dt.date(2025, 3, 14), "Fair", 660, 720)]


# --- Midnights and clock changes --------------------------------------------------------------------------------------


def value(event: Any, name: str) -> str:
    """A property as written in the file."""
    return bytes(event[name].to_ical()).decode()


def times(data: bytes) -> list[tuple[str, str | None]]:
    """Start and end of each event, in UTC."""
    return [
        (value(event, "DTSTART"), value(event, "DTEND") if "DTEND" in event else None)
        for event in icalendar.Calendar.from_ical(data).walk("VEVENT")
    ]


@pytest.mark.parametrize(
    ("day", "span", "utc"),
    [
        # In winter Ljubljana is an hour before UTC, in summer two.
        (dt.date(2025, 3, 14), (540, 750), ("20250314T080000Z", "20250314T113000Z")),
        (dt.date(2025, 3, 14), (1320, 1440), ("20250314T210000Z", "20250314T230000Z")),
        (SPRING, (0, 375), ("20250329T230000Z", "20250330T041500Z")),
        (SPRING, (120, 180), ("20250330T010000Z", None)),  # a skipped hour
        (SPRING, (150, 240), ("20250330T013000Z", "20250330T020000Z")),
        (AUTUMN, (0, 375), ("20251025T220000Z", "20251026T051500Z")),
        (AUTUMN, (120, 180), ("20251026T000000Z", "20251026T020000Z")),  # both hours with this name
    ],
)
def test_planned_hours_are_elapsed_time(day: dt.date, span: tuple[int, int], utc: tuple[str, str]) -> None:
    assert times(made(planned(day, span))) == [utc]


def test_hours_across_midnight_are_one_event() -> None:
    night = planned(SPRING - dt.timedelta(1), (1350, 1440)) | planned(SPRING, (0, 375), (1350, 1440))
    assert times(made(night)) == [("20250329T213000Z", "20250330T041500Z"), ("20250330T203000Z", "20250330T220000Z")]
    late, early = (
        Appointment(title="Call", start=Clock(1380), end=Clock(1440)),
        Appointment(title="Call", start=Clock(0)),
    )
    days = {DAYS[0]: Entry(appointments=(late,)), DAYS[1]: Entry(appointments=(early,))}
    assert times(made(days)) == [("20250329T220000Z", "20250329T230000Z"), ("20250329T230000Z", None)]
    elsewhere = {day: Entry(place="lisbon", hours=e.hours) if day == SPRING else e for day, e in night.items()}
    assert len(times(made(elsewhere))) == 3


# --- RFC 5545 ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def example() -> tuple[journal.Journal, bytes]:
    opened = journal.open("example_year", today=LAST, cache=False)
    # Around the change to summer time, a trip among the days.
    data = calendar.calendar(opened, dt.date(2025, 3, 1), dt.date(2025, 4, 30))
    assert data is not None
    return opened, data


def test_it_conforms_to_the_standard(example: tuple[journal.Journal, bytes]) -> None:
    """Sections 3.1 (lines), 3.4 and 3.6 (what a calendar needs), 3.6.1 (what an event needs), 3.8.1.3 (CLASS)."""
    data = example[1] + made(
        {dt.date(2025, 3, 14): Entry(appointments=(Appointment(title="Šivanje, nitka; žep " * 20),))}
    )
    assert data.startswith(b"BEGIN:VCALENDAR\r\n") and data.endswith(b"END:VCALENDAR\r\n")
    assert not re.search(rb"[^\r]\n|\r[^\n]", data)
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert all(line.decode() for line in lines[:-1])
    whole = icalendar.Calendar.from_ical(example[1])
    assert (whole["VERSION"], whole["PRODID"]) == ("2.0", calendar.PRODUCT)
    events = whole.walk("VEVENT")
    assert len({event["UID"] for event in events}) == len(events) > 300
    assert all(event["CLASS"] == "PRIVATE" and not event.errors for event in events)
    assert all(re.fullmatch(r"\d{8}T\d{6}Z", value(event, "DTSTAMP")) for event in events)
    assert all(value(event, "DTEND") > value(event, "DTSTART") for event in events if "DTEND" in event)


def test_other_readers_read_the_same(example: tuple[journal.Journal, bytes]) -> None:
    opened, data = example
    query = recurring_ical_events.of(icalendar.Calendar.from_ical(data))
    for day in (dt.date(2025, 3, 14), SPRING):
        begins = dt.datetime.combine(day, dt.time(), dt.timezone(dt.timedelta(hours=1 if day <= SPRING else 2)))
        found = [str(event["SUMMARY"]) for event in query.between(begins, begins + dt.timedelta(hours=23))]
        names = {category.key: category.name for category in opened.settings.categories}
        blocks = opened.tables.hours.filter(date=day, layer="planned").get_column("category").to_list()
        wanted = [names[key] for key in blocks] + opened.tables.appointments.filter(date=day)["title"].to_list()
        assert sorted(found) == sorted(wanted)


def test_the_same_journal_gives_the_same_bytes_and_uids_contain_no_text() -> None:
    day = dt.date(2025, 3, 14)
    paper = Appointment(title="Paper", start=Clock(510))
    first = made({day: Entry(appointments=(paper, paper))})
    assert first == made({day: Entry(appointments=(paper, paper))})
    more = made({day: Entry(appointments=(Appointment(title="Earlier", start=Clock(60)), paper, paper))})
    uids = [re.findall(rb"UID:(.*)\r\n", data) for data in (first, more)]
    assert set(uids[0]) < set(uids[1])
    assert all(
        re.fullmatch(rb"[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", u) for u in uids[1]
    )


def test_control_characters_in_titles_are_replaced() -> None:
    data = made({dt.date(2025, 3, 14): Entry(appointments=(Appointment(title="a\x1b[31m\x00b\r\nEND:VEVENT"),))})
    assert read(data) == [(dt.date(2025, 3, 14), "a [31m b END:VEVENT", None, None)]


def test_one_kind_only_and_an_empty_calendar() -> None:
    day = dt.date(2025, 3, 14)
    both = {day: Entry(appointments=(Appointment(title="Paper"),), hours=planned(day, (0, 60))[day].hours)}
    assert [title for _, title, _, _ in read(made(both, "appointments"))] == ["Paper"]
    assert [title for _, title, _, _ in read(made(both, "planned"))] == ["Sleep"]
    assert calendar.calendar(book({day: Entry(mood=3)}), FIRST, LAST) is None
    assert calendar.calendar(book(both), LAST, LAST) is None
