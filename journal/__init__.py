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
    calendars   calendar files -> appointments
    evening     what the next day should hold
    importing   what was kept elsewhere, for the pages
    charts      frame -> chart, no arithmetic
    sections    frame -> a section of a page, as HTML
    export      what leaves the journal: a book, tables, a calendar
    pages       what the notebooks share: server, forms, controls
    commands    what each command asks and answers
    cli         the commands

`open` walks it from the folder to the tables:

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

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import datetime as dt
    import os
    from collections.abc import Callable
    from pathlib import Path

    from journal.entry import Undated
    from journal.errors import Problem
    from journal.folder.opened_files import OpenedFiles
    from journal.settings import Settings
    from journal.tables import Tables

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


class Journal(NamedTuple):
    """A journal as of a day: its folder, its settings, its tables, its undated tasks, and all that is wrong in it.

    `problems` are in the order of path and line. A value with a problem is not in the tables; all others are.
    `opened` is what was read of its files, None for a journal that was made from tables.
    """

    folder: Path
    settings: Settings
    today: dt.date
    tables: Tables
    undated: Undated
    problems: tuple[Problem, ...]
    opened: OpenedFiles | None = None

    @property
    def files(self) -> OpenedFiles:
        """Its files, to read more of them and to write: journal.toml and every page in the version that was read."""
        from journal.folder.opened_files import OpenedFiles  # noqa: PLC0415

        return OpenedFiles(self.folder) if self.opened is None else self.opened


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
    import time  # noqa: PLC0415
    from pathlib import Path  # noqa: PLC0415

    from journal import tables  # noqa: PLC0415
    from journal.folder import discover, reading, snapshot  # noqa: PLC0415
    from journal.folder.opened_files import OpenedFiles  # noqa: PLC0415

    root = Path(folder)
    files = OpenedFiles(root) if files is None else files.again()
    begun, walked_ns = time.monotonic_ns(), time.time_ns()
    basis = files.basis
    undated, undated_problems = reading.read_undated(root, files.pages)
    found = discover.find(root)
    stamp = snapshot.stamp_of(basis.source, tables.RECORDED)
    kept = files.recorded(stamp) or (snapshot.load(root, stamp, tables.RECORDED) if cache else snapshot.EMPTY)
    difference = snapshot.compare(kept, found.pages)
    versions = files.pages if len(difference.fresh) <= snapshot.FEW else None  # of all pages they would be too many
    with reading.uncollected():
        pages, page_problems = reading.read_pages(root, difference.fresh, basis.known, versions)
        recorded = snapshot.joined(difference, tables.record(pages))
    page_problems += difference.problems
    files.record(stamp, snapshot.of(found.pages, recorded, page_problems, walked_ns=walked_ns))
    if cache and snapshot.is_worth_saving(kept, difference):
        since = time.monotonic_ns() - begun
        snapshot.save(root, stamp, found.pages, recorded, page_problems, since_walk_ns=since)
    as_of = today(basis.settings) if callable(today) else today
    return Journal(
        folder=root,
        settings=basis.settings,
        today=as_of,
        tables=tables.build(recorded, basis.settings, as_of),
        undated=undated,
        problems=tuple(sorted([*basis.problems, *undated_problems, *found.problems, *page_problems])),
        opened=files,
    )
