"""The year in pixels and the months as pictures to print, glue in or send: PNG at print resolution, on white.

pictures(document)    file name -> bytes, and the letters that could not be drawn
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

if TYPE_CHECKING:
    from journal.export.typesetting import Paper

DOTS_PER_INCH = 300
WIDTH = 2480
"""Pixels: 210 mm at that, the long side of A5 and the short one of A4. On the short side of A5 letters of the drawings
would be under 5 points."""

_YEAR, _MONTH = "year-pixels", "month-grid-"
_MARGIN = 20  # around a drawing that leaves the page, as `Figure.image` has it
_UNASSIGNED = "\U0010fffd"  # private use, the last there is: what a letter without a glyph looks like
_UNSEEN = ("Zs", "Zl", "Zp", "Cc", "Cf", "Mn", "Me")
"""Blanks, controls, and what only joins or marks a letter: general categories of the Unicode Standard, 4.5."""


class Pictures(NamedTuple):
    """Pictures by their file names, which tell of dates alone, and letters that stand as their code in them."""

    files: dict[str, bytes]
    missing: tuple[str, ...]


def pictures(document: Document, progress: Callable[[str], None] = lambda name: None) -> Pictures:
    """The pictures of a document: "year-in-pixels.png", and "2025-03.png" for a month with habits.

    `progress` is told the name of each before it is drawn. The same document gives the same bytes on machines with the
    same fonts.
    """
    files: dict[str, bytes] = {}
    missing: set[str] = set()
    for name, figure in _pictured(document):
        progress(name)
        unknown = unwritable(_letters(figure))
        missing |= unknown
        files[name] = _image(_standing_in(figure, unknown) if unknown else figure)
    return Pictures(files, tuple(sorted(missing)))


def write(document: Document, _paper: Paper, progress: Progress) -> ExportOutput:
    """The format "png" of a retrospective."""
    return ExportOutput(*pictures(document, lambda name: progress(f"Drawing {name}")))


def _pictured(document: Document) -> Iterator[tuple[str, Figure]]:
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
    """Every letter that may be drawn."""
    found: set[str] = set()

    def see(text: str) -> str:
        found.update(text)
        return text

    missing_glyphs.everywhere(see, [figure.title, figure.subtitle, figure.wide])
    return frozenset(found)


def _standing_in(figure: Figure, missing: frozenset[str]) -> Figure:
    title, subtitle, wide = missing_glyphs.everywhere(
        lambda text: missing_glyphs.stand_in(text, missing), [figure.title, figure.subtitle, figure.wide]
    )
    return msgspec.structs.replace(figure, title=title, subtitle=subtitle, wide=wide)


def unwritable(some: frozenset[str]) -> frozenset[str]:
    """Those letters that no font drawn with has; found by drawing each.

    >>> sorted(unwritable(frozenset("Žwalk ščω" + chr(0x10FFF0)))) == [chr(0x10FFF0)]
    True
    """
    return frozenset(letter for letter in some if not letter.isascii() and _is_unwritable(letter))


@cache
def _is_unwritable(letter: str) -> bool:
    """Whether a letter looks like one that no font has, or, between two others, like nothing at all."""
    if unicodedata.category(letter) in _UNSEEN:
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
