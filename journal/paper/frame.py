"""The frame of a sheet: four corner codes with dots between them, like the stations of a sewn spine.

All lengths are millimetres from the upper left of a sheet of A5 (ISO 216). The codes say which sheet it is and give its
perspective. The dots give the curl of the paper: their places are known, and the reader finds where they went.
"""

from __future__ import annotations

from typing import NamedTuple

WIDTH, HEIGHT = 148.0, 210.0
LEFT, TOP, RIGHT, BOTTOM = 16.0, 9.0, 140.0, 201.0
"""The outer edges of the codes. The left side stays free for holes or glue, the others for the margin of printers."""

MODULE = 0.6
"""Side of a module. In a photograph of 1.5 megapixels that the sheet fills, this is 3 pixels."""

MODULES = 12
CODE = MODULES * MODULE

DOT = 1.2
"""Diameter of a dot. It is larger than the full stops of the texts, so that none is taken for it."""

_INSET = DOT / 2
_GAP = 5.0  # from a code to the first dot; the quiet zone of a code is one module (ISO/IEC 16022)


class Point(NamedTuple):
    """A place on a sheet, in millimetres."""

    x: float
    y: float


def codes() -> tuple[Point, ...]:
    """The upper left points of the codes: upper left, upper right, lower right, lower left."""
    right, bottom = RIGHT - CODE, BOTTOM - CODE
    return Point(LEFT, TOP), Point(right, TOP), Point(right, bottom), Point(LEFT, bottom)


def dots() -> dict[str, tuple[Point, ...]]:
    """The centres of the dots of each edge, from left to right and from top to bottom.

    >>> {edge: len(points) for edge, points in dots().items()}
    {'top': 8, 'bottom': 8, 'left': 12, 'right': 12}
    """
    across = _spread(LEFT + CODE + _GAP, RIGHT - CODE - _GAP, 8)
    down = _spread(TOP + CODE + _GAP, BOTTOM - CODE - _GAP, 12)
    return {
        "top": tuple(Point(x, TOP + _INSET) for x in across),
        "bottom": tuple(Point(x, BOTTOM - _INSET) for x in across),
        "left": tuple(Point(LEFT + _INSET, y) for y in down),
        "right": tuple(Point(RIGHT - _INSET, y) for y in down),
    }


def _spread(first: float, last: float, count: int) -> list[float]:
    return [round(first + (last - first) * nth / (count - 1), 2) for nth in range(count)]
