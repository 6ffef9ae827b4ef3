"""Copies of pages from before a change, in `.cache/before/`. The file name has the moment and the page's key.

A page is copied before its first change of a day, and before every change of a page that someone else has changed since
it was read. The newest 200 copies are kept: about three months at two pages an evening.

Backups are a courtesy. `atomic_write` is what protects the page. If no copy can be made, because the disk is full or
`.cache` cannot be written, the page is still written, and the result has no backup path.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from pathlib import Path

from journal.folder import cache

MAX_COPIES = 200
_NAME = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}-\d{2}-\d{2}-\d{6} (\d{4}(-W?\d{2}(-\d{2})?)?|undated|settings)\.toml")


def keep(folder: Path, key: str, data: bytes, now: dt.datetime, always: bool = False) -> Path | None:
    """Copy the bytes of a page, unless a copy of the same day exists. Return the copy's path, or None.

    `always` makes a copy in any case. A write error returns None.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     keep(Path(folder), "2025-03-14", b"mood = 4", dt.datetime(2025, 3, 14, 22, 5)).name
    '2025-03-14T22-05-00-000000 2025-03-14.toml'
    """
    ending = f" {key}.toml"
    name = f"{now:%Y-%m-%dT%H-%M-%S-%f}{ending}"
    try:
        with cache.opened(folder, "before", make=True) as backups:
            old_copies = backups.names(_NAME)
            if not always and any(old.startswith(f"{now:%Y-%m-%d}T") and old.endswith(ending) for old in old_copies):
                return None
            backups.sweep()
            backups.write(name, [data])
            for old_copy in old_copies[: max(0, len({*old_copies, name}) - MAX_COPIES)]:
                with contextlib.suppress(OSError):
                    backups.remove(old_copy, _NAME)
            return backups.path / name
    except OSError:
        return None
