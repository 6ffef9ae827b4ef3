"""The problems of a journal as lines of text."""

from __future__ import annotations

import datetime as dt
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands.open_journal import open_journal
from journal.commands.terminal import one_line
from journal.folder import access, arriving
from journal.pictures import picture_files

if TYPE_CHECKING:
    from journal import Journal

_AHEAD = dt.timedelta(days=31)
"""For calendars: only events of the days that are read are looked at as a whole."""


def counted(number: int, noun: str) -> str:
    """A number with its noun.

    >>> counted(1, "page"), counted(0, "problem"), counted(365, "page")
    ('1 page', '0 problems', '365 pages')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def opened(folder: Path) -> Journal:
    """The journal. What is broken and was changed just now may still be arriving, and is waited for some seconds."""
    first = open_journal(folder)
    return open_journal(folder) if arriving.wait(folder, first.problems) else first


def report(journal: Journal) -> list[str]:
    """One line per problem of the pages, their pictures, the settings and the calendars as of the days ahead."""
    from journal.evening.tomorrow import calendar_of  # noqa: PLC0415 (slow, and other commands count problems too)

    _, of_calendars = calendar_of(journal, journal.today, journal.today + _AHEAD)
    pictures = journal.tables.pictures.select("date", "file").iter_rows()
    pages = ((f"{Path(file).with_name(date.isoformat())!s}.toml", file) for date, file in pictures)
    of_pictures = picture_files.problems(journal.folder, pages)
    return [one_line(str(problem)) for problem in sorted({*journal.problems, *of_calendars, *of_pictures})]


def verdict(journal: Journal, problems: int) -> str:
    """The number of problems; if there are none, the number of checked day pages."""
    pages = journal.tables.days.filter("written").height
    return f"{counted(problems, 'problem')}." if problems else f"No problems in {counted(pages, 'page')}."


def note_on_access(journal: Journal) -> str:
    """A sentence on who else can read the journal, with the remedy. Empty if no one can.

    It is no problem of the journal: a checkout of version control, and some shared drives, are so.
    """
    can = access.others(journal.folder)
    if not can:
        return ""
    command = f"chmod -R go= {shlex.quote(str(journal.folder))}"
    return one_line(f"Note: other users of this machine can {' and '.join(can)} this journal; {command} stops that.")
