"""The year as a printed book: a document typeset by typst as a tagged PDF, A5 or A4.

    make(document, paper="a5")    the book, and its missing glyphs
    pdf(document, paper="a5")     only its bytes

`typesetting` states the standard of the file.
"""

from __future__ import annotations

from journal.export import typesetting, typst_data
from journal.export.document import Document
from journal.export.formats import ExportOutput, Progress
from journal.export.typesetting import Paper, Typeset
from journal.language.catalogue import _


def pdf(document: Document, *, paper: Paper = "a5") -> bytes:
    """The bytes of the book."""
    return make(document, paper=paper).data


def make(document: Document, *, paper: Paper = "a5") -> Typeset:
    """Typeset a document. Pictures with `spread` come first, on two facing pages each. Every chapter begins a page."""
    return typesetting.pdf("book", lambda missing: typst_data.data(document, paper, missing))


def write(document: Document, paper: Paper, progress: Progress) -> ExportOutput:
    """The format "pdf" of a retrospective."""
    progress(_("Setting the book"))
    book = make(document, paper=paper)
    return ExportOutput(book.data, book.missing)
