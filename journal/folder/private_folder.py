"""Folders that Duskbook makes in a journal for itself: `.cache` and its like. What lies in them is not trusted.

A journal may come from elsewhere, unpacked or synchronised. A link in its private folder could make the tool read,
write or delete files of another folder, a pipe could make it wait for ever, and a device or a sparse file could fill
the memory. So a private folder is opened component by component without following links, and everything in it is
reached from that handle. Only plain files of bounded size are read, and only names of a given shape are removed.

    with private_folder.opened(journal, ".cache", "before", make=True) as before:
        before.write("2025-03-14 22-05.toml", [data], durable=True)
        for name in before.names(SHAPE)[:-200]:
            before.remove(name, SHAPE)

Every function raises OSError, and `NotOursError`, which is one, for what is no plain file or folder of ours. Where the
system has no handles of folders (Windows), each path is checked right before it is used.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import time
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from journal.folder import busy_files, ownership

if TYPE_CHECKING:
    from pathlib import Path

_HAS_HANDLES = os.open in os.supports_dir_fd and hasattr(os, "O_DIRECTORY")
_PLAIN = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)
_PLAIN |= getattr(os, "O_BINARY", 0)
_LINK_TAGS = (0xA0000003, 0xA000000C)  # Windows: a junction, a symbolic link

_TEMPORARY = re.compile(r"\..+\.[0-9a-f]{16}\.writing", re.DOTALL)
_OLD_TEMPORARY = re.compile(r"(snapshot|closed\.json|CACHEDIR\.TAG)\.[a-z0-9_]{8}")
"""Temporary names of version 0.1 and before."""

_DAY_SECONDS = 86_400


class NotOursError(OSError):
    """A name in a private folder is a link, a pipe, a device, too large, or otherwise nothing that Duskbook makes.

    Its text is one of `system_errors.OWN_TEXTS`: it is looked up where it is shown, as those of the system are.
    """


class PrivateFile(NamedTuple):
    """The bytes of a file, and when they were last changed, in ns."""

    data: bytes
    written_ns: int


@contextlib.contextmanager
def opened(journal: str | Path, *names: str, make: bool = False) -> Iterator[PrivateFolder]:
    """Open the private folder of those names, one below the other, in a journal. With `make`, missing ones are made.

    A new folder has mode 0700. The journal's own path may be a link, since the person named it.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name, opened(name, ".cache", "before", make=True) as before:
    ...     before.write("a.toml", [b"mood = ", b"4"])
    ...     before.names(re.compile(r".*\\.toml")), before.read("a.toml", 100).data
    (['a.toml'], b'mood = 4')
    """
    current = PrivateFolder(str(journal), _open_folder(str(journal), None, follow=True), ())
    try:
        for name in names:
            below = current._below(name, make)
            current._close()
            current = below
        yield current
    finally:
        current._close()


class PrivateFolder:
    """An opened private folder. Names are plain names: no separator, not "." or ".."."""

    def __init__(self, path: str, handle: int | None, own: tuple[str, ...]) -> None:
        self.path = path
        """For messages. Files are reached by the handle."""
        self._handle = handle
        self._own = own  # this folder and those above it, up to the journal's

    def read(self, name: str, limit: int) -> PrivateFile:
        """Return a plain file of at most `limit` bytes."""
        handle = self.open_file(name, os.O_RDONLY)
        try:
            status = os.fstat(handle)
            if status.st_size > limit:
                raise self._not_ours(27, "too large", name)
            with open(handle, "rb", closefd=False) as file:
                data = file.read(limit + 1)  # it may have grown
        finally:
            os.close(handle)
        if len(data) > limit:
            raise self._not_ours(27, "too large", name)
        return PrivateFile(data, status.st_mtime_ns)

    def write(self, name: str, parts: Iterable[bytes], *, durable: bool = False) -> None:
        """Write a file atomically, readable by its owner only. With `durable`, it outlasts a power cut.

        What has the name already is replaced: of a link, the link. A folder of that name is an error.
        """
        temporary = f".{name}.{os.urandom(8).hex()}.writing"
        handle = os.open(self._at(temporary), os.O_WRONLY | os.O_CREAT | os.O_EXCL | _PLAIN, 0o600, dir_fd=self._handle)
        try:
            with open(handle, "wb") as file:  # noqa: PTH123 (a handle)
                file.writelines(parts)
                file.flush()
                ownership.follow(handle, self._status())
                if durable:
                    os.fsync(handle)
            names = self._at(temporary), self._at(name)
            busy_files.patiently(lambda: os.replace(*names, src_dir_fd=self._handle, dst_dir_fd=self._handle))
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(self._at(temporary), dir_fd=self._handle)
            raise
        if durable:
            self._sync()

    def append(self, name: str, data: bytes, limit: int, *, durable: bool = False) -> None:
        """Append to a plain file with one name only, made if it is missing. Nothing is written beyond `limit` bytes."""
        handle = self.open_file(name, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        try:
            status = os.fstat(handle)
            if status.st_nlink > 1:  # a second name may be a file outside
                raise self._not_ours(31, "has a second name", name)
            if status.st_size + len(data) > limit:
                raise self._not_ours(27, "too large", name)
            left = memoryview(data)
            while left:
                left = left[os.write(handle, left) :]
            if durable:
                os.fsync(handle)
        finally:
            os.close(handle)
        if durable:
            self._sync()

    def names(self, shape: re.Pattern[str]) -> list[str]:
        """Return the names of plain files that match a shape as a whole, sorted."""
        return sorted(entry.name for entry in self._entries() if shape.fullmatch(entry.name) and _is_plain(entry))

    def files(self, shape: re.Pattern[str]) -> dict[str, int]:
        """Return the names of plain files that match a shape as a whole, sorted, each with its last change, in ns."""
        return {name: self._name_status(name).st_mtime_ns for name in self.names(shape)}

    def size(self, name: str) -> int:
        """Return the size of a file in bytes."""
        return self._name_status(name).st_size

    def written_ns(self, name: str) -> int:
        """Return when a file was last changed, in ns."""
        return self._name_status(name).st_mtime_ns

    def touch(self, name: str) -> None:
        """Set the times of a plain file to now."""
        if stat.S_ISREG(self._name_status(name).st_mode):
            os.utime(self._at(name), dir_fd=self._handle, follow_symlinks=False)

    def folders(self, shape: re.Pattern[str]) -> list[str]:
        """Return the names of folders that match a shape as a whole, sorted. Links to folders are left out."""
        matching = (entry for entry in self._entries() if shape.fullmatch(entry.name))
        return sorted(entry.name for entry in matching if entry.is_dir(follow_symlinks=False))

    def remove(self, name: str, shape: re.Pattern[str]) -> None:
        """Remove a plain file whose name matches a shape as a whole. Its folder is synced by a later durable write."""
        if not shape.fullmatch(name) or not stat.S_ISREG(self._name_status(name).st_mode):
            raise self._not_ours(1, "not made by Duskbook", name)
        os.unlink(self._at(name), dir_fd=self._handle)

    def sweep(self) -> None:
        """Remove own temporary files that are older than a day, or from the future. No error is raised.

        A killed process leaves one. A younger file may be of a process that is writing.
        """
        now = time.time()
        with contextlib.suppress(OSError):
            for entry in self._entries():
                if _TEMPORARY.fullmatch(entry.name) or _OLD_TEMPORARY.fullmatch(entry.name):
                    with contextlib.suppress(OSError):
                        written = self._name_status(entry.name).st_mtime
                        if abs(now - written) > _DAY_SECONDS and _is_plain(entry):
                            os.unlink(self._at(entry.name), dir_fd=self._handle)

    def open_file(self, name: str, flags: int) -> int:
        """Return a handle of a plain file, which the caller closes. A file that is made has mode 0600."""
        try:
            self._refuse_irregular(name, self._name_status(name))
        except FileNotFoundError:
            if not flags & os.O_CREAT:
                raise
        handle = os.open(self._at(name), flags | _PLAIN, 0o600, dir_fd=self._handle)
        try:
            self._refuse_irregular(name, os.fstat(handle))  # it may have been exchanged meanwhile
            if flags & os.O_CREAT:
                ownership.follow(handle, self._status())
        except BaseException:
            os.close(handle)
            raise
        return handle

    def is_same(self, name: str, handle: int) -> bool:
        """Return whether an opened file still has its name."""
        try:
            return os.path.samestat(self._name_status(name), os.fstat(handle))
        except FileNotFoundError:
            return False

    def _refuse_irregular(self, name: str, status: os.stat_result) -> None:
        if not stat.S_ISREG(status.st_mode) or _is_windows_link(status):
            raise self._not_ours(1, "not a plain file", name)

    def _not_ours(self, number: int, text: str, name: str) -> NotOursError:
        return NotOursError(number, text, f"{self.path}{os.sep}{name}")

    def _below(self, name: str, make: bool) -> PrivateFolder:
        path = self._at(name)
        if make:
            try:
                os.mkdir(path, 0o700, dir_fd=self._handle)
            except FileExistsError:
                make = False
        handle = _open_folder(path, self._handle, follow=False)
        inside = f"{self.path}{os.sep}{name}"
        below = PrivateFolder(inside, handle, (*self._own, inside))
        if make:
            if below._handle is not None:
                ownership.follow(below._handle, self._status())
            self._sync()
        return below

    def _at(self, name: str) -> str:
        """Return the name as the system is to be asked for it: from the handle, or else as a path that was checked."""
        if name in ("", ".", "..") or "/" in name or os.sep in name or "\0" in name:
            raise NotOursError(22, "not a plain name", name)
        if self._handle is not None:
            return name
        for own in self._own:
            _refuse_linked_folder(own, os.lstat(own))
        return f"{self.path}{os.sep}{name}"

    def _name_status(self, name: str) -> os.stat_result:
        return os.stat(self._at(name), dir_fd=self._handle, follow_symlinks=False)

    def _status(self) -> os.stat_result:
        return os.stat(self.path) if self._handle is None else os.fstat(self._handle)  # noqa: PTH116

    def _entries(self) -> list[os.DirEntry[str]]:
        with os.scandir(self.path if self._handle is None else self._handle) as entries:
            return list(entries)

    def _sync(self) -> None:
        """Flush the folder's entries to disk. They are in place already, so a failure is ignored."""
        if self._handle is not None:
            with contextlib.suppress(OSError):
                os.fsync(self._handle)

    def _close(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


def _open_folder(path: str, above: int | None, *, follow: bool) -> int | None:
    """Return a handle of a folder, or None where the system has none."""
    if not _HAS_HANDLES:
        status = os.stat(path, follow_symlinks=follow)  # noqa: PTH116
        _refuse_linked_folder(path, status)
        return None
    no_follow = 0 if follow else os.O_NOFOLLOW
    return os.open(path, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC | no_follow, dir_fd=above)


def _refuse_linked_folder(path: str, status: os.stat_result) -> None:
    if not stat.S_ISDIR(status.st_mode) or _is_windows_link(status):
        raise NotOursError(20, "not a folder of its own", path)


def _is_plain(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file(follow_symlinks=False)
    except OSError:
        return False


def _is_windows_link(status: os.stat_result) -> bool:
    """Return whether a status is that of a junction, which Python does not count as a link."""
    return getattr(status, "st_reparse_tag", 0) in _LINK_TAGS
