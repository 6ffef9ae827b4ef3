"""The write lock of a journal: no other Duskbook process writes between a read and the replacement that depends on it.

The lock is on a file of our own, `.cache/lock`, which no one else has a reason to lock. A file of another user is
replaced. The folder itself is locked
too, but hardly waited for: earlier versions lock only that, for some milliseconds, and another program or user may hold
it all evening. If there can be no such file, e.g. in a `.cache` of another user, the lock on the folder counts. On a
drive without locks there is none, and the comparison right before a page is replaced has to do.

The system releases a lock when the process ends, however it ends. It only stops Duskbook processes on one machine.
Changes by an editor or another device are detected by comparison, and merged.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from journal.errors import WriteError
from journal.folder import cache
from journal.language.catalogue import N_, _

_PATIENCE = 10.0
"""Seconds to wait for another writer. Writing a page takes milliseconds, on a slow drive some tenths of a second."""
_FOLDER_PATIENCE = 0.1  # seconds to wait for a lock that need not be one of ours
_PAUSE = 0.005  # seconds between two attempts
_ATTEMPTS = 20
_NAME = re.compile("lock")


@contextlib.contextmanager
def write_lock(folder: Path, patience_seconds: float = _PATIENCE) -> Iterator[None]:
    """Hold the write lock of a journal. Raises WriteError if another process holds it longer than the patience."""
    with contextlib.ExitStack() as held:
        file = _locked_file(folder, patience_seconds, held)
        handle = _open_folder(folder, held)
        if handle is not None and file:
            _wait(handle, min(_FOLDER_PATIENCE, patience_seconds))
        elif handle is not None and not _wait(handle, patience_seconds):
            text = N_('another program has locked "{folder}"; end it, or delete .cache there, and save again')
            raise WriteError(_(text, folder=folder))
        yield


def _locked_file(folder: Path, patience_seconds: float, held: contextlib.ExitStack) -> bool:
    """Lock the file. Return False if there can be none. Raises WriteError if another process holds it."""
    deadline = time.monotonic() + patience_seconds
    for _attempt in range(_ATTEMPTS):
        try:
            with cache.opened(folder, make=True) as opened:
                handle = opened.open_file("lock", os.O_RDWR | os.O_CREAT)
                held.callback(os.close, handle)  # closing releases the lock
                if not _is_ours(handle, folder):  # another user, who can write here, could hold it all evening
                    opened.remove("lock", _NAME)
                    continue
                if not _wait(handle, deadline - time.monotonic()):
                    raise WriteError(
                        _(
                            'another Duskbook is writing in "{folder}" and does not end; end it and save again',
                            folder=folder,
                        )
                    )
                if opened.is_same("lock", handle):
                    return True
        except OSError:
            return False
    return False  # something deletes the file all the time


def _is_ours(handle: int, folder: Path) -> bool:
    """Return whether a file belongs to this user or to the owner of the journal's folder."""
    if sys.platform == "win32":
        return True
    return os.fstat(handle).st_uid in (os.geteuid(), folder.stat().st_uid)


def _open_folder(folder: Path, held: contextlib.ExitStack) -> int | None:
    """Return a handle of the folder, to lock it, or None where folders cannot be locked."""
    if sys.platform == "win32":
        return None
    handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    held.callback(os.close, handle)
    try:
        _try_lock(handle)
    except OSError:
        return None
    return handle


def _wait(handle: int, patience_seconds: float) -> bool:
    """Take a lock within a time, or at once. Return whether that succeeded. Taking it twice has no effect."""
    deadline = time.monotonic() + patience_seconds
    while not _try_lock(handle):
        if time.monotonic() > deadline:
            return False
        time.sleep(_PAUSE)
    return True


def _try_lock(handle: int) -> bool:
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
