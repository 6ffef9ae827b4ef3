"""What a page says that was written just now, in `.cache/readings`, so that `show streaks` need not read it again.

    kept_readings.add(folder, stamp, settings, {"2025/2025-03-14.toml": reading})
    known = kept_readings.load(folder, stamp, settings)
    if (reading := known.get(path)) is not None and reading.is_of(folder, path, facts): ...

A page that is as new as what is kept of its journal is not told by its times, since a second write in the same tick of
the file system's clock leaves the same ones (`kept_days`). So its bytes are compared by their checksums; its times are
compared as well, which a journal from elsewhere has others of. What a page says follows from its path, its bytes,
journal.toml and the code: all of these have to be the same. Its text is not kept, so that it is gone once it is
removed from the page.
"""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from journal.folder import cache, checked_parts

if TYPE_CHECKING:
    from pathlib import Path

FILE_NAME = "readings"
SIZE_LIMIT = 5_000_000
"""Bytes, of a page and of what is kept. A page has at most 250,000, and a journal.toml hardly more."""
MOST = 8
"""Pages that are kept: those that an evening at the terminal writes, and the few days before."""

_MAGIC = b"Duskbook readings\n"
_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


class PageReading(NamedTuple):
    """What a page says of the habits, and the number of its problems.

    `key` is that of its period, and `inside` the ordinal of a day in it. Of a page of a day, `marks` are those of the
    habits by key, `is_asked` says whether it is logged and an evening asked for them, and `is_low` whether its mood is
    low, None if none is noted. `facts` are those of `folder_state` when it was read, `sums` are of its bytes.
    """

    key: str
    inside: int
    problems: int
    is_day: bool = False
    marks: Mapping[str, bool | float | str] = {}
    is_asked: bool = False
    is_low: bool | None = None
    facts: tuple[int, ...] = ()
    sums: tuple[int, ...] = ()

    def is_of(self, folder: str | Path, path: str, facts: tuple[int, ...]) -> bool:
        """Return whether the page with this path has the same times and bytes now. Raises OSError."""
        if facts != self.facts:
            return False
        handle = os.open(f"{folder}/{path}", _OPEN)
        try:
            with open(handle, "rb", closefd=False) as file:
                return sums_of(file.read(SIZE_LIMIT)) == self.sums
        finally:
            os.close(handle)


def sums_of(data: bytes) -> tuple[int, int]:
    """Return two checksums of the bytes of a page: against chance, since a person may change her pages in any case.

    >>> sums_of(b"mood = 4") == sums_of(b"mood = 5")
    False
    """
    return zlib.crc32(data), zlib.adler32(data)


def load(folder: str | Path, stamp: str, settings: bytes) -> dict[str, PageReading]:
    """Return what is kept by path, nothing under another stamp (`kept_days.stamp`) or for another journal.toml."""
    try:
        file = cache.read(folder, FILE_NAME, SIZE_LIMIT)
        head, of_settings = checked_parts.unpacked(_MAGIC, file.data)
        kept = json.loads(head)
        if kept["stamp"] != stamp or of_settings != settings:
            return {}
        return {
            path: PageReading(key, inside, problems, is_day, marks, is_asked, is_low, tuple(facts), tuple(sums))
            for path, key, inside, problems, is_day, marks, is_asked, is_low, facts, sums in kept["pages"]
        }
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}


def add(folder: str | Path, stamp: str, settings: bytes, path: str, reading: PageReading) -> None:
    """Keep what a page says, if the cache can be written. The oldest ones go."""
    pages = {path: reading} | {other: kept for other, kept in load(folder, stamp, settings).items() if other != path}
    head = {"stamp": stamp, "pages": [(name, *kept) for name, kept in list(pages.items())[:MOST]]}
    cache.put(folder, FILE_NAME, checked_parts.packed(_MAGIC, [json.dumps(head).encode(), settings]))
