"""Versions of pages: what a page said at a moment, opened once and parsed once however often it is asked for.

A form and a merge start from a version (`Base`); a save compares it with the one on disk and makes the next.
`PageVersions` holds those that one request meets, and opens a page again only where its size or times are others than
before. That is enough to show a page and to work out changes. A page is not replaced on their word: its bytes are
compared right before that (`atomic_write.replace`).
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
from journal.folder import atomic_write, discover, toml_read
from journal.folder.discover import JournalFile
from journal.folder.toml_read import NotReadError

UNDATED = "undated"


class Base(msgspec.Struct, frozen=True, dict=True):
    """A page as it was looked at: where it lies or will lie, and its bytes, None where there was none.

    Its text and values are worked out once and shared, so they are not to be changed.
    """

    key: str
    path: str
    data: bytes | None

    @functools.cached_property
    def toml(self) -> tuple[str, dict[str, Any]]:
        """Its text and its values. Raises NotReadError, which stays within `journal.folder`."""
        if self.data is None:
            return "", {}
        text = toml_read.text(self.path, self.data)
        return text, toml_read.values(self.path, text)

    @property
    def text(self) -> str:
        """Its text; empty where there is none. Raises WriteError, with place and remedy, where it is none."""
        try:
            return "" if self.data is None else toml_read.text(self.path, self.data)
        except NotReadError as error:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None

    @property
    def values(self) -> dict[str, Any]:
        """Its values as TOML has them. Raises WriteError, with place and remedy, where it cannot be read."""
        try:
            return self.toml[1]
        except NotReadError as error:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None


class FileState(msgspec.Struct, frozen=True):
    """What the file system says of a file: bytes, and when its content and its state were last changed, in ns."""

    size: int
    content_ns: int
    state_ns: int


_MISSING = FileState(-1, 0, 0)


def file_state(path: Path) -> FileState | None:
    """The state of a file, or that there is none; None where the file system does not say."""
    try:
        status = path.stat()
    except FileNotFoundError:
        return None if path.is_symlink() else _MISSING
    except OSError:
        return None
    return FileState(status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def is_still(before: FileState | None, read_ns: int, now: FileState | None) -> bool:
    """Whether a file has not changed since it was read at `read_ns`, when its state was `before`.

    A file that was written within a tick of that moment may have been written once more in the same tick, which its
    times do not tell: it is taken as changed.
    """
    return now is not None and now == before and now.content_ns < read_ns - discover.TICK_NS


class _Seen(msgspec.Struct, frozen=True):
    base: Base
    state: FileState | None  # as it was before the file was read
    read_ns: int


class PageVersions:
    """The versions of the pages of a journal that one request has met so far."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: dict[str, _Seen] = {}  # by key, the last version that was read
        self._looked = set[str]()  # the keys that were looked at since the journal was opened
        self._known: dict[tuple[str, bytes | None], Base] = {}

    def again(self) -> PageVersions:
        """The same versions for a journal that is opened once more: each is looked at anew, and read if it changed."""
        found = PageVersions(self.folder)
        found._seen, found._known = dict(self._seen), self._known
        return found

    def look(self, key: str) -> Base:
        """The page of a day, week, month or year ("2025-03-14", "2025-W11", "2025-03", "2025") or the "undated" one,
        as it was when it was first looked at.

        It may be missing, and may be broken: that is said when its values are asked for.

        Raises UsageError where there is no such period, FolderError where the file cannot be read.
        """
        return self._seen[key].base if key in self._looked else self.current(key)

    def look_at_all(self, keys: Iterable[str]) -> dict[str, Base]:
        """As `current`, of the pages of several days, weeks, months and years, after one walk over the folder."""
        found = {file.key: file.path for file in discover.find(self.folder).pages}
        return {key: self._at(key, found.get(key) or _usual(key)) for key in keys}

    def current(self, key: str) -> Base:
        """The page as it is on disk now: found anew, and read if its size or times are others than before.

        Raises UsageError and FolderError as `look` does.
        """
        return self._at(key, _path(self.folder, key))

    def opened(self, file: JournalFile) -> Base:
        """A page as a walk over the folder met it. Raises NotReadError."""
        state = FileState(file.size, file.content_ns, file.state_ns)
        seen = self._unchanged(file.key, file.path, state) if file.size <= discover.SIZE_LIMIT else None
        if seen is None:
            read_ns = time.time_ns()
            data = toml_read.content(str(self.folder), file.path, file.size)
            seen = _Seen(self.same(Base(file.key, file.path, data)), state, read_ns)
        return self._keep(seen)

    def same(self, base: Base) -> Base:
        """The version with the same bytes that is known already, else this one, which is known from now on."""
        return self._known.setdefault((base.path, base.data), base)

    def forget(self, key: str) -> None:
        """Read a page anew when it is next asked for, whatever its size and times are."""
        self._seen.pop(key, None)
        self._looked.discard(key)

    def _at(self, key: str, path: str) -> Base:
        state = file_state(self.folder / path)
        seen = self._unchanged(key, path, state)
        if seen is None:
            read_ns = time.time_ns()
            try:
                data = atomic_write.content(self.folder / path)
            except OSError as error:
                raise FolderError(
                    f'"{self.folder / path}" cannot be read ({error.strerror}); see to its place'
                ) from None
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
    """The file of a page that need not be there, to read its text by."""
    return JournalFile(path, "day" if key == UNDATED else periods.parse_name(key).kind, key, 0, 0, 0)


def _path(folder: Path, key: str) -> str:
    """Where a page lies below the folder, with forward slashes: under its year where there is none yet."""
    if key == UNDATED:
        return discover.UNDATED_NAME
    periods.parse_name(key)
    if not discover.EARLIEST_YEAR <= int(key[:4]) <= discover.LATEST_YEAR:
        raise UsageError(f'"{key}" is too far from today; write a year from {discover.EARLIEST_YEAR}')
    usual = _usual(key)
    return usual if (folder / usual).exists() else discover.path_of(folder, key) or usual


def _usual(key: str) -> str:
    return f"{key[:4]}/{key}.toml"
