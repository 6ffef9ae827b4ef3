"""Search results, and lines of the same days in earlier years. Frames in, `Html` out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import polars as pl

from journal.language.catalogue import N_, _, _n
from journal.measures import line_search
from journal.periods import Period, PeriodKind
from journal.sections.cards import card, dated, details, empty
from journal.sections.escape import Html, join, tag
from journal.sections.line_cards import line, to_read_again
from journal.sections.page_chapters import PageChapter, told
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

SHOWN = 50
"""Most lines that are shown. A common word has hundreds in a year; nobody reads more than this."""


def matches(recorded: pl.DataFrame, text: str) -> Html:
    """A card of the lines that contain a text, newest first, each match marked; empty for an empty text.

    In: `Tables.lines` of the whole journal.
    """
    text = " ".join(text.split())
    if not text:
        return Html("")
    hits = line_search.search(recorded, text)
    newest = hits.sort("date", descending=True, maintain_order=True).head(SHOWN)
    note = _n(
        "{count} line of gratitude, memories and notes, newest first.",
        "{count} lines of gratitude, memories and notes, newest first.",
        hits.height,
    )
    if hits.height > SHOWN:
        older = {"shown": SHOWN, "older": numbers.number(hits.height - SHOWN)}
        note += " " + _("The newest {shown} are shown; {older} are older.", **older)
    rows = [
        (dates.day(row["date"], weekday=False, year=True), line(row["kind"], _marked(row["text"], row["spans"])))
        for row in newest.iter_rows(named=True)
    ]
    nothing = _("No line of this journal has it. Capitals and accents make no difference.")
    return card(numbers.quoted(text), dated(rows, nothing=nothing), note=note if rows else None, kind="found")


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
    nothing = _(_NO_LINE[period.kind])
    said = nothing
    if lines.height:
        said = _n(
            "{count} line on these days in earlier years", "{count} lines on these days in earlier years", lines.height
        )
    return told("earlier", _("Earlier years"), said, lambda: _by_year(lines) if lines.height else empty(f"{nothing}."))


_NO_LINE: Mapping[PeriodKind, str] = {
    "day": N_("No line stands on this day in earlier years"),
    "week": N_("No line stands on the days of this week in earlier years"),
    "month": N_("No line stands on the days of this month in earlier years"),
    "year": N_("No line stands on the days of this year in earlier years"),
}


def _by_year(lines: pl.DataFrame) -> Html:
    parts: list[Html] = []
    for (years,), group in lines.group_by("years", maintain_order=True):
        counted = _n("{count} line", "{count} lines", group.height)
        heading = _n("{count} year before, {lines}", "{count} years before, {lines}", int(str(years)), lines=counted)
        parts.append(details(heading, to_read_again(group, nothing="", year=True), open_=not parts))
    return tag("div", *parts, class_="months")
