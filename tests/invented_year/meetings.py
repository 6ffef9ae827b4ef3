"""Appointments: dated ones from lines/appointments.txt, and recurring ones."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from tests.invented_year.story import HOLIDAYS, Day, date

LINES = Path(__file__).parent / "lines"


def rehearses(day: Day) -> bool:
    """Whether the quartet rehearses: on Thursdays, except in summer and on excluded days."""
    term = day.date <= date(6, 20) or day.date >= date(9, 4)
    off = day.date in HOLIDAYS or day.flu or day.trip or day.blank or day.date == date(12, 25)
    return day.date.weekday() == 3 and term and not off


def has_lesson(day: Day) -> bool:
    """Whether there is a lesson: every other Tuesday in term, except in October (evening course) and on St Martin's."""
    term = date(1, 7) <= day.date <= date(6, 17) or day.date >= date(9, 9)
    off = day.flu or day.trip or day.date in HOLIDAYS or day.date.month == 10 or day.date == date(11, 11)
    return term and (day.date - date(1, 7)).days % 14 == 0 and not off


def add_appointments(days: list[Day]) -> None:
    """Set the appointments of each day: title, start and end ("" for a whole day), by start."""
    by_date: dict[dt.date, list[tuple[str, str, str]]] = {}
    for line in (LINES / "appointments.txt").read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        day, hours, title = line.split(maxsplit=2)
        start, _, end = hours.partition("-") if hours != "day" else ("", "", "")
        by_date.setdefault(dt.date.fromisoformat(day), []).append((title, start, end))
    for each in days:
        appointments = by_date.get(each.date, [])
        if rehearses(each):
            appointments.append(("Quartet", "19:30", "21:00"))
        if has_lesson(each):
            appointments.append(("Accordion lesson", "18:00", "18:45"))
        each.appointments = sorted(appointments, key=lambda item: (item[1], item[0]))
