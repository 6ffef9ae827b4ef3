"""The dismissed boxes of the pages: `.cache/closed.json`, a day by subject, e.g. {"mood": "2026-01-01"}.

This is in the cache and not in journal.toml: files that a person writes, shares and keeps do not reveal a low stretch,
and backups leave it out. If the cache is deleted, the boxes appear again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

import msgspec

from journal.folder import cache

NAME = "closed.json"
_SIZE_LIMIT = 10_000  # bytes; there are a few subjects


def read(folder: Path) -> dict[str, dt.date]:
    """Return the day on which each box was dismissed, by subject. An unreadable or invalid file counts as empty."""
    try:
        return msgspec.json.decode(cache.read(folder, NAME, _SIZE_LIMIT).data, type=dict[str, dt.date])
    except (OSError, ValueError):
        return {}


def add(folder: Path, closed: Mapping[str, dt.date]) -> bool:
    """Add dismissed boxes to the existing ones. Return whether that succeeded.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     _ = add(Path(name), {"mood": dt.date(2026, 1, 1)}), add(Path(name), {"sleep": dt.date(2026, 1, 9)})
    ...     sorted(read(Path(name)))
    ['mood', 'sleep']
    """
    return cache.put(folder, NAME, [msgspec.json.encode(read(folder) | dict(closed))])
