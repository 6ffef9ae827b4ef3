"""The problems of a journal as lines of text."""

from __future__ import annotations

import datetime as dt
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands.open_journal import open_journal
from journal.commands.terminal import one_line
from journal.folder import access, arriving
from journal.language.catalogue import N_, _, _n
from journal.pictures import picture_files

if TYPE_CHECKING:
    from journal import Journal

_AHEAD = dt.timedelta(days=31)
"""For calendars: only events of the days that are read are looked at as a whole."""

_ACCESS = {
    "read": N_("Note: other users of this machine can read this journal; {command} stops that."),
    "change": N_("Note: other users of this machine can change this journal; {command} stops that."),
    "both": N_("Note: other users of this machine can read and change this journal; {command} stops that."),
}
"""By what they can do."""


def opened(folder: Path) -> Journal:
    """The journal. What is broken and was changed just now may still be arriving, and is waited for some seconds."""
    first = open_journal(folder)
    return open_journal(folder) if arriving.wait(folder, first.problems) else first


def report(journal: Journal) -> list[str]:
    """One line per problem of the pages, their pictures, the settings and the calendars as of the days ahead."""
    from journal.evening.tomorrow import calendar_of  # noqa: PLC0415 (slow, and other commands count problems too)

    _appointments, of_calendars = calendar_of(journal, journal.today, journal.today + _AHEAD)
    pictures = journal.tables.pictures.select("date", "file").iter_rows()
    pages = ((f"{Path(file).with_name(date.isoformat())!s}.toml", file) for date, file in pictures)
    of_pictures = picture_files.problems(journal.folder, pages)
    return [one_line(str(problem)) for problem in sorted({*journal.problems, *of_calendars, *of_pictures})]


def verdict(journal: Journal, problems: int) -> str:
    """The number of problems; if there are none, the number of checked day pages."""
    pages = journal.tables.days.filter("written").height
    if problems:
        return _n("{count} problem.", "{count} problems.", problems)
    return _n("No problems in {count} page.", "No problems in {count} pages.", pages)


def note_on_access(journal: Journal) -> str:
    """A sentence on who else can read the journal, with the remedy. Empty if no one can.

    It is no problem of the journal: a checkout of version control, and some shared drives, are so.
    """
    can = access.others(journal.folder)
    if not can:
        return ""
    command = f"chmod -R go= {shlex.quote(str(journal.folder))}"
    text = _ACCESS["both" if len(can) > 1 else can[0]]
    return one_line(_(text, command=command))
