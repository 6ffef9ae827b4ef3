"""The format and size of a picture, read from its head, and whether its end is there. Nothing is decoded.

Sources: JPEG, ITU-T T.81 annex B; PNG, W3C 2003; WebP, RFC 9649; the brands of HEIC, ISO/IEC 23008-12.
"""

from __future__ import annotations

import io
from typing import BinaryIO, Literal

import msgspec

from journal.errors import PictureError
from journal.language import digits
from journal.language.catalogue import _, _p

PictureKind = Literal["JPEG", "PNG", "WebP", "HEIC"]

ENDINGS: dict[str, PictureKind] = {
    ".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WebP", ".heic": "HEIC", ".heif": "HEIC",
}  # fmt: skip
"""The format that an ending promises."""

PIXEL_LIMIT = 64_000_000
"""Pixels of a picture. Decoded they take 192 MB. Usual telephones make 12 or 50 million."""
SIDE_LIMIT = 20_000
"""Pixels of a side."""

_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_SEGMENTS = 10_000  # of a JPEG file before its first scan; a file of the usual kind has twenty
_TAIL = 65_536
_START_OF_FRAME = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}


class PictureShape(msgspec.Struct, frozen=True):
    """The format of a picture and its size in pixels, before it is turned as its orientation says. 0 is not known."""

    kind: PictureKind
    width: int
    height: int


def look(file: BinaryIO) -> PictureShape:
    """Return the format and size of a picture.

    Raises PictureError for what is no picture, is larger than the limits, or breaks off.

    >>> look(io.BytesIO(b"GIF89a"))
    Traceback (most recent call last):
    journal.errors.PictureError: expected a picture in JPEG, PNG, WebP or HEIC, got something else; save it as JPEG
    """
    head = file.read(32)
    file.seek(0)
    match kind_of(head):
        case "JPEG":
            shape = _jpeg(file)
        case "PNG":
            shape = _png(file)
        case "WebP":
            shape = _webp(file)
        case "HEIC":
            shape = PictureShape("HEIC", 0, 0)
        case _:
            raise PictureError(_("a picture in JPEG, PNG, WebP or HEIC"), _("something else"), _("save it as JPEG"))
    if shape.kind != "HEIC" and not (shape.width and shape.height):
        raise PictureError(_("a picture with a width and a height"), _("none"), _("copy it again from where it came"))
    refuse_large(shape.width, shape.height)
    return shape


def of_bytes(data: bytes) -> PictureShape:
    """Return the format and size of a picture in memory. Raises PictureError as `look` does."""
    return look(io.BytesIO(data))


def kind_of(head: bytes) -> PictureKind | None:
    """Return the format that the first bytes of a file have, None for no picture.

    >>> kind_of(b"\\xff\\xd8\\xff\\xe0"), kind_of(b"%PDF-1.7")
    ('JPEG', None)
    """
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WebP"
    return "HEIC" if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS else None


def refuse_large(width: int, height: int) -> None:
    """Raise PictureError if a picture has more pixels than are decoded."""
    if width * height > PIXEL_LIMIT or max(width, height) > SIDE_LIMIT:
        expected = _(
            "a picture of at most {millions} million pixels, no side over {side}",
            millions=PIXEL_LIMIT // 1_000_000,
            side=digits.number(SIDE_LIMIT),
        )
        size = _("{width} by {height}", width=digits.number(width), height=digits.number(height))
        raise PictureError(expected, size, _p("a picture", "make it smaller"))


def _jpeg(file: BinaryIO) -> PictureShape:
    """Walk over the segments up to the first scan, then look for the end."""
    file.seek(2)
    size = (0, 0)
    for _segment in range(_SEGMENTS):
        marker = _exactly(file, 2)
        while marker[1] == 0xFF and marker[0] == 0xFF:  # a fill byte
            marker = marker[1:] + _exactly(file, 1)
        if marker[0] != 0xFF or marker[1] == 0x00:
            raise _damaged("JPEG")
        if marker[1] in (0x01, *range(0xD0, 0xD8)):
            continue
        if marker[1] == 0xD9:
            raise _damaged("JPEG", _("one without its pixels"))
        length = int.from_bytes(_exactly(file, 2), "big") - 2
        if length < 0:
            raise _damaged("JPEG")
        if marker[1] in _START_OF_FRAME:
            frame = _exactly(file, min(length, 6))
            if len(frame) < 6:
                raise _damaged("JPEG")
            size = int.from_bytes(frame[3:5], "big"), int.from_bytes(frame[1:3], "big")
            length -= 6
        if marker[1] == 0xDA:
            _find_end(file)
            return PictureShape("JPEG", *size)
        file.seek(length, io.SEEK_CUR)
    raise _damaged("JPEG", _("one of more parts than a picture has"))


def _find_end(file: BinaryIO) -> None:
    """Raise PictureError if a JPEG has no end behind the position. What other programs add behind it may be long."""
    scan = file.tell()
    end = file.seek(0, io.SEEK_END)
    for start in (max(scan, end - _TAIL), scan):
        file.seek(start)
        if b"\xff\xd9" in file.read():
            return
    raise _cut_off()


def _png(file: BinaryIO) -> PictureShape:
    """Walk over the chunks to the last one."""
    file.seek(8)
    head = _exactly(file, 25)
    if head[4:8] != b"IHDR":
        raise _damaged("PNG")
    shape = PictureShape("PNG", int.from_bytes(head[8:12], "big"), int.from_bytes(head[12:16], "big"))
    end = _length_of(file)
    while True:
        chunk = _exactly(file, 8)
        if file.seek(int.from_bytes(chunk[:4], "big") + 4, io.SEEK_CUR) > end:
            raise _cut_off()
        if chunk[4:] == b"IEND":
            return shape


def _webp(file: BinaryIO) -> PictureShape:
    head = _exactly(file, 30)
    if int.from_bytes(head[4:8], "little") + 8 > _length_of(file):
        raise _cut_off()
    match head[12:16]:
        case b"VP8X":
            size = 1 + int.from_bytes(head[24:27], "little"), 1 + int.from_bytes(head[27:30], "little")
        case b"VP8L":
            bits = int.from_bytes(head[21:25], "little")
            size = 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
        case b"VP8 ":
            size = int.from_bytes(head[26:28], "little") & 0x3FFF, int.from_bytes(head[28:30], "little") & 0x3FFF
        case _:
            raise _damaged("WebP")
    return PictureShape("WebP", *size)


def _damaged(kind: PictureKind, got: str = "") -> PictureError:
    return PictureError(
        _("a picture in {kind}", kind=kind), got or _("a damaged one"), _("copy it again from where it came")
    )


def _cut_off() -> PictureError:
    return PictureError(_("a whole picture"), _("a file that breaks off"), _("copy it again from where it came"))


def _length_of(file: BinaryIO) -> int:
    here = file.tell()
    length = file.seek(0, io.SEEK_END)
    file.seek(here)
    return length


def _exactly(file: BinaryIO, count: int) -> bytes:
    data = file.read(count)
    if len(data) < count:
        raise _cut_off()
    return data
