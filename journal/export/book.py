"""The year as a printed book: a document set by typst as a tagged PDF, A5 or A4.

    make(document, paper="a5")    the book, and the letters in it that no font here has
    pdf(document, paper="a5")     its bytes alone

`typesetting` says what the file keeps to.
"""

from __future__ import annotations

from journal.export import typesetting, typst_data
from journal.export.document import Document
from journal.export.formats import ExportOutput, Progress
from journal.export.typesetting import Paper, Typeset


def pdf(document: Document, *, paper: Paper = "a5") -> bytes:
    """The bytes of the book."""
    return make(document, paper=paper).data


def make(document: Document, *, paper: Paper = "a5") -> Typeset:
    """Set a document. Pictures with `spread` come first, on two facing pages each; every chapter begins a page."""
    return typesetting.pdf("book", lambda missing: typst_data.data(document, paper, missing))


def write(document: Document, paper: Paper, progress: Progress) -> ExportOutput:
    """The format "pdf" of a retrospective."""
    progress("Setting the book")
    made = make(document, paper=paper)
    return ExportOutput(made.data, made.missing)
