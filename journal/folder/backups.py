"""Copies of pages from before a change, in `.cache/before/`. The file name has the moment and the page's key.

A page is copied before its first change of a day, and before every change of a page that someone else has changed since
it was read. The newest 200 copies are kept: about three months at two pages an evening.

Backups are a courtesy. `atomic_write` is what protects the page. If no copy can be made, because the disk is full or
`.cache` cannot be written, the page is still written, and the result has no backup path.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from pathlib import Path

from journal.folder.discover import CACHE_NAME

MAX_COPIES = 200


def keep(folder: Path, key: str, data: bytes, now: dt.datetime, always: bool = False) -> Path | None:
    """Copy the bytes of a page, unless a copy of the same day exists. Return the copy's path, or None.

    `always` makes a copy in any case. A write error returns None.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     keep(Path(folder), "2025-03-14", b"mood = 4", dt.datetime(2025, 3, 14, 22, 5)).name
    '2025-03-14T22-05-00-000000 2025-03-14.toml'
    """
    backups = folder / CACHE_NAME / "before"
    try:
        old_copies = sorted(path for path in backups.glob("*.toml") if path.is_file()) if backups.is_dir() else []
        ending = f" {key}.toml"
        if not always and any(p.name.startswith(f"{now:%Y-%m-%d}T") and p.name.endswith(ending) for p in old_copies):
            return None
        backups.mkdir(parents=True, exist_ok=True)
        path = backups / f"{now:%Y-%m-%dT%H-%M-%S-%f}{ending}"
        path.touch(mode=0o600)
        try:
            path.write_bytes(data)
        except OSError:
            path.unlink(missing_ok=True)
            raise
        for old_copy in old_copies[: max(0, len({*old_copies, path}) - MAX_COPIES)]:
            with contextlib.suppress(OSError):
                old_copy.unlink()
    except OSError:
        return None
    return path
