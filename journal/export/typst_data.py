"""What the template of the printed book is given: every word as it will stand, every drawing as SVG.

The template (templates/book.typ) places it and decides nothing of what is said. All of this goes out as JSON.
"""

from __future__ import annotations

import calendar
import datetime as dt
import itertools
import re
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec
import polars as pl

from journal.charts import figure as figures
from journal.charts.canvas import Drawing
from journal.charts.figure import Figure
from journal.charts.theme import PAPER, step
from journal.export import missing_glyphs
from journal.export.document import Block, Document, Facts, Grid, Line, Lines, Picture, Reflection, Sentences, Words
from journal.wording import dates

PRINTED = msgspec.structs.replace(PAPER, paper="#FFFFFF")
"""The colours on white paper."""

_MONTH = re.compile(r"\d{4}-\d\d")
_TITLE = 150  # letters of the title that a cover has room for; the file's own title is whole
_FEW_ROWS = 14  # with its heading about half of a page of A5
_FEW_LETTERS = 800  # about 14 lines there
_NARROW_COLUMN, _NUMBER_COLUMN, _WIDE_COLUMN = 8, 16, 40  # letters
_MONTHS = range(1, 13)
_VIEW = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


def data(document: Document, paper: str, missing: frozenset[str]) -> dict[str, Any]:
    """Everything the template asks for. `missing` are letters to be replaced by their code."""
    setting = _Setting(missing)
    spreads = [
        block.figure
        for chapter in document.chapters
        for block in chapter.blocks
        if isinstance(block, Picture) and _is_spread(block)
    ]
    chapters = (
        {
            "title": setting.text(chapter.title),
            "blocks": [
                setting.block(block, in_month=bool(_MONTH.fullmatch(chapter.key)))
                for block in chapter.blocks
                if not _is_spread(block)
            ],
        }
        for chapter in document.chapters
    )
    leaves = _leaves(spreads, document.year)
    return {
        "paper": paper,
        "name": setting.plain(f"{document.title} {document.year}"),
        "title": setting.text(document.title[:_TITLE] + "…" * (len(document.title) > _TITLE)),
        "subtitle": setting.text(document.subtitle),
        "year": str(document.year),
        "colours": {name: getattr(PRINTED, name) for name in ("ink", "muted", "line", "accent", "wash")},
        "mood": PRINTED.mood,
        "leaves": leaves,
        "spreads": [setting.spread(figure) for figure in spreads],
        "chapters": [chapter for chapter in chapters if chapter["blocks"]],
        "colophon": _colophon(leaves, missing),
    }


def _is_spread(block: Block) -> bool:
    return isinstance(block, Picture) and block.spread and bool(block.figure.halves)


def _is_short(block: Block) -> bool:
    """Whether a block stays on one page, with its heading."""
    match block:
        case Facts():
            return len(block.facts) <= _FEW_ROWS and _letters(itertools.chain(*block.facts)) <= _FEW_LETTERS
        case Grid():
            return len(block.rows) <= _FEW_ROWS and _letters(itertools.chain(*block.rows)) <= 2 * _FEW_LETTERS
        case Words():
            return _letters(block.paragraphs) <= _FEW_LETTERS
    return False


def _letters(texts: Iterable[str]) -> int:
    return sum(map(len, texts))


def _widths(rows: list[list[str]], numeric: tuple[int, ...]) -> list[int]:
    """The columns' shares of the width; 0 for one that is as wide as what it holds.

    >>> _widths([["Habit", "Done of due", "Rate"], ["Walk by the river", "24 of 31 days, 6 at rest", "77 %"]], (2,))
    [17, 24, 0]
    """
    longest = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        0 if length <= (_NUMBER_COLUMN if nth in numeric else _NARROW_COLUMN) else min(length, _WIDE_COLUMN)
        for nth, length in enumerate(longest)
    ]


class _Setting:
    """Words and drawings as they will stand, with the code of each missing letter in its place."""

    def __init__(self, missing: frozenset[str]) -> None:
        self.missing = missing

    def plain(self, text: str) -> str:
        """As it will be read, where it is not set: titles of the file, text alternatives."""
        return missing_glyphs.plain(text, self.missing)

    def text(self, text: str) -> str:
        """As it will be set, with places to break in long words."""
        return missing_glyphs.settable(text, self.missing)

    def texts(self, some: Iterable[str]) -> list[str]:
        return [self.text(one) for one in some]

    def block(self, block: Block, *, in_month: bool) -> dict[str, Any]:
        """A block of a chapter; `in_month` where the chapter names the month, so that a date need not."""
        told: dict[str, Any] = {"kind": type(block).__name__.lower(), "short": _is_short(block)}
        match block:
            case Picture():
                return told | {"figure": self.figure(block.figure)}
            case Lines():
                told |= {"kind": block.kind, "days": list(self._days(block.lines, in_month))}
            case Reflection():
                told["answers"] = [
                    {"prompt": self.text(one.prompt), "text": self.text(one.text)} for one in block.answers
                ]
            case Facts():
                told["facts"] = [self.texts(pair) for pair in block.facts]
            case Grid():
                header, rows = self.texts(block.header), [self.texts(row) for row in block.rows]
                told |= {"header": header, "rows": rows, "numeric": block.numeric}
                told["widths"] = _widths([header, *rows], block.numeric)
            case Sentences():
                told["sentences"] = [self.texts(pair) for pair in block.sentences]
                told["note"] = self.text(block.note)
            case Words():
                told |= {"paragraphs": self.texts(block.paragraphs), "care": block.care}
        return told | {"title": self.text(block.title)}

    def _days(self, lines: Iterable[Line], in_month: bool) -> Iterator[dict[str, Any]]:
        for date, of_day in itertools.groupby(lines, key=lambda line: line.date):
            name = dates.WEEKDAY_NAMES[date.weekday()] if in_month else dates.MONTH_NAMES[date.month - 1]
            said = f"{name[:3]} {date.day}" if in_month else f"{date.day} {name[:3]}"
            yield {"date": said, "lines": [self.text(line.text) for line in of_day]}

    def figure(self, figure: Figure) -> dict[str, Any]:
        """A figure by its narrow drawing: at the width of a page the wide one's letters would be 4 points high."""
        drawn = self.drawing(figure.narrow, f"{figure.key}-narrow", figure.alt)
        return {"title": self.text(figure.title), "subtitle": self.text(figure.subtitle), **drawn}

    def spread(self, figure: Figure) -> dict[str, Any]:
        """A figure by its two halves."""
        halves = [
            self.drawing(half.drawing, f"{figure.key}-half-{nth}", f"{half.part}. {figure.alt}")
            for nth, half in enumerate(figure.halves)
        ]
        return {"title": self.text(figure.title), "subtitle": self.text(figure.subtitle), "halves": halves}

    def drawing(self, drawing: Drawing, key: str, alt_text: str) -> dict[str, Any]:
        """An SVG with its size in its own units, and its text alternative."""
        replaced = missing_glyphs.everywhere(lambda text: missing_glyphs.stand_in(text, self.missing), drawing)
        alt = self.plain(alt_text)
        made = figures.svg(replaced if self.missing else drawing, key=key, alt_text=alt, palette=PRINTED)
        size = _VIEW.search(made)
        assert size is not None, "a drawing has a size"
        return {"svg": made, "alt": alt, "width": float(size[1]), "height": float(size[2])}


def _leaves(spreads: list[Figure], year: int) -> list[list[int | None]]:
    """A step of five for each day of the year, by month, from the lowest value of the first spread to its highest."""
    table = spreads[0].table if spreads else pl.DataFrame()
    if "value" not in table.columns or not table["value"].dtype.is_numeric():
        return []
    values = dict(table.select("date", "value").drop_nulls().iter_rows())
    if not values:
        return []
    low, high = min(values.values()), max(values.values())
    months = [
        [dt.date(year, month, 1 + day) for day in range(calendar.monthrange(year, month)[1])] for month in _MONTHS
    ]
    return [[step(values[day], low, high) if day in values else None for day in month] for month in months]


def _colophon(leaves: list[list[int | None]], missing: frozenset[str]) -> list[str]:
    """How the book was made, and which letters it could not show."""
    said = ["Set in Libertinus Serif. Every number and drawing is made from the pages of the journal."]
    if leaves:
        said.append(
            "The cover has a line for each day, gathered by month: dark is the lowest of the year, pale the highest."
        )
    return [*said, *filter(None, [missing_glyphs.warning(missing)])]
