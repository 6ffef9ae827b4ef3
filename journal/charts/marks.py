"""The marks of a habit, distinguished by shape.

Done is filled, partial part-filled, missed hollow, rest a dash, blank a dot, still to come a dashed outline, done but
not due a small filled square, caught up later the same in an outline. A day that is not due has no mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from journal.charts.canvas import SMALL, Canvas, text_width
from journal.charts.theme import PAGE
from journal.language.catalogue import N_, _
from journal.wording import habits

SHAPES = ("done", "partial", "missed", "rest", "blank", "pending", "extra", "caught up")


class MarkCell(msgspec.Struct, frozen=True, kw_only=True):
    """One mark: its shape, its centre in pixels, its hover text, and the filled share of a partial mark."""

    shape: str
    x: float
    y: float
    label: str = ""
    share: float = 0.5


def cell(row: Mapping[str, Any], x: float, y: float, label: str) -> MarkCell | None:
    """The mark for a row of states, or None for a day that is not due and has no entry."""
    if row["state"] == "not due":
        return MarkCell(shape="extra", x=x, y=y, label=label) if habits.is_extra(row) else None
    value, target = row.get("value"), row.get("target")
    # Clipped so that a nearly empty or nearly full mark is still visibly part-filled.
    share = min(0.75, max(0.2, value / target)) if value is not None and target else 0.5
    return MarkCell(shape=str(row["state"]), x=x, y=y, label=label, share=share)


def draw_marks(
    sheet: Canvas, cells: Sequence[MarkCell], *, width: float, height: float, pitch: tuple[float, float] | None = None
) -> None:
    """Draw the marks, each `width` by `height` pixels. With `pitch`, a mark's whole cell shows its label on hover."""
    radius = 1.5 if min(width, height) >= 8 else 0.5
    line = 1.4 if min(width, height) >= 10 else 1.1

    def cells_of(shape: str) -> list[MarkCell]:
        return [c for c in cells if c.shape == shape]

    def boxes(marks: Iterable[MarkCell], w: float, h: float) -> list[dict[str, float]]:
        return [{"x": c.x - w / 2, "y": c.y - h / 2, "x2": c.x + w / 2, "y2": c.y + h / 2} for c in marks]

    inner_width, inner_height = width - line, height - line  # half of an outline lies outside of its box
    sheet.rects(boxes(cells_of("done"), width, height), fill=PAGE.accent, radius=radius, name="done")
    fills = [
        {
            "x": c.x - inner_width / 2,
            "y": c.y + inner_height / 2 - c.share * inner_height,
            "x2": c.x + inner_width / 2,
            "y2": c.y + inner_height / 2,
        }
        for c in cells_of("partial")
    ]
    sheet.rects(fills, fill=PAGE.accent, name="filling")
    sheet.rects(
        boxes(cells_of("partial"), inner_width, inner_height),
        stroke=PAGE.accent, stroke_width=line, radius=radius, name="partial",
    )  # fmt: skip
    sheet.rects(
        boxes(cells_of("missed"), inner_width, inner_height),
        stroke=PAGE.quiet, stroke_width=line, radius=radius, name="missed",
    )  # fmt: skip
    sheet.rects(
        boxes(cells_of("pending"), width * 0.75, height * 0.75),
        stroke=PAGE.quiet, stroke_width=line, dash=(2, 2), name="pending",
    )  # fmt: skip
    sheet.rects(boxes(cells_of("rest"), width * 0.9, 2.2), fill=PAGE.accent, name="rest")
    small = min(width, height) * 0.5
    dot = min(1.8, small * 0.35)  # smaller than the square of "extra" where marks are small
    sheet.dots([{"x": c.x, "y": c.y} for c in cells_of("blank")], radius=dot, fill=PAGE.blank, name="blank")
    sheet.rects(boxes(cells_of("extra"), small, small), fill=PAGE.accent, radius=radius / 2, name="extra")
    caught_up = cells_of("caught up")
    sheet.rects(
        boxes(caught_up, inner_width, inner_height),
        stroke=PAGE.accent, stroke_width=line, radius=radius, name="caught up",
    )  # fmt: skip
    sheet.rects(boxes(caught_up, width * 0.45, height * 0.45), fill=PAGE.accent, name="caught up inside")
    if pitch:
        places = boxes(cells, *pitch)
        sheet.rects([{**box, "label": c.label} for box, c in zip(places, cells, strict=True) if c.label], name="hover")


_KEY_WORDS = (
    ("done", N_("done")),
    ("partial", N_("part of it")),
    ("missed", N_("not done")),
    ("rest", N_("rest")),
    ("blank", N_("not recorded")),
    ("pending", N_("to come")),
    ("extra", N_("done, not due")),
    ("caught up", N_("caught up later")),
)


def draw_key(sheet: Canvas, shapes: Iterable[str], *, x: float, y: float, size: float = 11) -> float:
    """Draw the key of the shapes used, wrapped at the canvas width. Returns the y below it."""
    used, left, words, cells = set(shapes), x, [], []
    for shape, text in _KEY_WORDS:
        if shape not in used:
            continue
        word = _(text)
        needed = size + 6 + text_width(word, SMALL)
        if left > x and left + needed > sheet.width:
            left, y = x, y + 19
        cells.append(MarkCell(shape=shape, x=left + size / 2, y=y))
        words.append({"x": left + size + 6, "y": y, "text": word})
        left += needed + 18
    draw_marks(sheet, cells, width=size, height=size)
    sheet.texts(words, size=SMALL, colour=PAGE.muted, name="key")
    return y + 10 if words else y
