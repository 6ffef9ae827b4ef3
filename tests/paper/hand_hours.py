"""Lines through the half hours of a day's sheet, as a seeded hand draws them."""

from __future__ import annotations

import random
from itertools import groupby

from journal.paper.layout import PaperBox
from tests.paper import hand
from tests.paper.hand import Mark, Page, Tool


def fill(page: Page, boxes: list[PaperBox], dots_a_mm: float, draw: random.Random, tool: Tool) -> list[Mark]:
    """Draw stretches in each row, in place. Returns the mark of each box: "filled" if a line goes through it."""
    marks = list[Mark]()
    scribbles = draw.random() < 0.25
    for _, some in groupby(boxes, key=lambda box: box.y):
        row = list(some)
        chosen = [False] * len(row)
        for _ in range(draw.choice((0, 1, 1, 2, 3))):
            start = draw.randrange(len(row))
            stop = min(len(row), start + draw.choice((1, 2, 3, 5, 8, 14)))
            # A stretch right after another one is the same line.
            chosen[start:stop] = [True] * (stop - start)
        nth = 0
        while nth < len(row):
            stop = nth
            while stop < len(row) and chosen[stop]:
                stop += 1
            if stop > nth:
                _stretch(page, row[nth:stop], dots_a_mm, draw, tool, scribbles)
            nth = stop + 1
        marks += ["filled" if one else "empty" for one in chosen]
    return marks


def _stretch(  # noqa: PLR0917
    page: Page, row: list[PaperBox], dots_a_mm: float, draw: random.Random, tool: Tool, scribbles: bool
) -> None:
    """A line through boxes, or each of them scribbled over. The ends are off by some tenths of a millimetre."""
    if scribbles:
        for box in row:
            line = [(draw.uniform(0, 0.3), draw.uniform(0, 0.2)), (1 - draw.uniform(0, 0.2), 0.35),
                    (draw.uniform(0, 0.3), 0.6), (1 - draw.uniform(0, 0.2), draw.uniform(0.8, 1))]  # fmt: skip
            hand.ink(page, box, [line], dots_a_mm, draw, tool)
        return
    left, right = row[0], row[-1]
    start = left.x + draw.uniform(-0.2, 0.6)
    end = right.x + right.width - draw.uniform(-0.2, 0.6)
    whole = PaperBox(field="line", date=left.date, value=True, x=start, y=left.y, width=end - start, height=left.height)
    height = draw.uniform(0.35, 0.65)
    line = [(t / 6, min(0.8, max(0.2, height + draw.gauss(0, 0.05)))) for t in range(7)]
    hand.ink(page, whole, [line], dots_a_mm, draw, tool)
