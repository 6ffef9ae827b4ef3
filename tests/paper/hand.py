"""Marks in the boxes of a rendered sheet, as a seeded hand makes them with a pen or a pencil.

A mark is "empty", "stroke" (one line), "half" (one half filled) or "filled": filled, scribbled over, ticked or crossed.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from journal.paper.layout import PaperBox

Mark = Literal["empty", "stroke", "half", "filled"]
Page = NDArray[np.float32]
"""The light that a sheet reflects, 0 to 1."""

Line = list[tuple[float, float]]
_OVER = 3  # marks are drawn at three times the size, so that they have smooth edges


class Tool(NamedTuple):
    """What a hand writes with: the width of its line in millimetres, its darkness, and how even it is."""

    name: str
    width: float
    dark: float
    grain: float


TOOLS = (
    Tool("pen", 0.5, 0.88, 0.05),
    Tool("fine pen", 0.35, 0.92, 0.03),
    Tool("soft pencil", 0.6, 0.62, 0.25),
    Tool("pencil", 0.5, 0.5, 0.25),
)


def drawn_marks(boxes: list[PaperBox], draw: random.Random, filled: float = 0.55) -> list[Mark]:
    """A mark for each box."""
    kinds: tuple[Mark, ...] = ("filled", "stroke", "half", "empty")
    rest = (1 - filled) / 10
    return draw.choices(kinds, (filled * 0.8, filled * 0.12, filled * 0.08, rest * 10), k=len(boxes))


def fill(  # noqa: PLR0917
    page: Page, boxes: list[PaperBox], marks: list[Mark], dots_a_mm: float, draw: random.Random, tool: Tool
) -> None:
    """Draw the marks on the page, in place. A hand keeps mostly to one way of filling a box."""
    habit = draw.choice(("solid", "scribble", "tick", "cross"))
    for box, mark in zip(boxes, marks, strict=True):
        if mark == "empty":
            if draw.random() < 0.01:
                _touch(page, box, dots_a_mm, draw)
            continue
        way = habit if draw.random() < 0.8 else draw.choice(("solid", "scribble", "tick", "cross"))
        ink(page, box, list(_lines(mark, way, tool, draw)), dots_a_mm, draw, tool)


def _lines(mark: Mark, way: str, tool: Tool, draw: random.Random) -> Iterator[Line]:
    """The lines of a mark; a box is from 0 to 1."""
    step = tool.width / 3.2 * draw.uniform(0.75, 1.05)
    if mark == "stroke":
        yield _stroke(draw)
    elif mark == "half":
        yield _zigzag(draw.choice(("diagonal", "left", "lower")), min(step, 0.14), draw)
    elif way == "tick":
        foot = draw.uniform(0.3, 0.5), draw.uniform(0.78, 0.98)
        yield [
            (foot[0] - draw.uniform(0.18, 0.34), foot[1] - draw.uniform(0.3, 0.5)), foot,
            (foot[0] + draw.uniform(0.4, 0.65), draw.uniform(-0.15, 0.15)),
        ]  # fmt: skip
    elif way == "cross":
        near = [draw.uniform(-0.05, 0.18) for _ in range(8)]
        yield [(near[0], near[1]), (1 - near[2], 1 - near[3])]
        yield [(1 - near[4], near[5]), (near[6], 1 - near[7])]
    else:
        wide = step if way == "solid" else step * draw.uniform(1.1, 1.7)
        yield _zigzag("whole", wide, draw)
        if way == "scribble" and draw.random() < 0.5:
            yield [(y, x) for x, y in _zigzag("whole", wide * 1.3, draw)]


def _stroke(draw: random.Random) -> Line:
    """A line across the box at some angle, a little bent."""
    angle = math.radians(draw.choice((draw.gauss(0, 9), draw.gauss(0, 9), draw.gauss(-45, 9))))
    half, bend = draw.uniform(0.33, 0.62), draw.uniform(-0.04, 0.04)
    middle = 0.5 + draw.uniform(-0.12, 0.12), 0.5 + draw.uniform(-0.12, 0.12)
    along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    return [
        (middle[0] + t * half * along[0] + bend * (1 - t * t) * across[0],
         middle[1] + t * half * along[1] + bend * (1 - t * t) * across[1])
        for t in (-1, -0.5, 0, 0.5, 1)
    ]  # fmt: skip


def _zigzag(part: str, step: float, draw: random.Random) -> Line:
    """A line to and fro over a part of the box: all of it, or a half."""

    def shaky(value: float) -> float:
        return value + draw.uniform(-0.05, 0.05)

    over = draw.uniform(-0.04, 0.08)
    line: Line = []
    if part == "left":
        wide = draw.uniform(0.44, 0.54)
        count = max(3, round(wide / step))
        for nth in range(count + 1):
            x = over + nth / count * (wide - over)
            ends = [(shaky(x), shaky(over)), (shaky(x), shaky(1 - over))]
            line += ends if nth % 2 else ends[::-1]
        return line
    count = max(4, round(1 / step * (0.5 if part == "lower" else 1)))
    for nth in range(count + 1):
        t = nth / count
        if part == "lower":
            y = 1 - over - t * draw.uniform(0.44, 0.5)
            ends = [(shaky(over), shaky(y)), (shaky(1 - over), shaky(y))]
        elif part == "diagonal":  # the lower left triangle
            y = over + t * (1 - 2 * over)
            ends = [(shaky(over), shaky(y)), (shaky(max(over, y - 0.02)), shaky(y))]
        else:
            y = over + t * (1 - 2 * over)
            ends = [(shaky(over), shaky(y - 0.04)), (shaky(1 - over), shaky(y + 0.04))]
        line += ends if nth % 2 else ends[::-1]
    return line


def ink(  # noqa: PLR0917
    page: Page, box: PaperBox, lines: list[Line], dots_a_mm: float, draw: random.Random, tool: Tool
) -> None:
    """Draw lines over a box, in place; the box is from 0 to 1."""
    margin = 1.2
    left, top = round((box.x - margin) * dots_a_mm), round((box.y - margin) * dots_a_mm)
    wide, high = round((box.width + 2 * margin) * dots_a_mm), round((box.height + 2 * margin) * dots_a_mm)
    canvas = Image.new("L", (wide * _OVER, high * _OVER), 0)
    brush = ImageDraw.Draw(canvas)
    unit = dots_a_mm * _OVER
    width = max(1, round(tool.width * unit * draw.uniform(0.85, 1.15)))
    for line in lines:
        points = [((margin + x * box.width) * unit, (margin + y * box.height) * unit) for x, y in line]
        brush.line(points, fill=255, width=width, joint="curve")
        for x, y in (points[0], points[-1]):
            brush.ellipse((x - width / 2, y - width / 2, x + width / 2, y + width / 2), fill=255)
    small = canvas.resize((wide, high), Image.Resampling.BOX)
    covered = np.asarray(small, np.float32) / 255
    if tool.grain:
        grain = np.random.default_rng(draw.getrandbits(32)).normal(1, tool.grain, covered.shape).astype(np.float32)
        covered = np.clip(covered * np.clip(grain, 0, 1.3), 0, 1)
    part = page[top : top + high, left : left + wide]
    part *= 1 - covered[: part.shape[0], : part.shape[1]] * tool.dark * draw.uniform(0.9, 1.05)


def _touch(page: Page, box: PaperBox, dots_a_mm: float, draw: random.Random) -> None:
    """A speck in an empty box, as of a pen put down."""
    x, y = box.x + box.width * draw.uniform(0.2, 0.8), box.y + box.height * draw.uniform(0.2, 0.8)
    radius = draw.uniform(0.1, 0.22)
    rows, columns = np.ogrid[: page.shape[0], : page.shape[1]]
    top, left, reach = round(y * dots_a_mm), round(x * dots_a_mm), math.ceil(radius * dots_a_mm)
    window = np.s_[top - reach : top + reach + 1, left - reach : left + reach + 1]
    near = (rows[window[0]] - y * dots_a_mm) ** 2 + (columns[:, window[1]] - x * dots_a_mm) ** 2
    page[window] = np.where(near <= (radius * dots_a_mm) ** 2, page[window] * 0.35, page[window])


def smudged(page: Page, draw: random.Random) -> Page:
    """The page with the faint clouds of a used sheet."""
    cloud = np.random.default_rng(draw.getrandbits(32)).normal(0, 1, (page.shape[0] // 40, page.shape[1] // 40))
    image = Image.fromarray(np.clip(128 + 40 * cloud, 0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(1.5))
    wide = np.asarray(image.resize((page.shape[1], page.shape[0]), Image.Resampling.BICUBIC), np.float32)
    clouded: Page = page * (1 - np.float32(0.03 / 255) * wide)
    return clouded
