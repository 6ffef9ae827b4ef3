"""A PNG file reduced to what decoding needs, without losing a pixel: no text, times, EXIF, or unknown chunks.

Source: W3C, PNG Specification, third edition, clauses 5 and 11.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

from journal.pictures import colour_profile, orientation
from journal.pictures.jpeg_parts import UnusualError

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_SIZES = {b"gAMA": (4,), b"cHRM": (32,), b"sRGB": (1,), b"tRNS": range(257), b"PLTE": range(769), b"IDAT": None}
"""The kept chunks with their lengths, None for any."""
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_PROFILE_LIMIT = 2_000_000
_PART_READ, _PART_MADE = 1 << 16, 1 << 20  # bytes
_PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
"""Of an interlaced picture: the first column and row of each pass, and the steps to the next. Clause 8.2."""


def cleaned(data: bytes) -> bytes:
    """Return the file with the same pixels and without everything else. Of a moving picture, the first is kept.

    Raises UnusualError for a file that has to be drawn anew: it is turned, has another profile than one of primaries
    and curves, or more data than pixels.
    """
    kept, pixels = [], bytearray()
    head = b""
    for kind, content in _chunks(data):
        if kind == b"IHDR":
            head = content
            kept.append((kind, content))
        elif kind == b"iCCP":
            kept.append((kind, b"Colours\0\0" + zlib.compress(_colours(content), 9)))
        elif kind == b"eXIf":
            if orientation.of_tiff(content) != orientation.UPRIGHT:
                raise UnusualError("it is turned")
        elif kind == b"IDAT":
            pixels += content
        elif kind in _SIZES:
            sizes = _SIZES[kind]
            if sizes is not None and len(content) not in sizes:
                raise UnusualError("a chunk of another length")
            kept.append((kind, content))
        elif not kind[0] & 0x20 and kind != b"IEND":
            raise UnusualError("an unknown chunk that decoding needs")
    _refuse_more(head, pixels)
    return _SIGNATURE + b"".join(_chunk(*part) for part in [*kept, (b"IDAT", bytes(pixels)), (b"IEND", b"")])


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield the chunks up to the last one. What stands behind it is left out."""
    at, kind = len(_SIGNATURE), b""
    while kind != b"IEND":
        if at + 12 > len(data):
            raise UnusualError("it breaks off")
        length, kind = struct.unpack_from(">I4s", data, at)
        content = data[at + 8 : at + 8 + length]
        if len(content) != length:
            raise UnusualError("it breaks off")
        yield kind, content
        at += 12 + length


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def _colours(content: bytes) -> bytes:
    name, _, rest = content.partition(b"\0")
    try:
        profile = zlib.decompressobj().decompress(rest[1:], _PROFILE_LIMIT)
    except zlib.error:
        raise UnusualError("a damaged profile") from None
    kept = colour_profile.colours_of(profile) if name else None
    if kept is None:
        raise UnusualError("another profile")
    return kept


def _refuse_more(head: bytes, pixels: bytearray) -> None:
    """Raise UnusualError if the compressed data has more or less than the pixels, in it or behind it."""
    if len(head) != 13 or head[9] not in _CHANNELS or head[12] > 1:
        raise UnusualError("another head")
    left, reader, at = _length(head), zlib.decompressobj(), 0
    try:
        while at < len(pixels) and left >= 0 and not reader.eof:
            # In small parts, since what is not read yet is copied each time.
            waiting = bytes(pixels[at : at + _PART_READ])
            at += len(waiting)
            while waiting and left >= 0 and not reader.eof:
                left -= len(reader.decompress(waiting, _PART_MADE))
                waiting = reader.unconsumed_tail
    except zlib.error:
        raise UnusualError("damaged pixels") from None
    if left or not reader.eof or reader.unused_data or at < len(pixels):
        raise UnusualError("more or less than its pixels")


def _length(head: bytes) -> int:
    """Return the length of the pixels, each row with the byte of its filter."""
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    bits = depth * _CHANNELS[colour]
    if not interlaced:
        return int(height * (1 + (width * bits + 7) // 8))
    total = 0
    for column, row, across, down in _PASSES:
        columns, rows = max(0, -((column - width) // across)), max(0, -((row - height) // down))
        total += rows * (1 + (columns * bits + 7) // 8) if columns else 0
    return total
