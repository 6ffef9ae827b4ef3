"""Documents of a few blocks, and functions to inspect their PDF."""

from __future__ import annotations

import datetime as dt

import numpy as np
import polars as pl
from numpy.typing import NDArray

from journal.charts.canvas import Canvas
from journal.charts.figure import Figure
from journal.export.document import Block, Chapter, Document, Line, Lines
from tests.export.printed import leaves


def of(*blocks: Block, title: str = "Spine and thread", chapter: str = "March 2025") -> Document:
    chapters = (Chapter(key="2025-03", title=chapter, blocks=blocks),)
    return Document(title=title, subtitle="2025", year=2025, chapters=chapters)


def memories(*said: str) -> Lines:
    lines = tuple(Line(date=dt.date(2025, 3, 1 + nth % 28), text=text) for nth, text in enumerate(said))
    return Lines(title="To remember", kind="memory", lines=lines)


def picture(word: str) -> Figure:
    sheet = Canvas(340)
    sheet.texts([{"x": 10, "y": 20, "text": word}])
    drawn = sheet.drawing(40)
    return Figure(
        key="word", title=word, subtitle="", alt=f"The word {word}.", wide=drawn, narrow=drawn, table=pl.DataFrame()
    )


def texts(data: bytes) -> list[str]:
    """The text of each page, without break points."""
    return [leaf.text for leaf in leaves(data)]


def together(text: str) -> str:
    """Only the letters, since line breaks depend on the layout."""
    return "".join(text.split())


def outside(page: NDArray[np.uint8], ppi: int) -> int:
    """The darkest pixel in the outer 7 mm of a page."""
    edge = round(7 / 25.4 * ppi)
    framed = page.copy()
    framed[edge:-edge, edge:-edge] = 0
    return int(framed.max())
