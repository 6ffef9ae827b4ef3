"""Reading of pictures: from a file to the mark in each box of each sheet in it.

picture_file.read     the file, within bounds
corner_search.search  the sheets in it, by their corners
sheet_lookup.layout   the boxes that they have
straightening         where the boxes lie
ink_levels            the ink in them
box_marks             the mark in each, with a certainty
swatch_colours        of a year's sheet, the step of each field by its colour
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import msgspec
import numpy as np

from journal.errors import UsageError
from journal.language.catalogue import _
from journal.paper import box_marks, corner_search, ink_levels, straightening, swatch_colours
from journal.paper.box_marks import MarkKind
from journal.paper.corner_search import FoundSheet, SheetKey
from journal.paper.layout import PaperBox, SheetLayout
from journal.paper.picture_file import Levels, PictureFile
from journal.paper.straightening import Straightened

LEAST_DOTS = 0.7
"""Least share of the dots about a sheet. With fewer, a part of it is covered, torn off or too blurred to read."""

LEAST_PIXELS = 3.6
"""Least pixels a millimetre. A box has then 11 pixels across, and the line of a pen two."""

MOST_PRINT = 0.62
"""Most light that print may send as a share of that of paper. With more, there is fog, or hardly any light."""

_DARKEST = 40  # mean level of a picture in which nothing is found for want of light
_SHARP = 0.12  # least change from pixel to pixel at the sharpest hundredth of a picture, as a share of its range
_COVERED = (
    0.35  # light of the paper at a box, as a share of that of the sheet, with which it is a shadow and nothing worse
)


class BoxRead(msgspec.Struct, frozen=True):
    """A box with its mark, the certainty of it (0.5 to 1), and its place in the picture: x, y, width, height."""

    box: PaperBox
    mark: MarkKind
    certainty: float
    place: tuple[int, int, int, int]

    @property
    def is_sure(self) -> bool:
        """Whether the mark need not be asked."""
        return self.certainty >= box_marks.SURE


class SheetRead(msgspec.Struct, frozen=True):
    """A sheet that was read from a picture: its layout, its boxes in order, and where it lies in the picture."""

    picture: PictureFile
    layout: SheetLayout
    boxes: list[BoxRead]
    lies: Straightened | None = None


class PictureRead(msgspec.Struct, frozen=True):
    """What a picture gave: the sheets that were read, and a sentence for each thing that could not be."""

    sheets: list[SheetRead]
    told: list[str]


def read(picture: PictureFile, layout_of: Callable[[FoundSheet], SheetLayout | None]) -> PictureRead:
    """Read the sheets of a picture. `layout_of` gives the boxes of a sheet, None if it is none of this journal.

    Raises UsageError if the picture is damaged.
    """
    levels = picture.levels()
    found = corner_search.search(levels)
    result = PictureRead([], [])
    for sheet in found.sheets:
        layout = layout_of(sheet)
        if layout is None:
            result.told.append(
                _(
                    '"{name}": the {sheet} in it is of another journal, or of columns that no state of journal.toml '
                    "has; print it again, or write its marks on the pages",
                    name=picture.name,
                    sheet=words(sheet.key),
                )
            )
            continue
        try:
            result.sheets.append(_sheet(picture, levels, sheet, layout))
        except UsageError as error:
            result.told.append(str(error))
    result.told.extend(
        _(
            '"{name}": of the {sheet} in it too few corners can be seen; all four belong in the picture',
            name=picture.name,
            sheet=words(key),
        )
        for key in found.partial
    )
    if not found.sheets and not found.partial:
        why = _why_nothing(levels, found.others)
        result.told.append(_('"{name}": {why}', name=picture.name, why=why))
    return result


def words(key: SheetKey) -> str:
    """A sheet in words.

    >>> import datetime as dt
    >>> words(("month", dt.date(2025, 4, 1), 0)), words(("day", dt.date(2025, 4, 1), 1))
    ('sheet of the month 2025-04', 'sheet of the day 2025-04-01, part 2')
    """
    kind, first, part = key
    match kind:
        case "month":
            sheet = _("sheet of the month {month}", month=first.isoformat()[:7])
        case "year":
            sheet = _("sheet of the year {year}", year=first.year)
        case _day:
            sheet = _("sheet of the day {day}", day=first)
    return _("{sheet}, part {number}", sheet=sheet, number=part + 1) if part else sheet


def _sheet(picture: PictureFile, levels: Levels, found: FoundSheet, layout: SheetLayout) -> SheetRead:
    """Read one sheet.

    Raises UsageError, in a sentence, if the picture of it is not good enough.
    """
    name, what = picture.name, words(found.key)
    corners = np.array([(0.0, 0.0), (148.0, 0.0), (0.0, 210.0), (148.0, 210.0), (74.0, 105.0)])
    if float(found.seen.scale(corners).min()) < LEAST_PIXELS:
        raise UsageError(
            _(
                '"{name}": the {sheet} is too small in it; go nearer, so that it fills the picture',
                name=name,
                sheet=what,
            )
        )
    sheet = straightening.straighten(levels, found)
    paper = ink_levels.light(levels, sheet)
    if paper.print_share > MOST_PRINT:
        raise UsageError(
            _(
                '"{name}": the {sheet} is too dark or too blurred in it; take it again in more light',
                name=name,
                sheet=what,
            )
        )
    if sheet.dots < LEAST_DOTS:
        raise UsageError(
            _(
                '"{name}": an edge of the {sheet} is covered, torn off or blurred; the dots about it must be seen',
                name=name,
                sheet=what,
            )
        )
    if layout.kind == "year":
        return _year(picture, sheet, layout, levels.shape[1])
    boxes = layout.boxes
    patches = ink_levels.patches(levels, sheet, paper, boxes)
    marks = box_marks.read(patches, np.array([box.kind == "hour" for box in boxes]))
    edges = np.array([(box.x, box.y, box.x + box.width, box.y + box.height) for box in boxes])
    shade = paper.at((edges[:, :2] + edges[:, 2:]) / 2) / np.median(paper.levels)
    certainty = np.where(shade < _COVERED, 0.5, marks.certainty)
    places = _places(sheet, edges, picture.width / levels.shape[1])
    return SheetRead(
        picture,
        layout,
        [BoxRead(*one) for one in zip(boxes, marks.kinds, certainty.tolist(), places, strict=True)],
        sheet,
    )


def _year(picture: PictureFile, sheet: Straightened, layout: SheetLayout, width: int) -> SheetRead:
    """Read the fields of a year's sheet by their colours."""
    levels = picture.levels("RGB")
    assert levels.shape[1] == width  # grey and colours are decoded at the same size
    try:
        found = swatch_colours.read(levels, sheet, layout.boxes)
    except UsageError as error:
        raise UsageError(
            _('"{name}": the {sheet}: {error}', name=picture.name, sheet=words(layout.key), error=error)
        ) from None
    edges = np.array([(one.box.x, one.box.y, one.box.x + one.box.width, one.box.y + one.box.height) for one in found])
    places = _places(sheet, edges, picture.width / width)
    return SheetRead(picture, layout, [BoxRead(*one, place) for one, place in zip(found, places, strict=True)], sheet)


def _places(
    sheet: Straightened, edges: np.ndarray[tuple[int, int], np.dtype[np.float64]], enlarged: float
) -> list[tuple[int, int, int, int]]:
    """The rectangle about each box in the picture at its full size, in pixels."""
    corners = np.stack([edges[:, [0, 1]], edges[:, [2, 1]], edges[:, [2, 3]], edges[:, [0, 3]]], axis=1)
    pixels = sheet.pixels(corners.reshape(-1, 2)).reshape(-1, 4, 2) * enlarged
    low, high = np.floor(pixels.min(axis=1)).astype(int), np.ceil(pixels.max(axis=1)).astype(int)
    return [(int(x), int(y), int(right - x), int(below - y)) for (x, y), (right, below) in zip(low, high, strict=True)]


def _why_nothing(levels: Levels, others: int) -> str:
    """Why no sheet was found, and what helps."""
    if others:
        return _("there is a code in it, but no sheet of Duskbook")
    small = levels[::2, ::2].astype(np.float32)
    if float(small.mean()) < _DARKEST:
        return _("it is too dark to find a sheet in it; take it again in more light")
    steps = np.abs(np.diff(levels.astype(np.int16), axis=1))
    darkest, brightest = np.percentile(small, (0.5, 99.5))
    if float(np.percentile(steps[::3, ::3], 99)) < _SHARP * max(1.0, float(brightest - darkest)):
        return _("it is blurred; hold still and take it again")
    return _("there is no sheet in it with all its corners; a sheet printed now has a code in each")


def asked(boxes: Iterable[BoxRead]) -> list[BoxRead]:
    """The boxes whose mark is not sure."""
    return [box for box in boxes if not box.is_sure]
