"""Photographs of sheets, read one after the other: the sheets in them, their fields, and what could not be read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

import msgspec

from journal import Journal
from journal.errors import UsageError
from journal.language.catalogue import _, _n
from journal.paper import handwriting, picture_file, sheet_fields, sheet_lookup, sheet_pictures, sheet_reader
from journal.paper.picture_file import PictureFile
from journal.paper.sheet_fields import FieldRead
from journal.paper.sheet_reader import SheetRead
from journal.wording import numbers


class PhotographsRead(msgspec.Struct, frozen=True):
    """What some files gave: the sheets, each with its fields, and a sentence for each thing that could not be read.

    `lines` has what is written by hand, as JPEG by day, if it was asked for.
    """

    sheets: list[tuple[SheetRead, list[FieldRead]]]
    told: list[str]
    lines: dict[dt.date, bytes]

    @property
    def fields(self) -> list[FieldRead]:
        """The fields of all sheets, one for each field and day."""
        return sheet_fields.joined(field for _sheet, fields in self.sheets for field in fields)


def read(
    book: Journal,
    paths: Iterable[Path],
    *,
    progress: Callable[[str], None] | None = None,
    with_lines: bool = False,
) -> PhotographsRead:
    """Read the sheets of a journal in picture files. `progress` gets the name of each file before it is read.

    With `with_lines`, lines of a day that are written by hand are cut out. A file that cannot be read costs a sentence.
    A picture is let go when it is read, so that many take little memory.
    """
    result = PhotographsRead([], [], {})
    for path in dict.fromkeys(paths):
        if progress is not None:
            progress(path.name)
        try:
            pictures = picture_file.read(path)
        except UsageError as error:
            result.told.append(str(error))
            continue
        for picture in pictures:
            before = len(result.sheets)
            add(result, book, picture)
            for sheet, _fields in result.sheets[before:] if with_lines else ():
                assert sheet.lies is not None
                lines = handwriting.crop(sheet_pictures.straight(picture, sheet.lies), sheet.layout)
                if lines is not None:
                    result.lines.setdefault(sheet.layout.first, sheet_pictures.jpeg(lines))
    return result


def add(result: PhotographsRead, book: Journal, picture: PictureFile) -> None:
    """Read the sheets of a picture, and let it go."""
    try:
        found = sheet_reader.read(picture, partial(sheet_lookup.layout, book))
    except UsageError as error:
        result.told.append(str(error))
        return
    result.told.extend(found.told)
    for sheet in found.sheets:
        scales = sheet_lookup.other_scales(book.settings, sheet.layout)
        fields = [field for field in sheet_fields.of(sheet) if field.field not in scales]
        result.told.extend(_changed_since(sheet, fields, scales))
        light = msgspec.structs.replace(sheet, picture=msgspec.structs.replace(picture, data=b""))
        result.sheets.append((light, fields))


def _changed_since(sheet: SheetRead, fields: Iterable[FieldRead], scales: Sequence[str]) -> Iterator[str]:
    """What cannot be read because the journal has changed since the sheet was printed."""
    name, what = sheet.picture.name, sheet_reader.words(sheet.layout.key)
    if scales:
        words = {"mood": _("mood"), "energy": _("energy")}
        yield _n(
            '"{name}": {scales} has other steps by now than on the {sheet}; what is marked there is left out',
            '"{name}": {scales} have other steps by now than on the {sheet}; what is marked there is left out',
            len(scales),
            name=name,
            scales=numbers.listed(words[scale] for scale in scales),
            sheet=what,
        )
    unknown = [field.doubt for field in fields if field.is_task and field.task is None and field.doubt]
    if unknown:
        lines = ", ".join(unknown)
        yield _(
            '"{name}": the tasks of the {sheet} are not those of its page by now; {lines}: mark it on the page',
            name=name,
            sheet=what,
            lines=lines,
        )
