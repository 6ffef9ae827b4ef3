"""A year for one reader, in one format. The command and the year page both use this.

    document(book, 2025, "friend")              the year as that reader may see it, counted and drawn
    files(document, "pdf", "friend", "a5")      its files by name, and the missing glyphs

The formats are those of `export.formats`. Nothing is written to disk.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, NamedTuple

from journal.export import day_photos
from journal.export.audience import Audience, seen_by
from journal.export.formats import RETROSPECTIVE, Progress
from journal.export.typesetting import Paper
from journal.language.catalogue import _

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.document import Document


class Files(NamedTuple):
    """Files by name, and the missing glyphs (`missing_glyphs.warning` is the message about them)."""

    files: Mapping[str, bytes]
    missing: tuple[str, ...] = ()


def document(
    book: Journal,
    year: int,
    reader: Audience,
    named: Collection[str] = (),
    progress: Progress = lambda doing: None,
) -> Document:
    """The year as a reader may see it; `named` are keys of habits that keep their names for anyone.

    Raises UsageError for an unknown habit.
    """
    from journal.export.year_document import contents  # noqa: PLC0415  it imports all charts

    seen, photos = seen_by(book, reader, named=named), day_photos.files_of(book)
    return contents(seen, year, lambda chapter: progress(_("Counting {chapter}", chapter=chapter)), photos)


def files(
    document: Document,
    form: str,
    reader: Audience,
    paper: Paper = "a5",
    progress: Progress = lambda doing: None,
) -> Files:
    """The year in a format: one file, or the files of a folder; empty if there is nothing to write."""
    chosen = RETROSPECTIVE[form]
    data, missing = chosen.write(document, paper, progress)
    return Files({chosen.file_name(document.year, reader): data} if isinstance(data, bytes) else data, missing)
