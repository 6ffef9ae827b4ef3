"""The file of a picture: opened beside its page as a plain file of bounded size. A link is not followed.

`problems` are those of all pictures that pages name. Reading a page does not need its pictures, so they are looked at
by `duskbook check`, and where they are shown.
"""

from __future__ import annotations

import contextlib
import os
import stat
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from journal.errors import PictureError, Problem
from journal.folder import plain_file
from journal.folder.faults import nearest
from journal.folder.folder_walk import is_text, unreadable
from journal.folder.picture_names import ENDINGS as NAMES
from journal.language import digits
from journal.language.catalogue import _
from journal.pictures import orientation, picture_shape
from journal.pictures.picture_shape import PictureShape

BYTE_LIMIT = 60_000_000
"""Bytes of a picture's file. One of 50 million pixels has 20 to 30 million."""

_OPEN = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_MOST_NAMES = 10_000  # of a folder, to suggest one


@contextlib.contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """Open the file of a picture to read. Raises PictureError for what is no plain file of bounded size."""
    path = _as_stored(path)
    try:
        status = path.lstat()
        if stat.S_ISLNK(status.st_mode):
            raise PictureError(_("a file beside the page"), _("a link"), _("put what it leads to in its place"))
        if not stat.S_ISREG(status.st_mode):
            raise PictureError(_("a file"), plain_file.irregular(status.st_mode), _("give the picture another name"))
        handle = os.open(path, _OPEN)
    except FileNotFoundError:
        raise _missing(path) from None
    except OSError as error:
        got, remedy = unreadable(error)
        raise PictureError(_("a file that can be read"), got, remedy) from None
    with os.fdopen(handle, "rb") as file:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            raise PictureError(_("a file"), plain_file.irregular(status.st_mode), _("give the picture another name"))
        if status.st_size > BYTE_LIMIT:
            raise too_large(status.st_size)
        if not status.st_size:
            raise PictureError(_("a picture"), _("an empty file"), _("copy it again from where it came"))
        yield file


def read(path: Path) -> tuple[bytes, PictureShape]:
    """Return the bytes of a picture, and its format and size. Raises PictureError as `opened` and `look` do."""
    with opened(path) as file:
        shape = _looked(file, path.name)
        file.seek(0)
        return file.read(BYTE_LIMIT + 1), shape


def look(path: Path) -> PictureShape:
    """Return the format and size of a picture. Raises PictureError as `opened` and `picture_shape.look` do."""
    with opened(path) as file:
        return _looked(file, path.name)


def upright(path: Path) -> PictureShape:
    """Return the format of a picture, and its size when it is turned right. Raises PictureError as `look` does."""
    data, shape = read(path)
    turned = orientation.of_file(data, shape.kind) >= 5
    return PictureShape(shape.kind, shape.height, shape.width) if turned else shape


def problems(folder: Path, files: Iterable[tuple[str, str]]) -> Iterator[Problem]:
    """Yield a problem for each picture that cannot be shown. `files` are paths of pages with paths of their pictures.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     print(*problems(Path(name), [("2025-03-14.toml", "2025-03-14-bench.jpg")]))
    2025-03-14.toml: pictures: expected a file "2025-03-14-bench.jpg" beside the page, got none;
    bring it back, or take it out of pictures
    """
    for page, file in files:
        try:
            look(folder / file)
        except PictureError as error:
            missing = not os.path.lexists(folder / file)
            yield Problem(
                path=page if missing else file,
                where="pictures" if missing else "",
                expected=error.expected,
                got=error.got,
                remedy=error.remedy,
            )


def too_large(size: int) -> PictureError:
    """The error of a picture of so many bytes, more than are read."""
    expected = _("at most {count} bytes", count=digits.number(BYTE_LIMIT))
    return PictureError(expected, digits.number(size), _("make the picture smaller"))


def _looked(file: BinaryIO, name: str) -> PictureShape:
    try:
        shape = picture_shape.look(file)
    except OSError as error:  # of a failing disk
        got, remedy = unreadable(error)
        raise PictureError(_("a file that can be read"), got, remedy) from None
    promised = picture_shape.ENDINGS.get(Path(name).suffix.lower())
    if promised is not None and promised != shape.kind:
        ending = next(ending for ending, kind in picture_shape.ENDINGS.items() if kind == shape.kind)
        raise PictureError(
            _("a picture in {kind}, as its ending says", kind=promised),
            shape.kind,
            _("let it end in {ending}", ending=ending),
        )
    return shape


def _as_stored(path: Path) -> Path:
    """Return the path by the name that the drive has for it.

    A letter with an accent can be one sign or two. Some drives of macOS keep two. A copy of such a folder elsewhere has
    another name than its page says, although both look the same.
    """
    if path.name.isascii() or os.path.lexists(path):
        return path
    wanted = unicodedata.normalize("NFC", path.name)
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry, _place in zip(entries, range(_MOST_NAMES), strict=False):
            if unicodedata.normalize("NFC", entry.name) == wanted:
                return path.with_name(entry.name)
    return path


def _missing(path: Path) -> PictureError:
    """The error of a missing picture, with the nearest name beside the page if it was renamed."""
    names: list[str] = []
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry, _place in zip(entries, range(_MOST_NAMES), strict=False):
            if is_text(entry.name) and entry.name.lower().endswith(NAMES):
                names.append(entry.name)
    near = nearest(path.name, names, 0.75)
    remedy = (
        _('write "{name}" if it was renamed', name=near) if near else _("bring it back, or take it out of pictures")
    )
    return PictureError(_('a file "{name}" beside the page', name=path.name), _("none"), remedy)
