"""Colours of hour categories: the user's own, validated and readable on both themes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from journal.charts.theme import DUSK, PAGE, PAPER, contrast

Categories = Mapping[str, tuple[str, str]]
"""Maps a category's key to its name and its colour "#RRGGBB"."""

_HEX = re.compile(r"#[0-9A-Fa-f]{6}")
_LEAST = 4.5


def name(categories: Categories, key: str) -> str:
    """The name of a category, or its key if the settings do not define it.

    >>> name({"work": ("Workshop", "#88CCEE")}, "work"), name({}, "work")
    ('Workshop', 'work')
    """
    return categories.get(key, (key, ""))[0]


def beginning(categories: Categories, key: str) -> str:
    """The shortest beginning of a category's name that no other name has, of at most three letters.

    It stands where the name has no room, so that a block is told by more than its colour.

    >>> two = {"work": ("Workshop", "#88CCEE"), "walk": ("Walk", "#44AA99"), "sleep": ("Sleep", "#332288")}
    >>> [beginning(two, key) for key in two]
    ['Wo', 'Wa', 'S']
    """
    own = name(categories, key)
    others = [other.casefold() for at, (other, _) in categories.items() if at != key]
    length = next((n for n in (1, 2) if not any(o.startswith(own[:n].casefold()) for o in others)), 3)
    return own[:length].strip()


def colour(categories: Categories, key: str) -> str:
    """A category's colour if it is "#RRGGBB", else the quiet colour. Other text could be a URL to fetch."""
    text = categories.get(key, ("", ""))[1]
    return text if _HEX.fullmatch(text) else PAGE.quiet


def outline(colour: str) -> str | None:
    """An outline for colours with less than 3:1 contrast to a background of either theme, else None."""
    if not _HEX.fullmatch(colour):
        return None
    backgrounds = (PAPER.card, PAPER.paper, DUSK.card, DUSK.paper)
    return PAGE.quiet if any(contrast(colour, background) < 3 for background in backgrounds) else None


def text_on(colour: str) -> str:
    """The text colour on a category's colour: dark or white, whichever has more contrast. The same in both themes.

    Where both have less than 4.5:1 (WCAG 2.2, 1.4.3) it is black, which has it on every colour that white has not.

    >>> text_on("#88CCEE"), text_on("#332288"), text_on("#0078E1")
    ('#23263B', '#FFFFFF', '#000000')
    """
    if not _HEX.fullmatch(colour):
        return PAGE.on_quiet
    better = max((PAPER.ink, "#FFFFFF"), key=lambda text: contrast(text, colour))
    return better if contrast(better, colour) >= _LEAST else "#000000"
