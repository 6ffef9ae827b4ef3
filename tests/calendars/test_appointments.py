"""Appointments from calendar files: RFC 5545's own examples, moves, midnights, clock changes, and broken files."""

from __future__ import annotations

import datetime as dt
import sys
import time
from typing import Any, TypedDict

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.calendars.appointment_columns import APPOINTMENTS
from journal.calendars.appointments import appointments
from journal.calendars.problem_limit import PROBLEMS_A_FILE
from journal.errors import Problem
from journal.folder.calendar_files import CalendarFile
from tests.references import load

LJUBLJANA = "Europe/Ljubljana"
NEW_YORK = "America/New_York"
SPRING, AUTUMN = dt.date(2025, 3, 30), dt.date(2025, 10, 26)
"""The days of 2025 on which Ljubljana changes the clock: 02:00 to 03:00, and 03:00 to 02:00 (tz database)."""


class Days(TypedDict):
    """The range of days to read."""

    on: dt.date
    to: dt.date


def event(*lines: str, uid: str = "1", title: str = "Paper merchant") -> str:
    return "\r\n".join(["BEGIN:VEVENT", f"UID:{uid}", f"SUMMARY:{title}", *lines, "END:VEVENT", ""])


def calendar(*parts: str) -> bytes:
    return ("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n" + "".join(parts) + "END:VCALENDAR\r\n").encode()


def read(
    *texts: bytes, on: dt.date, to: dt.date | None = None, zone: str = LJUBLJANA
) -> tuple[pl.DataFrame, list[Problem]]:
    files = [CalendarFile(f"{chr(97 + i)}.ics", text) for i, text in enumerate(texts)]
    return appointments(files, on, to or on, zone)


def rows(
    *texts: bytes, on: dt.date, to: dt.date | None = None, zone: str = LJUBLJANA
) -> list[tuple[str, int | None, int | None]]:
    """Date, start and end of each appointment, without any problem."""
    frame, problems = read(*texts, on=on, to=to, zone=zone)
    assert problems == []
    return [(str(date), start, end) for date, start, end in frame.select("date", "start_minute", "end_minute").rows()]


# --- RFC 5545 ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "check", [check for check in load("rrule") if "dates" in check["expected"]], ids=lambda check: check["name"]
)
def test_recurrence_rules(check: dict[str, Any]) -> None:
    """Section 3.8.5.3, with the times and zones that it has."""
    inputs, expected = check["inputs"], check["expected"]["dates"]
    start = dt.datetime.fromisoformat(inputs["dtstart"])
    if "rrule" in inputs:
        lines = [f"DTSTART;TZID={inputs['tz']}:{start:%Y%m%dT%H%M%S}", f"RRULE:{inputs['rrule']}"]
        lines += [f"EXDATE;TZID={inputs['tz']}:{start:%Y%m%dT%H%M%S}"] * ("EXDATE" in check["name"])
    else:
        lines = [f"DTSTART;VALUE=DATE:{start:%Y%m%d}", f"RRULE:{inputs['date_only_rrule']}"]
    last = dt.date.fromisoformat(inputs.get("window_end_inclusive", expected[-1]))
    far = last if "window_end_inclusive" in inputs else last + dt.timedelta(60)
    frame, problems = read(calendar(event(*lines)), on=start.date(), to=far, zone=inputs.get("tz", LJUBLJANA))
    assert problems == []
    assert [str(date) for date in frame.get_column("date")] == expected
    assert set(frame.get_column("start_minute")) == ({540} if "rrule" in inputs else {None})


@pytest.mark.parametrize(
    ("rule", "starts"),
    [
        ("FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T210000Z", [540, 720, 900]),
        ("FREQ=MINUTELY;INTERVAL=15;COUNT=6", [540, 555, 570, 585, 600, 615]),
        ("FREQ=MINUTELY;INTERVAL=90;COUNT=4", [540, 630, 720, 810]),
        ("FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40", list(range(540, 1020, 20))),
        ("FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16", list(range(540, 1020, 20))),
    ],
)
def test_rules_finer_than_a_day(rule: str, starts: list[int]) -> None:
    """Section 3.8.5.3; the UNTIL of the first as erratum 3883 has it (5 pm in New York is 21:00 UTC), from memory."""
    text = calendar(event(f"DTSTART;TZID={NEW_YORK}:19970902T090000", f"RRULE:{rule}"))
    assert [start for _, start, _ in rows(text, on=dt.date(1997, 9, 2), zone=NEW_YORK)] == starts


def test_the_conference_of_section_4() -> None:
    """Section 4, first example: three days in UTC, here where it took place (UTC-4)."""
    text = calendar(
        "BEGIN:VEVENT\r\nDTSTAMP:19960704T120000Z\r\nUID:uid1@example.com\r\nORGANIZER:mailto:jsmith@example.com\r\n"
        "DTSTART:19960918T143000Z\r\nDTEND:19960920T220000Z\r\nSTATUS:CONFIRMED\r\nCATEGORIES:CONFERENCE\r\n"
        "SUMMARY:Networld+Interop Conference\r\nDESCRIPTION:Networld+Interop Conference\r\n"
        "  and Exhibit\\nAtlanta World Congress Center\\n\r\n Atlanta\\, Georgia\r\nEND:VEVENT\r\n"
    )
    assert rows(text, on=dt.date(1996, 9, 1), to=dt.date(1996, 9, 30), zone=NEW_YORK) == [
        ("1996-09-18", 630, 1440),
        ("1996-09-19", 0, 1440),
        ("1996-09-20", 0, 1080),
    ]


@pytest.mark.parametrize(
    ("start", "local"),
    [("20071104T013000", "2007-11-04T05:30:00+00:00"), ("20070311T023000", "2007-03-11T07:30:00+00:00")],
)
def test_an_ambiguous_or_skipped_time(start: str, local: str) -> None:
    """Section 3.3.5: the first of the two, at 1:30 EDT; and 3:30 EDT, by the offset before the gap."""
    expected = dt.datetime.fromisoformat(local)
    text = calendar(event(f"DTSTART;TZID={NEW_YORK}:{start}"))
    ((date, minute, end),) = rows(text, on=expected.date(), zone="UTC")
    assert (date, minute, end) == (str(expected.date()), expected.hour * 60 + expected.minute, None)


def test_a_zone_of_the_file() -> None:
    """Section 3.6.5: New York by its rules since 2007, under a name of the file's own, which two files may share."""

    def file(name: str, standard: str, daylight: str, uid: str) -> bytes:
        zone = (
            f"BEGIN:VTIMEZONE\r\nTZID:{name}\r\n"
            f"BEGIN:STANDARD\r\nDTSTART:20071104T020000\r\nRRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU\r\n"
            f"TZOFFSETFROM:{daylight}\r\nTZOFFSETTO:{standard}\r\nEND:STANDARD\r\n"
            f"BEGIN:DAYLIGHT\r\nDTSTART:20070311T020000\r\nRRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU\r\n"
            f"TZOFFSETFROM:{standard}\r\nTZOFFSETTO:{daylight}\r\nEND:DAYLIGHT\r\nEND:VTIMEZONE\r\n"
        )
        return calendar(zone, event(f'DTSTART;TZID="{name}":20250314T080000', "DURATION:PT30M", uid=uid))

    name = "Office: the one, in town"
    result = rows(
        file(name, "-0500", "-0400", "1"),
        file(name, "+0800", "+0900", "2"),
        on=dt.date(2025, 3, 13),
        to=dt.date(2025, 3, 14),
        zone="UTC",
    )
    assert result == [("2025-03-13", 1380, 1410), ("2025-03-14", 720, 750)]


@pytest.mark.parametrize(
    "zone", ["Europe/Berlin", "W. Europe Standard Time", "/example.org/20250101_1/Europe/Berlin", '"Europe/Berlin"']
)
def test_names_of_zones(zone: str) -> None:
    text = calendar(event(f"DTSTART;TZID={zone}:20250314T080000", "DURATION:PT30M"))
    assert rows(text, on=dt.date(2025, 3, 14), zone="UTC") == [("2025-03-14", 420, 450)]


# --- Moved, cancelled, added and excluded instances -------------------------------------------------------------------

WEEKLY = event(
    f"DTSTART;TZID={LJUBLJANA}:20250303T090000", f"DTEND;TZID={LJUBLJANA}:20250303T100000", "RRULE:FREQ=WEEKLY"
)
MONDAYS = ["2025-03-03", "2025-03-10", "2025-03-17", "2025-03-24", "2025-03-31"]
MARCH = Days(on=dt.date(2025, 3, 1), to=dt.date(2025, 3, 31))


def test_a_moved_instance() -> None:
    moved = event(
        f"RECURRENCE-ID;TZID={LJUBLJANA}:20250317T090000",
        f"DTSTART;TZID={LJUBLJANA}:20250318T140000",
        "DURATION:PT45M",
    )
    result = rows(calendar(WEEKLY, moved), **MARCH)
    assert result == [(day, 540, 600) for day in MONDAYS[:2]] + [("2025-03-18", 840, 885)] + [
        (day, 540, 600) for day in MONDAYS[3:]
    ]
    # Moved into the range from far outside, and out of it.
    assert rows(calendar(WEEKLY, moved), on=dt.date(2025, 3, 18)) == [("2025-03-18", 840, 885)]
    assert rows(calendar(WEEKLY, moved), on=dt.date(2025, 3, 17)) == []


def test_all_after_one_moved() -> None:
    """Section 3.2.13: "all subsequent instances are also rescheduled by the same time difference"."""
    later = event(
        f"RECURRENCE-ID;RANGE=THISANDFUTURE;TZID={LJUBLJANA}:20250317T090000",
        f"DTSTART;TZID={LJUBLJANA}:20250317T110000",
        f"DTEND;TZID={LJUBLJANA}:20250317T113000",
    )
    result = rows(calendar(WEEKLY, later), **MARCH)
    assert [start for _, start, _ in result] == [540, 540, 660, 660, 660]


def test_cancelled_and_excluded() -> None:
    one = event(
        f"RECURRENCE-ID;TZID={LJUBLJANA}:20250310T090000",
        f"DTSTART;TZID={LJUBLJANA}:20250310T090000",
        "STATUS:CANCELLED",
    )
    without = WEEKLY.replace("RRULE", f"EXDATE;TZID={LJUBLJANA}:20250324T090000,20250331T090000\r\nRRULE")
    assert [date for date, *_ in rows(calendar(without, one), **MARCH)] == ["2025-03-03", "2025-03-17"]
    whole = event("DTSTART:20250314T080000Z", "STATUS:CANCELLED", uid="2")
    assert rows(calendar(whole), **MARCH) == []


def test_days_added() -> None:
    text = calendar(
        event(
            f"DTSTART;TZID={LJUBLJANA}:20250303T090000",
            "DURATION:PT1H",
            f"RDATE;TZID={LJUBLJANA}:20250305T150000",
            "RDATE;VALUE=PERIOD:20250307T080000Z/PT3H",
        )
    )
    assert rows(text, **MARCH) == [("2025-03-03", 540, 600), ("2025-03-05", 900, 960), ("2025-03-07", 540, 720)]


def test_the_same_event_in_two_files_is_one_and_the_newer() -> None:
    old = calendar(event("DTSTAMP:20250101T000000Z", "DTSTART:20250314T080000Z", "SEQUENCE:1"))
    newer = calendar(event("DTSTAMP:20250201T000000Z", "DTSTART:20250314T090000Z", "SEQUENCE:1"))
    newest = calendar(event("DTSTAMP:20250101T000000Z", "DTSTART:20250414T090000Z", "SEQUENCE:2"))
    assert rows(old, old, **MARCH) == [("2025-03-14", 540, None)]
    assert rows(old, newer, **MARCH) == rows(newer, old, **MARCH) == [("2025-03-14", 600, None)]
    assert rows(old, newest, **MARCH) == []  # it was moved to April
    nameless = calendar("BEGIN:VEVENT\r\nDTSTART:20250314T080000Z\r\nSUMMARY:Press\r\nEND:VEVENT\r\n")
    assert len(rows(nameless, nameless, **MARCH)) == 1
    frame, _ = read(old, nameless, **MARCH)
    assert frame.get_column("source").to_list() == ["a.ics", "b.ics"]


# --- Days, midnights and clock changes --------------------------------------------------------------------------------


def test_all_day_events_come_first_and_exclude_their_dtend() -> None:
    """Section 3.6.1: DTEND is not part of it, and a date without an end is one day."""
    text = calendar(
        event("DTSTART:20250314T060000Z", uid="1"),
        event("DTSTART;VALUE=DATE:20250313", "DTEND;VALUE=DATE:20250315", uid="2", title="Fair"),
        event("DTSTART;VALUE=DATE:20250314", uid="3", title="Name day"),
        event("DTSTART;VALUE=DATE:20250314", "DURATION:P1W", uid="4", title="Away"),
    )
    frame, problems = read(text, on=dt.date(2025, 3, 13), to=dt.date(2025, 3, 15))
    assert problems == []
    assert frame.schema == pl.Schema(APPOINTMENTS)
    assert frame.select("date", "title", "start_minute", "all_day").rows() == [
        (dt.date(2025, 3, 13), "Fair", None, True),
        (dt.date(2025, 3, 14), "Away", None, True),
        (dt.date(2025, 3, 14), "Fair", None, True),
        (dt.date(2025, 3, 14), "Name day", None, True),
        (dt.date(2025, 3, 14), "Paper merchant", 420, False),
        (dt.date(2025, 3, 15), "Away", None, True),
    ]


def test_across_midnight() -> None:
    text = calendar(event(f"DTSTART;TZID={LJUBLJANA}:20250314T220000", f"DTEND;TZID={LJUBLJANA}:20250315T013000"))
    assert rows(text, **MARCH) == [("2025-03-14", 1320, 1440), ("2025-03-15", 0, 90)]
    assert rows(text, on=dt.date(2025, 3, 15)) == [("2025-03-15", 0, 90)]
    until = calendar(event(f"DTSTART;TZID={LJUBLJANA}:20250314T220000", f"DTEND;TZID={LJUBLJANA}:20250315T000000"))
    assert rows(until, **MARCH) == [("2025-03-14", 1320, 1440)]


def test_floating_times_are_local_and_others_are_not() -> None:
    text = calendar(
        event("DTSTART:20250314T083000", "DTEND:20250314T090000", uid="1"),
        event("DTSTART;TZID=America/New_York:20250314T083000", uid="2"),
        event("DTSTART:20250314T233000Z", "DURATION:PT1H", uid="3"),
    )
    assert rows(text, **MARCH) == [("2025-03-14", 510, 540), ("2025-03-14", 810, None), ("2025-03-15", 30, 90)]


@pytest.mark.parametrize(
    ("date", "lines", "expected"),
    [
        # 01:30 to 04:00 by the clock is one and a half hours in spring, three and a half in autumn.
        (SPRING, ("T013000", "DTEND", "T040000"), [(90, 240)]),
        (AUTUMN, ("T013000", "DTEND", "T040000"), [(90, 240)]),
        # Two exact hours from 01:30 end at 04:30 in spring, and at 02:30 (the second) in autumn (section 3.3.6).
        (SPRING, ("T013000", "DURATION", "PT2H"), [(90, 270)]),
        (AUTUMN, ("T013000", "DURATION", "PT2H"), [(90, 150)]),
        # Half an hour from 02:45: the clock shows 02:15 at its end, so the end is start plus length.
        (AUTUMN, ("T024500", "DURATION", "PT30M"), [(165, 195)]),
        # A clock time that was skipped (section 3.3.5).
        (SPRING, ("T023000", "DURATION", "PT30M"), [(210, 240)]),
    ],
)
def test_a_clock_change(date: dt.date, lines: tuple[str, str, str], expected: list[tuple[int, int]]) -> None:
    start, kind, end = lines
    last = f"DURATION:{end}" if kind == "DURATION" else f"DTEND;TZID={LJUBLJANA}:{date:%Y%m%d}{end}"
    text = calendar(event(f"DTSTART;TZID={LJUBLJANA}:{date:%Y%m%d}{start}", last))
    assert rows(text, on=date) == [(str(date), *span) for span in expected]


@pytest.mark.parametrize("date", [SPRING, AUTUMN])
def test_recurring_events_keep_their_clock_time_over_a_change(date: dt.date) -> None:
    before, after = date - dt.timedelta(1), date + dt.timedelta(1)
    daily = calendar(event(f"DTSTART;TZID={LJUBLJANA}:20250101T080000", "DURATION:PT1H", "RRULE:FREQ=DAILY"))
    assert [span for _, *span in rows(daily, on=before, to=after)] == [[480, 540]] * 3
    nightly = calendar(
        event(
            f"DTSTART;TZID={LJUBLJANA}:20250101T220000", f"DTEND;TZID={LJUBLJANA}:20250102T060000", "RRULE:FREQ=DAILY"
        )
    )
    assert [span for _, *span in rows(nightly, on=date)] == [[0, 360], [1320, 1440]]
    # In UTC it does not: the local clock time shifts by an hour.
    utc = calendar(event("DTSTART:20250101T070000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY"))
    moved = 60 if date == SPRING else -60
    starts = [start for _, start, _ in rows(utc, on=before, to=date)]
    assert starts[0] is not None and starts[1] == starts[0] + moved


# --- Broken files -----------------------------------------------------------------------------------------------------

GOOD = event("DTSTART:20250314T080000Z", uid="good", title="Delivery of boards")


def test_a_folder_of_time_zones_is_no_time_zone() -> None:
    """Python takes it as an unknown zone from 3.14 on, and does not read its event before. Both are told."""
    frame, (problem,) = read(calendar(event("DTSTART;TZID=Europe:20250314T080000", uid="bad"), GOOD), **MARCH)
    is_unknown = sys.version_info >= (3, 14)
    assert frame.get_column("title").to_list() == ["Paper merchant"] * is_unknown + ["Delivery of boards"]
    assert problem.line == 3
    assert ("taken as local" if is_unknown else "mend it where it was written") in str(problem)


@pytest.mark.parametrize(
    ("broken", "line", "message"),
    [
        (event("DTSTART:2025-03-14", uid="bad"), 3, 'DTSTART: expected one value, got "2025-03-14"'),
        (event("RRULE:FREQ=DAILY", uid="bad"), 3, "expected DTSTART, got none"),
        (event("DTSTART:20250314T250000Z", uid="bad"), 3, "20250314T083000"),
        (event("DTSTART:20250230T080000Z", uid="bad"), 3, "20250314T083000"),
        (event("DTSTART:20250314T080000Z", "DTSTART:20250315T080000Z", uid="bad"), 3, "expected one value"),
        (event("RECURRENCE-ID:never", "DTSTART:20250314T080000Z", uid="bad"), 3, "RECURRENCE-ID"),
        ("BEGIN:VEVENT\r\nUID:bad\r\nDTSTART:20250314T080000Z\r\n", 3, "expected END:VEVENT"),
    ],
)
def test_a_broken_event_affects_only_itself(broken: str, line: int, message: str) -> None:
    frame, problems = read(calendar(broken, GOOD), **MARCH)
    assert frame.get_column("title").to_list() == ["Delivery of boards"]
    (problem,) = problems
    assert (problem.path, problem.line) == ("a.ics", line)
    assert message in str(problem)


@pytest.mark.parametrize(
    ("lines", "ends", "message"),
    [
        (["DTEND:20250314T070000Z"], [(540, None)], "taken without an end"),
        (["DTEND:soon"], [(540, None)], 'DTEND: expected one value, got "soon"'),
        (["DURATION:an hour"], [(540, None)], "DURATION:PT1H30M"),
        (["RRULE:FREQ=NEVER"], [(540, None)], "NEVER"),
        (["RRULE:FREQ=DAILY;COUNT=2;UNTIL=20250320"], [(540, None)], "keep one of them"),
        (["EXDATE:no", "RRULE:FREQ=DAILY;COUNT=2"], [(540, None)] * 2, "EXDATE"),
    ],
)
def test_a_broken_property_affects_only_itself(lines: list[str], ends: list[tuple[int, None]], message: str) -> None:
    frame, problems = read(calendar(event("DTSTART:20250314T080000Z", *lines)), **MARCH)
    assert frame.select("start_minute", "end_minute").rows() == ends
    (problem,) = problems
    assert message in str(problem)


def test_an_unknown_zone_is_local_and_reported_once() -> None:
    texts = [event(f"DTSTART;TZID=Nowhere/Town:2025031{i}T080000", uid=str(i)) for i in range(3)]
    frame, problems = read(calendar(*texts), **MARCH)
    assert frame.get_column("start_minute").to_list() == [480] * 3
    (problem,) = problems
    assert "Nowhere/Town" in problem.got and "taken as local" in problem.remedy


@pytest.mark.parametrize(
    "data",
    [b"", b"mood = 4\n", b"\x00\xff\xfe" * 100, b"<html>", "BEGIN:VCALENDAR\r\n".encode("utf-16"), b"PK\x03\x04"],
)
def test_files_that_are_not_calendars(data: bytes) -> None:
    frame, problems = read(data, calendar(GOOD), **MARCH)
    assert frame.height == 1
    (problem,) = problems
    assert problem.path == "a.ics" and "BEGIN:VCALENDAR" in problem.expected and problem.remedy


def test_the_number_of_reported_problems_is_limited() -> None:
    texts = [event("DTSTART:never", uid=str(i)) for i in range(200)]
    frame, problems = read(calendar(*texts, GOOD), **MARCH)
    assert frame.height == 1
    assert len(problems) == PROBLEMS_A_FILE + 1
    assert "180 more" in problems[-1].got


def test_other_line_ends_and_folds_within_characters() -> None:
    text = event("DTSTART:20250314T080000Z", title="Šivanje\\, nitka\\; žep").encode()
    start = text.index("ž".encode()) + 1
    folded = b"BEGIN:VCALENDAR\r\n" + text[:start] + b"\r\n " + text[start:] + b"END:VCALENDAR\r\n"
    for data in (folded, b"\xef\xbb\xbf" + folded.replace(b"\r\n", b"\n"), folded.replace(b"\r\n", b"\r")):
        frame, problems = read(data, **MARCH)
        assert (frame.get_column("title").to_list(), problems) == (["Šivanje, nitka; žep"], [])


def test_titles_are_one_line() -> None:
    long = calendar(event("DTSTART:20250314T080000Z", title="a\\nb\\n\\tc" + "x" * 500))
    frame, _ = read(long, **MARCH)
    (title,) = frame.get_column("title").to_list()
    assert title.startswith("a b ") and len(title) == 200 and title.isprintable()
    frame, _ = read(calendar("BEGIN:VEVENT\r\nUID:1\r\nDTSTART:20250314T080000Z\r\nEND:VEVENT\r\n"), **MARCH)
    assert frame.get_column("title").to_list() == ["Without a title"]


def test_alarm_properties_are_ignored() -> None:
    alarm = "BEGIN:VALARM\r\nTRIGGER:-PT15M\r\nDURATION:PT5M\r\nREPEAT:2\r\nSUMMARY:Ring\r\nEND:VALARM"
    assert rows(calendar(event("DTSTART:20250314T080000Z", alarm)), **MARCH) == [("2025-03-14", 540, None)]


# --- Rules without bounds ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=SECONDLY",
        "FREQ=SECONDLY;COUNT=99999",
        "FREQ=SECONDLY;COUNT=999999999999",
        "FREQ=MINUTELY",
        "FREQ=MINUTELY;INTERVAL=0",
        "FREQ=MINUTELY;BYMONTHDAY=31;BYMONTH=2",
        "FREQ=MINUTELY;COUNT=99999;BYHOUR=3",
        "FREQ=DAILY;INTERVAL=0",
        "FREQ=DAILY;COUNT=999999999999",
        "FREQ=DAILY;BYHOUR=" + ",".join(map(str, range(24))) + ";BYMINUTE=" + ",".join(map(str, range(60))),
        "FREQ=DAILY;BYSECOND=" + ",".join(map(str, range(60))) + ";BYMINUTE=" + ",".join(map(str, range(60))),
        "FREQ=YEARLY;BYSETPOS=1;BYHOUR=1,2;BYDAY=MO",
    ],
)
def test_an_unbounded_rule_is_rejected(rule: str) -> None:
    frame, problems = read(calendar(event("DTSTART:20250301T080000Z", f"RRULE:{rule}"), GOOD), **MARCH)
    assert frame.get_column("title").to_list() == [
        "Paper merchant",
        "Delivery of boards",
    ]  # the first day, and all other events
    (problem,) = problems
    assert (problem.where, problem.line) == ("RRULE", 3)
    assert problem.remedy == "its first day is shown"


@pytest.mark.parametrize(
    ("rule", "days"),
    [
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", 0),  # never
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=5", 0),
        ("FREQ=DAILY;INTERVAL=99999", 0),
        ("FREQ=DAILY", 31),
        ("FREQ=YEARLY;BYDAY=MO,TU,WE,TH,FR,SA,SU", 31),
        ("FREQ=WEEKLY;COUNT=99999", 4),  # Thursdays of March 2025
    ],
)
def test_a_rule_from_long_ago_is_expanded_quickly(rule: str, days: int) -> None:
    text = calendar(event(f"DTSTART;TZID={LJUBLJANA}:19010103T080000", f"RRULE:{rule}"))
    assert len(rows(text, **MARCH)) == days


def test_many_frequent_events_share_one_limit() -> None:
    """1,248 instances each around one day (13 days of 96 quarter hours), and at most 20,000 in all."""
    texts = [event("DTSTART:20000101T080000Z", "RRULE:FREQ=MINUTELY;INTERVAL=15", uid=str(i)) for i in range(100)]
    frame, problems = read(calendar(GOOD, *texts), on=dt.date(2025, 3, 14))
    assert "Delivery of boards" in frame.get_column("title").to_list()
    (problem,) = problems
    assert "20,000 repeats" in problem.expected


def test_an_event_longer_than_its_interval_is_rejected() -> None:
    text = calendar(event("DTSTART:20000101T080000Z", "DTEND:20240101T080000Z", "RRULE:FREQ=DAILY"), GOOD)
    frame, problems = read(text, **MARCH)
    assert "Delivery of boards" in frame.get_column("title").to_list()
    assert len(problems) == 1


def test_a_zone_with_unbounded_clock_changes_is_rejected() -> None:
    zone = (
        "BEGIN:VTIMEZONE\r\nTZID:Local\r\nBEGIN:STANDARD\r\nDTSTART:19000101T000000\r\nRRULE:FREQ=SECONDLY\r\n"
        "TZOFFSETFROM:+0100\r\nTZOFFSETTO:+0200\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"
    )
    frame, problems = read(calendar(zone, event("DTSTART;TZID=Local:20250314T080000")), **MARCH)
    assert frame.get_column("start_minute").to_list() == [480]
    assert sorted(problem.line for problem in problems) == [3, 12]


@pytest.mark.parametrize(
    "line",
    [
        "RRULE:FREQ=YEARLY;INTERVAL=0;BYMONTH=10;BYDAY=-1SU",
        "RRULE:FREQ=YEARLY;BYMONTH=13;BYDAY=-1SU",
        "RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1XX",
        "RDATE:" + ",".join(f"1970{month:02d}01T{hour:02d}0000" for month in range(1, 13) for hour in range(24)) * 2,
    ],
)
def test_a_zone_that_could_not_end_is_rejected_at_once(line: str) -> None:
    """The library steps through such a zone for ever, or for as long as the list is."""
    changes = [("STANDARD", "+0200", "+0100", line), ("DAYLIGHT", "+0100", "+0200", "RRULE:FREQ=YEARLY;BYMONTH=3")]
    zone = "BEGIN:VTIMEZONE\r\nTZID:Local\r\n" + "".join(
        f"BEGIN:{kind}\r\nDTSTART:19700301T000000\r\n{rule}\r\nTZOFFSETFROM:{before}\r\nTZOFFSETTO:{after}\r\nEND:{kind}\r\n"
        for kind, before, after, rule in changes
    )
    begun = time.process_time()
    at_nine = event("DTSTART;TZID=Local:20250314T090000")
    frame, problems = read(
        calendar(f"{zone}END:VTIMEZONE\r\n", at_nine, event("DTSTART;TZID=Local:20250315T090000", uid="2")), **MARCH
    )
    assert time.process_time() - begun < 5
    assert frame.get_column("start_minute").to_list() == [540, 540], "taken as local"
    assert problems[0].line == 3 and "name a zone of the tz database" in problems[0].remedy


@pytest.mark.parametrize(
    ("lines", "got"),
    [
        (["RRULE:FREQ=DAILY"] * 21, "21"),
        (["RDATE:" + ",".join(["20250314T080000Z"] * 3_000)] * 2, "6,000"),
        (["RRULE:FREQ=DAILY", "EXDATE:" + ",".join(["20250314T080000Z"] * 5_001)], "5,001"),
    ],
)
def test_an_event_with_endless_lists_is_left_out(lines: list[str], got: str) -> None:
    frame, problems = read(calendar(event("DTSTART:20250301T080000Z", *lines), GOOD), **MARCH)
    assert frame.get_column("title").to_list() == ["Delivery of boards"]
    assert [(problem.line, problem.got) for problem in problems] == [(3, got)]


def test_a_file_with_many_zones_has_a_limit() -> None:
    zones = "".join(
        f"BEGIN:VTIMEZONE\r\nTZID:Local {i}\r\nBEGIN:STANDARD\r\nDTSTART:19700101T000000\r\n"
        f"TZOFFSETFROM:+0100\r\nTZOFFSETTO:+01{i % 60:02d}\r\nTZNAME:L{i}\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"
        for i in range(130)
    )
    events = [event(f"DTSTART;TZID=Local {i}:20250314T090000", uid=str(i)) for i in range(130)]
    frame, problems = read(calendar(zones, *events), **MARCH)
    assert frame.height and any(problem.got.startswith("130; ") for problem in problems)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from([*calendar(WEEKLY, GOOD).splitlines(keepends=True)]) | st.binary(max_size=30), max_size=30)
)
def test_nothing_raises(lines: list[bytes]) -> None:
    frame, problems = read(b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n" + b"".join(lines), **MARCH)
    assert frame.schema == pl.Schema(APPOINTMENTS)
    assert all(str(problem) and "\n" not in str(problem) for problem in problems)
