"""Duskbook: a private journal of plain dated files, with reactive notebooks that count honestly.

The way through the code, one direction, each stage importing only from those above it:

    errors      what can go wrong, each with its place and its remedy
    fields      a field of a day: its type, and all that is said of it elsewhere
    entry       the typed pages: a day, a review, undated tasks
    settings    the typed journal.toml
    periods     days, weeks, months and years by their ISO 8601 names
    recurrence  recurrence rules, read from text
    schedule    a rule -> the days it falls on
    frames      a row of a frame
    wording     numbers, dates, rules, habits and pages in words
    folder      the files: found, read, checked, and kept as a snapshot; the only code that touches entry files
    tables      pages -> tidy frames with fixed schemas
    sun         rise, set and length of the day at a place
    measures    frame -> frame, one subject a module
    opened      a journal as of a day, with what follows from its tables
    calendars   calendar files -> appointments
    evening     what the next day should hold
    importing   what was kept elsewhere, for the pages
    charts      frame -> chart, no arithmetic
    sections    frame -> a section of a page, as HTML
    export      what leaves the journal: a book, tables, a calendar
    pages       what the notebooks share: server, forms, controls
    commands    what each command asks and answers
    cli         the commands

`open` walks it from the folder to a `Journal`:

    >>> import datetime as dt, tempfile, pathlib
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text('title = "Spine and thread"')
    ...     _ = pathlib.Path(folder, "2025-03-14.toml").write_text("mood = 4")
    ...     journal = open(folder, today=dt.date(2025, 3, 14))
    >>> journal.tables.days.filter(journal.tables.days["logged"])["mood"].to_list()
    [4.0]
    >>> print(journal.problems[0])
    journal.toml: places: expected at least one [[places]], got none;
    add a [[places]] with key, name, latitude, longitude and timezone
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import datetime as dt
    import os
    from collections.abc import Callable

    from journal.folder.opened_files import OpenedFiles
    from journal.opened import Journal as Journal
    from journal.settings import Settings

__version__ = "0.1.0"

STAGES = (
    "errors",
    "fields",
    "entry",
    "settings",
    "periods",
    "recurrence",
    "schedule",
    "frames",
    "wording",
    "folder",
    "tables",
    "sun",
    "measures",
    "opened",
    "calendars",
    "evening",
    "importing",
    "charts",
    "sections",
    "export",
    "pages",
    "commands",
    "cli",
)
"""The stages in their order; a test holds the code to it."""


def open(
    folder: str | os.PathLike[str],
    *,
    today: dt.date | Callable[[Settings], dt.date],
    cache: bool = True,
    files: OpenedFiles | None = None,
) -> Journal:
    """Open a journal as of a day, which may follow from its settings.

    `files` are those that were read of it in the same request: what did not change since is not read again.

    With `cache`, pages that did not change are taken from a snapshot below the folder's .cache, which is made where
    it can be. Nothing else is ever written, and nothing at all without it.

    Raises FolderError, with the remedy, where the folder is missing, cannot be read, or has no journal.toml.
    """
    # Imported here, so that `import journal` costs nothing.
    from pathlib import Path  # noqa: PLC0415

    from journal import opened  # noqa: PLC0415
    from journal.folder.opened_files import OpenedFiles  # noqa: PLC0415

    root = Path(folder)
    return opened.read(OpenedFiles(root) if files is None else files.again(), today=today, cache=cache)


if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """`journal.Journal`, which is imported when it is asked for."""
        if name == "Journal":
            from journal.opened import Journal  # noqa: PLC0415

            return Journal
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
