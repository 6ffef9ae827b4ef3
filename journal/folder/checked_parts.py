"""Parts of bytes as one, with a checksum: how the files of `.cache` that no library reads are made up.

    cache.put(folder, "days", checked_parts.packed(b"Duskbook days\\n", [head, paths, facts]))
    head, paths, facts = checked_parts.unpacked(b"Duskbook days\\n", cache.read(folder, "days", limit).data)

The checksum finds what is torn or broken. It is no guard against a person who can write in `.cache`.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable

_NUMBER_BYTES = 8


def packed(magic: bytes, parts: Iterable[bytes]) -> list[bytes]:
    """Return the pieces to write: a magic line, the checksum, and each part behind its length.

    >>> b"".join(packed(b"Days\\n", [b"a", b""]))[:5], unpacked(b"Days\\n", b"".join(packed(b"Days\\n", [b"a", b""])))
    (b'Days\\n', [b'a', b''])
    """
    body = b"".join(piece for part in parts for piece in (_number(len(part)), part))
    return [magic, _number(zlib.crc32(body)), body]


def unpacked(magic: bytes, data: bytes) -> list[bytes]:
    """Return the parts. Raises ValueError if they are not whole, or of another magic line.

    >>> unpacked(b"Days\\n", b"Days\\n and nights")
    Traceback (most recent call last):
    ValueError: broken
    """
    body = memoryview(data)[len(magic) + _NUMBER_BYTES :]
    if data[: len(magic) + _NUMBER_BYTES] != magic + _number(zlib.crc32(body)):
        raise ValueError("broken")
    parts, place = [], 0
    while place < len(body):
        begin = place + _NUMBER_BYTES
        place = begin + int.from_bytes(body[place:begin], "little")
        if place > len(body):
            raise ValueError("cut off")
        parts.append(bytes(body[begin:place]))
    return parts


def _number(value: int) -> bytes:
    return value.to_bytes(_NUMBER_BYTES, "little")
