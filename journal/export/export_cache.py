"""A cache of the exports of one opened journal: documents, books, previews and files, each made once.

Results stay in memory, so that a previewed book is not made again to be saved. Nothing is written to disk.
"""

from __future__ import annotations

import io
import zipfile
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from typing import Annotated, Any, NamedTuple, TypeVar

import msgspec

from journal import Journal, periods
from journal.export import book, page_previews, retrospective, sheets
from journal.export.audience import Audience
from journal.export.document import Document
from journal.export.formats import FORMATS, RETROSPECTIVE, ExportFormat, ExportOutput, PreviewKind, Progress
from journal.export.page_previews import Leaf
from journal.export.typesetting import Paper, Typeset
from journal.language.catalogue import _
from journal.language.spoken import spoken

KEPT = 12
"""Most results kept at once. All results of one reader take some 40 MB for a year of pages."""

_Result = TypeVar("_Result")


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """A request of the year page: year, reader, habits that keep their names, paper, and a format of `formats.FORMATS`.

    `what` is the preview: the book, or the sheets that follow on the journal's today, which are for the owner.
    """

    year: Annotated[int, msgspec.Meta(ge=1, le=9998)]
    reader: Audience = "me"
    named: tuple[str, ...] = ()
    paper: Paper = "a5"
    kind: str = "pdf"
    what: PreviewKind = "book"

    def __post_init__(self) -> None:
        if self.kind not in FORMATS:
            raise ValueError(f'there is no format "{self.kind}"')

    @property
    def seen(self) -> tuple[int, Audience, frozenset[str]]:
        """The cache key of the document."""
        return self.year, self.reader, frozenset(self.named if self.reader == "anyone" else ())

    @property
    def set(self) -> tuple[Hashable, ...]:
        """The cache key of its pages."""
        return (self.what, self.paper) if self.what == "sheets" else (self.what, self.paper, *self.seen)


class ExportFile(NamedTuple):
    """A file. Its name contains only dates and the reader. `missing` are its missing glyphs."""

    name: str
    media: str
    data: bytes
    missing: tuple[str, ...] = ()


class Edition:
    """One opened journal and the exports made from it."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()

    def document(self, asked: Asked, progress: Progress) -> Document:
        """The year as its reader may see it. Raises UsageError for an unknown habit."""
        year, reader, named = asked.seen
        return self._once(
            ("document", *asked.seen),
            lambda: retrospective.document(self.journal, year, reader, named, progress),
        )

    def bound(self, asked: Asked, progress: Progress) -> Typeset:
        """The printed book, or the sheets."""

        def make() -> Typeset:
            if asked.what == "sheets":
                progress(_("Ruling the sheets"))
                return sheets.make(sheets.chosen(self.journal, self.journal.today, "all", asked.paper), asked.paper)
            document = self.document(asked, progress)
            progress(_("Setting the book"))
            return book.make(document, paper=asked.paper)

        return self._once(("bound", *asked.set), make)

    def leaves(self, asked: Asked, progress: Progress) -> list[Leaf]:
        """Small pictures of the pages."""

        def make() -> list[Leaf]:
            words = self.bound(asked, progress).words
            progress(_("Drawing the pages"))
            return page_previews.leaves(asked.what, words)

        return self._once(("leaves", *asked.set), make)

    def large(self, asked: Asked, progress: Progress) -> list[bytes]:
        """The pages as SVG."""
        return self._once(
            ("large", *asked.set),
            lambda: page_previews.large(asked.what, self.bound(asked, progress).words),
        )

    def file(self, asked: Asked, progress: Progress) -> ExportFile | None:
        """The file of the requested format, with the same bytes as the command writes; several files as one ZIP.

        None if there is nothing to write. Formats of `formats.OWNER` are for the owner, whatever the requested reader.
        """
        chosen = FORMATS[asked.kind]
        if chosen.preview:
            return self._previewed(msgspec.structs.replace(asked, what=chosen.preview), progress)
        if asked.kind in RETROSPECTIVE:
            paper = asked.paper if chosen.has_paper else None
            return self._once((asked.kind, paper, *asked.seen), lambda: self._of_document(asked, chosen, progress))
        return self._once((asked.kind, asked.year), lambda: self._of_owner(asked, chosen, progress))

    def _previewed(self, asked: Asked, progress: Progress) -> ExportFile:
        """A file with a preview. Preview and file share one result."""
        typeset = self.bound(asked, progress)
        name = FORMATS[asked.kind].file_name(asked.year, asked.reader)
        if asked.what == "sheets":
            name = sheets.file_name(self.journal.today, "all")
        return ExportFile(name, FORMATS[asked.kind].media, typeset.data, typeset.missing)

    def _of_document(self, asked: Asked, chosen: ExportFormat, progress: Progress) -> ExportFile | None:
        output = chosen.write(self.document(asked, progress), asked.paper, progress)
        return _file(chosen, chosen.file_name(asked.year, asked.reader), output)

    def _of_owner(self, asked: Asked, chosen: ExportFormat, progress: Progress) -> ExportFile | None:
        output = chosen.write(self.journal, periods.year(asked.year), progress)
        return _file(chosen, chosen.file_name(asked.year), output)

    def _once(self, asked: Hashable, make: Callable[[], _Result]) -> _Result:
        key = (spoken().code, asked)  # all of them hold words
        if key not in self._kept:
            self._kept[key] = make()
        self._kept.move_to_end(key)
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        result: _Result = self._kept[key]
        return result


def _file(chosen: ExportFormat, name: str, output: ExportOutput) -> ExportFile | None:
    """The output as one file: several files go into a ZIP. None if the output is empty."""
    if not output.data:
        return None
    if isinstance(output.data, bytes):
        return ExportFile(name, chosen.media, output.data, output.missing)
    return ExportFile(f"{name}.zip", chosen.media, packed(name, output.data), output.missing)


def packed(folder: str, files: Mapping[str, bytes]) -> bytes:
    """Files as a ZIP, in a folder, sorted by name.

    All dates in it are the earliest that ZIP allows, so that the same files give the same bytes.

    >>> zipfile.ZipFile(io.BytesIO(packed("text-2025", {"2025-03.md": b"# March"}))).namelist()
    ['text-2025/2025-03.md']
    """
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(f"{folder}/{name}")
            entry.external_attr = 0o100600 << 16  # a regular file that only its owner can read
            entry.compress_type = zipfile.ZIP_STORED if name.endswith((".png", ".parquet")) else zipfile.ZIP_DEFLATED
            archive.writestr(entry, files[name])
    return buffer.getvalue()
