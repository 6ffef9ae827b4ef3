"""A page that only this user can read, as a file that the browser is opened with."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path


def write(name: str, page: str) -> Path:
    """Write a page into a new folder of this user. Raises OSError if no private folder can be made."""
    folder = Path(tempfile.mkdtemp(prefix="duskbook-", dir=_private_place()))  # mode 0700
    path = folder / name
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(page)
    except BaseException:
        remove(path)
        raise
    return path


def remove(path: Path) -> None:
    """Remove such a page with its folder. May be called again."""
    shutil.rmtree(path.parent, ignore_errors=True)


def _private_place() -> str | None:
    """The folder of this user's session, which ends with it, or None for the one of temporary files."""
    place = os.environ.get("XDG_RUNTIME_DIR", "")
    return place if place and Path(place).is_dir() and os.access(place, os.W_OK | os.X_OK) else None
