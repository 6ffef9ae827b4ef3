"""A picture file as levels of grey, in bounded memory and time: its size is checked before it is decoded.

JPEG and PNG are read, HEIC if the library for it is installed, and the JPEG pictures of a PDF, which is what scanners
write. EXIF's orientation is applied, but not in a PNG, which would be decoded to find it. A large JPEG is decoded at a
half, a quarter or an eighth of its size, which takes less time than all of it and leaves more than enough to read.
"""

from __future__ import annotations

import importlib
import io
import re
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from journal.errors import UsageError
from journal.language import digits
from journal.language.catalogue import N_, _
from journal.language.system_errors import reason

MOST_BYTES = 60_000_000
MOST_PIXELS = 64_000_000
"""A photograph of 64 megapixels takes 64 MB as grey; the largest cameras of telephones make 50 at most by default."""

FEWEST_SIDE = 400
ENOUGH_PIXELS = 1_900_000
"""With the sheet filling two thirds of the picture, a box has 20 pixels across."""

MOST_PICTURES = 40  # of a PDF
_FORMATS = ("JPEG", "PNG")
_STREAM = re.compile(
    rb"<<(?:[^<>]|<<[^<>]*>>|<[^<>]*>)*?/Subtype\s*/Image(?:[^<>]|<<[^<>]*>>|<[^<>]*>)*?>>\s*stream\r?\n"
)

Levels = NDArray[np.uint8]
"""Levels of grey (rows, columns), or of red, green and blue (rows, columns, 3); 0 is black."""


class PictureFile(msgspec.Struct, frozen=True):
    """A picture: its name, its bytes, and its size as it is looked at, upright."""

    name: str
    data: bytes
    width: int
    height: int

    def levels(self, mode: Literal["L", "RGB"] = "L") -> Levels:
        """Decode the picture, upright, perhaps at a half, a quarter or an eighth of its size.

        Raises UsageError if its data are damaged.
        """
        try:
            image = _opened(self.name, self.data)
            kind = image.format
            while (image.width // 2) * (image.height // 2) >= ENOUGH_PIXELS:
                before = image.size
                image.draft(mode, (image.width // 2, image.height // 2))
                if image.size == before:  # not a JPEG
                    image = _in(mode, image).reduce(2)
            image = _in(mode, image)
            return np.asarray(image if kind == "PNG" else ImageOps.exif_transpose(image))
        except Exception as error:  # a decoder meets damaged data with almost any exception, struct.error among them
            raise UsageError(_('"{name}" is damaged: {error}', name=self.name, error=_first_line(error))) from None


def read(path: Path) -> list[PictureFile]:
    """Read the pictures of a file; a PDF may have several.

    Raises UsageError, in a sentence, if it is none, too large, or cannot be read.
    """
    name = path.name
    try:
        if path.stat().st_size > MOST_BYTES:
            raise too_large(name)
        data = path.read_bytes()
    except OSError as error:
        raise UsageError(_('"{name}" cannot be read: {reason}', name=name, reason=reason(error))) from None
    return of(name, data)


def too_large(name: str) -> UsageError:
    """The error of a file with more than `MOST_BYTES`."""
    return UsageError(
        _('"{name}" has more than {count} MB; make it smaller first', name=name, count=MOST_BYTES // 1_000_000)
    )


def of(name: str, data: bytes) -> list[PictureFile]:
    """The pictures of the bytes of a file.

    >>> of("notes.txt", b"walk")
    Traceback (most recent call last):
    journal.errors.UsageError: "notes.txt" is not a JPEG, a PNG or a scan as PDF
    """
    if len(data) > MOST_BYTES:
        raise too_large(name)
    if not data.startswith(b"%PDF-"):
        return [_checked(name, data)]
    found = list(_scans(data))
    if not found:
        raise UsageError(_('"{name}" is a PDF without a JPEG picture in it; save the scan as JPEG or PNG', name=name))
    if len(found) == 1:
        return [_checked(name, found[0])]
    return [
        _checked(_("{name}, picture {number}", name=name, number=number), one) for number, one in enumerate(found, 1)
    ]


def _scans(data: bytes) -> Iterator[bytes]:
    """The JPEG pictures in a PDF, as its objects hold them (ISO 32000-1, 7.3.8 and 7.4.8)."""
    count = 0
    for match in _STREAM.finditer(data):
        start = match.end()
        end = data.find(b"endstream", start)
        if b"/DCTDecode" in match.group() and data.startswith(b"\xff\xd8", start) and end > 0:
            yield data[start:end].rstrip(b"\r\n")
            count += 1
        if count == MOST_PICTURES:
            return


def _checked(name: str, data: bytes) -> PictureFile:
    try:
        image = _opened(name, data)
    except UsageError:  # it is a ValueError too
        raise
    except (KeyError, UnidentifiedImageError, SyntaxError, ValueError, OSError):
        raise UsageError(_('"{name}" is not a JPEG, a PNG or a scan as PDF', name=name)) from None
    except Image.DecompressionBombError:
        raise UsageError(_('"{name}" has too many pixels; make it smaller first', name=name)) from None
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise UsageError(
            _(
                '"{name}" has {count} megapixels; at most {most} are read',
                name=name,
                count=digits.number(width * height / 1e6, 0),
                most=MOST_PIXELS // 1_000_000,
            )
        )
    if min(width, height) < FEWEST_SIDE:
        raise UsageError(
            _(
                '"{name}" has {width} by {height} pixels; that is too small to read',
                name=name,
                width=width,
                height=height,
            )
        )
    if image.format != "PNG" and image.getexif().get(0x0112, 1) in (5, 6, 7, 8):  # turned by a quarter
        width, height = height, width
    return PictureFile(name, data, width, height)


def _opened(name: str, data: bytes) -> Image.Image:
    """The picture before it is decoded. Only a few formats are tried, so that no other decoder meets foreign bytes."""
    formats = list(_FORMATS)
    if data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftyphevc"):
        try:
            importlib.import_module("pillow_heif").register_heif_opener()
        except ImportError:
            raise UsageError(
                _(
                    '"{name}" is HEIC: install the library for it ("pip install pillow-heif"), or save the picture as '
                    "JPEG",
                    name=name,
                )
            ) from None
        formats.append("HEIF")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # `_checked` has a lower bound
        return Image.open(io.BytesIO(data), formats=formats)


def _in(mode: str, image: Image.Image) -> Image.Image:
    """A picture in a mode. One that has it already is not copied: 64 megapixels in colours are 192 MB."""
    return image if image.mode == mode else image.convert(mode)


def _first_line(error: Exception) -> str:
    """What the library says of damaged data; its usual sentences in the spoken language."""
    line = (str(error) or type(error).__name__).splitlines()[0]
    if match := _TRUNCATED.fullmatch(line):
        return _("image file is truncated ({count} bytes not processed)", count=match[1])
    return _(line)


_TRUNCATED = re.compile(r"image file is truncated \((\d+) bytes not processed\)")
_SAID = (
    N_("broken data stream when reading image file"),
    N_("unrecognized data stream contents when reading image file"),
)
"""Further sentences of Pillow."""
