"""Files of a journal that is being restored: none is there yet, and only their owner can read them."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable
from pathlib import Path

from journal.folder import atomic_write, ownership

_NEW_FILE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def write_new(top: Path, path: str, chunks: Iterable[bytes]) -> None:
    """Write a file below the folder `top`, with the folders that it needs. Raises OSError if there is one already.

    It is on disk only when the system is asked to write all that it has.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     write_new(Path(name), "2025/2025-03-14.toml", [b"mood", b" = 4"])
    ...     Path(name, "2025", "2025-03-14.toml").read_bytes()
    b'mood = 4'
    """
    target = top / path
    _make_folders(top, target.parent)
    handle = os.open(target, _NEW_FILE, 0o600)
    with os.fdopen(handle, "wb") as file:
        ownership.follow(handle, top.stat())
        for chunk in chunks:
            file.write(chunk)


def _make_folders(top: Path, folder: Path) -> None:
    if folder != top and not folder.is_dir():
        _make_folders(top, folder.parent)
        atomic_write.make_folder(folder)
        if not folder.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, "not a folder", str(folder))
