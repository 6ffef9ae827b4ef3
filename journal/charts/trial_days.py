"""The days of a trial in order: what was looked at, by arm, and below it what the lot said and what was done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from itertools import groupby
from typing import NamedTuple

import polars as pl

from journal.call_arguments import checked
from journal.charts import axis
from journal.charts.canvas import LABEL, NARROW, SMALL, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.marks import MarkCell, draw_marks
from journal.charts.mood_line import axis_words
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.settings import Scale
from journal.wording import dates, numbers

_COLUMNS = ("date", "arm", "done", "outcome")
_ROW = 17.0  # pixels a row of the strip
_MONTH_LETTERS = 3
_WHOLE_FROM = 100  # minutes of sleep have no decimals

_AtDay = Callable[[int], float]
_AtValue = Callable[[float], float]


class ArmMeans(NamedTuple):
    """The mean of what is looked at by arm; None without a value."""

    on: float | None
    off: float | None


@checked
def draw(
    lots: pl.DataFrame,
    means: ArmMeans,
    *,
    title: str,
    habit: str,
    outcome: str,
    scale: Scale | None = None,
    key: str = "trial-days",
) -> Figure:
    """A dot a day at its value, filled on days drawn on and hollow on days drawn off, and the mean of each arm.

    In: rows of one trial: date, arm (on, off or washout), done (Boolean, null if not recorded), outcome (Float64, null
    if missing; that of the day it is looked at on belongs to the day of the lot). Missing values are gaps. `habit` and
    `outcome` are names in words; `scale` has the steps of mood or energy. Out: a Figure; its table is the rows.
    """
    rows = list(lots.sort("date").select(*_COLUMNS).iter_rows(named=True))
    parts = _Drawn(rows, means, habit, outcome, scale)
    return Figure(
        key=key,
        title=title,
        subtitle="A dot a day, at its value: filled where the lot said on, hollow where it said off.",
        alt=f"Dots by day, with the lots below. {title} {_alt(rows, means, outcome)}",
        wide=_drawing(parts, WIDE, 190),
        narrow=_drawing(parts, NARROW, 170),
        table=lots.sort("date").select(*_COLUMNS),
    )


class _Drawn(NamedTuple):
    rows: Sequence[Row]
    means: ArmMeans
    habit: str
    outcome: str
    scale: Scale | None


def _went_otherwise(row: Row) -> bool:
    return row["arm"] != "washout" and row["done"] is not None and row["done"] is not (row["arm"] == "on")


def _alt(rows: Sequence[Row], means: ArmMeans, outcome: str) -> str:
    parts = []
    for arm, mean in (("on", means.on), ("off", means.off)):
        days = [row for row in rows if row["arm"] == arm]
        seen = sum(row["outcome"] is not None for row in days)
        text = f"{numbers.plural(len(days), 'day')} drawn {arm}, {seen} with a value"
        parts.append(text if mean is None else f"{text}, mean {outcome} {_mean_text(mean)}")
    otherwise = sum(map(_went_otherwise, rows))
    return f"{'; '.join(parts)}; {numbers.plural(otherwise, 'day')} went otherwise than drawn."


def _mean_text(mean: float) -> str:
    return numbers.mean(mean) if abs(mean) < _WHOLE_FROM else numbers.number(mean, 0)


def _ticks(drawn: _Drawn) -> list[tuple[float, str]]:
    if drawn.scale is not None:
        return axis_words(drawn.scale)
    values = [row["outcome"] for row in drawn.rows if row["outcome"] is not None]
    steps = axis.steps(min(values), max(values), 4) if values else axis.steps(0, 1, 2)
    return [(step, numbers.number(step, 2)) for step in steps]


def _drawing(drawn: _Drawn, width: float, height: float) -> Drawing:
    sheet, rows, ticks = Canvas(width), drawn.rows, _ticks(drawn)
    names = ["by lot", "done", "otherwise"]
    left = 14 + max(text_width(text, SMALL) for text in [*names, *(text for _, text in ticks)])
    right = width - (62 if width > 600 else 52)
    across = (right - left) / max(1, len(rows))
    low, high = ticks[0][0], ticks[-1][0]

    def x(place: int) -> float:
        return left + (place + 0.5) * across

    def y(value: float) -> float:
        return height - (value - low) / ((high - low) or 1) * (height - 12)

    sheet.rules([{"x": left, "y": y(v), "x2": right, "y2": y(v)} for v, _ in ticks], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in ticks], size=SMALL, colour=PAGE.muted, name="scale")
    _values(sheet, drawn, x, y, radius=min(3.6, max(1.9, across * 0.42)))
    _means(sheet, drawn.means, y, (left, right), height)
    below = _strip(sheet, rows, names, x, across, top=height + 26)
    _dates(sheet, rows, x, below, right - left)
    return sheet.drawing(below + 20)


def _values(sheet: Canvas, drawn: _Drawn, x: _AtDay, y: _AtValue, *, radius: float) -> None:
    for arm, fill, stroke, size in (
        ("washout", PAGE.blank, None, 1.4), ("off", PAGE.card, PAGE.quiet, radius), ("on", PAGE.accent, None, radius),
    ):  # fmt: skip
        dots = [
            {"x": x(place), "y": y(row["outcome"]), "label": _label(row, drawn)}
            for place, row in enumerate(drawn.rows)
            if row["arm"] == arm and row["outcome"] is not None
        ]
        sheet.dots(dots, radius=size, fill=fill, stroke=stroke, name=f"drawn {arm}")


def _label(row: Row, drawn: _Drawn) -> str:
    done = {True: "done", False: "not done", None: "not recorded"}[row["done"]]
    arm = "left out" if row["arm"] == "washout" else f"drawn {row['arm']}"
    value = numbers.number(row["outcome"], 2)
    return f"{dates.day(row['date'], weekday=False)}: {arm}, {drawn.habit} {done}, {drawn.outcome} {value}"


def _means(sheet: Canvas, means: ArmMeans, y: _AtValue, ends_at: tuple[float, float], bottom: float) -> None:
    (left, right), ends = ends_at, []
    for name, mean, colour in (("off", means.off, PAGE.quiet), ("on", means.on, PAGE.accent)):
        if mean is None:
            continue
        line = [{"x": left, "y": y(mean), "x2": right, "y2": y(mean)}]
        sheet.rules(line, stroke=colour, stroke_width=2.2, dash=(5, 4) if name == "off" else None, name=f"mean {name}")
        ends.append((y(mean), f"{name} {_mean_text(mean)}", PAGE.muted if name == "off" else PAGE.accent))
    ends.sort()
    heights = [height for height, _, _ in ends]
    if len(heights) == 2 and heights[1] - heights[0] < LABEL + 2:
        middle = min(max(sum(heights) / 2, 10), bottom - 10)
        heights = [middle - 8, middle + 8]
    for height, (_, text, colour) in zip(heights, ends, strict=True):
        sheet.texts([{"x": right + 8, "y": height, "text": text}], size=SMALL, colour=colour, bold=True, name="means")


def _strip(sheet: Canvas, rows: Sequence[Row], names: list[str], x: _AtDay, across: float, *, top: float) -> float:
    """Draw what the lot said, what was done, and where the two differ. Returns the y below it."""
    place = 0
    for arm, days in groupby(rows, key=lambda row: row["arm"]):
        count = len(list(days))
        box = {"x": x(place) - across / 2 + 0.8, "x2": x(place + count - 1) + across / 2 - 0.8}
        if arm == "washout":
            sheet.rules([{**box, "y": top, "y2": top}], stroke=PAGE.line, name="left out")
        elif arm == "on":
            sheet.rects([{**box, "y": top - 5, "y2": top + 5}], fill=PAGE.accent, radius=1.5, name="on")
        else:
            sheet.rects([{**box, "y": top - 4.4, "y2": top + 4.4}], stroke=PAGE.quiet, radius=1.5, name="off")
        place += count
    shapes = {True: "done", False: "missed", None: "blank"}
    side = min(9.0, across * 0.8)
    cells = [MarkCell(shape=shapes[row["done"]], x=x(i), y=top + _ROW) for i, row in enumerate(rows)]
    draw_marks(sheet, cells, width=side, height=min(9.0, max(5.0, side)))
    others = [i for i, row in enumerate(rows) if _went_otherwise(row)]
    half = max(1.2, side / 2)
    below = {"y": top + 2 * _ROW - 1.5, "y2": top + 2 * _ROW + 1.5}
    bars = [{"x": x(i) - half, "x2": x(i) + half, **below} for i in others]
    sheet.rects(bars, fill=PAGE.ink, name="otherwise")
    shown = names if others else names[:2]
    sheet.texts(
        [{"x": 0, "y": top + i * _ROW, "text": text} for i, text in enumerate(shown)],
        size=SMALL, colour=PAGE.muted, name="rows",
    )  # fmt: skip
    return top + (len(shown) - 0.5) * _ROW


def _dates(sheet: Canvas, rows: Sequence[Row], x: _AtDay, top: float, width: float) -> None:
    """Draw a date every week, or as many weeks apart as have room."""
    if not rows:
        return
    texts = [_short(row["date"]) for row in rows]
    most = max(1, int(width / (text_width("28 May", SMALL) + 14)))
    step = 7 * max(1, -(-len(rows) // (7 * most)))
    marked = [(x(i), texts[i]) for i in range(0, len(rows), step)]
    sheet.rules([{"x": at, "y": top, "x2": at, "y2": top + 4} for at, _ in marked], stroke=PAGE.quiet, name="ticks")
    sheet.texts(
        [{"x": at, "y": top + 13, "text": text} for at, text in marked], size=SMALL, colour=PAGE.muted, name="dates"
    )


def _short(day: dt.date) -> str:
    return f"{day.day} {dates.month_short(day.month, _MONTH_LETTERS)}"
