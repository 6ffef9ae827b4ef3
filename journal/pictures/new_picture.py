"""Copying a picture beside the page of its day. The page is saved afterwards, and names it then.

A process that is killed in between leaves a picture that no page names. The next attempt finds it by its bytes and
takes it. So doing it twice, or again after a kill, leaves one file.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import JournalError, PictureError, UsageError, WriteError
from journal.folder import atomic_write, failed_save, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.three_way_merge import Changes
from journal.language.catalogue import _
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
        raise PictureError(_("a file"), _("none of that name"), _("check its path"))
    with picture_files.opened(file_path) as file:
        data = file.read(picture_files.BYTE_LIMIT + 1)
    return of_bytes(data, keeping)


def of_bytes(data: bytes, keeping: PictureKeeping) -> CleanedPicture:
    """Return what is copied of a picture that was read, or dropped on a page. Raises PictureError as `read` does."""
    if len(data) > picture_files.BYTE_LIMIT:
        raise picture_files.too_large(len(data))
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
    raise FileExistsError(17, _("it has too many pictures of that name"), str(folder))


class AddedPictures(msgspec.Struct, frozen=True):
    """What adding pictures to a page made: its changes, and for each picture its place and whether it has a caption."""

    changes: Changes
    placed: list[PlacedPicture]
    captioned: list[bool]


@contextlib.contextmanager
def added(given: Iterable[NewPicture], files: OpenedFiles, base: Base) -> Iterator[AddedPictures]:
    """Copy pictures beside a page, and yield the changes that name them. The write lock is held meanwhile.

    Where the page does not name them when the block ends, since it could not be saved, the new files are removed again.
    Raises UsageError for a picture that has another caption already, and WriteError if a file cannot be written.
    """
    placed: list[PlacedPicture] = []
    try:
        with files.lock():
            try:
                yield _added(given, (files.folder / base.path).parent, base, placed)
            finally:
                with contextlib.suppress(JournalError):  # what the page is cannot be told, so the files stay
                    _withdraw(files.folder, base, placed)
    except OSError as error:
        raise WriteError(failed_save.reason_of(files.folder, base.path, error)) from None


def _added(given: Iterable[NewPicture], beside: Path, base: Base, placed: list[PlacedPicture]) -> AddedPictures:
    named, captions = _lines(base.values.get("pictures")), _table(base.values.get("captions"))
    before, captioned = list(named), []
    changes: dict[tuple[str, ...], Any] = {}
    for new in given:
        copy = place(beside, new, named)
        placed.append(copy)
        if copy.name not in named:
            named.append(copy.name)
        if new.caption:
            present = captions.setdefault(copy.name, new.caption)
            if present != new.caption:
                raise UsageError(
                    _(
                        '{name} has a caption already, "{caption}"; change it on the page',
                        name=copy.name,
                        caption=present,
                    )
                )
            changes["captions", copy.name] = new.caption
        captioned.append(bool(captions.get(copy.name)))
    if named != before:
        changes["pictures",] = named
    return AddedPictures(changes, placed, captioned)


def _withdraw(folder: Path, base: Base, placed: Iterable[PlacedPicture]) -> None:
    """Remove the new files that the page does not name. What cannot be removed stays."""
    named = _lines(writing.look(folder, base.key).values.get("pictures"))
    for picture in placed:
        if picture.is_new and picture.name not in named:
            with contextlib.suppress(OSError):
                ((folder / base.path).parent / picture.name).unlink()


def _lines(value: object) -> list[str]:
    return [str(line) for line in value] if isinstance(value, list) else []


def _table(value: object) -> dict[str, str]:
    return {str(name): str(text) for name, text in value.items()} if isinstance(value, Mapping) else {}


def _is_same(path: Path, data: bytes) -> bool:
    with contextlib.suppress(OSError, PictureError):
        if path.stat().st_size == len(data):
            with picture_files.opened(path) as file:
                return file.read() == data
    return False
