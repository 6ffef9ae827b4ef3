"""A snapshot of what was read, below the journal's .cache, so that only pages that changed are read again.

It is one file: frames as Parquet, the size and time of every page they came from, and the problems. It can be deleted
at any time, and one that is broken, foreign or of another version is as good as none. Where it cannot be written, as
in a read-only folder, nothing is.

A page is trusted to be unchanged while its path, its size and both its times are (that of its content, and that of its
state, which a change of permissions moves too). That needs it to be older than the snapshot by more than a tick of the
file system's clock: a page that is written twice within one tick looks the same both times.
"""

from __future__ import annotations

import functools
import io
import os
from collections.abc import Mapping, Sequence
from hashlib import blake2b
from pathlib import Path
from typing import Any

import msgspec
import polars as pl

from journal import __version__
from journal.errors import Problem
from journal.folder import cache
from journal.folder.discover import CACHE_NAME, TICK_NS, JournalFile

FILE_NAME = "snapshot"
FEW = 32
"""So many changed pages are read again (in about two milliseconds) rather than that the whole is written anew."""

_FORMAT = 1
_MAGIC = b"Duskbook snapshot\n"
_DIGEST_BYTES = 32

Frames = dict[str, pl.DataFrame]
Schemas = Mapping[str, Mapping[str, Any]]


_READERS = ("entry", "errors", "periods", "recurrence", "schedule", "settings", "tables")


class Snapshot(msgspec.Struct, frozen=True):
    """What was read of the pages in `files`, as these were then. Where the content is older than `trusted_before_ns`, a
    page that is the same as then by its size and times has not changed."""

    files: list[JournalFile] = []
    problems: tuple[Problem, ...] = ()
    frames: Frames | None = None
    trusted_before_ns: int = 0


EMPTY = Snapshot()


class Difference(msgspec.Struct, frozen=True):
    """A snapshot against the pages of the folder: what of it still holds, which pages are to be read, and how many
    pages were read, changed or taken away since."""

    problems: tuple[Problem, ...]
    frames: Frames | None
    fresh: list[JournalFile]
    changes: int


class _Stored(msgspec.Struct, array_like=True):
    files: list[JournalFile]
    problems: tuple[Problem, ...]
    frames: dict[str, bytes]
    since_walk_ns: int


def stamp_of(settings_source: bytes, schemas: Schemas) -> bytes:
    """What a snapshot depends on besides the pages: journal.toml, the schemas, and the code that reads a page."""
    facts = (
        _FORMAT,
        __version__,
        pl.__version__,
        _code(),
        [(name, list(schema.items())) for name, schema in schemas.items()],
    )
    return blake2b(repr(facts).encode() + b"\0" + settings_source, digest_size=_DIGEST_BYTES).digest()


@functools.cache  # what runs is what was loaded once, whatever becomes of the files
def _code() -> list[tuple[str, int, int]]:
    package = Path(__file__).parent.parent
    code = [*sorted(package.glob("folder/*.py")), *(package / f"{name}.py" for name in _READERS)]
    states = [(path.name, path.stat()) for path in code]
    return [(name, state.st_size, state.st_mtime_ns) for name, state in states]


def load(folder: Path, stamp: bytes, schemas: Schemas) -> Snapshot:
    """The snapshot of a journal; `EMPTY` where there is none with this stamp and these schemas."""
    if cache.is_elsewhere(folder):
        return EMPTY
    try:
        with (folder / CACHE_NAME / FILE_NAME).open("rb") as file:
            written_ns = os.fstat(file.fileno()).st_mtime_ns
            data = memoryview(file.read())
        head = _MAGIC + stamp
        body = data[len(head) + _DIGEST_BYTES :]
        if bytes(data[: len(head) + _DIGEST_BYTES]) != head + _digest(body):
            return EMPTY
        stored = msgspec.msgpack.decode(body, type=_Stored)
        frames = {name: pl.read_parquet(io.BytesIO(stored.frames[name])) for name in schemas}
    except (OSError, ValueError, KeyError, msgspec.MsgspecError, pl.exceptions.PolarsError):
        return EMPTY
    if any(frames[name].schema != pl.Schema(schema) for name, schema in schemas.items()):
        return EMPTY
    return Snapshot(stored.files, stored.problems, frames, written_ns - stored.since_walk_ns - TICK_NS)


def of(pages: Sequence[JournalFile], frames: Frames, problems: Sequence[Problem], *, walked_ns: int = 0) -> Snapshot:
    """What was read of pages that a walk over the folder met at `walked_ns`."""
    # What stopped a whole file, such as a missing permission, may be over without a trace in the file's state.
    unread = {problem.path for problem in problems if not (problem.line or problem.where)}
    return Snapshot(
        files=[file for file in pages if file.path not in unread],
        problems=tuple(problem for problem in problems if problem.path not in unread),
        frames=frames,
        trusted_before_ns=walked_ns - TICK_NS,
    )


def compare(kept: Snapshot, pages: Sequence[JournalFile]) -> Difference:
    """What of a snapshot still holds for the pages of the folder, and which of them must be read."""
    if kept.frames is None:
        return Difference((), None, list(pages), len(pages))
    trusted = kept.trusted_before_ns
    if kept.files == pages and all(file.content_ns < trusted for file in pages):
        return Difference(kept.problems, kept.frames, [], 0)
    was = {file.path: file for file in kept.files}
    fresh = [file for file in pages if was.get(file.path) != file or file.content_ns >= trusted]
    again = {file.path for file in fresh}
    gone = was.keys() - {file.path for file in pages if file.path not in again}
    held = ~pl.col("path").is_in(list(gone))
    left = {name: frame.filter(held) for name, frame in kept.frames.items()} if gone else kept.frames
    problems = tuple(problem for problem in kept.problems if problem.path not in gone)
    return Difference(problems, left, fresh, len(gone | again))


def joined(difference: Difference, read: Frames) -> Frames:
    """What still holds and what was read, in the order of paths, as if all of it had been read together."""
    if difference.frames is None:
        return read
    if not difference.fresh:
        return difference.frames
    return {
        name: pl.concat([frame, read[name]]).sort("path", maintain_order=True)
        for name, frame in difference.frames.items()
    }


def is_worth_saving(kept: Snapshot, difference: Difference) -> bool:
    """Whether a new snapshot would save more time than it takes to write."""
    return difference.changes > (0 if kept.frames is None else FEW)


def save(
    folder: Path,
    stamp: bytes,
    pages: Sequence[JournalFile],
    frames: Frames,
    problems: Sequence[Problem],
    *,
    since_walk_ns: int,
) -> None:
    """Write a snapshot in one step, where it can be written. `since_walk_ns` is how long ago the walk over the folder
    began."""
    kept = of(pages, frames, problems)
    stored = _Stored(
        files=kept.files,
        problems=kept.problems,
        frames={name: _parquet(frame) for name, frame in frames.items()},
        since_walk_ns=since_walk_ns,
    )
    body = msgspec.msgpack.encode(stored)
    cache.put(folder, FILE_NAME, [_MAGIC, stamp, _digest(body), body])


def _parquet(frame: pl.DataFrame) -> bytes:
    buffer = io.BytesIO()
    frame.write_parquet(buffer, compression="lz4", statistics=False)
    return buffer.getvalue()


def _digest(body: Any) -> bytes:
    return blake2b(body, digest_size=_DIGEST_BYTES).digest()
