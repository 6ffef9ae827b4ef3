"""A picture drawn for a page or for print: turned right, in sRGB, at most so large, and with nothing beside its pixels.

What was drawn is kept in `.cache/pictures`, sealed (`folder.sealed_files`), under a name that is a digest of the file's
path, size and times, and of how it was drawn. The folder is bounded, and can be deleted at any time.
"""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path

import msgspec

from journal.errors import PictureError
from journal.folder import sealed_files
from journal.pictures import cleaned_picture, decoded, picture_files, picture_shape

SMALL, PAGE = 400, 800
"""Pixels of the longer side: in the overview of a year, and elsewhere. A screen may have two for one of CSS."""
PAGE_QUALITY, PRINT_QUALITY = 82, 90

FOLDER = "pictures"
"""The folder in `.cache`."""
SIZE_LIMIT, TOTAL_LIMIT = 8_000_000, 200_000_000
"""Bytes of one and of all that are kept. A picture of a page has 30 to 100 kB, one for print up to 2 MB."""
_DRAWN_WITH = b"1"  # to be counted up when pictures are drawn in another way

_drawing = threading.Lock()  # one at a time, since each takes up to several hundred megabytes


class DrawnPicture(msgspec.Struct, frozen=True):
    """A picture as JPEG, and its size in pixels."""

    data: bytes
    width: int
    height: int


def drawn(folder: Path, file: str, longest: int, *, quality: int = PAGE_QUALITY, keeps: bool = True) -> DrawnPicture:
    """Return a picture of a journal with at most so many pixels on its longer side. `file` is its path in the journal.

    With `keeps`, what was drawn is kept, if it can be written.

    Raises PictureError for a file that is missing, or cannot be shown.
    """
    path = folder / file
    with picture_files.opened(path) as opened:
        status = os.fstat(opened.fileno())
    state = (file, longest, quality, status.st_size, status.st_mtime_ns, status.st_ctime_ns)
    name = sealed_files.name_of(repr(state).encode("utf-8", "surrogatepass"), _DRAWN_WITH)
    if (kept := _kept(folder, name, longest)) is not None:
        return kept
    with _drawing:
        data, shape = picture_files.read(path)
        picture = decoded.smaller(decoded.decode(data, shape, longest), longest)
        made = DrawnPicture(decoded.encode(picture, "JPEG", quality), *picture.size)
    if keeps:
        sealed_files.save(folder, FOLDER, name, made.data, size_limit=SIZE_LIMIT, total_limit=TOTAL_LIMIT)
    return made


def _kept(folder: Path, name: str, longest: int) -> DrawnPicture | None:
    """Return what is kept under a name; None if there is nothing, or anything else than a clean JPEG of that size."""
    data = sealed_files.load(folder, FOLDER, name, SIZE_LIMIT)
    if data is None:
        return None
    with contextlib.suppress(PictureError):
        shape = picture_shape.of_bytes(data)
        if shape.kind == "JPEG" and max(shape.width, shape.height) <= longest:
            clean = cleaned_picture.cleaned(data, shape)
            if clean.data == data and not clean.is_redrawn:
                return DrawnPicture(data, shape.width, shape.height)
    return None
