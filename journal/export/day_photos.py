"""The pictures of a day in a year for a reader: which stand where, and their pixels drawn anew for a format.

The rows come from the journal as its reader may see it, so a picture of a memory that is not shared is in none. Only
where to find the file comes from the journal itself, by the name that the picture has in exports.
"""

from __future__ import annotations

import base64
import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal.errors import PictureError
from journal.export.document import DayPhoto, Photos
from journal.export.picture_exports import export_name
from journal.language.catalogue import N_, _
from journal.pictures import drawn_picture, picture_files

if TYPE_CHECKING:
    from journal import Journal

SCREEN, PRINT, PLATE = 1_200, 1_600, 3_000
"""Pixels of the longer side: in a browser, in a column, and on a page of its own. At 300 dots an inch that is 135 mm in
a column, and 254 mm on a page, more than either has on A5 and A4."""
CANNOT_SHOW = N_("A picture of this day cannot be shown.")
_PLATE_LEAST, _PLATE_SHAPE, _FEW_WORDS = 1_800, 1.15, 12


class PhotoFiles(msgspec.Struct, frozen=True):
    """Where the pictures of a journal are: its folder, and their paths in it by their names in exports."""

    folder: Path
    files: Mapping[str, str]


def files_of(book: Journal) -> PhotoFiles:
    """The pictures of a journal, as it is."""
    rows = book.tables.pictures.select("date", "position", "file").iter_rows()
    return PhotoFiles(book.folder, {export_name(date, position): file for date, position, file in rows})


def blocks(pictures: pl.DataFrame, memories: pl.DataFrame, photos: PhotoFiles | None) -> list[Photos]:
    """The pictures of a month: those that stand together, then the one with a page of its own, if one deserves it.

    That is the first upright picture, large enough for the page, that is alone on its day and whose memory has few
    words: it says what the words leave out. It ends the month, so no page before it has a gap. In: rows of
    `Tables.pictures` and memories of `lines.lines`. A picture that cannot be shown is a sentence.
    """
    if photos is None or pictures.is_empty():
        return []
    alone = pictures.group_by("date").len().filter(len=1).get_column("date").to_list()
    words = {row["date"]: len(row["text"].split()) for row in memories.iter_rows(named=True)}
    made: list[DayPhoto] = []
    plate: DayPhoto | None = None
    for row in pictures.iter_rows(named=True):
        one = _photo(row["date"], row["position"], row["caption"] or "", photos)
        has_room = one.height >= max(_PLATE_LEAST, _PLATE_SHAPE * one.width)
        if plate is None and has_room and row["date"] in alone and words.get(row["date"], 0) <= _FEW_WORDS:
            plate = one
        else:
            made.append(one)
    together: list[Photos] = [Photos(title=_("Pictures"), photos=tuple(made))] if made else []
    return [*together, *([Photos(title="", photos=(plate,), plate=True)] if plate else [])]


def _photo(date: dt.date, position: int, caption: str, photos: PhotoFiles) -> DayPhoto:
    name = export_name(date, position)
    source = photos.folder / photos.files[name]
    photo = DayPhoto(date=date, name=name, caption=caption, folder=photos.folder, file=photos.files[name])
    try:
        shape = picture_files.upright(source)
    except PictureError:
        return msgspec.structs.replace(photo, problem=_(CANNOT_SHOW))
    return msgspec.structs.replace(photo, width=shape.width, height=shape.height)


def jpeg(photo: DayPhoto, longest: int) -> bytes | None:
    """The pixels of a picture as JPEG, at most so many on its longer side; None if it cannot be shown."""
    if photo.problem:
        return None
    quality = drawn_picture.PRINT_QUALITY if longest > SCREEN else drawn_picture.PAGE_QUALITY
    try:
        return drawn_picture.drawn(photo.folder, photo.file, longest, quality=quality).data
    except PictureError:
        return None


def data_url(data: bytes) -> str:
    """A picture as part of a file.

    >>> data_url(b"abc")
    'data:image/jpeg;base64,YWJj'
    """
    return f"data:image/jpeg;base64,{base64.b64encode(data).decode()}"
