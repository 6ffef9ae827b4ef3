"""Reading a file of bounded size that may turn out to be something else: a pipe, a device, a sparse file."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

from journal.language import digits
from journal.language.catalogue import _
from journal.language.lazy_text import L_, LazyText

_PART = 1_000_000  # bytes
_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


def irregular(mode: int) -> str:
    """Name the kind of a path that is not a regular file."""
    return str(irregular_kind(mode))


def irregular_kind(mode: int) -> LazyText:
    """Name the kind as `irregular` does, not looked up in a language yet."""
    return _KINDS.get(stat.S_IFMT(mode), L_("a device"))


_KINDS = {stat.S_IFDIR: L_("a folder"), stat.S_IFIFO: L_("a pipe"), stat.S_IFSOCK: L_("a socket")}


def read(path: Path, limit: int) -> bytes:
    """Return the bytes of a file, following links. Never waits.

    Raises OSError, with a reason for people in `strerror`, if it is no regular file or has more than `limit` bytes.

    >>> read(Path("/dev/zero"), 100)
    Traceback (most recent call last):
    OSError: [Errno 22] it is a device: '/dev/zero'
    """
    with opened(path) as file:
        size = os.fstat(file.fileno()).st_size
        data = _read(file, limit + 1) if size <= limit else b""
    if max(size, len(data)) > limit:
        reason = _("it has more than {count} bytes", count=digits.number(limit))
        raise OSError(errno.EFBIG, reason, str(path))
    return data


def _read(file: BinaryIO, most: int) -> bytes:
    """Read at most so many bytes. `file.read(most)` takes that much memory at once, however short the file is."""
    data = bytearray()
    while len(data) < most and (part := file.read(min(most - len(data), _PART))):
        data += part
    return bytes(data)


def opened(path: Path) -> BinaryIO:
    """Open a file of any size to read, following links. Never waits. Raises OSError as `read` does."""
    _refuse_irregular(path, os.stat(path))  # noqa: PTH116 (opening a device may do something)
    file = os.fdopen(os.open(path, _OPEN), "rb")
    try:
        _refuse_irregular(path, os.fstat(file.fileno()))
    except BaseException:
        file.close()
        raise
    return file


def _refuse_irregular(path: Path, status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, _("it is {kind}", kind=irregular(status.st_mode)), str(path))
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, _("it is {kind}", kind=irregular(status.st_mode)), str(path))
