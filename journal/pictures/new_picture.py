"""Copying a picture beside the page of its day. The page is saved afterwards, and names it then.

A process that is killed in between leaves a picture that no page names. The next attempt finds it by its bytes and
takes it. So doing it twice, or again after a kill, leaves one file.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Iterable
from pathlib import Path

import msgspec

from journal.errors import PictureError
from journal.folder import atomic_write
from journal.pictures import cleaned_picture, kept_name, picture_files, picture_shape
from journal.pictures.cleaned_picture import CleanedPicture
from journal.settings import PictureKeeping

_MOST_NUMBERS = 1_000


class NewPicture(msgspec.Struct, frozen=True, kw_only=True):
    """A picture to be added to a day: the name of its source, what is copied of it, and its caption, if it has one."""

    day: dt.date
    source: str
    copy: CleanedPicture
    keeping: PictureKeeping
    caption: str = ""

    def name(self, number: int) -> str:
        """The name of the copy, or a further one where that is taken."""
        name_of = kept_name.as_it_is if self.keeping == "as they are" else kept_name.of_day
        return name_of(self.day, self.source, self.copy.ending, number)


class PlacedPicture(msgspec.Struct, frozen=True):
    """A picture beside a page: its name, whether the page names it already, and whether its file is new."""

    name: str
    is_named: bool = False
    is_new: bool = False


def read(source: Path, keeping: PictureKeeping) -> CleanedPicture:
    """Return what is copied of a picture anywhere on the disk. A link is followed: the person named it.

    Raises PictureError for what is no picture, and for one that has to be decoded to be cleaned, and cannot be.
    """
    file_path = Path(os.path.realpath(source))
    if not os.path.lexists(file_path):
        raise PictureError("a file", "none of that name", "check its path")
    with picture_files.opened(file_path) as file:
        data = file.read(picture_files.BYTE_LIMIT + 1)
    return of_bytes(data, keeping)


def of_bytes(data: bytes, keeping: PictureKeeping) -> CleanedPicture:
    """Return what is copied of a picture that was read, or dropped on a page. Raises PictureError as `read` does."""
    if len(data) > picture_files.BYTE_LIMIT:
        expected = f"at most {picture_files.BYTE_LIMIT:,} bytes"
        raise PictureError(expected, f"{len(data):,}", "make the picture smaller")
    shape = picture_shape.of_bytes(data)
    unchanged = keeping == "as they are"
    return cleaned_picture.as_it_is(data, shape) if unchanged else cleaned_picture.cleaned(data, shape)


def place(folder: Path, new: NewPicture, named: Iterable[str]) -> PlacedPicture:
    """Copy a picture into the folder of a page, which names the pictures `named`. The caller holds the write lock.

    The name is a free one. A file of the same bytes, which the page names or which has such a name, is taken instead.

    Raises OSError if it cannot be written.
    """
    for name in named:
        if _is_same(folder / name, new.copy.data):
            return PlacedPicture(name, is_named=True)
    atomic_write.make_folder(folder)
    for number in range(1, _MOST_NUMBERS):
        name = new.name(number)
        if _is_same(folder / name, new.copy.data):
            return PlacedPicture(name)
        with contextlib.suppress(atomic_write.ChangedError):
            atomic_write.replace(folder / name, new.copy.data, None)
            return PlacedPicture(name, is_new=True)
    raise FileExistsError(17, "it has too many pictures of that name", str(folder))


def withdraw(folder: Path, placed: Iterable[PlacedPicture], named: Iterable[str]) -> None:
    """Remove the new files again that the page does not name, since it was not saved. What cannot be removed stays."""
    kept = set(named)
    for picture in placed:
        if picture.is_new and picture.name not in kept:
            with contextlib.suppress(OSError):
                (folder / picture.name).unlink()


def _is_same(path: Path, data: bytes) -> bool:
    with contextlib.suppress(OSError, PictureError):
        if path.stat().st_size == len(data):
            with picture_files.opened(path) as file:
                return file.read() == data
    return False
