"""Previews of typeset pages: small pictures with a text alternative, and full pages as SVG.

    leaves("book", made.words)    small pictures, in page order
    large("book", made.words)     the same pages as SVG, sharp at any size

Both typeset the input again. That costs little compared with making its drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from journal.export import typesetting
from journal.language.catalogue import _

DOTS_PER_INCH = 48
"""Makes a page of A5 280 pixels wide, twice its displayed width."""

_MOST_HEADINGS = 6  # headings in the text alternative of a page


class Leaf(NamedTuple):
    """A page: its number from 1, its text alternative, and its picture (PNG)."""

    number: int
    said: str
    picture: bytes


def leaves(template: str, words: str) -> list[Leaf]:
    """The previews of the pages. `words` is the input of the template (`typesetting.Typeset.words`)."""
    pictures = typesetting.images(template, words, "png", DOTS_PER_INCH)
    alternatives = texts(typesetting.headings(template, words), len(pictures))
    return [Leaf(number, *pair) for number, pair in enumerate(zip(alternatives, pictures, strict=True), 1)]


def large(template: str, words: str) -> list[bytes]:
    """The pages as SVG. Letters are outlines, so that no font is needed."""
    return typesetting.images(template, words, "svg")


def texts(headings: Iterable[tuple[int, int, str]], pages: int) -> list[str]:
    """The text alternative of each page: its chapter, and the headings on it.

    >>> texts([(2, 1, "January 2025"), (2, 2, "To remember"), (2, 2, "Done"), (3, 2, "Notes")], 4)
    ['Cover', 'January 2025: To remember; Done', 'January 2025: Notes', 'January 2025']
    """
    by_page: dict[int, list[tuple[int, str]]] = {}
    for page, level, text in headings:
        by_page.setdefault(page, []).append((level, text))
    return list(_texts(by_page, pages))


def _texts(by_page: dict[int, list[tuple[int, str]]], pages: int) -> Iterator[str]:
    chapter = _("Cover")
    for page in range(1, pages + 1):
        on_page = by_page.get(page, [])
        chapters = [text for level, text in on_page if level == 1]
        chapter = chapters[-1] if chapters else chapter
        parts = "; ".join([text for level, text in on_page if level > 1][:_MOST_HEADINGS])
        yield f"{'; '.join(chapters) or chapter}{': ' if parts else ''}{parts}"
