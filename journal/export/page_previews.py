"""The pages of what was set, to look at: each as a small picture with what stands on it, and large when asked for.

    leaves("book", made.words)    small pictures, in their order
    large("book", made.words)     the same pages as SVG, sharp at any size

Both are set anew from their words, which costs little beside drawing what they hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from journal.export import typesetting

DOTS_PER_INCH = 48
"""A page of A5 is then 280 pixels wide: twice as many as it is shown with."""

_TOLD = 6  # headings of a page that its text alternative names


class Leaf(NamedTuple):
    """A page: its number, counted from 1, what stands on it, and its picture (PNG)."""

    number: int
    said: str
    picture: bytes


def leaves(template: str, words: str) -> list[Leaf]:
    """The pages of what was set from these words (`typesetting.Made.words`)."""
    pictures = typesetting.images(template, words, "png", DOTS_PER_INCH)
    told = said(typesetting.headings(template, words), len(pictures))
    return [Leaf(number, *both) for number, both in enumerate(zip(told, pictures, strict=True), 1)]


def large(template: str, words: str) -> list[bytes]:
    """The pages as SVG, with every letter as its outline: they need no font."""
    return typesetting.images(template, words, "svg")


def said(headings: Iterable[tuple[int, int, str]], pages: int) -> list[str]:
    """What stands on each page, by its headings: the chapter, and the parts that begin there.

    >>> said([(2, 1, "January 2025"), (2, 2, "To remember"), (2, 2, "Done"), (3, 2, "Notes")], 4)
    ['Cover', 'January 2025: To remember; Done', 'January 2025: Notes', 'January 2025']
    """
    by_page: dict[int, list[tuple[int, str]]] = {}
    for page, level, text in headings:
        by_page.setdefault(page, []).append((level, text))
    return list(_said(by_page, pages))


def _said(by_page: dict[int, list[tuple[int, str]]], pages: int) -> Iterator[str]:
    chapter = "Cover"
    for page in range(1, pages + 1):
        here = by_page.get(page, [])
        chapters = [text for level, text in here if level == 1]
        chapter = chapters[-1] if chapters else chapter
        parts = "; ".join([text for level, text in here if level > 1][:_TOLD])
        yield f"{'; '.join(chapters) or chapter}{': ' if parts else ''}{parts}"
