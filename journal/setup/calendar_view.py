"""What each calendar path shows this week, to see whether it is the right one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Literal

import msgspec

from journal.folder import calendar_files
from journal.language.catalogue import _, _n
from journal.saving.form_values import fault_message
from journal.wording import dates

_SHOWN = 6  # appointments of a path; the number of all is said


class CalendarView(msgspec.Struct, frozen=True, kw_only=True):
    """A path, what is read there, its appointments of the week, and its problems."""

    path: str
    said: str
    appointments: list[str]
    problems: list[str]


def of(
    folder: Path, paths: list[str], week: tuple[dt.date, dt.date], timezone: str, clock: Literal[12, 24]
) -> list[CalendarView]:
    """What each path shows from the first to the last day of a week, by the clock of a time zone.

    The files inside the journal come first, if there are any, as the path "".
    """
    inside = calendar_files.read(folder)
    views = []
    if inside.files or inside.problems:
        views.append(_view("", inside, week, timezone, clock))
    already = {file.path for file in inside.files}
    for path in paths:
        found = calendar_files.read(folder, [path])
        own = [file for file in found.files if file.path not in already]
        problems = [problem for problem in found.problems if problem not in inside.problems]
        views.append(_view(path, calendar_files.Calendars(own, problems), week, timezone, clock))
    return views


def _view(
    path: str,
    calendars: calendar_files.Calendars,
    week: tuple[dt.date, dt.date],
    timezone: str,
    clock: Literal[12, 24],
) -> CalendarView:
    from journal.calendars.appointments import appointments  # noqa: PLC0415 - 40 ms, for calendars alone

    frame, problems = appointments(calendars.files, *week, timezone)
    files = _n("{count} file", "{count} files", len(calendars.files))
    count = _n("{count} appointment this week", "{count} appointments this week", frame.height)
    return CalendarView(
        path=path,
        said=f"{files}, {count}" if calendars.files else _("No calendar file is read here"),
        appointments=[_line(row, clock) for row in frame.head(_SHOWN).iter_rows(named=True)],
        problems=[fault_message(problem) for problem in (*calendars.problems, *problems)],
    )


def _line(row: dict[str, object], clock: Literal[12, 24]) -> str:
    day, start = row["date"], row["start_minute"]
    assert isinstance(day, dt.date)
    at = f" {dates.clock(start, clock)}" if isinstance(start, int) else ""
    return f"{dates.day(day)}{at}  {row['title']}"
