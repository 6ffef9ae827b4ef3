"""Versions of pages: the content of a page at one moment, read and parsed once per request.

A form and a merge start from a version (`Base`). A save compares it with the version on disk and makes the next one.
`PageVersions` holds the versions of one request, and reads a page again only if its size or times changed. That is
enough to show a page and to compute changes. Before a page is replaced, its bytes are compared once more
(`atomic_write.replace`).
"""

from __future__ import annotations

import functools
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec

from journal import periods
from journal.errors import FolderError, UsageError, WriteError
from journal.folder import discover, folder_walk, toml_read
from journal.folder.discover import JournalFile
from journal.folder.toml_read import NotReadError
from journal.language import system_errors
from journal.language.catalogue import N_, _

UNDATED = "undated"
SETTINGS = "settings"
"""The keys of the two files that are of no period: undated.toml and journal.toml."""


_FIXED = {UNDATED: discover.UNDATED_NAME, SETTINGS: discover.SETTINGS_NAME}


class Base(msgspec.Struct, frozen=True, dict=True):
    """A page at the time it was read: its key, its path and its bytes, None if there was no file.

    Text and values are computed once and shared, so callers must not change them.
    """

    key: str
    path: str
    data: bytes | None

    @functools.cached_property
    def toml(self) -> tuple[str, dict[str, Any]]:
        """The text and the values. Raises NotReadError, which must not leave `journal.folder`."""
        if self.data is None:
            return "", {}
        text = toml_read.text(self.path, self.data)
        return text, toml_read.values(self.path, text)

    @property
    def text(self) -> str:
        """The text, empty for a missing page. Raises WriteError, with position and remedy, if it cannot be decoded."""
        try:
            return "" if self.data is None else toml_read.text(self.path, self.data)
        except NotReadError as error:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None

    @property
    def values(self) -> dict[str, Any]:
        """The values as TOML has them. Raises WriteError, with position and remedy, if they cannot be read.

        So a broken page is never changed, and neither is a broken journal.toml: a splice is safe only in valid TOML.
        """
        try:
            return self.toml[1]
        except NotReadError as error:
            told = str(error.problem)
            if self.key == SETTINGS:
                told = _("{problem}; it is not changed before that is mended", problem=told)
            raise WriteError(told, problems=(error.problem,)) from None

    @functools.cached_property
    def applied(self) -> dict[str, Any]:
        """The values as `values`, and of a broken journal.toml those of its valid statements."""
        try:
            return self.toml[1]
        except NotReadError:
            if self.key != SETTINGS:
                return self.values  # raises
            from journal.folder import toml_recovery  # noqa: PLC0415 (most journals never need it)

            return toml_recovery.recover(self.path, self.text).values


class FileState(msgspec.Struct, frozen=True):
    """A file's size in bytes, and when its content and its inode state last changed, in ns."""

    size: int
    content_ns: int
    state_ns: int


_MISSING = FileState(-1, 0, 0)


def file_state(path: Path) -> FileState | None:
    """Return the state of a file, `_MISSING` for a missing one, or None if the state cannot be read."""
    try:
        status = path.stat()
    except FileNotFoundError:
        return None if path.is_symlink() else _MISSING
    except OSError:
        return None
    return FileState(status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def is_still(before: FileState | None, read_ns: int, now: FileState | None) -> bool:
    """Return whether a file is unchanged since it was read at `read_ns` with the state `before`.

    A file written within one clock tick of `read_ns` counts as changed: a second write in the same tick would leave the
    same times.
    """
    return now is not None and now == before and now.content_ns < read_ns - discover.TICK_NS


class _Seen(msgspec.Struct, frozen=True):
    base: Base
    state: FileState | None  # taken before the file was read
    read_ns: int


class PageVersions:
    """The versions of a journal's pages that one request has read so far."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: dict[str, _Seen] = {}  # by key, the last version read
        self._looked = set[str]()  # the keys read or checked since the journal was opened
        self._known: dict[tuple[str, bytes | None], Base] = {}

    def again(self) -> PageVersions:
        """Return these versions for opening the journal again: each page is checked anew, and read if it changed."""
        reopened = PageVersions(self.folder)
        reopened._seen, reopened._known = dict(self._seen), self._known
        return reopened

    def look(self, key: str) -> Base:
        """Return the first version that this request read of a page.

        `key` is a day, week, month or year ("2025-03-14", "2025-W11", "2025-03", "2025"), "undated" or "settings". The
        page may be missing or broken; accessing its values then raises.

        Raises UsageError if there is no such period, FolderError if the file cannot be read.
        """
        return self._seen[key].base if key in self._looked else self.current(key)

    def has_read(self, key: str) -> bool:
        """Return whether this request, or the one before it, has read a page."""
        return key in self._seen

    def look_at_all(self, keys: Iterable[str]) -> dict[str, Base]:
        """Return the current versions of several pages of periods, with one walk over the folder."""
        paths = {file.key: file.path for file in discover.find(self.folder).pages}
        return {key: self._at(key, paths.get(key) or _usual(key)) for key in keys}

    def current(self, key: str) -> Base:
        """Return the page as it is on disk now, reading it only if its size or times changed.

        Raises UsageError and FolderError as `look` does.
        """
        try:
            path = _path(self.folder, key)
        except OSError as error:
            told = _(
                'the page of {period} cannot be looked up in "{folder}" ({reason}); check its location',
                period=key,
                folder=self.folder,
                reason=system_errors.reason(error),
            )
            raise FolderError(told) from None
        return self._at(key, path)

    def writable(self, key: str) -> Base:
        """Return the page as `current` does. Raises WriteError, too, if a link leads out of the journal with it."""
        base = self.current(key)
        if folder_walk.is_outside(str(self.folder), base.path):
            raise WriteError(
                _(
                    '"{path}" is not saved: a link leads out of the journal there; '
                    "put what it leads to in its place, then save again",
                    path=self.folder / base.path,
                )
            )
        return base

    def opened(self, file: JournalFile) -> Base:
        """Return the version of a page that a walk over the folder listed. Raises NotReadError."""
        state = FileState(file.size, file.content_ns, file.state_ns)
        seen = self._unchanged(file.key, file.path, state) if file.size <= discover.SIZE_LIMIT else None
        if seen is None:
            read_ns = time.time_ns()
            data = toml_read.content(str(self.folder), file.path, file.size)
            seen = _Seen(self.same(Base(file.key, file.path, data)), state, read_ns)
        return self._keep(seen)

    def same(self, base: Base) -> Base:
        """Return the known version with the same bytes, or this one, which becomes known."""
        return self._known.setdefault((base.path, base.data), base)

    def forget(self, key: str) -> None:
        """Read a page again at its next use, whatever its size and times are."""
        self._seen.pop(key, None)
        self._looked.discard(key)

    def _at(self, key: str, path: str) -> Base:
        state = file_state(self.folder / path)
        seen = self._unchanged(key, path, state)
        if seen is None:
            from journal.folder import atomic_write  # noqa: PLC0415 (to open a journal needs no page of one path)

            read_ns = time.time_ns()
            try:
                data = atomic_write.content(self.folder / path)
            except OSError as error:
                told = _(
                    '"{path}" cannot be read ({reason}); check its location',
                    path=self.folder / path,
                    reason=system_errors.reason(error),
                )
                raise FolderError(told) from None
            seen = _Seen(self.same(Base(key, path, data)), state, read_ns)
        return self._keep(seen)

    def _unchanged(self, key: str, path: str, now: FileState | None) -> _Seen | None:
        seen = self._seen.get(key)
        if seen is None or seen.base.path != path:
            return None
        return seen if is_still(seen.state, seen.read_ns, now) else None

    def _keep(self, seen: _Seen) -> Base:
        self._seen[seen.base.key] = seen
        self._looked.add(seen.base.key)
        return seen.base


def file_of(key: str, path: str) -> JournalFile:
    """Return the file of a page that need not exist, as `reading` needs it to check a text."""
    return JournalFile(path, "day" if key in _FIXED else periods.parse_name(key).kind, key, 0, 0, 0)


def _path(folder: Path, key: str) -> str:
    """Return a page's path below the folder, with forward slashes. A new page goes in the folder of its year."""
    if key in _FIXED:
        return _FIXED[key]
    periods.parse_name(key)
    if not discover.EARLIEST_YEAR <= int(key[:4]) <= discover.LATEST_YEAR:
        text = N_('"{period}" is too far from today; write a year from {year}')
        raise UsageError(_(text, period=key, year=discover.EARLIEST_YEAR))
    usual = _usual(key)
    return usual if (folder / usual).exists() else discover.path_of(folder, key) or usual


def _usual(key: str) -> str:
    return f"{key[:4]}/{key}.toml"
