"""Recurring appointments whose rule gives no instance, or cannot be followed."""

from __future__ import annotations

import datetime as dt

import pytest

from tests.calendars.test_appointments import Days, calendar, event, read, rows


@pytest.mark.parametrize("start", ["DTSTART;TZID=Europe/Ljubljana:20250303T090000", "DTSTART;VALUE=DATE:20250303"])
@pytest.mark.parametrize("until", ["19970101", "20250201T000000Z", "20250302", "20250303T075959Z"])
def test_a_rule_that_ended_before_its_start_shows_nothing(start: str, until: str) -> None:
    """As `dateutil.rrule` has it. Phones write it for a series that was deleted from its first day on."""
    if "DATE" in start and until == "20250303T075959Z":
        until = "20250302T235959Z"
    days = Days(on=dt.date(2025, 2, 20), to=dt.date(2025, 3, 12))
    assert rows(calendar(event(start, f"RRULE:FREQ=DAILY;UNTIL={until}")), **days) == []
    extra = start.replace("DTSTART", "RDATE").replace("0303", "0305")
    assert [date for date, *_ in rows(calendar(event(start, f"RRULE:FREQ=DAILY;UNTIL={until}", extra)), **days)] == [
        "2025-03-05"
    ]


def test_a_rule_by_the_gregorian_calendar_is_followed() -> None:
    """RFC 7529, section 4: RSCALE=GREGORIAN with SKIP=OMIT is what a rule without both means."""
    text = calendar(event("DTSTART;VALUE=DATE:20250131", "RRULE:RSCALE=GREGORIAN;FREQ=MONTHLY;SKIP=OMIT;COUNT=3"))
    days = Days(on=dt.date(2025, 1, 1), to=dt.date(2025, 12, 31))
    assert [date for date, *_ in rows(text, **days)] == ["2025-01-31", "2025-03-31", "2025-05-31"]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["RRULE:RSCALE=CHINESE;FREQ=YEARLY"], 'it counts by another calendar, "CHINESE"'),
        (["RRULE:RSCALE=GREGORIAN;FREQ=MONTHLY;SKIP=FORWARD"], 'SKIP is "FORWARD"'),
        (["RRULE:FREQ=WEEKLY;COUNT=-1"], 'COUNT is "-1"'),
        (["RRULE:FREQ=HOURLY;COUNT=-1"], 'COUNT is "-1"'),
        (["RRULE:FREQ=WEEKLY;COUNT="], '"FREQ=WEEKLY;COUNT=": COUNT has no value'),
        (["DTEND;VALUE=DATE:20250301"], "one before it"),
        (["DTEND;TZID=Europe/Ljubljana:20250303T080000"], "one before it"),
    ],
)
def test_the_first_day_is_shown_and_the_fault_told(lines: list[str], words: str) -> None:
    text = calendar(event("DTSTART;TZID=Europe/Ljubljana:20250303T090000", *lines))
    frame, (problem,) = read(text, on=dt.date(2025, 3, 1), to=dt.date(2025, 3, 12))
    assert frame.select("date", "start_minute", "end_minute").rows() == [(dt.date(2025, 3, 3), 540, None)]
    assert words in problem.got
