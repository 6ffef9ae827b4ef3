"""A cached snapshot of all pages, in the journal's `.cache`, so that only changed pages are read again.

It is one file with the frames as Parquet, the size and times of each page, and the problems. It can be deleted at any
time. A snapshot that is broken, foreign or of another version is ignored. In a read-only folder none is written.

A page counts as unchanged while its path, its size and both its times are the same: that of its content, and that of
its inode state, which a change of permissions updates too. The page must also be older than the snapshot by more than
one tick of the file system's clock: two writes within one tick leave the same times.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from hashlib import blake2b
from operator import attrgetter
from pathlib import Path
from typing import Any

import msgspec
import polars as pl

from journal import __version__
from journal.errors import Problem
from journal.folder import cache
from journal.folder.discover import TICK_NS, JournalFile
from journal.folder.page_frames import Frames, PageFrames, Schemas, parquet
from journal.language.lazy_text import Phrase

FILE_NAME = "snapshot"
SIZE_LIMIT = 100_000_000
"""Bytes. Fifty years of pages have about 10 million."""
FEW = 32
"""Reading this many changed pages again takes about two milliseconds, less than writing a new snapshot."""

_FORMAT = 2
_MAGIC = b"Duskbook snapshot\n"
_DIGEST_BYTES = 32

_READERS = ("entry", "errors", "fields", "page_columns", "periods", "recurrence", "schedule", "settings", "tables")


class Snapshot(msgspec.Struct, frozen=True):
    """The data of the pages in `packed` or `known` at the time they were read.

    A page whose content is older than `trusted_before_ns`, and whose size and times are the same, is unchanged.
    """

    packed: bytes = b""
    problems: tuple[Problem, ...] = ()
    frames: PageFrames | None = None
    trusted_before_ns: int = 0
    known: Sequence[JournalFile] | None = None

    @property
    def files(self) -> Sequence[JournalFile]:
        """The pages, as a list is encoded in `packed`: to compare its bytes is quicker than to make 20,000 objects."""
        if self.known is None:
            return msgspec.msgpack.decode(self.packed, type=list[JournalFile]) if self.packed else ()
        return self.known

    def is_of(self, pages: Sequence[JournalFile]) -> bool:
        """Whether it has exactly these pages."""
        return self.packed == msgspec.msgpack.encode(pages) if self.known is None else self.known == pages


EMPTY = Snapshot()


class Difference(msgspec.Struct, frozen=True):
    """The comparison of a snapshot with the pages of the folder.

    `problems` and `frames` are those of unchanged pages, `fresh` the pages to read, `changes` the number of new,
    changed and deleted pages.
    """

    problems: tuple[Problem, ...]
    frames: PageFrames | None
    fresh: list[JournalFile]
    changes: int


class _StoredProblem(msgspec.Struct, array_like=True):
    """A problem with its words as they are before they are looked up: the snapshot is of no language."""

    path: str
    line: int
    column: int
    where: str
    expected: Phrase
    got: Phrase
    remedy: Phrase


class _Stored(msgspec.Struct, array_like=True):
    files: bytes
    problems: tuple[_StoredProblem, ...]
    frames: dict[str, bytes]
    since_walk_ns: int


def stamp_of(settings_source: bytes, schemas: Schemas) -> bytes:
    """Return the digest of all that a snapshot depends on besides pages: journal.toml, schemas, and code versions."""
    facts = (
        _FORMAT,
        __version__,
        pl.__version__,
        _code(),
        [(name, list(schema.items())) for name, schema in schemas.items()],
    )
    return blake2b(repr(facts).encode() + b"\0" + settings_source, digest_size=_DIGEST_BYTES).digest()


@functools.cache  # the running code was loaded once, even if its files change later
def _code() -> list[tuple[str, int, int]]:
    package = Path(__file__).parent.parent
    code = [*sorted(package.glob("folder/*.py")), *(package / f"{name}.py" for name in _READERS)]
    code.append(package / "language" / "lazy_text.py")
    states = [(path.name, path.stat()) for path in code]
    return [(name, state.st_size, state.st_mtime_ns) for name, state in states]


def load(folder: Path, stamp: bytes, schemas: Schemas) -> Snapshot:
    """Return the snapshot of a journal, or `EMPTY` if there is none with this stamp.

    Its frames are unpacked when they are asked for (`PageFrames`).
    """
    try:
        file = cache.read(folder, FILE_NAME, SIZE_LIMIT)
        data = memoryview(file.data)
        head = _MAGIC + stamp
        body = data[len(head) + _DIGEST_BYTES :]
        if bytes(data[: len(head) + _DIGEST_BYTES]) != head + _digest(body):
            return EMPTY
        stored = msgspec.msgpack.decode(body, type=_Stored)
    except (OSError, ValueError, msgspec.MsgspecError):
        return EMPTY
    problems = tuple(
        Problem(
            path=p.path, line=p.line, column=p.column, where=p.where, expected=p.expected, got=p.got, remedy=p.remedy
        )
        for p in stored.problems
    )
    frames = PageFrames(stored.frames, schemas)
    return Snapshot(stored.files, problems, frames, file.written_ns - stored.since_walk_ns - TICK_NS)


def from_pages(
    pages: Sequence[JournalFile], frames: PageFrames, problems: Sequence[Problem], *, walked_ns: int = 0
) -> Snapshot:
    """Return a snapshot of pages that were just read. `walked_ns` is when the walk over the folder began."""
    # A file that could not be read as a whole, e.g. without permission, can become readable with an unchanged state.
    unread = {problem.path for problem in problems if not (problem.line or problem.where)}
    return Snapshot(
        known=[file for file in pages if file.path not in unread] if unread else pages,
        problems=tuple(problem for problem in problems if problem.path not in unread),
        frames=frames,
        trusted_before_ns=walked_ns - TICK_NS,
    )


def compare(kept: Snapshot, pages: Sequence[JournalFile], newest_content_ns: int | None = None) -> Difference:
    """Return the part of a snapshot that is still valid for the pages of the folder, and the pages to read.

    `newest_content_ns` is when the content of one of them last changed, if that is known, or later.
    """
    if kept.frames is None:
        return Difference((), None, list(pages), len(pages))
    trusted = kept.trusted_before_ns
    if newest_content_ns is None:
        newest_content_ns = max(map(attrgetter("content_ns"), pages), default=0)
    if newest_content_ns < trusted and kept.is_of(pages):
        return Difference(kept.problems, kept.frames, [], 0)
    old_files = {file.path: file for file in kept.files}
    fresh = [file for file in pages if old_files.get(file.path) != file or file.content_ns >= trusted]
    reread = {file.path for file in fresh}
    removed = old_files.keys() - {file.path for file in pages if file.path not in reread}
    frames = kept.frames.without(removed) if removed else kept.frames
    problems = tuple(problem for problem in kept.problems if problem.path not in removed)
    return Difference(problems, frames, fresh, len(removed | reread))


def join_frames(difference: Difference, read: Frames, schemas: Schemas) -> PageFrames:
    """Return the still valid rows and the newly read rows, sorted by path, as one read of all pages would give."""
    if difference.frames is None:
        return PageFrames(read, schemas)
    return difference.frames.joined(read) if difference.fresh else difference.frames


def is_worth_saving(kept: Snapshot, difference: Difference) -> bool:
    """Return whether a new snapshot would save more time than writing it takes."""
    return difference.changes > (0 if kept.frames is None else FEW)


def save(
    folder: Path,
    stamp: bytes,
    pages: Sequence[JournalFile],
    frames: PageFrames,
    problems: Sequence[Problem],
    *,
    since_walk_ns: int,
) -> None:
    """Write a snapshot atomically, if the cache can be written.

    `since_walk_ns` is how long ago the walk over the folder began.
    """
    kept = from_pages(pages, frames, problems)
    stored = _Stored(
        files=msgspec.msgpack.encode(kept.files),
        problems=tuple(_StoredProblem(p.path, p.line, p.column, p.where, *p.words) for p in kept.problems),
        frames={name: parquet(frames.with_path(name)) for name in frames},
        since_walk_ns=since_walk_ns,
    )
    body = msgspec.msgpack.encode(stored)
    cache.put(folder, FILE_NAME, [_MAGIC, stamp, _digest(body), body])


def _digest(body: Any) -> bytes:
    return blake2b(body, digest_size=_DIGEST_BYTES).digest()
