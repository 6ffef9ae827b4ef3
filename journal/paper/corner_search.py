"""The sheets in a picture, by their corner codes: which sheet, and in which perspective."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import msgspec
import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image

from journal.paper import frame, perspective, sheet_code
from journal.paper.perspective import Perspective, Points
from journal.paper.picture_file import Levels
from journal.paper.sheet_code import CornerCode, PaperKind

FEWEST_CORNERS = 3

_ENLARGED = 3  # a corner that was not found is looked for again in its part of the picture, at three times the size
_AROUND = 6.0  # millimetres about the code in that part
_SMALL = 3_000_000  # pixels of a picture in which all codes are looked for at twice the size if few were found
_SYMBOL = np.array([(0, 0), (frame.CODE, 0), (frame.CODE, frame.CODE), (0, frame.CODE)])

SheetKey = tuple[PaperKind, dt.date, int]
"""Kind of a sheet, first day of its period, and part."""


class FoundCode(msgspec.Struct, frozen=True):
    """A code in a picture: what it says, and the pixels of its corners, from its own upper left on, clockwise."""

    code: CornerCode
    pixels: NDArray[np.float64]


class FoundSheet(msgspec.Struct, frozen=True):
    """A sheet in a picture: its codes by corner, and its perspective."""

    codes: dict[int, FoundCode]
    seen: Perspective

    @property
    def key(self) -> SheetKey:
        """Which sheet it is."""
        code = next(iter(self.codes.values())).code
        return code.kind, code.first, code.part

    def has_digest(self, digest: int, mask: int = sheet_code.WHOLE_PIECE) -> bool:
        """Whether the corners that were read have the pieces of a digest, or those bits of each that a mask has."""
        pieces = sheet_code.pieces(digest)
        return all((found.code.piece ^ pieces[corner]) & mask == 0 for corner, found in self.codes.items())


class CornerSearch(msgspec.Struct, frozen=True):
    """What a picture has: whole sheets, and the keys of those of which too few corners were found."""

    sheets: list[FoundSheet]
    partial: list[SheetKey]
    others: int
    """Codes that are no corner of a sheet of this program."""


def search(levels: Levels) -> CornerSearch:
    """Look for the sheets in a picture of grey."""
    codes, others = _codes(levels)
    if len(codes) < 2 and levels.size < _SMALL:
        codes, others = _codes_twice_as_large(levels)
    groups: list[dict[int, FoundCode]] = []
    for found in codes:
        group = next((one for one in groups if _belongs(found, one)), None)
        if group is None:
            groups.append({found.code.corner: found})
        else:
            group[found.code.corner] = found
    sheets, partial = list[FoundSheet](), list[SheetKey]()
    for group in groups:
        whole = _completed(levels, group)
        if len(whole) >= FEWEST_CORNERS:
            sheets.append(FoundSheet(whole, _perspective(whole.values())))
        else:
            code = next(iter(whole.values())).code
            partial.append((code.kind, code.first, code.part))
    return CornerSearch(sheets, partial, others)


def _codes(levels: Levels) -> tuple[list[FoundCode], int]:
    read = zxingcpp.read_barcodes(
        levels,
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.DataMatrix),
        try_invert=False,
        try_downscale=False,
    )
    found, others = list[FoundCode](), 0
    for barcode in read:
        code = sheet_code.read(barcode.text)
        if code is None:
            others += 1
            continue
        place = barcode.position
        corners = (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
        # A place is that of a pixel; its middle is half a pixel further.
        found.append(FoundCode(code, np.array([(corner.x + 0.5, corner.y + 0.5) for corner in corners], float)))
    return found, others


def _codes_twice_as_large(levels: Levels) -> tuple[list[FoundCode], int]:
    """The codes of a picture in which their modules are nearly too small: 3 pixels, blurred."""
    rows, columns = levels.shape
    larger = Image.fromarray(levels).resize((2 * columns, 2 * rows), Image.Resampling.BICUBIC)
    found, others = _codes(np.asarray(larger))
    return [FoundCode(one.code, one.pixels / 2) for one in found], others


def _belongs(found: FoundCode, group: dict[int, FoundCode]) -> bool:
    """Whether a code is another corner of the sheet of a group. Two prints of a sheet may lie beside each other."""
    other = next(iter(group.values()))
    same = (found.code.kind, found.code.first, found.code.part) == (other.code.kind, other.code.first, other.code.part)
    if not same or found.code.corner in group:
        return False
    # One code is too small for a perspective over the whole sheet. Its affine map is off by a fifth at 25 degrees.
    places = np.array(frame.codes())
    across, down = (other.pixels[1] - other.pixels[0]) / frame.CODE, (other.pixels[3] - other.pixels[0]) / frame.CODE
    step = places[found.code.corner] - places[other.code.corner]
    expected = other.pixels.mean(axis=0) + step[0] * across + step[1] * down
    apart = np.hypot(*(found.pixels.mean(axis=0) - expected))
    return bool(apart < 0.4 * np.hypot(*(step[0] * across + step[1] * down)))


def _perspective(codes: Iterable[FoundCode]) -> Perspective:
    found = list(codes)
    places = np.array(frame.codes())
    millimetres = np.concatenate([places[one.code.corner] + _SYMBOL for one in found])
    return perspective.fitted(millimetres, np.concatenate([one.pixels for one in found]))


def _completed(levels: Levels, group: dict[int, FoundCode]) -> dict[int, FoundCode]:
    """The group with the corners that are found at a closer look where the others say that they are."""
    whole = dict(group)
    for corner in range(sheet_code.CORNERS):
        if corner in whole or len(whole) < 2:
            continue
        seen = _perspective(whole.values())
        square = np.array(frame.codes()[corner]) + _SYMBOL + _AROUND * np.sign(_SYMBOL - 1)
        found = _closer(levels, seen.pixels(square), whole, corner)
        if found is not None:
            whole[corner] = found
    return whole


def _closer(levels: Levels, around: Points, group: dict[int, FoundCode], corner: int) -> FoundCode | None:
    rows, columns = levels.shape
    low = np.clip(np.floor(around.min(axis=0)).astype(int), 0, (columns, rows))
    high = np.clip(np.ceil(around.max(axis=0)).astype(int), 0, (columns, rows))
    if (high - low).min() < 12 or (high - low).max() > 1200:
        return None
    part = levels[low[1] : high[1], low[0] : high[0]]
    size = (part.shape[1] * _ENLARGED, part.shape[0] * _ENLARGED)
    enlarged = Image.fromarray(part).resize(size, Image.Resampling.BICUBIC)
    for found in _codes(np.asarray(enlarged))[0]:
        moved = FoundCode(found.code, found.pixels / _ENLARGED + low)
        if found.code.corner == corner and _belongs(moved, group):
            return moved
    return None
