"""The formats in which a year is exported. This is the only list of them.

A format is one `ExportFormat` here and one function that writes it, in a module of this package. The command
`duskbook export retrospective` and the year page take names, texts and file names from here, so a new format changes
no other module.

A writer is imported only when it is used: `duskbook export --help` reads this list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Literal, NamedTuple

from journal.language.catalogue import N_

Progress = Callable[[str], None]
"""Called with the next step before it runs: "Drawing March 2025"."""

PreviewKind = Literal["book", "sheets"]
"""The previews of the year page."""

ZIP = "application/zip"


class ExportOutput(NamedTuple):
    """The output of a writer: the bytes of one file, or several files by name (empty if there was nothing to write).

    `missing` are the characters that no font of this machine has. The output shows their code points instead.
    """

    data: bytes | Mapping[str, bytes]
    missing: tuple[str, ...] = ()


class ExportFormat(NamedTuple):
    """One format.

    `title` and `about` are its texts on the year page; `option` is its text in `--help`. These and `empty` are looked
    up in the catalogue where they are shown. `file` is the name of its file
    or, for several files, of their folder, with `{year}` and `{reader}` filled in. `writer` names the function.
    `preview` is set if the preview of the year page already makes the file. `empty` is the message when there is
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
    empty: str = N_("There is nothing to write for {year}; no file was made.")

    @property
    def is_folder(self) -> bool:
        """Whether it writes several files: a folder for the command, a ZIP on the year page."""
        return self.media == ZIP

    def file_name(self, year: int, reader: str = "me") -> str:
        """The name of the file or folder. It contains only the year and the reader.

        >>> RETROSPECTIVE["html"].file_name(2025), RETROSPECTIVE["png"].file_name(2025, "friend")
        ('retrospective-2025.html', 'retrospective-2025-for-friend-pictures')
        """
        return self.file.format(year=year, reader="" if reader == "me" else f"-for-{reader}")

    def write(self, *arguments: object) -> ExportOutput:
        """Import the writer and call it."""
        module, _, function = self.writer.rpartition(".")
        output: ExportOutput = getattr(import_module(f"journal.export.{module}"), function)(*arguments)
        return output


RETROSPECTIVE: Mapping[str, ExportFormat] = {
    "html": ExportFormat(
        N_("Reading page"),
        N_("One HTML file for any browser, in light or dark. It needs no network."),
        "retrospective-{year}{reader}.html",
        writer="html.write",
        media="text/html",
        option=N_("one file for any browser"),
    ),
    "pdf": ExportFormat(
        N_("Book"),
        N_("PDF to read or to print, on the paper chosen above."),
        "retrospective-{year}{reader}.pdf",
        writer="book.write",
        media="application/pdf",
        option=N_("a book"),
        has_paper=True,
        preview="book",
    ),
    "png": ExportFormat(
        N_("Pictures"),
        N_("The year with a field a day and a grid for each month: PNG at 300 dots per inch, in a ZIP."),
        "retrospective-{year}{reader}-pictures",
        writer="pictures.write",
        option=N_("the year and each month as pictures"),
        empty=N_("Nothing was written in {year} that a picture could show; no file was made."),
    ),
}
"""Formats of a retrospective, by the value of `--format`. A writer takes (Document, Paper, Progress)."""

OWNER: Mapping[str, ExportFormat] = {
    "sheets": ExportFormat(
        N_("Sheets for a paper notebook"),
        N_("PDF on the paper chosen above: the next day, the next month and its year, to cut out and glue in."),
        "",  # sheets depend on today, not on the year: `sheets.file_name` names them
        media="application/pdf",
        has_paper=True,
        preview="sheets",
    ),
    "text": ExportFormat(
        N_("Text"),
        N_("All pages of {year} as Markdown, one file a month, in a ZIP."),
        "text-{year}",
        writer="text.write",
        empty=N_("Nothing is written in {year}; no file was made."),
    ),
    "csv": ExportFormat(
        N_("Tables as CSV"),
        N_("Every table of all years, with a dictionary of the columns, in a ZIP."),
        "tables",
        writer="table_files.write_csv",
    ),
    "parquet": ExportFormat(
        N_("Tables as Parquet"),
        N_("The same tables with typed values, for polars and similar tools."),
        "tables",
        writer="table_files.write_parquet",
    ),
    "calendar": ExportFormat(
        N_("Calendar"),
        N_("The appointments and planned hours of {year}, as an iCalendar file."),
        "calendar-{year}.ics",
        writer="calendar.write",
        media="text/calendar",
        empty=N_("No appointment is written and no hours are planned in {year}; no file was made."),
    ),
}
"""Files for the owner only, on the year page. A writer takes (Journal, Period of a year, Progress)."""

FORMATS: Mapping[str, ExportFormat] = {**RETROSPECTIVE, **OWNER}
