"""A picture without where and when it was taken, by what, and every other word beside its pixels.

Where a file can be copied part by part, no pixel changes (`jpeg_parts`, `png_parts`, `webp_parts`). Where it cannot,
the picture is decoded and drawn anew at high quality.
"""

from __future__ import annotations

import msgspec

from journal.pictures import jpeg_parts, png_parts, webp_parts
from journal.pictures.picture_shape import PictureKind, PictureShape

_COPIES = {"JPEG": jpeg_parts.cleaned, "PNG": png_parts.cleaned, "WebP": webp_parts.cleaned}
_ENDINGS: dict[PictureKind, str] = {"JPEG": ".jpg", "PNG": ".png", "WebP": ".webp", "HEIC": ".heic"}


class CleanedPicture(msgspec.Struct, frozen=True):
    """The bytes of a picture, the ending of its file, and whether it was drawn anew."""

    data: bytes
    ending: str
    is_redrawn: bool = False


def cleaned(data: bytes, shape: PictureShape) -> CleanedPicture:
    """Return a picture without anything beside its pixels and their colours.

    Raises PictureError if it has to be drawn anew and cannot be decoded.
    """
    copy = _COPIES.get(shape.kind)
    if copy is not None:
        try:
            return CleanedPicture(copy(data), _ENDINGS[shape.kind])
        except jpeg_parts.UnusualError:
            pass
    from journal.pictures import decoded  # noqa: PLC0415 (needs Pillow, and most pictures are copied)

    kind: PictureKind = "JPEG" if shape.kind == "HEIC" else shape.kind
    drawn = decoded.encode(decoded.decode(data, shape), kind, is_exact=webp_parts.is_exact(data))
    return CleanedPicture(_COPIES[kind](drawn), _ENDINGS[kind], is_redrawn=True)


def as_it_is(data: bytes, shape: PictureShape) -> CleanedPicture:
    """Return a picture unchanged.

    >>> as_it_is(b"", PictureShape("PNG", 1, 1)).ending
    '.png'
    """
    return CleanedPicture(data, _ENDINGS[shape.kind])
