"""Duskbook: a private journal of plain dated files, with reactive notebooks that count honestly.

The stages of the code, in order. Each stage imports only from the stages above it:

    language    the spoken language, and the catalogues of texts
    errors      problems and errors, each with its position and its remedy
    fields      a field of a day: its type, and its names, bounds and columns elsewhere
    home_day    a moment -> the day of the journal
    entry       the typed pages: a day, a review, undated tasks
    settings    the typed journal.toml
    periods     days, weeks, months and years by their ISO 8601 names
    call_arguments  what a caller may pass: days and periods as text too
    recurrence  recurrence rules, read from text
    schedule    a rule -> the days it falls on
    lots        the plan of a trial -> what is drawn for each of its days
    frames      a row of a frame
    derived     a property that is computed once and shared
    wording     text of numbers, dates, rules, habits and pages
    folder      discover, read, check, cache and write the files; the only code that touches entry files
    schemas     JSON Schemas of the files, for editors
    pictures    the files of a day's pictures: checked, cleaned, made small
    backup      a journal in one file, and back
    page_columns  pages -> frames with the values of the files
    tables      these frames -> tidy frames, one row per calendar day
    sun         sunrise, sunset and day length at a place
    measures    frame -> frame, one subject per module
    opened      a journal as of a day, with the frames derived from its tables
    calendars   calendar files -> appointments
    saving      the values and base pages of a form; a save of several pages
    evening     the form of an evening, its save, and the tasks to decide
    planning    the page of a day with its edits, the days to come, and putting a task on one of them
    reviews     the form of a review of a week, month or year, and its save
    setup       edits of journal.toml: habits, time off, schedules as fields of a form
    importing   data kept elsewhere -> pages
    paper       sheets of paper as boxes at their places, and their photographs, read
    charts      frame -> chart, no arithmetic
    sections    frame -> a section of a page, as HTML
    export      a book, tables and a calendar as files
    pages       shared code of the notebooks: server, forms, controls
    commands    the arguments and the output of each command
    cli         the command line
    program     the command as a process

`open` reads a folder into a `Journal`:

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

# Nothing is imported here, not even of the standard library: `python -m journal` reads this module while the folder it
# runs in still comes first in the search path (see `journal/__main__.py`). Type checkers take the constant as true.
TYPE_CHECKING = False
if TYPE_CHECKING:
    import datetime as dt
    import os
    from collections.abc import Callable

    from journal.folder.opened_files import OpenedFiles
    from journal.opened import Journal as Journal
    from journal.settings import Settings

__version__ = "0.1.0"

STAGES = (
    "language",
    "errors",
    "fields",
    "home_day",
    "entry",
    "settings",
    "periods",
    "call_arguments",
    "recurrence",
    "schedule",
    "lots",
    "frames",
    "derived",
    "wording",
    "folder",
    "schemas",
    "pictures",
    "backup",
    "page_columns",
    "tables",
    "sun",
    "measures",
    "opened",
    "calendars",
    "saving",
    "evening",
    "planning",
    "reviews",
    "setup",
    "importing",
    "paper",
    "charts",
    "sections",
    "export",
    "pages",
    "commands",
    "cli",
    "program",
)
"""The stages in order; tests/test_stages.py enforces it."""


def open(
    folder: "str | os.PathLike[str]",
    *,
    today: "dt.date | str | Callable[[Settings], dt.date]",
    cache: bool = True,
    files: "OpenedFiles | None" = None,
) -> "Journal":
    """Open a journal as of a day: a date, its text "2025-12-31", or a function of the journal's settings.

    `files` are the journal's files as read earlier in the same request. Files that did not change are not read again.

    With `cache`, unchanged pages come from a snapshot in the folder's .cache. The snapshot is written if possible. No
    other file is written, and without `cache` none at all.

    Raises FolderError, with the remedy, if the folder is missing, cannot be read, or has no journal.toml. Raises
    UsageError, a ValueError, if `today` is a text that is no day, and TypeError if it or the folder is something else.
    """
    # Imported here to keep `import journal` fast.
    from pathlib import Path  # noqa: PLC0415

    from journal import opened  # noqa: PLC0415
    from journal.folder.opened_files import OpenedFiles  # noqa: PLC0415

    if not hasattr(folder, "__fspath__") and not isinstance(folder, str):
        kind = type(folder).__name__
        raise TypeError(f'folder must be a path, got {kind}; write e.g. journal.open("my-journal", today="2025-12-31")')
    root = Path(folder)
    return opened.read(OpenedFiles(root) if files is None else files.again(), today=today, cache=cache)


if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """Import `journal.Journal` on first access."""
        if name == "Journal":
            from journal.opened import Journal  # noqa: PLC0415

            return Journal
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
