"""The places of a month's sheet: a row a day, a column a field, and a box for each value of the field.

Lengths are millimetres from the upper left of the sheet. Nothing here depends on the width of a text.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple

from journal.paper import layout, sheet_code
from journal.paper.layout import SIDE, PaperBox, SheetLayout
from journal.paper.month_plan import SheetColumn
from journal.periods import Period
from journal.settings import Settings

GRID_TOP = 49.0
ROW = 4.6
GRID_LEFT, GRID_RIGHT = 19.5, 136.8
FIRST = 33.0
"""Left edge of the columns; before it stand the weekday and the number of a day."""

NARROWEST, WIDEST = 5.1, 7.0
"""Widths of a column with one box a day."""

_STEP = 3.9  # from box to box of one field
_GAP = 2.0  # after a field with several boxes
_ROOM = GRID_RIGHT - FIRST


class ColumnPlace(NamedTuple):
    """The left edge and the width of a column, and the left edge of each of its boxes."""

    left: float
    width: float
    boxes: tuple[float, ...]


def parts(columns: Sequence[SheetColumn]) -> list[tuple[SheetColumn, ...]]:
    """The columns of each sheet: as few sheets as have room for them, with about as many columns each.

    >>> day = SheetColumn(field="habits.walk", name="Walk", detail="", days=("due",) * 30)
    >>> [len(part) for part in parts([day] * 40)]
    [20, 20]
    """
    fewest = _filled(columns, _ROOM)
    room = max((_width(column, NARROWEST) for column in columns), default=_ROOM)
    while len(_filled(columns, room)) > len(fewest):
        room += 1
    return _filled(columns, min(room, _ROOM))


def places(columns: Sequence[SheetColumn], *, prompted: bool) -> list[ColumnPlace]:
    """The place of each column of a sheet. Columns are narrow if prompts are to stand beside them."""
    single = sum(len(column.values) == 1 for column in columns)
    fixed = sum(_width(column, 0) for column in columns)
    spread = (_ROOM - fixed) / max(1, single)
    wide = NARROWEST if prompted else min(max(spread, NARROWEST), WIDEST)
    left, found = FIRST, list[ColumnPlace]()
    for column in columns:
        width = _width(column, wide)
        inset = (wide - SIDE) / 2 if len(column.values) == 1 else _GAP / 2
        boxes = tuple(round(left + inset + nth * _STEP, 3) for nth in range(len(column.values)))
        found.append(ColumnPlace(round(left, 3), round(width, 3), boxes))
        left += width
    return found


def is_prompted(settings: Settings, month: Period) -> bool:
    """Whether a challenge has a prompt for a day of the month, which is then on the last sheet."""
    return any(
        challenge.start <= month.last
        and month.first <= min(challenge.until, challenge.start + dt.timedelta(days=len(challenge.prompts) - 1))
        for challenge in settings.challenges
        if challenge.prompts
    )


def of(columns: Sequence[SheetColumn], month: Period, part: int, *, prompted: bool) -> SheetLayout:
    """The layout of a sheet with some of the columns of a month."""
    placed = places(columns, prompted=prompted)
    tops = [round(GRID_TOP + nth * ROW + (ROW - SIDE) / 2, 3) for nth in range(month.days)]
    boxes = [
        PaperBox(field=column.field, date=date, value=value, x=x, y=y, kind=kind or "off")
        for column, place in zip(columns, placed, strict=True)
        for date, y, kind in zip(month.dates, tops, column.days, strict=True)
        for value, x in zip(column.values, place.boxes, strict=True)
    ]
    lines = [f"month {sheet_code.VERSION} {prompted}", *(column.definition for column in columns)]
    return SheetLayout(kind="month", first=month.first, part=part, digest=layout.digest(lines), boxes=tuple(boxes))


def _filled(columns: Sequence[SheetColumn], room: float) -> list[tuple[SheetColumn, ...]]:
    """The columns on sheets with some room, each filled before the next."""
    sheets: list[list[SheetColumn]] = [[]]
    left = room
    for column in columns:
        width = _width(column, NARROWEST)
        if width > left and sheets[-1]:
            sheets.append([])
            left = room
        sheets[-1].append(column)
        left -= width
    return [tuple(sheet) for sheet in sheets]


def _width(column: SheetColumn, single: float) -> float:
    count = len(column.values)
    return single if count == 1 else (count - 1) * _STEP + SIDE + _GAP
