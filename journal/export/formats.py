"""The formats in which a year is exported. This is the only list of them.

A format is one `ExportFormat` here and one function that writes it, in a module of this package. The command
`duskbook export retrospective` and the year page take names, texts and file names from here, so a new format changes
no other module.

Nothing of a writer is imported before it is used: `duskbook export --help` reads this list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Literal, NamedTuple

Progress = Callable[[str], None]
"""Is told what is being done, "Drawing March 2025", before it is."""

PreviewKind = Literal["book", "sheets"]
"""What the year page shows page by page."""

ZIP = "application/zip"


class ExportOutput(NamedTuple):
    """What a writer made: the bytes of one file, or several files by name (none of them: there was nothing to write).

    `missing` are the characters that no font here has; they stand as their codes.
    """

    data: bytes | Mapping[str, bytes]
    missing: tuple[str, ...] = ()


class ExportFormat(NamedTuple):
    """One format.

    `title` and `about` are what the year page says of it; `option` is its line in `--help`. `file` is the name of its
    file or, for several files, of their folder: `{year}` and `{reader}` are filled in. `writer` names the function.
    `preview` is set where the pages shown on the year page are already the file. `empty` is said where there is
    nothing to write.
    """

    title: str
    about: str
    file: str
    writer: str = ""
    media: str = ZIP
    option: str = ""
    has_paper: bool = False
    preview: PreviewKind | None = None
    empty: str = "There is nothing of {year} to write; no file was made."

    @property
    def is_folder(self) -> bool:
        """Whether it writes several files: a folder for the command, a ZIP on the year page."""
        return self.media == ZIP

    def file_name(self, year: int, reader: str = "me") -> str:
        """The name of the file or folder: the year and who it is for, nothing of what is in it.

        >>> RETROSPECTIVE["html"].file_name(2025), RETROSPECTIVE["png"].file_name(2025, "friend")
        ('retrospective-2025.html', 'retrospective-2025-for-friend-pictures')
        """
        return self.file.format(year=year, reader="" if reader == "me" else f"-for-{reader}")

    def write(self, *given: object) -> ExportOutput:
        """Call the writer, which is imported now."""
        module, _, function = self.writer.rpartition(".")
        written: ExportOutput = getattr(import_module(f"journal.export.{module}"), function)(*given)
        return written


RETROSPECTIVE: Mapping[str, ExportFormat] = {
    "html": ExportFormat(
        "Reading page",
        "One HTML file for any browser, in light or dark. It needs no network.",
        "retrospective-{year}{reader}.html",
        writer="html.write",
        media="text/html",
        option="one file for any browser",
    ),
    "pdf": ExportFormat(
        "Book",
        "PDF to read or to print, on the paper chosen above.",
        "retrospective-{year}{reader}.pdf",
        writer="book.write",
        media="application/pdf",
        option="a book",
        has_paper=True,
        preview="book",
    ),
    "png": ExportFormat(
        "Pictures",
        "The year in pixels and a grid for each month: PNG at 300 dots per inch, in a ZIP.",
        "retrospective-{year}{reader}-pictures",
        writer="pictures.write",
        option="the year and each month as pictures",
        empty="Nothing was written in {year} that a picture could show; no file was made.",
    ),
}
"""Formats of a retrospective, by the value of `--format`. A writer takes (Document, Paper, Progress)."""

OWNER: Mapping[str, ExportFormat] = {
    "sheets": ExportFormat(
        "Sheets for a paper notebook",
        "PDF on the paper chosen above: the next day, the next month and its year, to cut out and glue in.",
        "",  # the sheets follow on today, not on the year: `sheets.file_name` names them
        media="application/pdf",
        has_paper=True,
        preview="sheets",
    ),
    "text": ExportFormat(
        "Text",
        "All that the pages of {year} hold, as Markdown, a file a month, in a ZIP.",
        "text-{year}",
        writer="text.write",
        empty="Nothing is written in {year}; no file was made.",
    ),
    "csv": ExportFormat(
        "Tables as CSV",
        "Every table of all years, with a dictionary of the columns, in a ZIP.",
        "tables",
        writer="table_files.write_csv",
    ),
    "parquet": ExportFormat(
        "Tables as Parquet",
        "The same, each value with its type, for polars and its kin.",
        "tables",
        writer="table_files.write_parquet",
    ),
    "calendar": ExportFormat(
        "Calendar",
        "The appointments and planned hours of {year}, as an iCalendar file.",
        "calendar-{year}.ics",
        writer="calendar.write",
        media="text/calendar",
        empty="No appointment is written and no hours are planned in {year}; no file was made.",
    ),
}
"""Files for the owner alone, as the year page offers them. A writer takes (Journal, Period of a year, Progress)."""

FORMATS: Mapping[str, ExportFormat] = {**RETROSPECTIVE, **OWNER}
