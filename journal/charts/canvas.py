"""A canvas of layers placed in pixels, so that a mark, its number and its row name stay in line.

Every chart is one layered Vega-Lite specification. Its x and y are pixels from the top left. Colours are those of
`theme.PAGE`; `figure` replaces them by literal ones when a drawing is exported. A mark's `label` becomes its hover
text. This module does not depend on the subject of a chart.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from journal.charts.theme import PAGE
from journal.frames import Row

# Four families with the same advance widths, so that text measured here fits on any machine. vl-convert bundles the
# first. It silently drops text in a font it does not have.
FONT = "Liberation Sans, Arimo, Helvetica, Arial, sans-serif"

WIDE = 980
NARROW = 340
SMALL, TEXT, LABEL = 11.5, 12.5, 13.5

# Characters that XML 1.0 does not allow. A TOML string can contain them by an escape. U+FFFD replaces them.
_UNWRITABLE = re.compile("[^\t\n\r -\ud7ff\ue000-�\U00010000-\U0010ffff]")

_NARROW_LETTERS = frozenset("ijltfrI.,:;'|!()[]/ -")
_WIDE_LETTERS = frozenset("mwMW@%—…")

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"  # an identifier, never fetched

Drawing = dict[str, Any]
"""A Vega-Lite specification. altair's objects validate and wrap every data value, which took seconds for a month of
forty habits. `figure.Figure.chart` builds them for callers who want altair."""


def writable(text: str) -> str:
    """The text with U+FFFD in place of every character that XML 1.0 does not allow.

    >>> writable("a" + chr(7) + "b")
    'a�b'
    """
    return _UNWRITABLE.sub("\ufffd", text)


def text_width(text: str, size: float) -> float:
    """Approximate width of a text in pixels. Within 10 % for running Latin text in Helvetica's widths.

    >>> 70 < text_width("Walk by the river", 10) < 85
    True
    """

    def share(letter: str) -> float:
        if letter in _NARROW_LETTERS:
            return 0.3
        if letter in _WIDE_LETTERS:
            return 0.88
        if ord(letter) > 0x2E80:  # CJK letters and emoji are as wide as they are high
            return 1.0
        return 0.7 if letter.isupper() else 0.55

    return size * sum(map(share, text))


class Canvas:
    """Layers of one drawing, in drawing order: a later layer covers an earlier one. Empty layers are dropped.

    Rows with the same name and style are appended to the existing layer, so a chart of many panels has few layers.
    Rows added later under such a name are therefore drawn beneath layers added in between.
    The width is fixed at the start. The height is passed to `drawing` at the end.
    """

    def __init__(self, width: float) -> None:
        self.width = width
        self._layers: list[dict[str, Any]] = []

    def rects(
        self,
        rows: Iterable[Row],
        *,
        fill: str = "transparent",
        stroke: str | None = None,
        stroke_width: float = 1.2,
        dash: tuple[float, float] | None = None,
        radius: float = 0,
        name: str = "",
    ) -> None:
        """Boxes: rows of x, y, x2, y2 and an optional label."""
        mark: dict[str, Any] = {"fill": fill, "cornerRadius": radius}
        if stroke:
            mark |= {"stroke": stroke, "strokeWidth": stroke_width}
        if dash:
            mark["strokeDash"] = list(dash)
        self._add(rows, "rect", mark, ("x2", "y2"), name)

    def rules(
        self,
        rows: Iterable[Row],
        *,
        stroke: str,
        stroke_width: float = 1,
        dash: tuple[float, float] | None = None,
        name: str = "",
    ) -> None:
        """Straight lines: rows of x, y, x2, y2 and an optional label."""
        mark: dict[str, Any] = {"stroke": stroke, "strokeWidth": stroke_width, "strokeCap": "round"}
        if dash:
            mark["strokeDash"] = list(dash)
        self._add(rows, "rule", mark, ("x2", "y2"), name)

    def dots(
        self,
        rows: Iterable[Row],
        *,
        radius: float,
        fill: str = "transparent",
        stroke: str | None = None,
        name: str = "",
    ) -> None:
        """Discs: rows of x, y (the centre) and an optional label."""
        mark: dict[str, Any] = {"shape": "circle", "size": 3.1416 * radius * radius, "fill": fill, "opacity": 1}
        mark |= {"stroke": stroke, "strokeWidth": 1.5} if stroke else {"stroke": fill, "strokeWidth": 0}
        self._add(rows, "point", mark, (), name)

    def lines(
        self, rows: Iterable[Row], *, stroke: str, stroke_width: float, opacity: float = 1, name: str = ""
    ) -> None:
        """Polylines: rows of x, y and run. Only points of the same run are joined, so gaps stay visible."""
        mark = {
            "stroke": stroke,
            "strokeWidth": stroke_width,
            "strokeJoin": "round",
            "strokeCap": "round",
            "opacity": opacity,
        }
        self._add(rows, "line", mark, ("run",), name)

    def texts(
        self,
        rows: Iterable[Row],
        *,
        size: float = TEXT,
        colour: str = PAGE.ink,
        align: str = "left",
        bold: bool = False,
        limit: float = 0,
        name: str = "",
    ) -> None:
        """Texts centred vertically at x, y. Texts wider than `limit` pixels end in an ellipsis; 0 means no limit."""
        mark: dict[str, Any] = {
            "fontSize": size,
            "fill": colour,
            "align": align,
            "baseline": "middle",
            "fontWeight": "bold" if bold else "normal",
        }
        if limit:
            mark["limit"] = limit
        self._add(rows, "text", mark, ("text",), name)

    def drawing(self, height: float) -> Drawing:
        """All layers as one Vega-Lite specification."""
        if not self._layers:
            self.rects([{"x": 0, "y": 0, "x2": self.width, "y2": height}], name="nothing")
        scales = {"x": {"domain": [0, self.width]}, "y": {"domain": [height, 0]}}
        layers = []
        for spec in self._layers:
            encoding = spec["encoding"] | {axis: spec["encoding"][axis] | {"scale": scales[axis]} for axis in scales}
            layers.append({k: v for k, v in spec.items() if k != "called"} | {"encoding": encoding})
        return {
            "$schema": SCHEMA,
            "width": self.width,
            "height": height,
            "layer": layers,
            "config": {
                "background": "transparent",
                "padding": 0,
                "font": FONT,
                "view": {"stroke": None, "fill": None},
            },
        }

    def _add(self, rows: Iterable[Row], kind: str, mark: dict[str, Any], more: tuple[str, ...], name: str) -> None:
        records = [{k: writable(v) if isinstance(v, str) else v for k, v in row.items()} for row in rows]
        if not records:
            return
        labelled = any("label" in record for record in records)
        encoding: dict[str, Any] = {
            "x": {"field": "x", "type": "quantitative", "axis": None},
            "y": {"field": "y", "type": "quantitative", "axis": None},
        }
        encoding |= {c: {"field": c} for c in more if c in {"x2", "y2"}}
        if "text" in more:
            encoding["text"] = {"field": "text", "type": "nominal"}
        if "run" in more:
            encoding["detail"] = {"field": "run", "type": "nominal"}
        if labelled:
            encoding["description"] = {"field": "label", "type": "nominal"}
        spec: dict[str, Any] = {
            "data": {"values": records},
            "mark": {"type": kind, "aria": labelled, **mark},
            "encoding": encoding,
        }
        for layer in self._layers:
            if (layer["mark"], layer["encoding"], layer["called"]) == (spec["mark"], encoding, name):
                layer["data"]["values"] += records
                return
        spec["called"] = name
        if name:
            again = sum(layer["called"] == name for layer in self._layers)
            spec["name"] = f"{name} #{again + 1}" if again else name  # layer names must be unique
        self._layers.append(spec)
