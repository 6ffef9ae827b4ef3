"""Queries on lines: counts by month, lines of the same day in earlier years, and full-text search."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterator
from typing import Literal

import polars as pl

from journal.call_arguments import checked
from journal.measures.lines import KINDS, lines
from journal.measures.period_columns import with_month

Where = Literal["anywhere", "word start"]

# Letters whose stroke or ligature has no decomposition in Unicode (UAX 15), and curly apostrophes.
_WITHOUT_STROKE = str.maketrans(
    {"đ": "d", "ð": "d", "ł": "l", "ø": "o", "ħ": "h", "ŧ": "t", "ı": "i", "æ": "ae", "œ": "oe", "’": "'", "‘": "'"}
)
_WORD = re.compile(r"\w")


@checked
def by_month(recorded: pl.DataFrame) -> pl.DataFrame:
    """The number of lines in each month.

    In: `Tables.lines` (date, kind, position, text). Out, a row per month from the first line to the last, with
    zeros for a month without lines: period (String, "2025-03"), from, to (Date), gratitude, memory, note (Int64,
    lines), days (Int64, days with a line of any kind). An empty frame gives no rows.

    >>> written = pl.DataFrame({"date": [dt.date(2025, 1, 5), dt.date(2025, 1, 5), dt.date(2025, 3, 1)],
    ...     "kind": ["gratitude", "gratitude", "memory"], "position": [0, 1, 0], "text": ["Bread.", "Rain.", "Frost."]})
    >>> by_month(written).select("period", "gratitude", "memory", "days").rows()
    [('2025-01', 2, 0, 1), ('2025-02', 0, 0, 0), ('2025-03', 0, 1, 1)]
    """
    date = pl.col("date")
    every = recorded.select(pl.date_ranges(date.dt.month_start().min(), date.max(), "1mo").alias("date"))
    months = with_month(every.explode("date").drop_nulls()).drop("date")
    counted = (
        with_month(recorded)
        .group_by("period")
        .agg(
            *((pl.col("kind") == kind).sum().cast(pl.Int64).alias(kind) for kind in KINDS),
            pl.col("date").n_unique().cast(pl.Int64).alias("days"),
        )
    )
    return months.join(counted, on="period", how="left", maintain_order="left").with_columns(
        pl.col(*KINDS, "days").fill_null(0)
    )


@checked
def on_this_day(recorded: pl.DataFrame, day: dt.date) -> pl.DataFrame:
    """The lines of the same day in earlier years.

    In: `Tables.lines`. Out: years (Int64, how many years ago), date, kind, text; the newest year first, within a day
    in the order of `lines.lines`. In a year without 29 February, the lines of a 29 February appear on the 28th (our
    choice, so that no day is skipped); in a leap year, on the 29th.

    >>> dates = [dt.date(2024, 2, 28), dt.date(2024, 2, 29), dt.date(2023, 3, 1)]
    >>> written = pl.DataFrame({"date": dates, "kind": "memory", "position": 0, "text": ["a", "b", "c"]})
    >>> on_this_day(written, dt.date(2025, 2, 28)).select("years", "text").rows()
    [(1, 'a'), (1, 'b')]
    """
    date = pl.col("date")
    same = (date.dt.month() == day.month) & (date.dt.day() == day.day)
    if (day.month, day.day) == (2, 28) and (day + dt.timedelta(days=1)).month == 3:
        same |= (date.dt.month() == 2) & (date.dt.day() == 29)
    rows = lines(recorded.filter(same, date.dt.year() < day.year)).with_columns(
        years=(day.year - date.dt.year()).cast(pl.Int64)
    )
    return rows.sort("years", maintain_order=True).select("years", "date", "kind", "text")


@checked
def in_earlier_years(recorded: pl.DataFrame, first: dt.date, last: dt.date) -> pl.DataFrame:
    """The lines of `on_this_day` for each day of a span, both ends included.

    In and out: as `on_this_day`. The newest year comes first, then days in order, so a week across New Year stays
    together.

    >>> dates = [dt.date(2023, 12, 31), dt.date(2024, 1, 1), dt.date(2025, 12, 31)]
    >>> written = pl.DataFrame({"date": dates, "kind": "memory", "position": 0, "text": ["a", "b", "c"]})
    >>> in_earlier_years(written, dt.date(2024, 12, 30), dt.date(2025, 1, 5)).select("years", "text").rows()
    [(1, 'a'), (1, 'b')]
    """
    days = pl.date_range(first, last, eager=True)
    # Of the lines of fifty years few are of these days: they are told apart once, and not for each day.
    wanted = {(day.month, day.day) for day in days} | {(2, 29)}
    month_and_day = pl.col("date").dt.month().cast(pl.Int32) * 100 + pl.col("date").dt.day()
    near = recorded.filter(month_and_day.is_in([100 * month + day for month, day in wanted]))
    return pl.concat([on_this_day(near, day) for day in days]).sort("years", maintain_order=True)


@checked
def search(recorded: pl.DataFrame, wanted: str, *, where: Where = "anywhere") -> pl.DataFrame:
    """The lines that contain a text, and its positions in them.

    In: `Tables.lines`; `wanted`, a word, a part of a word, or a phrase. "anywhere" also matches inside a word, "word
    start" only at the start of one. The match ignores case, accents, compatibility forms (Unicode NFKD, case folding,
    combining marks removed; "ø", "đ" and similar letters by a table of our own), the shape of an apostrophe, and the
    width of the space between words.

    Out, in the order of `lines.lines`: date, kind, text, spans (List of Struct: start, end, Int64; character offsets in
    `text`, the end exclusive; not overlapping, from left to right). An empty `wanted` matches nothing. Raises
    UsageError if `where` is unknown.

    >>> written = pl.DataFrame({"date": [dt.date(2025, 3, 14)], "kind": "memory", "position": 0,
    ...     "text": ["Žena with a café-au-lait coat."]})
    >>> search(written, "CAFE").item(0, "spans").to_list(), search(written, "at", where="word start").height
    ([{'start': 12, 'end': 16}], 0)
    """
    every = lines(recorded)
    needle = " ".join(fold(wanted).split())
    span = pl.List(pl.Struct({"start": pl.Int64, "end": pl.Int64}))
    spans_of: dict[int, list[dict[str, int]]] = {}
    for i, text in enumerate(every.get_column("text") if needle else []):
        # Folding a whole text is fast, tracing each letter is slow: so only matching texts are traced.
        if needle in " ".join(fold(text).split()):
            spans = list(_spans(text, needle, where))
            if spans:
                spans_of[i] = spans
    return every[list(spans_of)].with_columns(pl.Series("spans", list(spans_of.values()), dtype=span))


def fold(text: str) -> str:
    """The text without case, accents and compatibility forms, for comparison.

    >>> fold("Čez ﬁrn, STRASSE, Øre"), fold("straße")
    ('cez firn, strasse, ore', 'strasse')
    """
    if text.isascii():
        return text.lower()
    # NFKD before and after case folding: a compatibility form may contain a capital, case folding may add an accent.
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in parts if not unicodedata.combining(c)).translate(_WITHOUT_STROKE)


def _spans(text: str, needle: str, where: Where) -> Iterator[dict[str, int]]:
    letters, came_from = _traced(text)
    at = letters.find(needle)
    while at >= 0:
        end = at + len(needle)
        begins = at == 0 or not (_WORD.match(letters[at - 1]) and _WORD.match(letters[at]))
        # A match inside a letter that folds to two ("ß") covers the whole letter.
        if where == "anywhere" or begins:
            last = came_from[end - 1] + 1
            while last < len(text) and unicodedata.combining(text[last]):
                last += 1
            yield {"start": came_from[at], "end": last}
            at = letters.find(needle, end)
        else:
            at = letters.find(needle, at + 1)


def _traced(text: str) -> tuple[str, list[int]]:
    """The folded text with single spaces, and for each of its characters its index in `text`."""
    letters: list[str] = []
    came_from: list[int] = []
    for i, character in enumerate(text):
        for letter in fold(character):
            space = letter.isspace()
            if space and (not letters or letters[-1] == " "):
                continue
            letters.append(" " if space else letter)
            came_from.append(i)
    return "".join(letters), came_from
