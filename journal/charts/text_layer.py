"""Words that need not be measured, kept from Vega and put into its drawing afterwards.

    lifted(spec)          a specification without them, and the words
    lettered(svg, words)  puts them into the drawing of it, which then is what Vega draws of the whole, letter by letter

Vega measures every text, to see whether the sheet must grow for it and where to cut one that has a limit. vl-convert
opens the font's file several times for each letter of it (1.9, where the machine has Liberation Sans as a file), which
was four fifths of the time of a drawing. A text that has room even where it is as wide as it can be needs none of that.
"""

from __future__ import annotations

import math
import re
from typing import Any, NamedTuple
from xml.etree import ElementTree

from journal.charts.canvas import Drawing, text_width
from journal.frames import Row

SVG = "http://www.w3.org/2000/svg"

AT_MOST = 1.2
"""How much wider than `text_width` a text of known letters can be, bold or not; an @ comes to 1.16."""

# Those of Latin writing whose width is known. Any other letter may be wider, or be looked for in other fonts.
_KNOWN = re.compile("[ -~\u00a0À-ÅÇ-åç-ıĴ-ňŊ-őŔ-ųŶ-ž·×°–—‘’“”„…−≤≥≈€]+")
_AS_WIDE = str.maketrans("&rď", "WaW")
"""Letters that are wider than `text_width` takes them to be, and others for them that are as wide as it takes those."""

_BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}
"""How much of a text stands to the left of its place."""


class Lifted(NamedTuple):
    """A specification in which some texts are empty. `words` has one for each text that Vega will draw, in its order:
    what was taken, or None where nothing was."""

    spec: Drawing
    words: tuple[str | None, ...]


def lifted(spec: Drawing) -> Lifted:
    """Takes the words of the texts that surely have room; the specification that came in stays as it is. One that is
    not made by a Sheet is left whole.

    >>> from journal.charts.canvas import Canvas
    >>> sheet = Canvas(100)
    >>> sheet.texts([{"x": 0, "y": 9, "text": "77 %"}, {"x": 90, "y": 9, "text": "77 %"}])
    >>> lifted(sheet.drawing(20)).words
    ('77 %', None)
    """
    if not all(_is_of_a_sheet(layer) for layer in spec["layer"]):
        return Lifted(spec, ())
    words: list[str | None] = []

    def without(row: Row, mark: dict[str, Any]) -> Row:
        if row["x"] is None or row["y"] is None:
            return row  # which Vega does not draw
        word = row["text"] if _has_room(row, mark, spec["width"]) else None
        words.append(word)
        return row if word is None else {**row, "text": ""}

    def bare(layer: dict[str, Any]) -> dict[str, Any]:
        if layer["mark"]["type"] != "text":
            return layer
        return {**layer, "data": {"values": [without(row, layer["mark"]) for row in layer["data"]["values"]]}}

    return Lifted({**spec, "layer": [bare(layer) for layer in spec["layer"]]}, tuple(words))


def lettered(svg: ElementTree.Element, words: tuple[str | None, ...]) -> None:
    """Puts the words into the texts of a drawing as Vega gives it."""
    if words:
        texts = [text for group in svg.iter(f"{{{SVG}}}g") if _holds_texts(group) for text in group]
        for text, word in zip(texts, words, strict=True):
            if word is not None:
                text.text = word


def _is_of_a_sheet(layer: dict[str, Any]) -> bool:
    return isinstance(layer.get("mark"), dict) and "values" in layer.get("data", {})


def _has_room(row: Row, mark: dict[str, Any], width: float) -> bool:
    """Whether a text surely stands within the sheet and its limit. Vega takes away blanks at its ends."""
    text = row["text"]
    if not isinstance(text, str) or not _KNOWN.fullmatch(text) or text != text.strip():
        return False
    across = AT_MOST * text_width(text.translate(_AS_WIDE), mark["fontSize"])
    left = row["x"] - across * _BEFORE[mark["align"]]
    return bool(left >= 0 and left + across <= width and across <= mark.get("limit", math.inf))


def _holds_texts(group: ElementTree.Element) -> bool:
    """Whether these are the texts of a layer, and not a title."""
    return {"mark-text", "role-mark"} <= set(group.get("class", "").split())
