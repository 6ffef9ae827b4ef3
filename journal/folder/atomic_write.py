"""Atomic replacement of a file: at any moment the old or the new content is on disk, never a part of one.

The new content goes to a temp file beside the old one, under a name that the reader skips. It is flushed to disk. Then
the two files exchange their names in one step (`exchanged_names`), and what came out is read: if another program has
written the file in the meantime, the names are exchanged back. So there is no moment in which its text can be lost.
Where names cannot be exchanged, the content is compared right before the temp file is renamed over the old one.

A killed writer can leave a temp file behind. One that ends in ".writing" is incomplete or unused. One that ends in
".replaced" may hold what another program wrote. The next writer in that folder clears both (`leftovers`).
"""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

from journal.folder import busy_files, exchanged_names, open_writers, ownership, plain_file
from journal.folder.discover import SIZE_LIMIT
from journal.language.catalogue import _

WRITING, REPLACED = ".writing", ".replaced"

_NEW = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


class ChangedError(Exception):
    """The file on disk is not the expected one. Never leaves `journal.folder`."""


def content(path: Path, limit: int = SIZE_LIMIT) -> bytes | None:
    """Return the bytes of a file, or None if it does not exist.

    Raises OSError, also for what is no regular file or has more than `limit` bytes, by default those of a page.
    """
    try:
        return busy_files.patiently(lambda: plain_file.read(path, limit))
    except FileNotFoundError:
        if path.is_symlink():
            raise
        return None


def replace(path: Path, data: bytes, before: bytes | None) -> None:
    """Replace a file whose bytes are `before`, or create one if `before` is None.

    A symbolic link stays, and its target is replaced. The file's mode stays. A new file gets mode 0600. Written as
    root, the file belongs to the owner of the old one, or of its folder. Raises ChangedError if the content is not
    `before`, or no longer `data` at the end, and OSError. The file is as others wrote it then.
    """
    target = Path(os.path.realpath(path))
    temp_path = _temp_file(target, data, before)
    limit = max(SIZE_LIMIT, len(data), len(before or b""))  # an export is larger than a page
    try:
        if content(target, limit) != before:
            raise ChangedError
        if before is None:
            _put_new(temp_path, target)
        else:
            _put_in_place(temp_path, target, data, before, limit)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temp_path)  # noqa: PTH108
        raise
    finally:
        sync_folder(target.parent)
    if content(target, limit) != data:
        raise ChangedError


def remove(path: Path, before: bytes) -> None:
    """Remove a file whose bytes are `before`. Raises ChangedError if they are others, and OSError."""
    target = Path(os.path.realpath(path))
    if content(target) != before:
        raise ChangedError
    handle, replaced = _new_file(target, REPLACED)
    os.close(handle)
    busy_files.patiently(lambda: os.replace(target, replaced))  # noqa: PTH105
    found, is_open = open_writers.content_when_closed(replaced)
    if found != before:
        _put_new(replaced, target)  # if the name is taken, the file stays for the next writer to keep
        raise ChangedError
    if not is_open:
        os.unlink(replaced)  # noqa: PTH108
    sync_folder(target.parent)


def _new_file(target: Path, suffix: str) -> tuple[int, str]:
    """Return the handle and path of a new file beside the target, of mode 0600. Raises OSError.

    As `tempfile.mkstemp`, whose import takes as long as the rest of a save.
    """
    path = f"{target.parent}/.{target.name}.{os.urandom(4).hex()}{suffix}"
    return os.open(path, _NEW, 0o600), path


def _temp_file(target: Path, data: bytes, before: bytes | None) -> str:
    """Return the path of a file beside the target with the new content, on disk."""
    handle, temp_path = _new_file(target, WRITING)
    try:
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(handle, rest) :]
            _set_owner_and_mode(handle, target, before)
            os.fsync(handle)
        finally:
            os.close(handle)
        if before is not None and target.exists() and not os.access(target, os.W_OK):
            # A rename ignores the file's mode, but a read-only file must stay as it is.
            raise PermissionError(13, _("the file is read-only"), str(target))
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temp_path)  # noqa: PTH108
        raise
    return temp_path


def _set_owner_and_mode(handle: int, target: Path, before: bytes | None) -> None:
    ownership.follow(handle, target.parent.stat())
    if before is not None and hasattr(os, "fchmod"):
        with contextlib.suppress(FileNotFoundError):
            os.fchmod(handle, stat.S_IMODE(target.stat().st_mode))


def _put_new(temp_path: str, target: Path) -> None:
    """Give a new file its name. Raises ChangedError if another file has it."""
    try:
        if exchanged_names.rename_to_free(temp_path, str(target)):
            return
    except FileExistsError:
        raise ChangedError from None
    if not _link_new(temp_path, target):
        busy_files.patiently(lambda: os.replace(temp_path, target))  # noqa: PTH105


def _link_new(temp_path: str, target: Path) -> bool:
    """Give a new file its name without replacing another file. Return False if the drive has no hard links."""
    try:
        os.link(temp_path, target)
    except FileExistsError:
        raise ChangedError from None
    except OSError:
        return False
    with contextlib.suppress(OSError):
        os.unlink(temp_path)  # noqa: PTH108
    return True


def _put_in_place(temp_path: str, target: Path, data: bytes, before: bytes, limit: int) -> None:
    """Put the temp file in the place of the target. Raises ChangedError, with the target as others wrote it."""
    replaced = _replaced_name(temp_path)
    # From here on, the name says that it may hold another's text.
    busy_files.patiently(lambda: os.rename(temp_path, replaced))  # noqa: PTH104
    try:
        is_exchanged = exchanged_names.exchange(replaced, str(target))
    except FileNotFoundError:  # the target was renamed or removed just now
        _unlink(replaced)
        raise ChangedError from None
    except OSError:
        _unlink(replaced)
        raise
    if not is_exchanged:

        def put() -> None:
            if content(target, limit) != before:  # each time anew: what has it open may write it
                raise ChangedError
            os.replace(replaced, target)  # noqa: PTH105

        try:
            busy_files.patiently(put)
        except BaseException:
            _unlink(replaced)
            raise
        return
    found, is_open = open_writers.content_when_closed(replaced, limit)
    if found != before:
        _exchange_back(replaced, target, data, limit)
        raise ChangedError
    if not is_open:  # otherwise its program may still write into it; the next writer looks at it again
        _unlink(replaced)


def _exchange_back(replaced: str, target: Path, data: bytes, limit: int) -> None:
    """Give another program's file its name back.

    If yet another version stands there by now, that one stays, and the file is left for the next writer to keep.
    """
    try:
        exchanged_names.exchange(replaced, str(target))
        found, is_open = open_writers.content_when_closed(replaced, limit)
        if found == data and not is_open:
            _unlink(replaced)
        else:
            exchanged_names.exchange(replaced, str(target))
    except FileNotFoundError:  # the target was removed just now
        with contextlib.suppress(FileExistsError):
            exchanged_names.rename_to_free(replaced, str(target))


def _replaced_name(temp_path: str) -> str:
    return temp_path.removesuffix(WRITING) + REPLACED


def _unlink(path: str) -> None:
    with contextlib.suppress(OSError):
        busy_files.patiently(lambda: os.unlink(path))  # noqa: PTH108


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
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Flush the folder's new entry to disk. The file is in place already, so a failure is ignored."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
