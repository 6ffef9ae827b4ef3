"""Search results, and lines of the same days in earlier years. Frames in, `Html` out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import marimo as mo
import polars as pl

from journal.measures import line_search
from journal.periods import Period
from journal.sections.cards import card, dated, details, empty
from journal.sections.escape import Html, join, tag
from journal.sections.line_cards import line, to_read_again
from journal.sections.page_chapters import PageChapter, told
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

SHOWN = 50
"""Most lines that are shown. A common word has hundreds in a year; nobody reads more than this."""
_PAUSE_MS = 300


def field() -> Any:
    """The search field. It takes effect a moment after the last key."""
    return mo.ui.text(label="Find in every line", placeholder="a word, or part of one", debounce=_PAUSE_MS)


def matches(recorded: pl.DataFrame, text: str) -> Html:
    """A card of the lines that contain a text, newest first, each match marked; empty for an empty text.

    In: `Tables.lines` of the whole journal.
    """
    text = " ".join(text.split())
    if not text:
        return Html("")
    hits = line_search.search(recorded, text)
    newest = hits.sort("date", descending=True, maintain_order=True).head(SHOWN)
    note = f"{numbers.plural(hits.height, 'line')} of gratitude, memories and notes, newest first."
    if hits.height > SHOWN:
        note += f" The newest {SHOWN} are shown; {hits.height - SHOWN} are older."
    rows = [
        (dates.day(row["date"], weekday=False, year=True), line(row["kind"], _marked(row["text"], row["spans"])))
        for row in newest.iter_rows(named=True)
    ]
    nothing = "No line of this journal has it. Capitals and accents make no difference."
    return card(f"“{text}”", dated(rows, nothing=nothing), note=note if rows else None, kind="found")


def _marked(text: str, spans: list[dict[str, int]]) -> Html:
    """The text with its matches as `mark` elements."""
    parts: list[object] = []
    position = 0
    for span in spans:
        parts += [text[position : span["start"]], tag("mark", text[span["start"] : span["end"]])]
        position = span["end"]
    return join([*parts, text[position:]])


def earlier_years(book: Journal, period: Period) -> PageChapter:
    """The chapter of the lines on the same days of earlier years, the newest year open."""
    lines = line_search.in_earlier_years(book.tables.lines, period.first, period.last)
    nothing = f"No line stands on the days of this {period.kind} in earlier years"
    said = f"{numbers.plural(lines.height, 'line')} on these days in earlier years" if lines.height else nothing
    return told("earlier", "Earlier years", said, lambda: _by_year(lines) if lines.height else empty(f"{nothing}."))


def _by_year(lines: pl.DataFrame) -> Html:
    parts: list[Html] = []
    for (years,), group in lines.group_by("years", maintain_order=True):
        heading = f"{numbers.plural(int(str(years)), 'year')} before, {numbers.plural(group.height, 'line')}"
        parts.append(details(heading, to_read_again(group, nothing="", year=True), open_=not parts))
    return tag("div", *parts, class_="months")
