"""A year for one reader, in one form: what the command and the year's page make alike.

    document(book, 2025, "friend")              the year as that reader may see it, counted and drawn
    files(document, "pdf", "friend", "a5")      its files by name, and the letters that no font here has

Nothing is put on the disk.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import TYPE_CHECKING, Literal, NamedTuple

from journal.export.audience import Audience, seen_by
from journal.export.typesetting import Paper

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.document import Document

RetrospectiveFormat = Literal["html", "pdf", "png"]
Progress = Callable[[str], None]
"""Is told what is being done, "Drawing March 2025", before it is."""


class Files(NamedTuple):
    """Files by their names, and the letters that stand as their codes in them (`letters.told` says so in words)."""

    files: dict[str, bytes]
    missing: tuple[str, ...] = ()


def document(
    book: Journal,
    year: int,
    reader: Audience,
    named: Collection[str] = (),
    progress: Progress = lambda doing: None,
) -> Document:
    """The year as a reader may see it; `named` are keys of habits that keep their names for anyone.

    Raises UsageError for a habit that does not exist.
    """
    from journal.export.year_document import contents  # noqa: PLC0415  it brings all of the charts along

    return contents(seen_by(book, reader, named=named), year, lambda chapter: progress(f"Counting {chapter}"))


def file_name(year: int, form: RetrospectiveFormat, reader: Audience) -> str:
    """What a file or a folder of pictures is called: the year and who it is for, and nothing of what is in it.

    >>> file_name(2025, "html", "me"), file_name(2025, "png", "friend")
    ('retrospective-2025.html', 'retrospective-2025-for-friend-pictures')
    """
    stem = f"retrospective-{year}" + ("" if reader == "me" else f"-for-{reader}")
    return f"{stem}-pictures" if form == "png" else f"{stem}.{form}"


def files(
    document: Document,
    form: RetrospectiveFormat,
    reader: Audience,
    paper: Paper = "a5",
    progress: Progress = lambda doing: None,
) -> Files:
    """The year in a form: one file, or the pictures of a folder, which may be none."""
    name = file_name(document.year, form, reader)
    if form == "pdf":
        from journal.export import book  # noqa: PLC0415  one form needs nothing of the others

        progress("Setting the book")
        made = book.make(document, paper=paper)
        return Files({name: made.data}, made.missing)
    if form == "png":
        from journal.export import pictures  # noqa: PLC0415

        drawn = pictures.pictures(document, lambda file: progress(f"Drawing {file}"))
        return Files(drawn.files, drawn.missing)
    from journal.export import html  # noqa: PLC0415

    return Files({name: html.html(document, lambda chapter: progress(f"Drawing {chapter}"))})
