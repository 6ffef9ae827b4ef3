"""Mood or energy day by day, with trailing means over 7 and 28 days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts import quantities
from journal.charts.canvas import LABEL, NARROW, SMALL, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import N_, _, _n
from journal.periods import Period
from journal.settings import Scale
from journal.wording import dates, entries, numbers

RUN = 3
"""Least length in days of a run that has a band. Runs of two occur by chance every other week."""

_LINES = (
    ("trailing_7", N_("last 7 days"), N_("7 days"), 1.5),
    ("trailing_28", N_("last 28 days"), N_("28 days"), 3.0),
)
"""Columns of the trailing means, their names on wide and narrow drawings, and the weights of the lines."""


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
        title = _n(
            "{quantity} averaged {mean} in {period}, on {noted} of {count} day",
            "{quantity} averaged {mean} in {period}, on {noted} of {count} days",
            days or period.days,
            quantity=quantities.heading(quantity),
            mean=numbers.mean(mean),
            period=when,
            noted=numbers.number(len(rated)),
        )
    else:
        title = _("No {quantity} was noted in {period}", quantity=quantities.word(quantity), period=when)
    stretches = [] if runs is None else _stretches(runs, period)
    chart = _(
        "Line chart. {title}, on a scale from {low} to {high}.",
        title=title,
        low=entries.rated(scale.low, scale),
        high=entries.rated(scale.high, scale),
    )
    return Figure(
        key=key,
        title=title,
        subtitle=_subtitle(has_bands=bool(stretches)),
        alt=numbers.joined([chart, _ends_text(rows), _runs_text(stretches)], " "),
        wide=_line(rows, scale, period, stretches, width=WIDE, height=240, quantity=quantity),
        narrow=_line(rows, scale, period, stretches, width=NARROW, height=200, quantity=quantity),
        table=rows.select("date", "value", "trailing_7", "trailing_28"),
    )


def _subtitle(*, has_bands: bool) -> str:
    if has_bands:
        return _(
            "A dot a day; the lines are means of the last 7 and of the last 28 days, where enough days are rated; "
            "bands: {least} low days or more in a row, or high ones.",
            least=RUN,
        )
    return _("A dot a day; the lines are means of the last 7 and of the last 28 days, where enough days are rated.")


def _ends_text(rows: pl.DataFrame) -> str:
    """The trailing means at their last days."""
    ends = [(name, _last(rows, column)) for column, name, _short, _weight in _LINES]
    means = [_("{line} {mean}", line=_(name), mean=numbers.mean(mean)) for name, mean in ends if mean is not None]
    return _("At the end of the line: {means}.", means=", ".join(means)) if means else ""


def _stretches(runs: pl.DataFrame, period: Period) -> list[dict[str, Any]]:
    """Runs of at least `RUN` days that overlap the period."""
    here = runs.filter(pl.col("length") >= RUN, pl.col("to") >= period.first, pl.col("from") <= period.last)
    return list(here.iter_rows(named=True))


def _runs_text(stretches: list[dict[str, Any]]) -> str:
    """A sentence with the number of runs of each kind and the longest one."""
    texts = {
        "low": N_("{runs} of low days, the longest {days} days from {date}"),
        "high": N_("{runs} of high days, the longest {days} days from {date}"),
    }
    parts = []
    for kind, text in texts.items():
        of_kind = [run for run in stretches if run["kind"] == kind]
        if of_kind:
            longest = max(of_kind, key=lambda run: run["length"])
            date = dates.day(longest["from"], weekday=False)
            parts.append(_(text, runs=len(of_kind), days=longest["length"], date=date))
    return _("Runs of {least} days or more: {runs}.", least=RUN, runs="; ".join(parts)) if parts else ""


def _run_label(run: Row) -> str:
    date = dates.day(run["from"], weekday=False)
    if run["kind"] == "low":
        return _("{count} low days in a row, from {date}", count=run["length"], date=date)
    return _("{count} high days in a row, from {date}", count=run["length"], date=date)


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
    left = 12 + max(text_width(text, SMALL) for _value, text in words)
    names = {column: _(name if width > 600 else short) for column, name, short, _weight in _LINES}
    widest = max(text_width(name, SMALL) for name in names.values()) * 1.1  # they are bold
    right_words = max(92 if width > 600 else 50, widest + 12)
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
        half = {"y": middle, "y2": bottom} if run["kind"] == "low" else {"y": top, "y2": middle}
        bands.append({**ends_at, **half, "label": _run_label(run)})
    sheet.rects(bands, fill=PAGE.wash, name="runs")
    sheet.rules([{"x": left, "y": y(v), "x2": right, "y2": y(v)} for v, _text in words], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in words], size=SMALL, colour=PAGE.muted, name="scale")
    date_marks(sheet, period, x, bottom, width)
    points = [
        {
            "x": x(day), "y": y(value),
            "label": quantities.rated_on(day, quantity, value, scale),
        }
        for day, value in rows.select("date", "value").iter_rows() if value is not None
    ]  # fmt: skip
    # Smaller dots for a year, which would overlap on the few steps of a scale.
    sheet.dots(points, radius=2.6 if period.days <= 62 else 1.7, fill=PAGE.quiet, name="days")
    ends: list[tuple[float, str, str]] = []
    for column, _name, _short, weight in _LINES:
        points_of = _runs([(x(day), None if v is None else y(v)) for day, v in rows.select("date", column).iter_rows()])
        colour = PAGE.accent if column == "trailing_28" else PAGE.muted
        # On a narrow drawing, a year has one pixel per day: thinner lines stay separate.
        thin = 0.7 if width < 600 and period.days > 62 else 1
        sheet.lines(points_of, stroke=colour, stroke_width=weight * thin, name=column)
        if points_of:
            ends.append((points_of[-1]["y"], names[column], colour))
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
    heights = [end[0] for end in placed]
    if len(heights) == 2 and heights[1] - heights[0] < apart:
        middle = min(max(sum(heights) / 2, top + apart / 2), bottom - apart / 2)
        heights = [middle - apart / 2, middle + apart / 2]
    for y, (_unmoved, text, colour) in zip(heights, placed, strict=True):
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
