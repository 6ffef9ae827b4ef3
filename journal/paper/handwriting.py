"""The lines of a day's sheet that are written on by hand, as a picture of that day. What they say is not read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

import numpy as np
from PIL import Image

from journal import Journal
from journal.errors import JournalError
from journal.folder import writing
from journal.folder.check_pictures import MOST_PICTURES
from journal.folder.writing import Conflict
from journal.language.catalogue import _
from journal.paper import day_layout, sheet_pictures
from journal.paper.layout import SheetLayout
from journal.paper.sheet_pictures import Millimetres
from journal.pictures import new_picture
from journal.pictures.new_picture import NewPicture
from journal.wording import dates

NAME = "handwriting"

WRITTEN = 0.004
"""Least share of a line that is dark if something is written on it. A word of three letters has twice as much."""

_OVER = (6.4, 0.9)  # over a line, where words stand
_DARK = 0.72  # light of a pen or a pencil at most, as a share of that of the paper beside it


def place(layout: SheetLayout) -> Millimetres | None:
    """The rectangle of the lines of a sheet; None if it has none."""
    if not layout.lines:
        return None
    top = day_layout.LINES_BOTTOM - layout.lines * day_layout.LINE
    return day_layout.LEFT - 1, top + 0.4, day_layout.RIGHT + 1, day_layout.LINES_BOTTOM + 1.4


def crop(straight: Image.Image, layout: SheetLayout) -> Image.Image | None:
    """The lines of a straight sheet. None if it has none, or nothing is written on them."""
    where = place(layout)
    if where is None or not any(_is_written(straight, line) for line in _lines(layout)):
        return None
    return sheet_pictures.part(straight, where)


def _lines(layout: SheetLayout) -> Iterator[Millimetres]:
    """The room over each line, without that of a label."""
    for nth in range(layout.lines):
        y = day_layout.LINES_BOTTOM - nth * day_layout.LINE
        yield day_layout.LEFT + day_layout.LABEL, y - _OVER[0], day_layout.RIGHT - 1, y - _OVER[1]


def _is_written(straight: Image.Image, line: Millimetres) -> bool:
    levels = np.asarray(sheet_pictures.part(straight, line).convert("L"), np.float32)
    strips = np.array_split(levels, 8, axis=1)  # a shadow may lie over a part of it
    dark = [strip < _DARK * np.percentile(strip, 80) for strip in strips]
    return sum(int(one.sum()) for one in dark) / levels.size > WRITTEN


def keep(book: Journal, lines: Mapping[dt.date, bytes], *, now: dt.datetime) -> list[str]:
    """Keep lines as pictures of their days. Returns a sentence for each day: the name, or why not.

    A day that has such a picture keeps it: another photograph of the same sheet has other bytes.
    """
    return [f"{date}: {_kept(book, date, data, now)}" for date, data in sorted(lines.items())]


def _kept(book: Journal, date: dt.date, data: bytes, now: dt.datetime) -> str:
    files = book.files.again()
    keeping = files.basis.settings.pictures
    try:
        base = files.pages.current(date.isoformat())
        names = base.values.get("pictures", [])
        if isinstance(names, list) and any(str(name).startswith(f"{date}-{NAME}") for name in names):
            return _("its lines are kept already")
        if isinstance(names, list) and len(names) >= MOST_PICTURES:
            return _(
                "it has {count} pictures, the most that a day can have, so its lines are not kept", count=MOST_PICTURES
            )
        copy = new_picture.of_bytes(data, keeping)
        said = _("Written by hand on the sheet of {day}", day=dates.day(date))
        new = NewPicture(day=date, source=f"{NAME}.jpg", copy=copy, keeping=keeping, caption=said)
        with new_picture.added([new], files, base) as added:
            changes = dict(added.changes)
            saved = writing.save(files.folder, base.key, base, changes, now=now, by="import", files=files)
    except JournalError as error:
        return _("its lines are not kept: {error}", error=error)
    if isinstance(saved, Conflict):
        return _("its page was changed elsewhere just now, so its lines are not kept; do it again")
    return _("its lines are kept as {name}", name=added.placed[0].name)
