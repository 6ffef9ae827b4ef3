"""A WebP file reduced to what decoding needs, without decoding it: no EXIF, no XMP, no unknown chunks.

Source: RFC 9649, clause 2.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from journal.pictures import colour_profile, orientation
from journal.pictures.jpeg_parts import UnusualError

_ICC, _ALPHA, _ANIMATED = 0x20, 0x10, 0x02


def cleaned(data: bytes) -> bytes:
    """Return the file with the same pixels and without everything else.

    Raises UnusualError for a file that has to be drawn anew: it moves, is turned, has another profile than one of
    primaries and curves, or chunks out of their order.
    """
    chunks = dict(_chunks(data))
    picture = next((name for name in (b"VP8 ", b"VP8L") if name in chunks), None)
    if picture is None:
        raise UnusualError("no picture of its own")
    if b"VP8X" not in chunks:
        return _file([(picture, chunks[picture])])
    head = chunks[b"VP8X"]
    if len(head) != 10 or head[0] & _ANIMATED:
        raise UnusualError("it moves")
    if orientation.of_tiff(chunks.get(b"EXIF", b"")) != orientation.UPRIGHT:
        raise UnusualError("it is turned")
    parts, flags = [], head[0] & _ALPHA
    if b"ICCP" in chunks:
        kept = colour_profile.colours_of(chunks[b"ICCP"])
        if kept is None:
            raise UnusualError("another profile")
        flags |= _ICC
        parts.append((b"ICCP", kept))
    parts += [(name, chunks[name]) for name in (b"ALPH", picture) if name in chunks]
    return _file([(b"VP8X", bytes([flags, 0, 0, 0]) + head[4:]), *parts])


def is_exact(data: bytes) -> bool:
    """Return whether a file is a WebP that lost no pixel when it was compressed.

    >>> is_exact(b"RIFF....WEBPVP8L"), is_exact(b"RIFF....WEBPVP8 ")
    (True, False)
    """
    return data[8:12] == b"WEBP" and b"VP8L" in (data[12:16], data[30:34])


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield the chunks within the length that the file says. Raises UnusualError for one that is there twice."""
    end, at, seen = 8 + int.from_bytes(data[4:8], "little"), 12, set()
    while at + 8 <= end:
        name, size = struct.unpack_from("<4sI", data, at)
        content = data[at + 8 : at + 8 + size]
        if len(content) != size or at + 8 + size > end or name in seen:
            raise UnusualError("a chunk breaks off or is there twice")
        seen.add(name)
        yield name, content
        at += 8 + size + size % 2


def _file(chunks: list[tuple[bytes, bytes]]) -> bytes:
    body = b"WEBP" + b"".join(
        name + struct.pack("<I", len(content)) + content + bytes(len(content) % 2) for name, content in chunks
    )
    return b"RIFF" + struct.pack("<I", len(body)) + body
