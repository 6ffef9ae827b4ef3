"""Words of tables in every language of the program: what columns are headed, and what marks are written as.

A table was written elsewhere, so all languages are read at once, whatever the journal's own is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from journal.language.catalogue import _, _p
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking

Path = tuple[str, ...]


def headings(labels: Mapping[str, Path]) -> dict[str, Path]:
    """The headings of the fields of a day in small letters, each with its key path. `labels` are those of `DAY_FIELDS`.

    >>> known = headings({"Mood": ("mood",)})
    >>> known["stimmung"], known["good things"], known["datum"]
    (('mood',), ('gratitude',), ('date',))
    """
    found: dict[str, Path] = {}
    for language in LANGUAGES.values():
        with speaking(language):
            for said, path in (*_headings(), *((_(label), path) for label, path in labels.items())):
                for heading in said.split(", "):
                    found.setdefault(heading.casefold(), path)
    return found


def _headings() -> Iterator[tuple[str, Path]]:
    yield _p("headings of a table", "date, day"), ("date",)
    yield _p("headings of a table", "gratitude, good things"), ("gratitude",)
    yield _p("headings of a table", "memory"), ("memory",)
    yield _p("headings of a table", "note, notes"), ("notes",)


@cache
def done() -> frozenset[str]:
    """The words for a mark that says done, in small letters.

    >>> {"yes", "ja", "x"} <= done()
    True
    """
    return _in_all("done")


@cache
def not_done() -> frozenset[str]:
    """The words for a mark that says not done, in small letters."""
    return _in_all("not done")


@cache
def rest() -> frozenset[str]:
    """The words for a day of rest, in small letters."""
    return _in_all("rest")


def _in_all(kind: str) -> frozenset[str]:
    words = set[str]()
    for language in LANGUAGES.values():
        with speaking(language):
            said = {
                "done": _p("words in a table", "yes, y, true, done, x, 1, ✓, ✔"),
                "not done": _p("words in a table", "no, n, false, missed, not done, 0, ✗, ✘"),
                "rest": _p("words in a table", "rest"),
            }[kind]
            words |= {word.casefold() for word in said.split(", ")}
    return frozenset(words)
