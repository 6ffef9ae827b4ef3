"""A month of habits as rows of a page: the heads of the days, and for each habit its marks and its rate.

The rows share one scale, so the marks of a day stand in line below its head, whatever stands between two rows.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter

import msgspec

from journal.charts import habit_month
from journal.charts.canvas import NARROW, SMALL, Canvas, Drawing
from journal.charts.day_columns import Columns, draw_today, draw_weekends
from journal.charts.marks import MarkCell, cell, draw_key, draw_marks
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.periods import Period
from journal.wording import dates, habits, numbers

WIDE_STRIP = 350
"""Width of a wide row of marks, in pixels. A narrow one is as wide as a narrow figure."""

_HEAD, _WIDE_ROW, _NARROW_ROW, _RATE_ROW = 34.0, 26.0, 20.0, 18.0
_AXIS, _AXIS_MARGIN = 58.0, 10.0


class HabitStrip(msgspec.Struct, frozen=True, kw_only=True):
    """The drawings of one habit: its marks, wide and narrow, and its rate, None if it has none."""

    wide: Drawing
    narrow: Drawing
    rate: Drawing | None


def heads(month: Period, today: dt.date) -> HabitStrip:
    """The heads of the columns: weekdays and days, and the scale of the rates."""
    return HabitStrip(wide=_wide_head(month, today), narrow=_narrow_head(month, today), rate=_axis_head())


def strip(row: Row, month: Period, today: dt.date) -> HabitStrip:
    """The drawings of a row of `habit_month.rows`."""
    return HabitStrip(
        wide=_marks(row, _wide_columns(month), today, width=WIDE_STRIP, height=_WIDE_ROW, mark=(9.6, 12.0)),
        narrow=_marks(row, _narrow_columns(month), today, width=NARROW, height=_NARROW_ROW, mark=(8.4, 13.0)),
        rate=None if row["rate"] is None else _rate(row),
    )


def key(habits_of_month: list[Row], month: Period) -> Drawing:
    """The key of the marks that the rows use."""
    sheet, columns = Canvas(NARROW), _narrow_columns(month)
    shapes = [mark.shape for row in habits_of_month for mark in _cells(row, columns, 0)]
    return sheet.drawing(draw_key(sheet, shapes, x=0, y=10) + 2)


def _wide_columns(month: Period) -> Columns:
    return Columns(dates=month.dates, left=0, pitch=WIDE_STRIP / 31)


def _narrow_columns(month: Period) -> Columns:
    return Columns(dates=month.dates, left=0, pitch=NARROW / 31)


def _wide_head(month: Period, today: dt.date) -> Drawing:
    sheet, columns = Canvas(WIDE_STRIP), _wide_columns(month)
    draw_weekends(sheet, columns, 0, _HEAD)
    sheet.texts(
        [
            {"x": columns.middle(day), "y": 9, "text": dates.weekday_short(day.weekday(), 1)}
            for day in month.dates
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="weekdays",
    )  # fmt: skip
    _day_numbers(sheet, columns, today, y=25)
    return sheet.drawing(_HEAD)


def _narrow_head(month: Period, today: dt.date) -> Drawing:
    sheet, columns = Canvas(NARROW), _narrow_columns(month)
    _day_numbers(sheet, columns, today, y=9)
    return sheet.drawing(18)


def _day_numbers(sheet: Canvas, columns: Columns, today: dt.date, *, y: float) -> None:
    """Draw the number of every seventh day, and that of today in place of a neighbour of it."""
    beside = [today + dt.timedelta(days=by) for by in (-1, 1)] if today in columns.dates else []
    shown = [day for day in columns.dates if (day.day % 7 == 1 or day == today) and day not in beside]
    for is_today, colour in ((False, PAGE.muted), (True, PAGE.accent)):
        sheet.texts(
            [
                {"x": min(max(columns.middle(day), 5), sheet.width - 7), "y": y, "text": str(day.day)}
                for day in shown if (day == today) is is_today
            ],
            size=SMALL, colour=colour, align="center", bold=is_today, name="days",
        )  # fmt: skip


def _axis_head() -> Drawing:
    sheet = Canvas(_AXIS + 2 * _AXIS_MARGIN)
    sheet.texts(
        [
            {"x": _AXIS_MARGIN + share * _AXIS, "y": 25, "text": text}
            for share, text in ((0, "0"), (0.5, "50"), (1, "100"))
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="axis words",
    )  # fmt: skip
    return sheet.drawing(_HEAD)


def _marks(
    row: Row, columns: Columns, today: dt.date, *, width: float, height: float, mark: tuple[float, float]
) -> Drawing:
    sheet = Canvas(width)
    draw_weekends(sheet, columns, 0, height)
    draw_today(sheet, columns, today, 0.5, height - 0.5)
    draw_marks(
        sheet, _cells(row, columns, height / 2), width=mark[0], height=mark[1], pitch=(columns.pitch, height)
    )  # fmt: skip
    return sheet.drawing(height)


def _cells(row: Row, columns: Columns, middle: float) -> list[MarkCell]:
    marks = (
        cell(day, columns.middle(day["date"]), middle, habit_month.mark_label(row, day)) for day in row["days"]
    )  # fmt: skip
    return [mark for mark in marks if mark is not None]


def _rate(row: Row) -> Drawing:
    """The rate as a dot on its 95 % interval between 0 and 100 %."""
    sheet, middle = Canvas(_AXIS + 2 * _AXIS_MARGIN), _RATE_ROW / 2

    def at(share: float) -> float:
        return _AXIS_MARGIN + share * _AXIS

    sheet.rules(
        [{"x": at(share), "y": 0, "x2": at(share), "y2": _RATE_ROW} for share in (0, 0.5, 1)],
        stroke=PAGE.line, name="axis",
    )  # fmt: skip
    sheet.rules(
        [{"x": at(row["low"]), "y": middle, "x2": at(row["high"]), "y2": middle}],
        stroke=PAGE.quiet, stroke_width=2.2, name="intervals",
    )  # fmt: skip
    sheet.dots([{"x": at(row["rate"]), "y": middle}], radius=4.5, fill=PAGE.accent, name="rates")
    whole = {"x": 0, "y": 0, "x2": sheet.width, "y2": _RATE_ROW, "label": f"{row['name']}: {habit_month.rate(row)}"}
    sheet.rects([whole], name="rate words")
    return sheet.drawing(_RATE_ROW)


def marks_alt(row: Row) -> str:
    """The marks of a row in words: how many of each.

    >>> marks_alt({"name": "Walk", "days": [{"state": "done"}, {"state": "not due"}, {"state": "done"}]})
    'Walk: 2 done'
    """
    counts = Counter("extra" if habits.is_extra(day) else str(day["state"]) for day in row["days"])
    words = {state: habits.state_word(state) for state in habits.STATES} | {"extra": habits.extra_word()}
    named = [f"{counts[state]} {words[state]}" for state in words if counts[state] and state != "not due"]
    return f"{row['name']}: {numbers.joined(named, ', ') or habits.state_word('not due')}"
