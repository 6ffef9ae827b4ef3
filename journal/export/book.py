"""The year as a printed book: a document set by typst as a tagged PDF, A5 or A4.

    make(document, paper="a5")    the book, and the letters in it that no font here has
    pdf(document, paper="a5")     its bytes alone

The words go to typst as data and are never read as its markup; nothing is put on the disk on the way. The PDF keeps to
PDF/UA-1 (ISO 14289-1) as far as typst can check: it refuses to make one that does not. It has no date, so the same
document makes the same bytes on machines with the same fonts.
"""

from __future__ import annotations

import functools
from importlib import resources
from typing import Literal, NamedTuple

import msgspec
import typst

from journal.export import letters, setting
from journal.export.document import Document

Paper = Literal["a5", "a4"]

_ROUNDS = 4  # a letter is refused in the words first, then perhaps in the drawings, whose fonts are others


class Book(NamedTuple):
    """A PDF, and the letters that no font of this machine has: they stand as their code, "[U+1F9F5]".

    `letters.told(missing)` says so in words.
    """

    data: bytes
    missing: tuple[str, ...]


def pdf(document: Document, *, paper: Paper = "a5") -> bytes:
    """The bytes of the book."""
    return make(document, paper=paper).data


def make(document: Document, *, paper: Paper = "a5") -> Book:
    """Set a document. Pictures with `spread` come first, on two facing pages each; every chapter begins a page."""
    source = resources.files("journal.export").joinpath("templates", "book.typ").read_bytes()
    missing: frozenset[str] = frozenset()
    for _ in range(_ROUNDS):
        words = msgspec.json.encode(setting.data(document, paper, missing)).decode()
        try:
            made = typst.compile(
                source, font_paths=_fonts(), sys_inputs={"book": words}, pdf_standards="ua-1", timestamp=0
            )
        except typst.TypstError as error:
            refused = letters.refused(error.diagnostic)
            if refused <= missing:
                raise
            missing |= refused
        else:
            assert isinstance(made, bytes)
            return Book(made, tuple(sorted(missing)))
    raise AssertionError("typst refuses letters without end")


@functools.cache
def _fonts() -> typst.Fonts:
    """typst's own fonts and the machine's, looked for once: a sixth of a second."""
    return typst.Fonts()
