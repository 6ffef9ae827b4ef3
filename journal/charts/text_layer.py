"""Texts that need no measuring: removed before Vega renders a drawing, and put back into its SVG.

    lifted(spec)          a specification without these texts, and the texts
    lettered(svg, words)  puts the texts into the SVG, which then is byte for byte Vega's SVG of the whole

Vega measures every text to decide whether the drawing must grow and where to cut a text with a limit. vl-convert 1.9
opens the font file several times per letter if Liberation Sans is installed as a file, which took four fifths of the
rendering time. A text that fits even at its greatest possible width needs no measuring.
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
"""Upper bound of real width over `text_width` for known letters, bold or not. The largest is @ with 1.16."""

# Latin letters of known width. Any other letter may be wider, or come from a fallback font.
_KNOWN = re.compile("[ -~\u00a0À-ÅÇ-åç-ıĴ-ňŊ-őŔ-ųŶ-ž·×°–—‘’“”„…−≤≥≈€]+")
_AS_WIDE = str.maketrans("&rď", "WaW")
"""Replaces letters that `text_width` underestimates by letters for which its estimate is wide enough."""

_BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}
"""Share of a text's width that lies left of its x."""


class Lifted(NamedTuple):
    """A specification with some texts emptied. `words` has one item per text that Vega renders, in its order:
    the removed text, or None if the text was kept."""

    spec: Drawing
    words: tuple[str | None, ...]


def lifted(spec: Drawing) -> Lifted:
    """Remove the texts that certainly fit. `spec` is not changed. A specification that no Canvas made stays whole.

    >>> from journal.charts.canvas import Canvas
    >>> sheet = Canvas(100)
    >>> sheet.texts([{"x": 0, "y": 9, "text": "77 %"}, {"x": 90, "y": 9, "text": "77 %"}])
    >>> lifted(sheet.drawing(20)).words
    ('77 %', None)
    """
    if not all(_is_canvas_layer(layer) for layer in spec["layer"]):
        return Lifted(spec, ())
    words: list[str | None] = []

    def emptied(row: Row, mark: dict[str, Any]) -> Row:
        if row["x"] is None or row["y"] is None:
            return row  # Vega renders no text emptied a place
        word = row["text"] if _has_room(row, mark, spec["width"]) else None
        words.append(word)
        return row if word is None else {**row, "text": ""}

    def bare(layer: dict[str, Any]) -> dict[str, Any]:
        if layer["mark"]["type"] != "text":
            return layer
        return {**layer, "data": {"values": [emptied(row, layer["mark"]) for row in layer["data"]["values"]]}}

    return Lifted({**spec, "layer": [bare(layer) for layer in spec["layer"]]}, tuple(words))


def lettered(svg: ElementTree.Element, words: tuple[str | None, ...]) -> None:
    """Put the words into the text elements of Vega's SVG."""
    if words:
        texts = [text for group in svg.iter(f"{{{SVG}}}g") if _holds_texts(group) for text in group]
        for text, word in zip(texts, words, strict=True):
            if word is not None:
                text.text = word


def _is_canvas_layer(layer: dict[str, Any]) -> bool:
    return isinstance(layer.get("mark"), dict) and "values" in layer.get("data", {})


def _has_room(row: Row, mark: dict[str, Any], width: float) -> bool:
    """Whether a text certainly fits the drawing and its limit. False with blanks at its ends, which Vega strips."""
    text = row["text"]
    if not isinstance(text, str) or not _KNOWN.fullmatch(text) or text != text.strip():
        return False
    widest = AT_MOST * text_width(text.translate(_AS_WIDE), mark["fontSize"])
    left = row["x"] - widest * _BEFORE[mark["align"]]
    return bool(left >= 0 and left + widest <= width and widest <= mark.get("limit", math.inf))


def _holds_texts(group: ElementTree.Element) -> bool:
    """Whether a group holds the texts of a layer, not a title."""
    return {"mark-text", "role-mark"} <= set(group.get("class", "").split())
