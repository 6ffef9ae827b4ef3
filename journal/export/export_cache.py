"""What is made of a year of a journal as it was read once: the book to look at and every file, each made one time.

Results are kept in memory, so that what was looked at is not made again to be saved. Nothing is written anywhere.
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

KEPT = 12
"""Results that are kept at once. All those of one reader are some 40 MB for a year of pages."""

_Result = TypeVar("_Result")


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """What is asked for: of which year, who may see it, which habits may be named, on which paper, in which of the
    `formats.FORMATS`.

    `what` is looked at: the book, or the sheets that follow on the journal's today, which are for the owner alone.
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
        """What a document depends on."""
        return self.year, self.reader, frozenset(self.named if self.reader == "anyone" else ())

    @property
    def set(self) -> tuple[Hashable, ...]:
        """What its pages depend on."""
        return (self.what, self.paper) if self.what == "sheets" else (self.what, self.paper, *self.seen)


class ExportFile(NamedTuple):
    """A file: its name, which tells of dates and readers alone, its media type, and letters that no font here has."""

    name: str
    media: str
    data: bytes
    missing: tuple[str, ...] = ()


class Edition:
    """A journal as it was read once, and what was made from it."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()

    def document(self, asked: Asked, progress: Progress) -> Document:
        """The year as its reader may see it. Raises UsageError for a habit that does not exist."""
        year, reader, named = asked.seen
        return self._once(
            ("document", *asked.seen),
            lambda: retrospective.document(self.journal, year, reader, named, progress),
        )

    def bound(self, asked: Asked, progress: Progress) -> Typeset:
        """The printed book, or the sheets."""

        def make() -> Typeset:
            if asked.what == "sheets":
                progress("Ruling the sheets")
                return sheets.make(sheets.chosen(self.journal, self.journal.today, "all", asked.paper), asked.paper)
            document = self.document(asked, progress)
            progress("Setting the book")
            return book.make(document, paper=asked.paper)

        return self._once(("bound", *asked.set), make)

    def leaves(self, asked: Asked, progress: Progress) -> list[Leaf]:
        """Their pages, small."""

        def make() -> list[Leaf]:
            words = self.bound(asked, progress).words
            progress("Drawing the pages")
            return page_previews.leaves(asked.what, words)

        return self._once(("leaves", *asked.set), make)

    def large(self, asked: Asked, progress: Progress) -> list[bytes]:
        """Their pages as SVG."""
        return self._once(
            ("large", *asked.set),
            lambda: page_previews.large(asked.what, self.bound(asked, progress).words),
        )

    def file(self, asked: Asked, progress: Progress) -> ExportFile | None:
        """The file of a kind, the same bytes as the command writes; several as one ZIP. None where there is nothing to
        put into it. What is no book is for the owner alone, whoever is asked for.
        """
        chosen = FORMATS[asked.kind]
        if chosen.preview:
            return self._previewed(msgspec.structs.replace(asked, what=chosen.preview), progress)
        if asked.kind in RETROSPECTIVE:
            paper = asked.paper if chosen.has_paper else None
            return self._once((asked.kind, paper, *asked.seen), lambda: self._of_document(asked, chosen, progress))
        return self._once((asked.kind, asked.year), lambda: self._of_owner(asked, chosen, progress))

    def _previewed(self, asked: Asked, progress: Progress) -> ExportFile:
        """The file whose pages can be looked at: it is set once for both."""
        made = self.bound(asked, progress)
        name = FORMATS[asked.kind].file_name(asked.year, asked.reader)
        if asked.what == "sheets":
            name = sheets.file_name(self.journal.today, "all")
        return ExportFile(name, FORMATS[asked.kind].media, made.data, made.missing)

    def _of_document(self, asked: Asked, chosen: ExportFormat, progress: Progress) -> ExportFile | None:
        written = chosen.write(self.document(asked, progress), asked.paper, progress)
        return _file(chosen, chosen.file_name(asked.year, asked.reader), written)

    def _of_owner(self, asked: Asked, chosen: ExportFormat, progress: Progress) -> ExportFile | None:
        written = chosen.write(self.journal, periods.year(asked.year), progress)
        return _file(chosen, chosen.file_name(asked.year), written)

    def _once(self, key: Hashable, make: Callable[[], _Result]) -> _Result:
        if key not in self._kept:
            self._kept[key] = make()
        self._kept.move_to_end(key)
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        found: _Result = self._kept[key]
        return found


def _file(chosen: ExportFormat, name: str, written: ExportOutput) -> ExportFile | None:
    """What was written as one file: several go into a ZIP. None where nothing was written."""
    if not written.data:
        return None
    if isinstance(written.data, bytes):
        return ExportFile(name, chosen.media, written.data, written.missing)
    return ExportFile(f"{name}.zip", chosen.media, packed(name, written.data), written.missing)


def packed(folder: str, files: Mapping[str, bytes]) -> bytes:
    """Files as a ZIP, in a folder and in the order of their names. Its dates are those of the format's beginning, so
    that the same files make the same bytes.

    >>> zipfile.ZipFile(io.BytesIO(packed("text-2025", {"2025-03.md": b"# March"}))).namelist()
    ['text-2025/2025-03.md']
    """
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(f"{folder}/{name}")
            entry.external_attr = 0o100600 << 16  # an ordinary file, of its owner alone
            entry.compress_type = zipfile.ZIP_STORED if name.endswith((".png", ".parquet")) else zipfile.ZIP_DEFLATED
            archive.writestr(entry, files[name])
    return whole.getvalue()
