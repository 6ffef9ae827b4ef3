"""The shapes on a page of a PDF, read from its operators (ISO 32000-1, 8.5) without rendering."""

from __future__ import annotations

from typing import Any, NamedTuple

import pypdf
from pypdf.generic import ContentStream

MILLIMETRE = 72 / 25.4
_CURVES = {b"m": 1, b"l": 1, b"c": 3, b"v": 2, b"y": 2}
_PAINTED = {b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*"}


class Shape(NamedTuple):
    """The bounding box of one painted path, in millimetres from the upper left of the page."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def shapes(page: pypdf.PageObject) -> list[Shape]:
    """Every painted path of a page, in order, without those inside pictures."""
    found, points = list[Shape](), list[tuple[float, float]]()
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    kept = []
    high = float(page.mediabox.height)

    def add(x: Any, y: Any) -> None:
        a, b, c, d, e, f = matrix
        points.append((a * float(x) + c * float(y) + e, b * float(x) + d * float(y) + f))

    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            matrix = _product(tuple(map(float, operands)), matrix)
        elif operator == b"re":
            x, y, width, height = map(float, operands)
            add(x, y)
            add(x + width, y + height)
        elif operator in _CURVES:
            for at in range(0, len(operands), 2):
                add(operands[at], operands[at + 1])
        elif operator in _PAINTED or operator == b"n":
            if points and operator != b"n":
                xs, ys = zip(*points, strict=True)
                edges = min(xs), high - max(ys), max(xs), high - min(ys)
                found.append(Shape(*(edge / MILLIMETRE for edge in edges)))
            points.clear()
    return found


def _product(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    """The matrix that applies `one`, then `other`."""
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
