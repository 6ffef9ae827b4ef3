"""Appointments: dated ones from lines/appointments.txt, and what comes round."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from tests.invented_year.story import HOLIDAYS, Day, date

LINES = Path(__file__).parent / "lines"


def rehearses(day: Day) -> bool:
    """The quartet meets on Thursdays, but for the summer and the days it cannot."""
    term = day.date <= date(6, 20) or day.date >= date(9, 4)
    off = day.date in HOLIDAYS or day.flu or day.trip or day.blank or day.date == date(12, 25)
    return day.date.weekday() == 3 and term and not off


def has_lesson(day: Day) -> bool:
    """Accordion, every other Tuesday in term, but for the evening course in October and St Martin's."""
    term = date(1, 7) <= day.date <= date(6, 17) or day.date >= date(9, 9)
    off = day.flu or day.trip or day.date in HOLIDAYS or day.date.month == 10 or day.date == date(11, 11)
    return term and (day.date - date(1, 7)).days % 14 == 0 and not off


def add_appointments(days: list[Day]) -> None:
    """Titles with a start and an end ("" for a whole day), in the order of the day."""
    by_date: dict[dt.date, list[tuple[str, str, str]]] = {}
    for line in (LINES / "appointments.txt").read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        day, hours, title = line.split(maxsplit=2)
        start, _, end = hours.partition("-") if hours != "day" else ("", "", "")
        by_date.setdefault(dt.date.fromisoformat(day), []).append((title, start, end))
    for each in days:
        found = by_date.get(each.date, [])
        if rehearses(each):
            found.append(("Quartet", "19:30", "21:00"))
        if has_lesson(each):
            found.append(("Accordion lesson", "18:00", "18:45"))
        each.appointments = sorted(found, key=lambda one: (one[1], one[0]))
