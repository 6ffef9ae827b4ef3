"""Lines to find again: how many a month, on this day in earlier years, and by what they say."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterator
from typing import Literal

import polars as pl

from journal.errors import UsageError
from journal.measures.lines import KINDS, lines
from journal.measures.period_columns import with_month

Where = Literal["anywhere", "word start"]

# Letters that carry their stroke or tie in themselves, so that no decomposition (Unicode, UAX 15) takes it off.
_WITHOUT_STROKE = str.maketrans(
    {"đ": "d", "ð": "d", "ł": "l", "ø": "o", "ħ": "h", "ŧ": "t", "ı": "i", "æ": "ae", "œ": "oe", "’": "'", "‘": "'"}
)
_WORD = re.compile(r"\w")


def by_month(recorded: pl.DataFrame) -> pl.DataFrame:
    """How many lines each month has.

    In: `Tables.lines` (date, kind, position, text). Out, a row per month from the first line to the last, a month
    without a line with zeros: period (String, "2025-03"), from, to (Date), gratitude, memory, note (Int64, lines),
    days (Int64, days with a line of any kind). No lines give no rows.

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


def on_this_day(recorded: pl.DataFrame, day: dt.date) -> pl.DataFrame:
    """What was written on the same day of earlier years.

    In: `Tables.lines`. Out: years (Int64, how many ago), date, kind, text; the newest year first, within a day as
    `lines.lines` has them. A 29 February is remembered on the 28th of a year that has none (our choice: so that no day
    is passed over), and on the 29th of one that has.

    >>> dates = [dt.date(2024, 2, 28), dt.date(2024, 2, 29), dt.date(2023, 3, 1)]
    >>> written = pl.DataFrame({"date": dates, "kind": "memory", "position": 0, "text": ["a", "b", "c"]})
    >>> on_this_day(written, dt.date(2025, 2, 28)).select("years", "text").rows()
    [(1, 'a'), (1, 'b')]
    """
    date = pl.col("date")
    same = (date.dt.month() == day.month) & (date.dt.day() == day.day)
    if (day.month, day.day) == (2, 28) and (day + dt.timedelta(days=1)).month == 3:
        same |= (date.dt.month() == 2) & (date.dt.day() == 29)
    found = lines(recorded.filter(same, date.dt.year() < day.year)).with_columns(
        years=(day.year - date.dt.year()).cast(pl.Int64)
    )
    return found.sort("years", maintain_order=True).select("years", "date", "kind", "text")


def in_earlier_years(recorded: pl.DataFrame, first: dt.date, last: dt.date) -> pl.DataFrame:
    """What was written on the same days of earlier years, for each of some days, both ends included.

    In and out as `on_this_day`; the newest year first, within it by day, so that a week over New Year stays together.

    >>> dates = [dt.date(2023, 12, 31), dt.date(2024, 1, 1), dt.date(2025, 12, 31)]
    >>> written = pl.DataFrame({"date": dates, "kind": "memory", "position": 0, "text": ["a", "b", "c"]})
    >>> in_earlier_years(written, dt.date(2024, 12, 30), dt.date(2025, 1, 5)).select("years", "text").rows()
    [(1, 'a'), (1, 'b')]
    """
    days = pl.date_range(first, last, eager=True)
    return pl.concat([on_this_day(recorded, day) for day in days]).sort("years", maintain_order=True)


def search(recorded: pl.DataFrame, wanted: str, *, where: Where = "anywhere") -> pl.DataFrame:
    """The lines that have a text in them, with where.

    In: `Tables.lines`; `wanted`, a word, a part of one, or several words as they follow each other. "anywhere" finds it
    inside of words too; "word start" only where a word begins. Capitals and accents make no difference, nor do
    compatibility forms (Unicode NFKD, case folding, marks taken off; "ø", "đ" and their kin by a table of our own), the
    shape of an apostrophe, or how wide the space between words is.

    Out, by day as `lines.lines` has them: date, kind, text, spans (List of Struct: start, end, Int64; characters of
    `text`, the end not part of it; without overlaps, from the left). Nothing wanted finds nothing. Raises UsageError
    for a `where` that does not exist.

    >>> written = pl.DataFrame({"date": [dt.date(2025, 3, 14)], "kind": "memory", "position": 0,
    ...     "text": ["Žena with a café-au-lait coat."]})
    >>> search(written, "CAFE").item(0, "spans").to_list(), search(written, "at", where="word start").height
    ([{'start': 12, 'end': 16}], 0)
    """
    if where not in ("anywhere", "word start"):
        raise UsageError(f'lines cannot be searched by "{where}"; write "anywhere" or "word start"')
    every = lines(recorded)
    needle = " ".join(fold(wanted).split())
    span = pl.List(pl.Struct({"start": pl.Int64, "end": pl.Int64}))
    found: dict[int, list[dict[str, int]]] = {}
    for i, text in enumerate(every.get_column("text") if needle else []):
        # Folding a whole text is quick, knowing where each letter came from is not: so only where it is in.
        if needle in " ".join(fold(text).split()):
            spans = list(_spans(text, needle, where))
            if spans:
                found[i] = spans
    return every[list(found)].with_columns(pl.Series("spans", list(found.values()), dtype=span))


def fold(text: str) -> str:
    """A text without capitals, accents and compatibility forms, to compare.

    >>> fold("Čez ﬁrn, STRASSE, Øre"), fold("straße")
    ('cez firn, strasse, ore', 'strasse')
    """
    if text.isascii():
        return text.lower()
    # Folded before and after: a capital may come out of a compatibility form, an accent out of case folding.
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in parts if not unicodedata.combining(c)).translate(_WITHOUT_STROKE)


def _spans(text: str, needle: str, where: Where) -> Iterator[dict[str, int]]:
    letters, came_from = _traced(text)
    at = letters.find(needle)
    while at >= 0:
        end = at + len(needle)
        begins = at == 0 or not (_WORD.match(letters[at - 1]) and _WORD.match(letters[at]))
        # A hit that begins inside a letter that became two ("ß") takes the whole of it.
        if where == "anywhere" or begins:
            last = came_from[end - 1] + 1
            while last < len(text) and unicodedata.combining(text[last]):
                last += 1
            yield {"start": came_from[at], "end": last}
            at = letters.find(needle, end)
        else:
            at = letters.find(needle, at + 1)


def _traced(text: str) -> tuple[str, list[int]]:
    """The folded text with single spaces, and for each of its characters the one of the text that it came from."""
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
