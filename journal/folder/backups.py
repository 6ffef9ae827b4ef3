"""What a page was before Duskbook changed it: its bytes in `.cache/before/`, under the moment and the page's name.

A copy is made before the first change of a page on a day, and before every change of a page that someone else has
changed since it was read. The newest 200 are kept, for a person with two pages an evening about three months.

It is a courtesy and not the guard of the page (that is `replacing`): where no copy can be made, because the folder is
full or `.cache` cannot be written, the page is still written and the result says that there is no copy.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from pathlib import Path

from journal.folder.discover import CACHE_NAME

KEPT = 200


def keep(folder: Path, key: str, data: bytes, now: dt.datetime, always: bool = False) -> Path | None:
    """Keep the bytes of a page, unless there are some of this day already; returns where, or None.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     keep(Path(folder), "2025-03-14", b"mood = 4", dt.datetime(2025, 3, 14, 22, 5)).name
    '2025-03-14T22-05-00-000000 2025-03-14.toml'
    """
    before = folder / CACHE_NAME / "before"
    try:
        kept = sorted(path for path in before.glob("*.toml") if path.is_file()) if before.is_dir() else []
        ending = f" {key}.toml"
        if not always and any(p.name.startswith(f"{now:%Y-%m-%d}T") and p.name.endswith(ending) for p in kept):
            return None
        before.mkdir(parents=True, exist_ok=True)
        path = before / f"{now:%Y-%m-%dT%H-%M-%S-%f}{ending}"
        path.touch(mode=0o600)
        try:
            path.write_bytes(data)
        except OSError:
            path.unlink(missing_ok=True)
            raise
        for old in kept[: max(0, len({*kept, path}) - KEPT)]:
            with contextlib.suppress(OSError):
                old.unlink()
    except OSError:
        return None
    return path
