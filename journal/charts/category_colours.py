"""The colours of hour categories: the user's own, safe to draw, and seen on either theme's ground."""

from __future__ import annotations

import re
from collections.abc import Mapping

from journal.charts.theme import DUSK, PAGE, PAPER, contrast

Categories = Mapping[str, tuple[str, str]]
"""A category's key to its name and its colour "#RRGGBB"."""

_HEX = re.compile(r"#[0-9A-Fa-f]{6}")


def name(categories: Categories, key: str) -> str:
    """What a category is called; one that the settings do not have goes by its key.

    >>> name({"work": ("Workshop", "#88CCEE")}, "work"), name({}, "work")
    ('Workshop', 'work')
    """
    return categories.get(key, (key, ""))[0]


def colour(categories: Categories, key: str) -> str:
    """A category's colour if it is one. Anything else could be an address for the browser to fetch."""
    found = categories.get(key, ("", ""))[1]
    return found if _HEX.fullmatch(found) else PAGE.quiet


def outline(colour: str) -> str | None:
    """The outline for a block that would be lost on either theme's ground."""
    if not _HEX.fullmatch(colour):
        return None
    grounds = (PAPER.card, PAPER.paper, DUSK.card, DUSK.paper)
    return PAGE.quiet if any(contrast(colour, ground) < 3 for ground in grounds) else None


def text_on(colour: str) -> str:
    """Text on a category's own colour, which is the same in both themes: the darker or the lighter of two."""
    if not _HEX.fullmatch(colour):
        return PAGE.card
    return max((PAPER.ink, "#FFFFFF"), key=lambda text: contrast(text, colour))
