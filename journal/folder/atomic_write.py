"""Atomic replacement of a file: at any moment the old or the new content is on disk, never a part of one.

The new content goes to a temp file beside the old one, under a name that the reader skips. It is flushed to disk and
renamed over the old file in one step (POSIX rename; ReplaceFile semantics on Windows). A killed writer can leave a temp
file behind. The next writer in that folder removes it.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import tempfile
from pathlib import Path

from journal.folder import ownership, plain_file
from journal.folder.discover import SIZE_LIMIT

_TEMP_SUFFIX = ".writing"
_LEFTOVER = re.compile(r"\..+\.toml\.[a-z0-9_]{8}\.writing")


class ChangedError(Exception):
    """The file on disk is not the expected one. Never leaves `journal.folder`."""


def content(path: Path) -> bytes | None:
    """Return the bytes of a file, or None if it does not exist. Raises OSError, also for what is no page's file."""
    try:
        return plain_file.read(path, SIZE_LIMIT)
    except FileNotFoundError:
        if path.is_symlink():
            raise
        return None


def replace(path: Path, data: bytes, before: bytes | None) -> None:
    """Replace a file whose bytes are `before`, or create one if `before` is None.

    A symbolic link stays, and its target is replaced. The file's mode stays. A new file gets mode 0600. Raises
    ChangedError if the content is not `before`, and OSError. The file is untouched then. The comparison comes after the
    slow writing, so a change by another editor is missed only within the same few microseconds.
    """
    target = Path(os.path.realpath(path))
    temp_fd, temp_path = tempfile.mkstemp(prefix=f".{target.name}.", suffix=_TEMP_SUFFIX, dir=target.parent)
    try:
        with os.fdopen(temp_fd, "wb") as file:
            file.write(data)
            file.flush()
            ownership.follow(temp_fd, target.parent.stat())
            os.fsync(file.fileno())
        if before is not None:
            with contextlib.suppress(FileNotFoundError):
                Path(temp_path).chmod(stat.S_IMODE(target.stat().st_mode))
            if not os.access(target, os.W_OK):
                # A rename ignores the file's mode, but a read-only file must stay as it is.
                raise PermissionError(13, "the file is read-only", str(target))
        if content(target) != before:
            raise ChangedError
        if before is None and _link_new(temp_path, target):
            return
        Path(temp_path).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(temp_path).unlink()
        raise
    finally:
        _sync_folder(target.parent)


def _link_new(temp_path: str, target: Path) -> bool:
    """Give a new file its name without replacing another file. Return False if the drive has no hard links."""
    try:
        os.link(temp_path, target)
    except FileExistsError:
        raise ChangedError from None
    except OSError:
        return False
    with contextlib.suppress(OSError):
        Path(temp_path).unlink()
    return True


def remove_leftovers(path: Path) -> None:
    """Remove the temp files of killed writers in the folder of a file. The caller must hold the write lock."""
    with contextlib.suppress(OSError), os.scandir(Path(os.path.realpath(path)).parent) as entries:
        for entry in entries:
            if entry.name[0] == "." and _LEFTOVER.fullmatch(entry.name):
                with contextlib.suppress(OSError):
                    os.unlink(entry.path)  # noqa: PTH108


def make_folder(folder: Path) -> None:
    """Make the folder of a page, if it is missing, for its owner only. Its entry is on disk then. Raises OSError."""
    try:
        folder.mkdir(mode=0o700)
    except FileExistsError:
        return
    handle = os.open(folder, os.O_RDONLY) if hasattr(os, "O_DIRECTORY") else None
    if handle is not None:
        ownership.follow(handle, folder.parent.stat())
        os.close(handle)
    _sync_folder(folder.parent)


def _sync_folder(folder: Path) -> None:
    """Flush the folder's new entry to disk. The file is in place already, so a failure is ignored."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
