"""The words of a table in the terminal: its heads, and the codes that people read in it, in the spoken language.

JSON and CSV keep keys and codes. Here each is looked up by its English self, so that a new key needs no second list:
`heads` and `codes` name them for the catalogues.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from journal.commands.print_rows import TableWords
from journal.commands.show_catalogue import MEASURES
from journal.language.catalogue import _p
from journal.language.languages import ENGLISH

HEAD, CELL = "head of a column", "in a table"
"""The contexts of heads and of codes."""

CODES: Mapping[str, tuple[str, ...]] = {
    "unit": ("occasion", "week", "month"),
    "period": (*(day.lower() for day in ENGLISH.weekdays), "all"),
    "status": ("open", "done", "carried", "dropped"),
    "kind": ("gratitude", "memory", "note"),
    "state": ("normal", "up all day", "down all day"),
    "arm": ("on", "off"),
    "by": ("evening", "day", "week", "month", "year", "settings", "log", "import", "merge", "history", "restore",
           "trial", "upgrade", "elsewhere"),
}  # fmt: skip
"""The codes of a column that are shown as words. They are written out: the types that have them need libraries."""

HISTORY_HEADS = ("page", "saved", "by", "number", "changes")
"""The heads of `duskbook history`."""

YES_OR_NO = ("yes", "no")


def head(key: str) -> str:
    """Return the head of a column in the spoken language."""
    return _p(HEAD, key)


def cell(column: str, text: str) -> str:
    """Return the text of a cell in the spoken language, if it is a code of its column."""
    return _p(CELL, text) if text in CODES.get(column, ()) else text


def yes_or_no(value: bool) -> str:
    """Return the word of a cell that is true or false."""
    return _p(CELL, YES_OR_NO[not value])


WORDS = TableWords(head, cell, yes_or_no)


def heads() -> Iterator[str]:
    """Return every key that may be a head, in English."""
    for measure in MEASURES.values():
        yield from (*measure.keys, *measure.by_day_keys, *measure.summed_keys)
    yield from HISTORY_HEADS


def codes() -> Iterator[str]:
    """Return every code that is shown as a word, in English."""
    yield from YES_OR_NO
    for known in CODES.values():
        yield from known
