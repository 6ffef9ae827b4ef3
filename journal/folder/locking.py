"""The write lock of a journal: no other Duskbook process writes between a read and the replacement that depends on it.

The lock is on the journal's folder itself, so no lock file has to be made or can be deleted. The system releases it
when the process ends, however it ends. If the folder cannot be locked (Windows, some network drives), the lock is on a
file in `.cache/`. The lock only stops Duskbook processes on one machine. Changes by an editor or another device are
detected by comparison, and merged.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from journal.errors import WriteError
from journal.folder.discover import CACHE_NAME

_PATIENCE = 10.0
"""Seconds to wait for another writer. Writing a page takes milliseconds, on a slow drive some tenths of a second."""
_PAUSE = 0.005  # seconds between two attempts


@contextlib.contextmanager
def write_lock(folder: Path, patience_seconds: float = _PATIENCE) -> Iterator[None]:
    """Hold the write lock of a journal. Raises WriteError if another process holds it longer than the patience."""
    handle = _open_lock(folder)
    try:
        deadline = time.monotonic() + patience_seconds
        while not _try_lock(handle):
            if time.monotonic() > deadline:
                raise WriteError(f'another Duskbook is writing in "{folder}" and does not end; end it and save again')
            time.sleep(_PAUSE)
        yield
    finally:
        os.close(handle)  # closing releases the lock


def _open_lock(folder: Path) -> int:
    """Return a handle of the folder, or of the lock file if the folder cannot be locked."""
    if sys.platform != "win32":
        import fcntl  # noqa: PLC0415 (missing on Windows)

        handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return handle
        except OSError:  # a drive without folder locks
            os.close(handle)
        else:
            return handle
    (folder / CACHE_NAME).mkdir(exist_ok=True)
    return os.open(folder / CACHE_NAME / "lock", os.O_RDWR | os.O_CREAT, 0o600)


def _try_lock(handle: int) -> bool:
    """Take the lock if it is free. Taking it twice has no effect."""
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):  # Windows raises the second
        return False
    return True
