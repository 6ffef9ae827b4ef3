"""Small frames that were computed from a journal, in `.cache/computed`, so that they need not be computed again.

Each set of frames is kept under a key: a digest of everything that it was computed from. Another page, setting or
version has another key, so a kept frame never stands for content that the files do not have. The file holds the
`MOST` newest sets, can be deleted at any time, and is ignored where it is broken or foreign.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Mapping, Sequence
from hashlib import blake2b
from pathlib import Path
from typing import Any

import msgspec
import polars as pl

from journal import __version__
from journal.folder import cache

FILE_NAME = "computed"
MOST = 8
SIZE_LIMIT = 4_000_000
"""Bytes. A set has about 5 kB."""

_MAGIC = b"Duskbook computed\n"
_DIGEST_BYTES = 32
_KeptSets = dict[bytes, dict[str, bytes]]


def key_of(content: Sequence[bytes], modules: Sequence[str]) -> bytes:
    """The digest of what frames are computed from, and of the modules of `measures` that compute them.

    >>> key_of([b"a", b"b"], []) == key_of([b"ab"], []), len(key_of([], ["links"]))
    (False, 32)
    """
    parts = [repr((__version__, pl.__version__, [_code(name) for name in modules])).encode(), *content]
    lengths = repr([len(part) for part in parts]).encode()
    return blake2b(b"".join([lengths, *parts]), digest_size=_DIGEST_BYTES).digest()


@functools.cache  # the running code was loaded once, even if its files change later
def _code(name: str) -> tuple[str, int, int]:
    state = (Path(__file__).parent.parent / "measures" / f"{name}.py").stat()
    return name, state.st_size, state.st_mtime_ns


def load(folder: Path, key: bytes, schemas: Mapping[str, Mapping[str, Any]]) -> dict[str, pl.DataFrame] | None:
    """Return the frames that are kept under a key, None if there are none with these schemas."""
    stored = _read(folder).get(key)
    if stored is None:
        return None
    try:
        frames = {name: pl.read_parquet(io.BytesIO(stored[name])) for name in schemas}
    except (ValueError, KeyError, OSError, pl.exceptions.PolarsError, pl.exceptions.PanicException):
        return None
    fits = all(frames[name].schema == pl.Schema(schema) for name, schema in schemas.items())
    return frames if fits else None


def save(folder: Path, key: bytes, frames: Mapping[str, pl.DataFrame]) -> None:
    """Keep frames under a key, if the cache can be written. Older sets than the newest `MOST` are dropped."""
    kept = _read(folder)
    kept.pop(key, None)
    kept[key] = {name: _parquet(frame) for name, frame in frames.items()}
    body = msgspec.msgpack.encode(list(kept.items())[-MOST:])
    if len(body) < SIZE_LIMIT // 2:
        cache.put(folder, FILE_NAME, [_MAGIC, blake2b(body, digest_size=_DIGEST_BYTES).digest(), body])


def _read(folder: Path) -> _KeptSets:
    """The kept sets, the oldest first; none if the file is missing, broken or foreign."""
    try:
        data = cache.read(folder, FILE_NAME, SIZE_LIMIT).data
        body = data[len(_MAGIC) + _DIGEST_BYTES :]
        if data[: -len(body) or None] != _MAGIC + blake2b(body, digest_size=_DIGEST_BYTES).digest():
            return {}
        return dict(msgspec.msgpack.decode(body, type=list[tuple[bytes, dict[str, bytes]]]))
    except (OSError, msgspec.MsgspecError):
        return {}


def _parquet(frame: pl.DataFrame) -> bytes:
    buffer = io.BytesIO()
    frame.write_parquet(buffer, statistics=False)
    return buffer.getvalue()
