"""The input of the template of the printed book: all texts ready to typeset, all drawings as SVG.

The template (templates/book.typ) only lays it out. The input is passed as JSON.
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
from journal.export import day_photos, missing_glyphs, sheet_texts, typesetting
from journal.export.document import (
    Block,
    DayPhoto,
    Document,
    Facts,
    Grid,
    Line,
    Lines,
    Photos,
    Picture,
    Reflection,
    Sentences,
    Words,
)
from journal.language.catalogue import _
from journal.wording import dates

PRINTED = msgspec.structs.replace(PAPER, paper="#FFFFFF")
"""The colours on white paper."""

_MONTH = re.compile(r"\d{4}-\d\d")
_TITLE = 150  # letters of the title on the cover; the metadata have all of it
_FEW_ROWS = 14  # with a heading about half a page of A5
_FEW_LETTERS = 800  # about 14 lines of A5
_NARROW_COLUMN, _NUMBER_COLUMN, _WIDE_COLUMN = 8, 16, 40  # letters
_MONTHS = range(1, 13)
_VIEW = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


def data(document: Document, paper: str, missing: frozenset[str]) -> dict[str, Any]:
    """The input of the template. `missing` are glyphs to replace by their code points."""
    converter = _Converter(missing)
    spreads = [
        block.figure
        for chapter in document.chapters
        for block in chapter.blocks
        if isinstance(block, Picture) and _is_spread(block)
    ]
    chapters = (
        {
            "title": converter.text(chapter.title),
            "blocks": [
                converter.block(block, in_month=bool(_MONTH.fullmatch(chapter.key)))
                for block in chapter.blocks
                if not _is_spread(block)
            ],
        }
        for chapter in document.chapters
    )
    leaves = _leaves(spreads, document.year)
    return {
        "paper": paper,
        "language": typesetting.language(),
        "texts": {"contents": _("Contents")},
        "name": converter.plain(f"{document.title} {document.year}"),
        "title": converter.hers(document.title[:_TITLE] + "…" * (len(document.title) > _TITLE)),
        "subtitle": converter.text(document.subtitle),
        "year": str(document.year),
        "colours": {name: getattr(PRINTED, name) for name in ("ink", "muted", "line", "accent", "wash")},
        "mood": PRINTED.mood,
        "leaves": leaves,
        "spreads": [converter.spread(figure) for figure in spreads],
        "chapters": [chapter for chapter in chapters if chapter["blocks"]],
        "colophon": _colophon(leaves, missing),
    }


def _is_spread(block: Block) -> bool:
    return isinstance(block, Picture) and block.spread and bool(block.figure.halves)


def _is_short(block: Block) -> bool:
    """Whether a block fits on one page with its heading."""
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
    """The width of each column in shares; 0 for the width of its content. The template breaks that of a number column.

    >>> _widths([["Habit", "Done of due", "Rate"], ["Walk by the river", "24 of 31 days, 6 at rest", "77 %"]], (2,))
    [17, 24, 0]
    """
    longest = [
        max(map(len, " ".join(column).split(" ") if nth in numeric else column))
        for nth, column in enumerate(zip(*rows, strict=True))
    ]
    return [
        0 if length <= (_NUMBER_COLUMN if nth in numeric else _NARROW_COLUMN) else min(length, _WIDE_COLUMN)
        for nth, length in enumerate(longest)
    ]


class _Converter:
    """Converts texts and drawings for the template, with code points instead of missing glyphs."""

    def __init__(self, missing: frozenset[str]) -> None:
        self.missing = missing

    def plain(self, text: str) -> str:
        """A text for metadata: the title of the file, text alternatives."""
        return missing_glyphs.plain(text, self.missing)

    def hers(self, text: str) -> str:
        """A text of the writer for typesetting, with break points in long words, since its language is not known."""
        return missing_glyphs.settable(text, self.missing)

    def text(self, text: str) -> str:
        """A text of ours for typesetting. The template sets hyphens in long words."""
        return missing_glyphs.breakable(missing_glyphs.stand_in(text, self.missing), hyphenated=True)

    def texts(self, texts: Iterable[str]) -> list[str]:
        return [self.text(text) for text in texts]

    def block(self, block: Block, *, in_month: bool) -> dict[str, Any]:
        """A block of a chapter. With `in_month` the chapter names the month, and dates omit it."""
        data: dict[str, Any] = {"kind": type(block).__name__.lower(), "short": _is_short(block)}
        match block:
            case Picture():
                return data | {"figure": self.figure(block.figure)}
            case Photos():
                data |= {"plate": block.plate, "photos": [self.photo(one, block.plate) for one in block.photos]}
            case Lines():
                data |= {"kind": block.kind, "days": list(self._days(block.lines, in_month))}
            case Reflection():
                data["answers"] = [
                    {"prompt": self.hers(answer.prompt), "text": self.hers(answer.text)} for answer in block.answers
                ]
            case Facts():
                data["facts"] = [self.texts(pair) for pair in block.facts]
            case Grid():
                header, rows = self.texts(block.header), [self.texts(row) for row in block.rows]
                data |= {"header": header, "rows": rows, "numeric": block.numeric}
                data["widths"] = _widths([header, *rows], block.numeric)
            case Sentences():
                data["sentences"] = [self.texts(pair) for pair in block.sentences]
                data["note"] = self.text(block.note)
            case Words():
                data |= {"paragraphs": self.texts(block.paragraphs), "care": block.care}
        return data | {"title": self.text(block.title)}

    def _days(self, lines: Iterable[Line], in_month: bool) -> Iterator[dict[str, Any]]:
        for date, of_day in itertools.groupby(lines, key=lambda line: line.date):
            label = sheet_texts.short_day(date) if in_month else sheet_texts.short_date(date)
            yield {"date": label, "lines": [self.hers(line.text) for line in of_day]}

    def photo(self, photo: DayPhoto, is_plate: bool) -> dict[str, Any]:
        """A picture of a day as SVG around its pixels: 300 dots an inch at the largest size it is printed at."""
        data = day_photos.jpeg(photo, day_photos.PLATE if is_plate else day_photos.PRINT)
        size = f'width="{photo.width}" height="{photo.height}"'
        picture = f'<image {size} xlink:href="{day_photos.data_url(data)}"/>' if data else ""
        spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        return {
            "svg": f'<svg {spaces} viewBox="0 0 {photo.width} {photo.height}" {size}>{picture}</svg>' if data else "",
            "alt": self.plain(photo.alt),
            "width": photo.width,
            "height": photo.height,
            "day": dates.day(photo.date),
            "caption": self.hers(photo.caption if data else _(day_photos.CANNOT_SHOW)),
        }

    def figure(self, figure: Figure) -> dict[str, Any]:
        """A figure with its narrow drawing. In the wide one, letters would be 4 points high at the width of a page."""
        drawn = self.drawing(figure.narrow, f"{figure.key}-narrow", figure.alt)
        return {"title": self.text(figure.title), "subtitle": self.text(figure.subtitle), **drawn}

    def spread(self, figure: Figure) -> dict[str, Any]:
        """A figure as two halves."""
        halves = [
            self.drawing(half.drawing, f"{figure.key}-half-{nth}", f"{half.part}. {figure.alt}")
            for nth, half in enumerate(figure.halves)
        ]
        return {"title": self.text(figure.title), "subtitle": self.text(figure.subtitle), "halves": halves}

    def drawing(self, drawing: Drawing, key: str, alt_text: str) -> dict[str, Any]:
        """A drawing as SVG, with its size in its own units and its text alternative."""
        replaced = missing_glyphs.everywhere(lambda text: missing_glyphs.stand_in(text, self.missing), drawing)
        alt = self.plain(alt_text)
        svg = figures.svg(replaced if self.missing else drawing, key=key, alt_text=alt, palette=PRINTED)
        size = _VIEW.search(svg)
        assert size is not None, "a drawing has a size"
        return {"svg": svg, "alt": alt, "width": float(size[1]), "height": float(size[2])}


def _leaves(spreads: list[Figure], year: int) -> list[list[int | None]]:
    """The leaves of the cover: for each day, by month, a step of five between the lowest and highest value of the first
    spread."""
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
    """The colophon: how the book was made, and its missing glyphs."""
    sentences = [_("Set in Libertinus Serif. Every number and drawing is made from the pages of the journal.")]
    if leaves:
        sentences.append(
            _("The cover has a line for each day, gathered by month: dark is the lowest of the year, pale the highest.")
        )
    return [*sentences, *filter(None, [missing_glyphs.warning(missing)])]
