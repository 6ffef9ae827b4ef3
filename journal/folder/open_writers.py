"""Whether another program has a file open for writing, and waiting until it has closed it.

Linux tells it: a read lease (`fcntl(2)`, F_SETLEASE) is given only for a file that nobody has open for writing. Only
its owner can ask. Elsewhere, and on drives without leases, a file that was changed within the last two seconds counts
as possibly open.
"""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import sys
import time
from pathlib import Path

from journal.folder.discover import SIZE_LIMIT

PATIENCE_SECONDS = 2.0
"""The longest that a program may take from emptying a file to writing it. Editors take milliseconds."""

_READING = os.O_RDONLY | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_PAUSE = 0.005  # seconds between two looks
_MOMENT = 0.05  # seconds, for systems that do not tell who has a file open


def is_open(handle: int) -> bool | None:
    """Return whether anybody has a file open for writing, from a handle that was opened for reading. None: unknown."""
    if sys.platform != "linux":
        return None
    import fcntl  # noqa: PLC0415 (missing on Windows)

    try:
        # If somebody opens the file during the lease, the system sends a signal. The usual one would end the process.
        fcntl.fcntl(handle, fcntl.F_SETSIG, signal.SIGURG)
        fcntl.fcntl(handle, fcntl.F_SETLEASE, fcntl.F_RDLCK)
    except OSError as error:
        return True if error.errno == errno.EAGAIN else None
    with contextlib.suppress(OSError):  # closing the file ends the lease too
        fcntl.fcntl(handle, fcntl.F_SETLEASE, fcntl.F_UNLCK)
    return False


def may_be_open(path: Path) -> bool:
    """Return whether a file is open for writing, or was changed just now where the system does not tell."""
    try:
        handle = os.open(path, _READING)
    except OSError:
        return False
    try:
        is_opened = is_open(handle)
        return _is_recent(handle) if is_opened is None else is_opened
    finally:
        os.close(handle)


def content_when_closed(path: str, limit: int = SIZE_LIMIT) -> tuple[bytes, bool]:
    """Return the bytes of a file, and whether it is still open for writing, as far as the system tells.

    Of more than `limit` bytes, which is no page, at least one more than these are returned.
    Waits up to `PATIENCE_SECONDS` for other programs to close the file. Raises OSError.
    """
    handle = os.open(path, _READING)
    try:
        deadline = time.monotonic() + PATIENCE_SECONDS
        while (is_opened := is_open(handle)) and time.monotonic() < deadline:
            time.sleep(_PAUSE)
        if is_opened is None and _is_recent(handle):
            time.sleep(_MOMENT)
        return _content(handle, limit), bool(is_opened)
    finally:
        os.close(handle)


def _is_recent(handle: int) -> bool:
    return abs(time.time() - os.fstat(handle).st_mtime) < PATIENCE_SECONDS


def _content(handle: int, limit: int) -> bytes:
    data = bytearray()
    while len(data) <= limit and (part := os.read(handle, SIZE_LIMIT)):
        data += part
    return bytes(data)
