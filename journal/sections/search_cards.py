"""Search results, and lines of the same days in earlier years. Frames in, `Html` out."""

from __future__ import annotations

from typing import Any

import marimo as mo
import polars as pl

from journal.measures import line_search
from journal.periods import Period
from journal.sections.cards import card, dated, details
from journal.sections.escape import Html, join, tag
from journal.sections.line_cards import line, to_read_again
from journal.wording import dates, numbers

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


def earlier_years(recorded: pl.DataFrame, period: Period) -> Html:
    """A card of the lines on the same days of earlier years, the newest year open; empty without any.

    In: `Tables.lines`.
    """
    lines = line_search.in_earlier_years(recorded, period.first, period.last)
    parts: list[Html] = []
    for (years,), group in lines.group_by("years", maintain_order=True):
        heading = f"{numbers.plural(int(str(years)), 'year')} before, {numbers.plural(group.height, 'line')}"
        parts.append(details(heading, to_read_again(group, nothing="", year=True), open_=not parts))
    inside = tag("div", *parts, class_="months")
    return card(f"This {period.kind} in earlier years", inside) if parts else Html("")
