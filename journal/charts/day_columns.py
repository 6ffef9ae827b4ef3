"""Days as columns: their headings, weekend bands, and the frame of today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import msgspec

from journal.charts.canvas import SMALL, Canvas
from journal.charts.theme import PAGE
from journal.wording import dates

HEAD = 44.0
"""Height of the headings that `draw_heads` draws, in pixels."""


class Columns(msgspec.Struct, frozen=True, kw_only=True):
    """One column per day, starting at `left`, each `pitch` pixels wide."""

    dates: Sequence[dt.date]
    left: float
    pitch: float

    @property
    def right(self) -> float:
        return self.left + len(self.dates) * self.pitch

    def middle(self, day: dt.date) -> float:
        """The x of the centre of a day's column.

        >>> Columns(dates=[dt.date(2025, 3, 10), dt.date(2025, 3, 11)], left=100, pitch=20).middle(dt.date(2025, 3, 11))
        130.0
        """
        return self.left + ((day - self.dates[0]).days + 0.5) * self.pitch


def draw_weekends(sheet: Canvas, columns: Columns, top: float, bottom: float) -> None:
    """Draw bands behind Saturdays and Sundays. Adjacent days share one band, so that no seam shows."""
    bands: list[dict[str, Any]] = []
    for place, day in enumerate(columns.dates):
        if day.weekday() < 5:
            continue
        start = columns.left + place * columns.pitch
        if place and columns.dates[place - 1].weekday() >= 5:
            bands[-1]["x2"] = start + columns.pitch
        else:
            bands.append({"x": start, "y": top, "x2": start + columns.pitch, "y2": bottom})
    sheet.rects(bands, fill=PAGE.wash, name="weekend")


def draw_today(sheet: Canvas, columns: Columns, today: dt.date, top: float, bottom: float) -> None:
    """Draw a thin frame round today's column, if `today` is among the columns."""
    if today not in columns.dates:
        return
    left, right = columns.middle(today) - columns.pitch / 2, columns.middle(today) + columns.pitch / 2
    frame = {"x": max(left, 1), "y": top, "x2": min(right, sheet.width - 1), "y2": bottom}  # inside the drawing
    sheet.rects([frame], stroke=PAGE.accent, stroke_width=1, radius=3, name="today")


def draw_heads(sheet: Canvas, columns: Columns, today: dt.date, *, letters: int = 1) -> None:
    """Draw weekday names, cut to `letters`, above day numbers. Today's number is on the accent colour."""
    middles = [(day, columns.middle(day)) for day in columns.dates]
    sheet.texts(
        [{"x": x, "y": 10, "text": dates.weekday_short(day.weekday(), letters)} for day, x in middles],
        size=SMALL, colour=PAGE.muted, align="center", name="weekdays",
    )  # fmt: skip
    sheet.rects(
        [{"x": x - 9.5, "y": 19, "x2": x + 9.5, "y2": 36} for day, x in middles if day == today],
        fill=PAGE.accent, radius=4, name="today",
    )  # fmt: skip
    for is_today, colour in ((False, PAGE.muted), (True, PAGE.on_accent)):
        sheet.texts(
            [{"x": x, "y": 28, "text": str(day.day)} for day, x in middles if (day == today) is is_today],
            size=SMALL, colour=colour, align="center", bold=is_today, name="days",
        )  # fmt: skip
