"""Small files in a folder of `.cache` that only this journal on this machine can have made. Bounded in total size.

    load(folder, "drawings", name)          the bytes that were kept under a name, None if there are none
    save(folder, "drawings", name, data)    keep them; what was used longest ago goes first

A name is a digest of all that the bytes were made from. Each file is sealed: it begins with a keyed digest of its name
and content. The key is drawn at random, lies beside the files, and counts together with its inode and the time at which
the system last changed that. No program can set this time, so a folder that comes from elsewhere (unpacked,
synchronised, restored) has no valid file, and neither has one in which a file was damaged or exchanged.
"""

from __future__ import annotations

import contextlib
import hmac
import os
import re
import time
import zlib
from hashlib import blake2b
from pathlib import Path

from journal.folder import cache
from journal.folder.private_folder import PrivateFolder

TOTAL_LIMIT = 16_000_000
"""Bytes in one folder. A drawing of a page has about 10,000 compressed."""
SIZE_LIMIT = 1_000_000
"""Bytes of one file, compressed and not."""

_KEY_NAME = "seal"
_KEY_BYTES = 32
_SEAL_BYTES = 32
_NAME = re.compile(r"[0-9a-f]{32}")
_USED_AGAIN_NS = 3_600 * 10**9  # a use is noted at most once an hour

_held: dict[str, int] = {}
"""The bytes in each folder that this process has written to, at least."""


def name_of(*parts: bytes) -> str:
    """The name for what is made from these parts.

    >>> name_of(b"a", b"b") == name_of(b"ab", b""), len(name_of())
    (False, 32)
    """
    lengths = repr([len(part) for part in parts]).encode()
    return blake2b(b"".join([lengths, *parts]), digest_size=16).hexdigest()


def load(folder: Path, below: str, name: str, size_limit: int = SIZE_LIMIT) -> bytes | None:
    """Return what is kept under a name, None if nothing is, or if its seal is not that of this folder."""
    try:
        with cache.opened(folder, below) as kept:
            key = _key(kept)
            file = kept.read(name, size_limit)
            body = file.data[_SEAL_BYTES:]
            if key is None or not hmac.compare_digest(file.data[:_SEAL_BYTES], _seal(key, name, body)):
                return None
            if time.time_ns() - file.written_ns > _USED_AGAIN_NS:
                kept.touch(name)
        data = zlib.decompressobj().decompress(body, size_limit)
    except (OSError, zlib.error):
        return None
    return data


def save(
    folder: Path, below: str, name: str, data: bytes, *, size_limit: int = SIZE_LIMIT, total_limit: int | None = None
) -> None:
    """Keep bytes under a name, if the cache can be written. Each folder may have its own limit in total."""
    packed = zlib.compress(data, 1)
    if len(data) >= size_limit or len(packed) + _SEAL_BYTES >= size_limit:
        return
    with contextlib.suppress(OSError), cache.opened(folder, below, make=True) as kept:
        key = _key(kept) or _new_key(kept)
        if key is None:
            return
        total_limit = TOTAL_LIMIT if total_limit is None else total_limit
        held = _held.get(kept.path)
        if held is None or held + len(packed) > total_limit:
            kept.sweep()
            held = _make_room(kept, total_limit)
        kept.write(name, [_seal(key, name, packed), packed])
        _held[kept.path] = held + _SEAL_BYTES + len(packed)


def _make_room(kept: PrivateFolder, total_limit: int) -> int:
    """Remove the files that were used longest ago until a tenth of the room is free. Return what is left, in bytes."""
    sizes = {file: kept.size(file) for file in kept.files(_NAME)}
    total = sum(sizes.values())
    if total > total_limit * 0.9:
        for file, _ in sorted(kept.files(_NAME).items(), key=lambda item: item[1]):
            if total <= total_limit * 0.9:
                break
            with contextlib.suppress(OSError):
                kept.remove(file, _NAME)
                total -= sizes.get(file, 0)
    return total


def _seal(key: bytes, name: str, body: bytes) -> bytes:
    return blake2b(name.encode() + b"\0" + body, key=key, digest_size=_SEAL_BYTES).digest()


def _key(kept: PrivateFolder) -> bytes | None:
    """The key of a folder, None if there is none, or if others could have read or written it."""
    try:
        handle = kept.open_file(_KEY_NAME, os.O_RDONLY)
    except OSError:
        return None
    try:
        status = os.fstat(handle)
        is_ours = not hasattr(os, "geteuid") or (status.st_uid == os.geteuid() and not status.st_mode & 0o077)
        drawn = os.read(handle, _KEY_BYTES + 1)
    except OSError:
        return None
    finally:
        os.close(handle)
    if not is_ours or status.st_nlink != 1 or len(drawn) != _KEY_BYTES:
        return None
    place = repr((status.st_ino, status.st_ctime_ns)).encode()
    return blake2b(place, key=drawn, digest_size=_KEY_BYTES).digest()


def _new_key(kept: PrivateFolder) -> bytes | None:
    """Draw a key. What is there loses its seal."""
    kept.write(_KEY_NAME, [os.urandom(_KEY_BYTES)], durable=False)
    return _key(kept)
