"""The texts of a figure, and where they stand: whether one is cut off, or over another."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import NamedTuple

import polars as pl

from journal.charts.canvas import Drawing, text_width
from journal.charts.figure import Figure

CODES = ("arm", "layer", "period", "state", "unit")
"""Columns of tables whose values are codes."""


class TextBox(NamedTuple):
    """A text of a drawing at its place, in pixels."""

    text: str
    layer: str
    left: float
    right: float
    y: float
    size: float
    is_shortened: bool


def texts(figure: Figure) -> Iterator[str]:
    """All that a figure says: around it, on it, in its hover texts, and in its table."""
    yield from (figure.title, figure.subtitle, figure.alt, *(half.part for half in figure.halves))
    for drawing in (figure.wide, figure.narrow):
        for layer in drawing["layer"]:
            for values in layer["data"]["values"]:
                yield from (values[name] for name in ("text", "label") if values.get(name))
    for column in figure.table.get_columns():
        if column.dtype == pl.String and column.name not in CODES:
            yield from column.drop_nulls().to_list()


ROUNDING = 0.01
"""Pixels. From Python 3.12 on, a sum is rounded once: a text is as long as its place then, or longer by a rounding."""


def boxes(drawing: Drawing) -> list[TextBox]:
    """The texts of a drawing. Their widths are those that the charts reckon with."""
    found = []
    for layer in drawing["layer"]:
        mark = layer["mark"]
        if mark["type"] != "text":
            continue
        for values in layer["data"]["values"]:
            size = mark["fontSize"]
            width = text_width(values["text"], size) * (1.05 if mark["fontWeight"] == "bold" else 1)
            whole, width = width, min(width, mark.get("limit", width))
            left = values["x"] - width * {"left": 0.0, "center": 0.5, "right": 1.0}[mark["align"]]
            found.append(
                TextBox(
                    values["text"],
                    layer.get("name", ""),
                    left,
                    left + width,
                    values["y"],
                    size,
                    whole - width > ROUNDING,
                )
            )
    return found


def outside(drawing: Drawing, tolerance: float = 3) -> list[str]:
    """The texts that reach over the edge of a drawing by more than some pixels."""
    return [
        f"{box.layer}: {box.text}"
        for box in boxes(drawing)
        if box.left < -tolerance or box.right > drawing["width"] + tolerance
    ]


def overlapping(drawing: Drawing, tolerance: float = 1) -> list[str]:
    """The pairs of texts that stand over each other by more than some pixels."""
    return [
        f"{one.layer}: {one.text} / {other.layer}: {other.text}"
        for one, other in itertools.combinations(boxes(drawing), 2)
        if abs(one.y - other.y) < 0.75 * max(one.size, other.size)
        and min(one.right, other.right) - max(one.left, other.left) > tolerance
    ]


def shortened(drawing: Drawing) -> list[str]:
    """The texts that end in an ellipsis, but for those with a word of hers: a name may be long."""
    return [
        f"{box.layer}: {box.text}" for box in boxes(drawing) if box.is_shortened and not re.search("[Α-ω]", box.text)
    ]
