"""The year with a field a day and the months as pictures: PNG at print resolution, on white.

pictures(document)    file name -> bytes, and the missing glyphs
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import msgspec
import vl_convert

from journal.charts.canvas import FONT, SCHEMA
from journal.charts.figure import Figure
from journal.export import missing_glyphs
from journal.export.document import Document, Picture
from journal.export.formats import ExportOutput, Progress
from journal.export.typst_data import PRINTED
from journal.language.catalogue import _

if TYPE_CHECKING:
    from journal.export.typesetting import Paper

DOTS_PER_INCH = 300
WIDTH = 2480
"""Pixels for 210 mm, the long side of A5 and the short one of A4. On the short side of A5 the letters would be smaller
than 5 points."""

_YEAR, _MONTH = "year-pixels", "month-grid-"
_MARGIN = 20  # around the drawing, as in `Figure.image`
_UNASSIGNED = "\U0010fffd"  # the last code point of private use: drawn as a missing glyph
_INVISIBLE = ("Zs", "Zl", "Zp", "Cc", "Cf", "Mn", "Me")
"""Categories of blanks, controls, joiners and combining marks (Unicode Standard, 4.5)."""


class Pictures(NamedTuple):
    """Pictures by file name, and the missing glyphs. The names contain only dates."""

    files: dict[str, bytes]
    missing: tuple[str, ...]


def pictures(document: Document, progress: Callable[[str], None] = lambda name: None) -> Pictures:
    """The pictures of a document: "year-in-pixels.png", and "2025-03.png" for a month with habits.

    `progress` is called with each name before the picture is drawn. The same document gives the same bytes on machines
    with the same fonts.
    """
    files: dict[str, bytes] = {}
    missing: set[str] = set()
    for name, figure in _figures(document):
        progress(name)
        unknown = unwritable(_letters(figure))
        missing |= unknown
        files[name] = _image(_with_stand_ins(figure, unknown) if unknown else figure)
    return Pictures(files, tuple(sorted(missing)))


def write(document: Document, _paper: Paper, progress: Progress) -> ExportOutput:
    """The format "png" of a retrospective."""
    return ExportOutput(*pictures(document, lambda name: progress(_("Drawing {name}", name=name))))


def _figures(document: Document) -> Iterator[tuple[str, Figure]]:
    for chapter in document.chapters:
        for block in chapter.blocks:
            if isinstance(block, Picture) and block.figure.key == _YEAR:
                yield "year-in-pixels.png", block.figure
            elif isinstance(block, Picture) and block.figure.key.startswith(_MONTH):
                yield f"{block.figure.key.removeprefix(_MONTH)}.png", block.figure


def _image(figure: Figure) -> bytes:
    across = figure.wide["width"] + 2 * _MARGIN
    return figure.image(PRINTED, scale=WIDTH / across * 72 / DOTS_PER_INCH, ppi=DOTS_PER_INCH)


def _letters(figure: Figure) -> frozenset[str]:
    """All letters of the texts of a figure."""
    letters: set[str] = set()

    def collect(text: str) -> str:
        letters.update(text)
        return text

    missing_glyphs.everywhere(collect, [figure.title, figure.subtitle, figure.wide])
    return frozenset(letters)


def _with_stand_ins(figure: Figure, missing: frozenset[str]) -> Figure:
    title, subtitle, wide = missing_glyphs.everywhere(
        lambda text: missing_glyphs.stand_in(text, missing), [figure.title, figure.subtitle, figure.wide]
    )
    return msgspec.structs.replace(figure, title=title, subtitle=subtitle, wide=wide)


def unwritable(letters: frozenset[str]) -> frozenset[str]:
    """The letters without a glyph in any font, tested by drawing each.

    >>> sorted(unwritable(frozenset("Žwalk ščω" + chr(0x10FFF0)))) == [chr(0x10FFF0)]
    True
    """
    return frozenset(letter for letter in letters if not letter.isascii() and _is_unwritable(letter))


@cache
def _is_unwritable(letter: str) -> bool:
    """Whether a letter is drawn like a missing glyph, or not drawn at all between two others."""
    if unicodedata.category(letter) in _INVISIBLE:
        return False
    return _drawn(letter) == _drawn(_UNASSIGNED) or _drawn(f"x{letter}x") == _drawn("xx")


@cache
def _drawn(text: str) -> bytes:
    specification = {
        "$schema": SCHEMA,
        "width": 60,
        "height": 20,
        "data": {"values": [{}]},
        "mark": {"type": "text", "text": text, "font": FONT, "fontSize": 12},
    }
    return bytes(vl_convert.vegalite_to_png(json.dumps(specification)))
