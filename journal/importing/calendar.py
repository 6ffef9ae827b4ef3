"""Import of a calendar file (RFC 5545, Desruisseaux 2009): appointments for the pages of some days.

`calendars.appointments` computes the appointments of a day, by the clock of that day's place. It is called for one year
at a time, so its limits apply to each year.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from journal.calendars.appointments import appointments
from journal.entry import clock_text
from journal.errors import Problem, UsageError
from journal.folder.calendar_files import SIZE_LIMIT, CalendarFile
from journal.folder.folder_walk import shown
from journal.importing import source_file
from journal.importing.cells import plain_table
from journal.importing.model import ImportedValue, ImportedValues, SourceCell
from journal.language import digits
from journal.language.catalogue import _
from journal.settings import Settings

LONGEST = 3_660
"""Days that are read at once: ten years, at some seconds a year for a full calendar."""


def read(file: Path, days: Sequence[dt.date], places: Mapping[dt.date, str], settings: Settings) -> ImportedValues:
    """Return the appointments of a calendar file on some days, as values for their pages.

    `places` has the key of the place of each day that was not spent at home. Cancelled appointments are left out. One
    across midnight is on both days. A broken one affects only itself, and is a problem.

    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name, "work.ics")
    >>> event = "BEGIN:VEVENT\\nUID:1\\nSUMMARY:Paper merchant\\nDTSTART:20250314T083000\\nEND:VEVENT"
    >>> _ = path.write_text(f"BEGIN:VCALENDAR\\n{event}\\nEND:VCALENDAR\\n")
    >>> imported = read(path, [dt.date(2025, 3, 14)], {}, Settings(title="A test", places=()))
    >>> [value.value for value in imported.values]
    [{'title': 'Paper merchant', 'start': '08:30'}]
    >>> folder.cleanup()

    Raises UsageError if the file is not a calendar, or for more than `LONGEST` days.
    """
    if len(days) > LONGEST:
        raise UsageError(
            _(
                "--days: {count} days are too many to read at once; name at most {most}",
                count=digits.number(len(days)),
                most=digits.number(LONGEST),
            )
        )
    name = shown(file.name)
    data = source_file.content(file, SIZE_LIMIT)
    if b"BEGIN:VCALENDAR" not in data.upper():
        raise UsageError(
            _('"{name}" is no calendar (it has no BEGIN:VCALENDAR); export it as iCalendar, .ics', name=name)
        )
    values: list[ImportedValue] = []
    problems: set[Problem] = set()
    for zone, zone_days in _by_zone(days, places, settings):
        frame, zone_problems = appointments([CalendarFile(name, data)], zone_days[0], zone_days[-1], zone)
        problems.update(zone_problems)
        zone_day_set = set(zone_days)
        for date, title, start, end, _all_day, _source in frame.iter_rows():
            if date in zone_day_set:
                times = {
                    key: None if minute is None else clock_text(minute)
                    for key, minute in (("start", start), ("end", end))
                }
                value = plain_table(title=title, **times)
                values.append(
                    ImportedValue(
                        key=date.isoformat(), path=("appointments",), value=value, cell=SourceCell(text=title)
                    )
                )
    return ImportedValues(name, values, sorted(problems), [], len(values))


def _by_zone(
    days: Iterable[dt.date], places: Mapping[dt.date, str], settings: Settings
) -> Iterable[tuple[str, list[dt.date]]]:
    """Yield the days of each year and time zone, with the zone."""
    zones = settings.zones
    home = next(iter(zones.values()), "UTC")

    def year_and_zone(day: dt.date) -> tuple[int, str]:
        return day.year, zones.get(places.get(day, ""), home)

    for (_year, zone), zone_days in groupby(sorted(days, key=lambda day: (year_and_zone(day), day)), key=year_and_zone):
        yield zone, list(zone_days)
