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
from journal.language.catalogue import N_, _, _n, _p
from journal.settings import Scale
from journal.wording import dates, habits, numbers

_COLUMNS = ("date", "arm", "done", "outcome")
_ROW = 17.0  # pixels a row of the strip
_WHOLE_FROM = 100  # minutes of sleep have no decimals

_SHAPES = {True: "done", False: "missed", None: "blank"}
_ARMS = {"on": N_("drawn on"), "off": N_("drawn off"), "washout": N_("left out")}

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
        subtitle=_("A dot a day, at its value: filled where the lot said on, hollow where it said off."),
        alt=numbers.joined([_("Dots by day, with the lots below."), title, _alt(rows, means, outcome)], " "),
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
        parts.append(
            numbers.joined([_drawn_text(len(days), seen, is_on=arm == "on"), _outcome_text(mean, outcome)], ", ")
        )
    otherwise = sum(map(_went_otherwise, rows))
    parts.append(_n("{count} day went otherwise than drawn.", "{count} days went otherwise than drawn.", otherwise))
    return "; ".join(parts)


def _drawn_text(days: int, seen: int, *, is_on: bool) -> str:
    if is_on:
        return _n(
            "{count} day drawn on, {seen} with a value", "{count} days drawn on, {seen} with a value", days, seen=seen
        )
    return _n(
        "{count} day drawn off, {seen} with a value", "{count} days drawn off, {seen} with a value", days, seen=seen
    )


def _outcome_text(mean: float | None, outcome: str) -> str | None:
    return None if mean is None else _("mean {outcome} {mean}", outcome=outcome, mean=_mean_text(mean))


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
    names = [_("by lot"), _p("row of a drawing", "done"), _p("row of a drawing", "otherwise")]
    left = 14 + max(text_width(text, SMALL) for text in [*names, *(text for _value, text in ticks)])
    ends = _mean_names(drawn.means)
    beside = 8 + max((text_width(text, SMALL) for text in ends.values()), default=0) * 1.1  # they are bold
    right = width - max(62 if width > 600 else 52, beside)
    across = (right - left) / max(1, len(rows))
    low, high = ticks[0][0], ticks[-1][0]

    def x(place: int) -> float:
        return left + (place + 0.5) * across

    def y(value: float) -> float:
        return height - (value - low) / ((high - low) or 1) * (height - 12)

    sheet.rules([{"x": left, "y": y(v), "x2": right, "y2": y(v)} for v, _text in ticks], stroke=PAGE.line, name="steps")
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
    return _(
        "{date}: {arm}, {habit} {done}, {outcome} {value}",
        date=dates.day(row["date"], weekday=False),
        arm=_(_ARMS[row["arm"]]),
        habit=drawn.habit,
        done=habits.state_word(_SHAPES[row["done"]]),
        outcome=drawn.outcome,
        value=numbers.number(row["outcome"], 2),
    )


def _mean_names(means: ArmMeans) -> dict[str, str]:
    """The texts at the ends of the lines, by arm."""
    texts = {}
    if means.on is not None:
        texts["on"] = _("on {mean}", mean=_mean_text(means.on))
    if means.off is not None:
        texts["off"] = _("off {mean}", mean=_mean_text(means.off))
    return texts


def _means(sheet: Canvas, means: ArmMeans, y: _AtValue, ends_at: tuple[float, float], bottom: float) -> None:
    (left, right), ends, names = ends_at, [], _mean_names(means)
    for name, mean, colour in (("off", means.off, PAGE.quiet), ("on", means.on, PAGE.accent)):
        if mean is None:
            continue
        line = [{"x": left, "y": y(mean), "x2": right, "y2": y(mean)}]
        sheet.rules(line, stroke=colour, stroke_width=2.2, dash=(5, 4) if name == "off" else None, name=f"mean {name}")
        ends.append((y(mean), names[name], PAGE.muted if name == "off" else PAGE.accent))
    ends.sort()
    heights = [end[0] for end in ends]
    if len(heights) == 2 and heights[1] - heights[0] < LABEL + 2:
        middle = min(max(sum(heights) / 2, 10), bottom - 10)
        heights = [middle - 8, middle + 8]
    for height, (_unmoved, text, colour) in zip(heights, ends, strict=True):
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
    side = min(9.0, across * 0.8)
    cells = [MarkCell(shape=_SHAPES[row["done"]], x=x(i), y=top + _ROW) for i, row in enumerate(rows)]
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
    texts = [dates.date_short(row["date"]) for row in rows]
    widest = text_width(dates.date_short(dt.date(2025, 5, 28)), SMALL)
    most = max(1, int(width / (widest + 14)))
    step = 7 * max(1, -(-len(rows) // (7 * most)))
    marked = [(x(i), texts[i]) for i in range(0, len(rows), step)]
    sheet.rules([{"x": at, "y": top, "x2": at, "y2": top + 4} for at, _text in marked], stroke=PAGE.quiet, name="ticks")
    sheet.texts(
        [{"x": at, "y": top + 13, "text": text} for at, text in marked], size=SMALL, colour=PAGE.muted, name="dates"
    )
