"""Mood or energy day by day, with trailing means over 7 and 28 days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts.canvas import LABEL, NARROW, SMALL, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.periods import Period
from journal.settings import Scale
from journal.wording import dates, entries, numbers

RUN = 3
"""Least length in days of a run that has a band. Runs of two occur by chance every other week."""

_LINES = (("trailing_7", "last 7 days", 1.5), ("trailing_28", "last 28 days", 3.0))


@checked
def draw(
    trailing: pl.DataFrame,
    scale: Scale,
    period: Period,
    *,
    quantity: str = "mood",
    days: int | None = None,
    runs: pl.DataFrame | None = None,
    key: str = "mood-line",
) -> Figure:
    """Values and trailing means over a period.

    In: date, value, trailing_7, trailing_28 (Float64, null if missing) of at least the period. Missing days are gaps.
    `days` is the number of days of the period that have passed, if not all. `runs`, if given, is the frame of
    `mood_profile.runs`: three or more low days in a row have a band behind the lower half, high ones behind the upper.
    Out: a Figure; its table is the frame, cut to the period.
    """
    rows = trailing.filter(pl.col("date").is_between(period.first, period.last)).sort("date")
    rated = rows.get_column("value").drop_nulls()
    when = dates.period(period)
    mean = rated.mean()
    if isinstance(mean, float):
        noted = numbers.of(len(rated), days or period.days, "day")
        title = f"{quantity.capitalize()} averaged {numbers.mean(mean)} in {when}, on {noted}"
    else:
        title = f"No {quantity} was noted in {when}"
    means = [
        f"{words} {numbers.mean(last)}" for column, words, _ in _LINES if (last := _last(rows, column)) is not None
    ]
    ends = f" At the end of the line: {', '.join(means)}." if means else ""
    stretches = [] if runs is None else _stretches(runs, period)
    lines = "A dot a day; the lines are means of the last 7 and of the last 28 days, where enough days are rated"
    span = f"{entries.rated(scale.low, scale)} to {entries.rated(scale.high, scale)}"
    return Figure(
        key=key,
        title=title,
        subtitle=f"{lines}; bands: {RUN} low days or more in a row, or high ones." if stretches else f"{lines}.",
        alt=f"Line chart. {title}, on a scale from {span}.{ends}{_runs_text(stretches)}",
        wide=_line(rows, scale, period, stretches, width=WIDE, height=240, quantity=quantity),
        narrow=_line(rows, scale, period, stretches, width=NARROW, height=200, quantity=quantity),
        table=rows.select("date", "value", "trailing_7", "trailing_28"),
    )


def _stretches(runs: pl.DataFrame, period: Period) -> list[dict[str, Any]]:
    """Runs of at least `RUN` days that overlap the period."""
    here = runs.filter(pl.col("length") >= RUN, pl.col("to") >= period.first, pl.col("from") <= period.last)
    return list(here.iter_rows(named=True))


def _runs_text(stretches: list[dict[str, Any]]) -> str:
    """A sentence with the number of runs of each kind and the longest one."""
    parts = []
    for kind in ("low", "high"):
        of_kind = [run for run in stretches if run["kind"] == kind]
        if of_kind:
            longest = max(of_kind, key=lambda run: run["length"])
            span = f"{longest['length']} days from {dates.day(longest['from'], weekday=False)}"
            parts.append(f"{len(of_kind)} of {kind} days, the longest {span}")
    return f" Runs of {RUN} days or more: {'; '.join(parts)}." if parts else ""


def _last(rows: pl.DataFrame, column: str) -> float | None:
    values = rows.get_column(column).drop_nulls()
    return float(values[-1]) if len(values) else None


def _line(
    rows: pl.DataFrame,
    scale: Scale,
    period: Period,
    stretches: list[dict[str, Any]],
    *,
    width: float,
    height: float,
    quantity: str,
) -> Drawing:
    sheet = Canvas(width)
    words = axis_words(scale)
    left = 12 + max(text_width(text, SMALL) for _, text in words)
    right_words = 92 if width > 600 else 50
    right, top, bottom = width - right_words, 10.0, height
    across = (right - left) / max(1, period.days - 1)

    def x(day: dt.date) -> float:
        return left + (day - period.first).days * across if period.days > 1 else (left + right) / 2

    def y(value: float) -> float:
        return bottom - (value - scale.low) / ((scale.high - scale.low) or 1) * (bottom - top)

    middle = (top + bottom) / 2
    bands = []
    for run in stretches:
        first, last = max(run["from"], period.first), min(run["to"], period.last)
        ends_at = {"x": max(left, x(first) - across / 2), "x2": min(right, x(last) + across / 2)}
        text = f"{run['length']} {run['kind']} days in a row, from {dates.day(run['from'], weekday=False)}"
        half = {"y": middle, "y2": bottom} if run["kind"] == "low" else {"y": top, "y2": middle}
        bands.append({**ends_at, **half, "label": text})
    sheet.rects(bands, fill=PAGE.wash, name="runs")
    sheet.rules([{"x": left, "y": y(v), "x2": right, "y2": y(v)} for v, _ in words], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in words], size=SMALL, colour=PAGE.muted, name="scale")
    date_marks(sheet, period, x, bottom, width)
    points = [
        {
            "x": x(day), "y": y(value),
            "label": f"{dates.day(day, weekday=False)}: {quantity} {entries.rated(value, scale)}",
        }
        for day, value in rows.select("date", "value").iter_rows() if value is not None
    ]  # fmt: skip
    # Smaller dots for a year, which would overlap on the few steps of a scale.
    sheet.dots(points, radius=2.6 if period.days <= 62 else 1.7, fill=PAGE.quiet, name="days")
    ends: list[tuple[float, str, str]] = []
    for column, text, weight in _LINES:
        points_of = _runs([(x(day), None if v is None else y(v)) for day, v in rows.select("date", column).iter_rows()])
        colour = PAGE.accent if column == "trailing_28" else PAGE.muted
        # On a narrow drawing, a year has one pixel per day: thinner lines stay separate.
        thin = 0.7 if width < 600 and period.days > 62 else 1
        sheet.lines(points_of, stroke=colour, stroke_width=weight * thin, name=column)
        if points_of:
            short = text if width > 600 else text.removeprefix("last ")
            ends.append((points_of[-1]["y"], short, colour))
    _end_words(sheet, ends, right + 8, top, bottom)
    return sheet.drawing(height + 26)


def axis_words(scale: Scale) -> list[tuple[float, str]]:
    """The ticks of the axis with their texts: every whole step if there are at most six, else ends and middle.

    >>> axis_words(Scale(low=1, high=10))
    [(1, '1'), (5.5, '5.5'), (10, '10')]
    """
    span = int(scale.high - scale.low)
    steps = (
        [scale.low + i for i in range(span + 1)] if span <= 5 else [scale.low, (scale.low + scale.high) / 2, scale.high]
    )
    return [(step, entries.rated(step, scale)) for step in steps]


def _runs(points: list[tuple[float, float | None]]) -> list[dict[str, Any]]:
    """Points with a value, each with the number of its unbroken run."""
    runs, run = [], 0
    for x, y in points:
        if y is None:
            run += 1
        else:
            runs.append({"x": x, "y": y, "run": run})
    return runs


def _end_words(sheet: Canvas, ends: list[tuple[float, str, str]], x: float, top: float, bottom: float) -> None:
    """Draw the names at the line ends, moved apart if they would overlap, and kept inside of the drawing."""
    apart = LABEL + 2
    placed = sorted(ends)
    heights = [y for y, _, _ in placed]
    if len(heights) == 2 and heights[1] - heights[0] < apart:
        middle = min(max(sum(heights) / 2, top + apart / 2), bottom - apart / 2)
        heights = [middle - apart / 2, middle + apart / 2]
    for y, (_, text, colour) in zip(heights, placed, strict=True):
        sheet.texts([{"x": x, "y": y, "text": text}], size=SMALL, colour=colour, bold=True, name="line")


def date_marks(sheet: Canvas, period: Period, x: Callable[[dt.date], float], bottom: float, width: float) -> None:
    """Draw the date axis: months of a year, every seventh day of a month, every day of a week."""
    if period.days > 62:
        ticks = [dt.date(period.first.year, month, 1) for month in range(1, 13)]
        texts = [(x(day) + 2, dates.month_short(day.month, 3 if width > 600 else 1)) for day in ticks]
        align = "left"
    else:
        ticks = [day for i, day in enumerate(period.dates) if period.days <= 7 or i % 7 == 0]
        texts = [(x(day), str(day.day)) for day in ticks]
        align = "center"
    sheet.rules(
        [{"x": x(day), "y": bottom, "x2": x(day), "y2": bottom + 4} for day in ticks], stroke=PAGE.quiet, name="ticks"
    )
    sheet.texts(
        [{"x": at, "y": bottom + 15, "text": text} for at, text in texts],
        size=SMALL, colour=PAGE.muted, align=align, name="dates",
    )  # fmt: skip
