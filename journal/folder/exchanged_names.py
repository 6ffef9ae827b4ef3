"""Renames that no other program can come between: two files exchange names, or a name is taken only if it is free.

Linux has them since 3.15 (`renameat2`), macOS since 10.12 (`renamex_np`). Elsewhere, and on drives without them (some
network drives, FAT), both functions return False, and nothing has happened.
"""

from __future__ import annotations

import ctypes
import errno
import functools
import os
import platform
import sys
from collections.abc import Callable

_AT_FDCWD = -100
_LINUX_FREE, _LINUX_EXCHANGE = 1, 2  # RENAME_NOREPLACE, RENAME_EXCHANGE of linux/fs.h
_MACOS_EXCHANGE, _MACOS_FREE = 2, 4  # RENAME_SWAP, RENAME_EXCL of sys/stdio.h
_SYSTEM_CALLS = {
    "x86_64": 316,
    "aarch64": 276,
    "riscv64": 276,
    "armv7l": 382,
    "i686": 353,
    "ppc64le": 357,
    "s390x": 347,
}
"""Numbers of renameat2, for C libraries that have no function for it (musl before 1.2.6)."""

_WITHOUT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM}
"""Errors of a system or drive without these renames. EPERM comes from sandboxes that forbid unknown calls."""

Rename = Callable[[bytes, bytes, int], int]


def exchange(one: str, other: str) -> bool:
    """Let two files exchange their names in one step. Return False if that is not possible here. Raises OSError.

    >>> import tempfile
    >>> from pathlib import Path
    >>> with tempfile.TemporaryDirectory() as name:
    ...     one, other = Path(name, "one"), Path(name, "other")
    ...     _ = one.write_text("1"), other.write_text("2")
    ...     exchanged = exchange(str(one), str(other))
    ...     (one.read_text(), other.read_text()) == (("2", "1") if exchanged else ("1", "2"))
    True
    """
    return _renamed(one, other, _LINUX_EXCHANGE if sys.platform == "linux" else _MACOS_EXCHANGE)


def rename_to_free(one: str, other: str) -> bool:
    """Rename a file to a name that no file has. Return False if that is not possible here.

    Raises FileExistsError if the name is taken, and OSError.
    """
    return _renamed(one, other, _LINUX_FREE if sys.platform == "linux" else _MACOS_FREE)


def _renamed(one: str, other: str, flags: int) -> bool:
    rename = _rename()
    if rename is None:
        return False
    if rename(os.fsencode(one), os.fsencode(other), flags) == 0:
        return True
    code = ctypes.get_errno()
    if code in _WITHOUT:
        return False
    raise OSError(code, os.strerror(code), one, None, other)


@functools.cache
def _rename() -> Rename | None:
    """Return the function of the system, or None."""
    if sys.platform not in ("linux", "darwin"):
        return None
    library = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin":
        return _found(getattr(library, "renamex_np", None))
    found = getattr(library, "renameat2", None)
    number = _SYSTEM_CALLS.get(platform.machine())
    if found is not None:
        return lambda one, other, flags: int(found(_AT_FDCWD, one, _AT_FDCWD, other, ctypes.c_uint(flags)))
    if number is None:
        return None
    call = library.syscall
    return lambda one, other, flags: int(
        call(ctypes.c_long(number), _AT_FDCWD, one, _AT_FDCWD, other, ctypes.c_uint(flags))
    )


def _found(function: Callable[..., int] | None) -> Rename | None:
    if function is None:
        return None
    return lambda one, other, flags: int(function(one, other, ctypes.c_uint(flags)))
