"""Room on a full disk. A save goes before copies: first the cache goes, then earlier states of pages, oldest first."""

from __future__ import annotations

import contextlib
import errno
import re
from collections.abc import Iterator
from pathlib import Path

from journal.folder import history, private_folder
from journal.folder.discover import CACHE_NAME

FULL = (errno.ENOSPC, errno.EDQUOT)
"""Errors of a disk that is full, or of a user who may not use more of it."""

_BLOCK = 4096  # bytes; what most drives give a file at a time
_SNAPSHOT = re.compile(r"snapshot|days")
_DRAWN = re.compile(r"[0-9a-f]{32}")
_YEAR = re.compile(r"[0-9]{4}")


def make(folder: Path, size: int) -> bool:
    """Remove copies until about `size` bytes and a few blocks more are free. Return whether any was removed.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name, private_folder.opened(Path(name), ".history", make=True) as kept:
    ...     kept.write("undated.txt", [b"x" * 100])
    ...     make(Path(name), 1_000), make(Path(name), 1_000)
    (True, False)
    """
    freed = 0
    for freed_bytes in _removals(folder):
        freed += freed_bytes
        if freed > size + 4 * _BLOCK:
            break
    return freed > 0


def _removals(folder: Path) -> Iterator[int]:
    """Remove one copy after the other, and yield the bytes that each had."""
    yield from _oldest_first(folder, [((CACHE_NAME,), _SNAPSHOT)])
    drawn = ("pictures", "drawings")
    yield from _oldest_first(folder, [((CACHE_NAME, below), _DRAWN) for below in drawn])
    yield from _oldest_first(folder, [((CACHE_NAME, "before"), history.EARLIER_COPY)])
    years: list[str] = []
    with contextlib.suppress(OSError), private_folder.opened(folder, history.NAME) as top:
        years = top.folders(_YEAR)
    places = [(history.NAME,), *((history.NAME, year) for year in years)]
    yield from _oldest_first(folder, [(place, history.FILE) for place in places])


def _oldest_first(folder: Path, places: list[tuple[tuple[str, ...], re.Pattern[str]]]) -> Iterator[int]:
    found: list[tuple[int, str, tuple[str, ...], re.Pattern[str]]] = []
    for place, shape in places:
        with contextlib.suppress(OSError), private_folder.opened(folder, *place) as opened:
            found += [(written_ns, name, place, shape) for name, written_ns in opened.files(shape).items()]
    for _, name, place, shape in sorted(found, key=lambda file: file[:2]):
        size = 0
        with contextlib.suppress(OSError), private_folder.opened(folder, *place) as opened:
            size = max(opened.size(name), _BLOCK)
            opened.remove(name, shape)
            yield size
