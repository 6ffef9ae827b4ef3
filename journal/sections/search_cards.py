"""Lines that are looked for, and those of the same days in earlier years. Frames in, `Html` out."""

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
"""So many lines are shown: they can be looked through, and a common word has hundreds in a year."""
_PAUSE_MS = 300


def field() -> Any:
    """The field that says what is looked for; it is heard a moment after the last key."""
    return mo.ui.text(label="Find in every line", placeholder="a word, or part of one", debounce=_PAUSE_MS)


def found(recorded: pl.DataFrame, wanted: str) -> Html:
    """A card of the lines that have a text in them, newest first, each match marked; nothing where nothing is wanted.

    In: `Tables.lines` of the whole journal.
    """
    wanted = " ".join(wanted.split())
    if not wanted:
        return Html("")
    hits = line_search.search(recorded, wanted)
    newest = hits.sort("date", descending=True, maintain_order=True).head(SHOWN)
    said = f"{numbers.plural(hits.height, 'line')} of gratitude, memories and notes, newest first."
    if hits.height > SHOWN:
        said += f" The newest {SHOWN} are shown; {hits.height - SHOWN} are older."
    rows = [
        (dates.day(row["date"], weekday=False, year=True), line(row["kind"], _marked(row["text"], row["spans"])))
        for row in newest.iter_rows(named=True)
    ]
    nothing = "No line of this journal has it. Capitals and accents make no difference."
    return card(f"“{wanted}”", dated(rows, nothing=nothing), note=said if rows else None, kind="found")


def _marked(text: str, spans: list[dict[str, int]]) -> Html:
    """A text with its matches as `mark` elements."""
    parts: list[object] = []
    at = 0
    for span in spans:
        parts += [text[at : span["start"]], tag("mark", text[span["start"] : span["end"]])]
        at = span["end"]
    return join([*parts, text[at:]])


def earlier_years(recorded: pl.DataFrame, period: Period) -> Html:
    """A card of what was written on the days of a week in earlier years, the newest year open; nothing where nothing
    was.

    In: `Tables.lines`.
    """
    lines = line_search.in_earlier_years(recorded, period.first, period.last)
    parts: list[Html] = []
    for (years,), group in lines.group_by("years", maintain_order=True):
        heading = f"{numbers.plural(int(str(years)), 'year')} before, {numbers.plural(group.height, 'line')}"
        parts.append(details(heading, to_read_again(group, nothing="", year=True), open_=not parts))
    inside = tag("div", *parts, class_="months")
    return card(f"This {period.kind} in earlier years", inside) if parts else Html("")
