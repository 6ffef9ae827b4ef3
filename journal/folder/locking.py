"""One writer at a time: what is read again before it is replaced is not replaced by another of ours in between.

The lock is on the journal's folder itself, so that nothing needs to be made for it or can be deleted from under it,
and the system lets go of it when its holder ends, however it ends. Where a folder cannot be locked (Windows, some
network drives) it is on a file in `.cache/`. It binds Duskbook's own writers on one machine; an editor or another
device does not know of it, and is met by comparing and merging.
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
"""Seconds to wait for another writer. Writing a page takes some thousandths, on a slow drive some tenths."""
_PAUSE = 0.005


@contextlib.contextmanager
def alone(folder: Path, patience_seconds: float = _PATIENCE) -> Iterator[None]:
    """Hold the lock of a journal. Raises WriteError where another holds it for longer than the patience lasts."""
    handle = _opened(folder)
    try:
        deadline = time.monotonic() + patience_seconds
        while not _taken(handle):
            if time.monotonic() > deadline:
                raise WriteError(f'another Duskbook is writing in "{folder}" and does not end; end it and save again')
            time.sleep(_PAUSE)
        yield
    finally:
        os.close(handle)  # which also lets go of the lock


def _opened(folder: Path) -> int:
    if sys.platform != "win32":
        import fcntl  # noqa: PLC0415 (there is none on Windows)

        handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return handle
        except OSError:  # a drive that locks no folders
            os.close(handle)
        else:
            return handle
    (folder / CACHE_NAME).mkdir(exist_ok=True)
    return os.open(folder / CACHE_NAME / "lock", os.O_RDWR | os.O_CREAT, 0o600)


def _taken(handle: int) -> bool:
    """Take the lock if it is free; taking it again is nothing."""
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):  # the second is what Windows says
        return False
    return True
