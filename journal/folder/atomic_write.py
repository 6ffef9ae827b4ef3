"""A file replaced as a whole: at any moment, whatever fails, there is the old one or the new one and never a part.

The new one is written beside the old, under a name that the reader does not look at, forced to the disk, and takes the
old one's name in one step (POSIX rename; ReplaceFile semantics on Windows). A writer that is killed can leave such a
file behind; the next one to write in that folder takes it away.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import tempfile
from pathlib import Path

_ASIDE = ".writing"
_LEFT_BEHIND = re.compile(r"\..+\.toml\.[a-z0-9_]{8}\.writing")


class ChangedError(Exception):
    """The file is no longer what it was thought to be; never leaves `journal.folder`."""


def content(path: Path) -> bytes | None:
    """The bytes of a file; None where there is none. Raises OSError."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        if path.is_symlink():
            raise
        return None


def replace(path: Path, data: bytes, before: bytes | None) -> None:
    """Put a file in place of one with the bytes `before`, or where there is none.

    A link stays, and what it leads to is replaced. The file's mode stays; a new file is its writer's own (0600).
    Raises ChangedError where the file is not as it was before, and OSError; the file is untouched then. The look at
    it comes after the slow part, so that only an editor that saves within the same few microseconds is not seen.
    """
    target = Path(os.path.realpath(path))
    handle, aside = tempfile.mkstemp(prefix=f".{target.name}.", suffix=_ASIDE, dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if before is not None:
            with contextlib.suppress(FileNotFoundError):
                Path(aside).chmod(stat.S_IMODE(target.stat().st_mode))
            if not os.access(target, os.W_OK):
                # A rename does not ask, but who made a file read-only meant it.
                raise PermissionError(13, "the file is read-only", str(target))
        if content(target) != before:
            raise ChangedError
        if before is None and _linked(aside, target):
            return
        Path(aside).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(aside).unlink()
        raise
    finally:
        _settle(target.parent)


def _linked(aside: str, target: Path) -> bool:
    """Give a new file its name in a way that never takes it from another; False where the drive has no such way."""
    try:
        os.link(aside, target)
    except FileExistsError:
        raise ChangedError from None
    except OSError:
        return False
    with contextlib.suppress(OSError):
        Path(aside).unlink()
    return True


def sweep(path: Path) -> None:
    """Take away what killed writers left beside a file. Only for who is alone in writing."""
    with contextlib.suppress(OSError), os.scandir(Path(os.path.realpath(path)).parent) as entries:
        for entry in entries:
            if entry.name[0] == "." and _LEFT_BEHIND.fullmatch(entry.name):
                with contextlib.suppress(OSError):
                    os.unlink(entry.path)  # noqa: PTH108


def _settle(folder: Path) -> None:
    """Force the new name to the disk too. The file is in place by now, so that not to be able to is no failure."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
