"""The work of `duskbook export text`, `tables` and `calendar`. The files hold everything: they are for the owner."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from journal.commands import export_place
from journal.commands.arguments import DateRange, DaysAsked
from journal.commands.export_place import ExportPlace
from journal.commands.terminal import one_line
from journal.errors import UsageError
from journal.language.catalogue import N_, _
from journal.periods import Period, year

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.write_files import Placed


CALENDAR_NAME = "calendar.ics"

_EMPTY = {
    "appointments": (
        N_("No appointment is written from {first} to {last}; no file was made."),
        N_("No appointment is written in this journal; no file was made."),
    ),
    "planned": (
        N_("No hours are planned from {first} to {last}; no file was made."),
        N_("No hours are planned in this journal; no file was made."),
    ),
    None: (
        N_("No appointment is written and no hours are planned from {first} to {last}; no file was made."),
        N_("No appointment is written and no hours are planned in this journal; no file was made."),
    ),
}
_NO_TEXT = (
    N_("Nothing is written from {first} to {last}; no file was made."),
    N_("Nothing is written in this journal; no file was made."),
)
"""What is said of an export without a file: for some days, and for the whole journal."""


def chosen(journal: Journal, of_year: Period | None, days: DaysAsked | None) -> DateRange | None:
    """The days of --year or --days, None without either. Raises UsageError if both are given."""
    if of_year and days:
        raise UsageError(_("--year and --days were both given; write one of them"))
    if of_year:
        return of_year.first, of_year.last
    return days.days(week_starts=journal.settings.week_starts) if days else None


def text(journal: Journal, days: DateRange | None, place: ExportPlace | None) -> list[Placed]:
    """Write a Markdown file per month, and without `days` also one of the undated tasks.

    Prints a line if there is nothing to write.
    """
    from journal.export import text as markdown_files

    files = markdown_files.text(journal, *(days or (dt.date.min, dt.date.max)))
    if days is None:
        files |= markdown_files.undated(journal.undated.tasks, journal.settings)
    if not files:
        click.echo(_nothing(_NO_TEXT, days))
    return export_place.put_all(place, "text", files)


def tables(journal: Journal, form: Any, place: ExportPlace | None) -> list[Placed]:
    """Write a file per table, and the dictionary of columns."""
    from journal.export import table_files

    return export_place.put_all(place, "tables", table_files.files(journal, form))


def calendar(journal: Journal, days: DateRange | None, only: Any, place: ExportPlace | None) -> list[Placed]:
    """Write one calendar file, by default of this year. Prints a line if it would have no events.

    Raises UsageError for a place inside the journal: calendar files there are read, so the exported events would come
    back on the evening page as appointments.
    """
    from journal.export import calendar as calendar_file

    path = (place or export_place.HERE).file(CALENDAR_NAME)
    if path.resolve().is_relative_to(journal.folder.resolve()):
        text = _(
            '"{file}" is inside the journal, where the evening page would read it as appointments; '
            'name a place outside the journal, e.g. "--to ../calendar.ics"'
        )
        raise UsageError(text.format(file=one_line(str(path))))
    if days is None:
        this_year = year(journal.today.year)
        days = (this_year.first, this_year.last)
    data = calendar_file.calendar(journal, *days, (only,) if only else calendar_file.KINDS)
    if data is None:
        click.echo(_nothing(_EMPTY[only], days))
        return []
    return export_place.put(place, CALENDAR_NAME, data)


def _nothing(texts: tuple[str, str], days: DateRange | None) -> str:
    of_days, of_journal = texts
    return _(of_days, first=days[0], last=days[1]) if days else _(of_journal)
