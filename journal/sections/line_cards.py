"""The written lines as HTML: gratitude, memories, notes, reflections and decisions. Frames in, `Html` out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import polars as pl

from journal.frames import Row
from journal.language.catalogue import N_, _, _n, _p
from journal.measures import distinctive_words
from journal.measures import lines as written
from journal.periods import Period, PeriodKind
from journal.sections.cards import by_day, card, dated, empty, lines
from journal.sections.escape import Html, join, tag
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Settings
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal


FREQUENT_Z, FREQUENT_DAYS, MOST_WORDS = 1.96, 3, 8
"""A word is shown if its z reaches the two-sided 5 % level (of each word by itself) on at least three days of use. The
three days are our choice: of some hundred words a few pass that z by chance, and most of those occur about twice."""


def read_again_chapter(book: Journal, week: Period) -> PageChapter:
    """The chapter of a week's gratitude, memories and notes."""
    rows = written.lines(book.tables.lines.filter(pl.col("date").is_between(week.first, week.last)))
    said = _("Nothing was written")
    if rows.height:
        days = _n("on {count} day", "on {count} days", rows.get_column("date").n_unique())
        said = _n("{count} line {days} to read again", "{count} lines {days} to read again", rows.height, days=days)
    return told("lines", _("Lines"), said, lambda: to_read_again(rows, nothing=_("Nothing was written this week.")))


def memory_chapter(book: Journal, period: Period) -> PageChapter:
    """The chapter of the memories of a month or a year; for a month also its words."""
    within = pl.col("date").is_between(period.first, period.last)
    rows = written.lines(book.tables.lines.filter(within, pl.col("kind") == "memory"))
    nothing, title = _("No memory was written."), dates.title(period)
    of_period = _n("{count} memory of {period}", "{count} memories of {period}", rows.height, period=title)
    said = of_period if rows.height else nothing

    def inside() -> Html:
        if period.kind == "year":
            return memories_by_month(rows, nothing=nothing)
        return join([memories(rows, nothing=nothing), words_of(book.tables.lines, period, book.settings)])

    return told("lines", _("Memories"), said, inside)


def to_read_again(rows: pl.DataFrame, *, nothing: str, year: bool = False) -> Html:
    """Lines grouped by day; `year` adds the year to the days. In: the chosen rows of `lines.lines`."""
    days = [
        (date, [line(row["kind"], row["text"]) for row in group.iter_rows(named=True)])
        for (date,), group in rows.group_by("date", maintain_order=True)
    ]
    return by_day(days, nothing=nothing, year=year)


def memories(rows: pl.DataFrame, *, nothing: str) -> Html:
    """The memories of a month, each with its day in front. In: `lines.lines` of one month and kind."""
    return tag("div", dated(_with_day(rows), nothing=nothing), class_="spread")


def memories_by_month(rows: pl.DataFrame, *, nothing: str) -> Html:
    """Memories grouped by month, each with its day in front. The first month is open.

    In: `lines.lines` of one year and kind.
    """
    if rows.is_empty():
        return empty(nothing)
    parts: list[Html] = []
    for (month,), group in rows.group_by(pl.col("date").dt.month(), maintain_order=True):
        counted = _n("{count} memory", "{count} memories", group.height)
        heading = f"{dates.month_name(int(str(month)))}, {counted}"
        inside = tag("div", dated(_with_day(group), nothing=""), class_="spread")
        parts.append(tag("details", tag("summary", heading), inside, open=not parts))
    return tag("div", *parts, class_="months")


def _with_day(rows: pl.DataFrame) -> list[tuple[str, Html]]:
    return [(dates.day_of_month(row["date"]), tag("span", row["text"], lang="")) for row in rows.iter_rows(named=True)]


def line(kind: str, text: object) -> Html:
    """One line. A memory or note has a label in front."""
    label = _label(kind)
    return tag("span", tag("span", f"{label} ", class_="label") if label else None, text, class_=f"line {kind}")


def _label(kind: str) -> str:
    if kind == "memory":
        return _p("label of a line", "To remember")
    return _("Note") if kind == "note" else ""


def words_of(recorded: pl.DataFrame, period: Period, settings: Settings) -> Html:
    """A card of the words that are more frequent in a period than before it; empty without any.

    In: `Tables.lines`. Lines after the period are ignored.
    """
    until = recorded.filter(pl.col("date") <= period.last)
    words = distinctive_words.compared(
        until,
        first=period.first,
        last=period.last,
        leave_out=settings.lines.stop_words,
        language=settings.language,
    )
    frequent = words.filter(pl.col("z") >= FREQUENT_Z, pl.col("days") >= FREQUENT_DAYS).head(MOST_WORDS)
    if frequent.is_empty():
        return Html("")
    rows = [(row["word"], _how_frequent(row)) for row in frequent.iter_rows(named=True)]
    note = _("More frequent here than on all days before (log-odds with a prior, Monroe et al. 2008).")
    return card(_(_WORDS_OF[period.kind]), lines(rows, nothing=""), note=note)


_WORDS_OF: Mapping[PeriodKind, str] = {
    "week": N_("Words of this week"),
    "month": N_("Words of this month"),
    "year": N_("Words of this year"),
}


def _how_frequent(row: Row) -> str:
    """How often a word was written, here and before. In: a row of `distinctive_words.compared`."""
    times = _n("{count} time", "{count} times", row["count"])
    days = _n("on {count} day", "on {count} days", row["days"])
    if row["new"]:
        return _("{times} {days}, new", times=times, days=days)
    before = _n("{count} time", "{count} times", row["rest"])
    return _("{times} {days}, {before} before", times=times, days=days, before=before)
