"""The layout of a sheet: its boxes with their fields and places. The template draws it, and the reader reads by it."""

from __future__ import annotations

import datetime as dt
import hashlib

import msgspec

from journal.paper import frame, sheet_code
from journal.paper.day_plan import PaperTask
from journal.paper.sheet_code import CornerCode, PaperKind

SIDE = 3.2
"""Side of a box: room for a mark by hand, and 18 pixels in a photograph of 1.5 megapixels."""

_DIGEST_BITS = sheet_code.PIECE_BITS * sheet_code.CORNERS


class PaperBox(msgspec.Struct, frozen=True, kw_only=True):
    """A box: its field ("mood", "habits.walk"), its day, its place in millimetres, and how it is drawn.

    `value` is what a filled box says: true, a step of a scale, or a number; the numbers of a field add up. `kind` is
    "due" or "any" (a day of a quota). On a day's sheet it is "hour" for a half hour, in which any mark counts, or
    "done" for a box that is printed filled. Others have no box in print: "rest", a day that was excused in advance, has
    a line where the lower edge of the box would be, and "off", a day on which nothing is due, has nothing. What is
    marked there is read all the same: the journal may have changed since the sheet was printed.
    """

    field: str
    date: dt.date
    value: bool | float
    x: float
    y: float
    kind: str = "due"
    width: float = SIDE
    height: float = SIDE

    @property
    def is_printed(self) -> bool:
        """Whether a box is printed at the place."""
        return self.kind not in ("rest", "off")


class SheetLayout(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet: its kind, the first day of its period, its part of several, its boxes, and the digest of its columns.

    `tasks` are those of a day's sheet, whose boxes have the fields "tasks.0 done", "tasks.0 carried" and so on. None if
    they are not known: then each of its lines has boxes, and what is marked in them must be asked. `lines` counts those
    to write on by hand.
    """

    kind: PaperKind
    first: dt.date
    part: int
    digest: int
    boxes: tuple[PaperBox, ...]
    tasks: tuple[PaperTask, ...] | None = ()
    lines: int = 0

    @property
    def key(self) -> tuple[PaperKind, dt.date, int]:
        """Its kind, first day and part, which its codes say."""
        return self.kind, self.first, self.part

    def codes(self) -> tuple[str, ...]:
        """The digits of the corners."""
        return tuple(
            sheet_code.text(CornerCode(corner, self.kind, self.part, self.first, piece))
            for corner, piece in enumerate(sheet_code.pieces(self.digest))
        )

    def drawing(self) -> dict[str, object]:
        """The frame and the boxes for the template, in millimetres."""
        return {
            "module": frame.MODULE,
            "dot": frame.DOT,
            "codes": [
                {"x": corner.x, "y": corner.y, "rows": sheet_code.modules(digits)}
                for corner, digits in zip(frame.codes(), self.codes(), strict=True)
            ],
            "dots": [tuple(point) for points in frame.dots().values() for point in points],
            "boxes": [(box.x, box.y, box.width, box.height, box.kind) for box in self.boxes if box.kind != "off"],
        }


def digest(lines: list[str]) -> int:
    """The digest of the definitions that a sheet rests on: the first 36 bits of SHA-256 of their lines.

    Two journals have the same one for the same columns, in one case of 69 thousand million else.

    >>> digest(["habits.walk True"]) == digest(["habits.walk True"]), digest(["habits.walk 5,10"]).bit_length() <= 36
    (True, True)
    """
    whole = hashlib.sha256("\n".join(lines).encode()).digest()
    return int.from_bytes(whole[:8]) >> 64 - _DIGEST_BITS


def in_each_piece(bits: int) -> int:
    """The bits of a piece, in each piece of a digest.

    >>> [sheet_code.pieces(in_each_piece(0b101))]
    [(5, 5, 5, 5)]
    """
    return sum(bits << sheet_code.PIECE_BITS * nth for nth in range(sheet_code.CORNERS))
