"""A calendar's appointments on the pages of their days, by the clock of each day's place."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from journal.calendars.appointments import appointments
from journal.errors import UsageError
from journal.folder import reading, typed_values
from journal.importing import apply_plan, calendar, planning
from journal.importing.calendar import read
from journal.settings import Settings
from tests.importing.tables import NOW, journal_in

PLACES = [
    {"key": "home", "name": "Ljubljana", "latitude": 46.05, "longitude": 14.51, "timezone": "Europe/Ljubljana"},
    {"key": "edinburgh", "name": "Edinburgh", "latitude": 55.95, "longitude": -3.19, "timezone": "Europe/London"},
]
SETTINGS = typed_values.typed({"title": "A test", "places": PLACES}, Settings)
MARCH = [dt.date(2025, 3, day) for day in range(10, 17)]


def event(*lines: str) -> str:
    return "\r\n".join(["BEGIN:VEVENT", *lines, "END:VEVENT"])


def file_of(folder: Path, *events: str) -> Path:
    path = folder / "work.ics"
    path.write_bytes("\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", *events, "END:VCALENDAR", ""]).encode())
    return path


def rows(path: Path, days: list[dt.date], places: dict[dt.date, str]) -> list[tuple[str, ...]]:
    return [(value.key, *value.value.values()) for value in read(path, days, places, SETTINGS).values]


def test_appointments_are_on_their_days_by_the_clock_of_the_place(tmp_path: Path) -> None:
    """14 March was spent in Edinburgh, an hour behind; a daily, a cancelled and an overnight appointment."""
    path = file_of(
        tmp_path,
        event("UID:1", "SUMMARY:Merchant", "DTSTART:20250313T073000Z", "DTEND:20250313T080000Z", "RRULE:FREQ=DAILY"),
        event("UID:1", "SUMMARY:Merchant", "RECURRENCE-ID:20250315T073000Z", "DTSTART:20250315T073000Z",
              "STATUS:CANCELLED"),
        event("UID:2", "SUMMARY:Night train", "DTSTART:20250311T220000", "DTEND:20250312T060000"),
        event("UID:3", "SUMMARY:Fair", "DTSTART;VALUE=DATE:20250310"),
        event("UID:4", "SUMMARY:Tea", "DTSTART:20250310T150000"),
    )  # fmt: skip
    assert rows(path, MARCH, {MARCH[4]: "edinburgh"}) == [
        ("2025-03-10", "Fair"), ("2025-03-10", "Tea", "15:00"),
        ("2025-03-11", "Night train", "22:00", "24:00"), ("2025-03-12", "Night train", "00:00", "06:00"),
        ("2025-03-13", "Merchant", "08:30", "09:00"), ("2025-03-16", "Merchant", "08:30", "09:00"),
        ("2025-03-14", "Merchant", "07:30", "08:00"),
    ]  # fmt: skip
    assert rows(path, [MARCH[1], MARCH[6]], {}) == [
        ("2025-03-11", "Night train", "22:00", "24:00"), ("2025-03-16", "Merchant", "08:30", "09:00"),
    ]  # fmt: skip


def test_existing_appointments_stay_and_others_are_added(tmp_path: Path) -> None:
    folder = journal_in(
        tmp_path / "small",
        {
            MARCH[0]: {"appointments": [{"title": "Tea", "start": "15:00", "end": "16:00"}]},
            MARCH[1]: {"mood": 4, "appointments": [{"title": "Fair"}]},
        },
    )
    path = file_of(
        tmp_path,
        event("UID:1", "SUMMARY:Tea", "DTSTART:20250310T150000", "DTEND:20250310T153000"),
        event("UID:2", "SUMMARY:Tea", "DTSTART:20250310T170000"),
        event("UID:3", "SUMMARY:Fair", "DTSTART;VALUE=DATE:20250311"),
        event("UID:4", "SUMMARY:Broken", "DTSTART:soon"),
    )
    known = reading.read_settings(folder).known
    plan = planning.plan(folder, read(path, MARCH, {}, SETTINGS), known, now=NOW)
    assert [page.changes for page in plan.pages] == [
        {("appointments",): [{"title": "Tea", "start": "15:00", "end": "16:00"}, {"title": "Tea", "start": "17:00"}]}
    ]
    assert plan.left == ["2025-03-11"]
    assert plan.kept == ['2025-03-10: appointment "Tea": end stays "16:00", the file has "15:30"']
    assert [str(problem) for problem in plan.problems] == [
        'work.ics:19:1: DTSTART: expected one value, got "soon"; write e.g. DTSTART:20250314T083000'
    ]
    apply_plan.write(folder, plan.pages, now=NOW)
    assert not planning.plan(folder, read(path, MARCH, {}, SETTINGS), known, now=NOW).pages


def test_each_year_is_read_separately(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[dt.date, dt.date]] = []

    def counted(files: Any, first: dt.date, last: dt.date, timezone: str) -> Any:
        asked.append((first, last))
        return appointments(files, first, last, timezone)

    monkeypatch.setattr(calendar, "appointments", counted)
    path = file_of(tmp_path, event("UID:1", "SUMMARY:New Year", "DTSTART;VALUE=DATE:20240101", "RRULE:FREQ=YEARLY"))
    days = [dt.date(2023, 12, 31) + dt.timedelta(days=i) for i in range(3_660)]
    assert [row[0] for row in rows(path, days, {})] == [f"{year}-01-01" for year in range(2024, 2035)]
    assert len(asked) == 12 and all(first.year == last.year for first, last in asked)


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"date,mood\n", '"work.ics" is no calendar (it has no BEGIN:VCALENDAR); export it as iCalendar, .ics'),
        (None, 'there is no file "'),
    ],
)
def test_a_file_that_is_not_a_calendar_is_rejected(tmp_path: Path, data: bytes | None, expected: str) -> None:
    if data is not None:
        (tmp_path / "work.ics").write_bytes(data)
    with pytest.raises(UsageError) as refused:
        read(tmp_path / "work.ics", MARCH, {}, SETTINGS)
    assert str(refused.value).startswith(expected)


def test_too_many_days_are_rejected(tmp_path: Path) -> None:
    days = [dt.date(2000, 1, 1) + dt.timedelta(days=i) for i in range(3_661)]
    with pytest.raises(UsageError, match="3,661 days are too many to read at once; name at most 3,660"):
        read(file_of(tmp_path), days, {}, SETTINGS)
