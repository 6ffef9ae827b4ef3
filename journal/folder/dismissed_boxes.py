"""Which boxes on the pages were closed, and when: `.cache/closed.json`, a day by subject, e.g. {"mood": "2026-01-01"}.

In the cache and not in journal.toml: what a person writes, shares and keeps says nothing then of a stretch that was
low, backups leave it out, and where the cache is deleted a box is only there again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

import msgspec

from journal.folder import cache
from journal.folder.discover import CACHE_NAME

NAME = "closed.json"


def read(folder: Path) -> dict[str, dt.date]:
    """The day on which each was closed. A file that is none of ours, or cannot be read, is as good as none."""
    try:
        return msgspec.json.decode((folder / CACHE_NAME / NAME).read_bytes(), type=dict[str, dt.date])
    except (OSError, ValueError):
        return {}


def add(folder: Path, closed: Mapping[str, dt.date]) -> bool:
    """Put some beside those that are there; returns whether it could be written.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     _ = add(Path(name), {"mood": dt.date(2026, 1, 1)}), add(Path(name), {"sleep": dt.date(2026, 1, 9)})
    ...     sorted(read(Path(name)))
    ['mood', 'sleep']
    """
    return cache.put(folder, NAME, [msgspec.json.encode(read(folder) | dict(closed))])
