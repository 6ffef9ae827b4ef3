"""The places of a year's sheet: a field for each day, a column a month, and a swatch for each step of mood.

Lengths are millimetres from the upper left of the sheet.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from journal.paper import layout, month_plan, sheet_code
from journal.paper.layout import PaperBox, SheetLayout
from journal.periods import Period
from journal.settings import Scale

GRID_LEFT, GRID_RIGHT = 19.5, 136.8
GRID_TOP = 32.0
ROW = 4.95
FIRST = 26.0
"""Left edge of January; before it stand the numbers of the days."""

PITCH = (GRID_RIGHT - FIRST) / 12
KEY_TOP = 189.6
KEY_LEFT, KEY_RIGHT = 27.0, 130.0
SWATCH = (7.0, 4.0)

MOST_SWATCHES = 5
"""Most colours of the key, those of the year with a field a day."""

KEY = "key"
"""The field of the swatches."""

_INSET = 0.45


def of(year: Period, steps: Sequence[float]) -> SheetLayout:
    """The layout of a year's sheet. `steps` are those of mood; the swatch of each is a box of the field "key".

    >>> from journal import periods
    >>> sheet = of(periods.year(2024), (1, 2, 3, 4, 5))
    >>> len(sheet.boxes), sheet.boxes[31].date, sheet.boxes[-1].value
    (371, datetime.date(2024, 2, 1), 5)
    """
    fields = [_field(date) for date in year.dates]
    swatches = [
        PaperBox(field=KEY, date=year.first, value=step, x=round(x, 3), y=KEY_TOP, width=SWATCH[0], height=SWATCH[1])
        for step, x in zip(steps, key_lefts(len(steps)), strict=True)
    ]
    lines = [f"year {sheet_code.VERSION}", f"mood {','.join(str(step) for step in steps)}"]
    return SheetLayout(kind="year", first=year.first, part=0, digest=layout.digest(lines), boxes=(*fields, *swatches))


def swatch_steps(scale: Scale) -> tuple[float, ...]:
    """The step of each swatch. With more than five steps a colour stands for several, and the step is no number.

    >>> swatch_steps(Scale(low=1, high=3)), len(swatch_steps(Scale(low=0, high=10)))
    ((1, 2, 3), 5)
    """
    steps = month_plan.steps(scale)
    return steps if len(steps) <= MOST_SWATCHES else (math.nan,) * MOST_SWATCHES


def key_lefts(count: int) -> list[float]:
    """The left edges of the swatches, evenly spread."""
    return [KEY_LEFT + nth * (KEY_RIGHT - KEY_LEFT) / max(1, count) for nth in range(count)]


def _field(date: dt.date) -> PaperBox:
    return PaperBox(
        field="mood",
        date=date,
        value=True,
        x=round(FIRST + (date.month - 1) * PITCH + _INSET, 3),
        y=round(GRID_TOP + (date.day - 1) * ROW + _INSET, 3),
        width=round(PITCH - 2 * _INSET, 3),
        height=round(ROW - 2 * _INSET, 3),
    )
