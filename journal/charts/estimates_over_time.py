"""Time taken by tasks relative to their estimates, over time. Dots above the line took longer than estimated."""

from __future__ import annotations

import datetime as dt
import math

import polars as pl

from journal.call_arguments import checked
from journal.charts.canvas import NARROW, SMALL, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.mood_line import date_marks
from journal.charts.theme import PAGE
from journal.language.catalogue import _, _n, _p
from journal.periods import Period
from journal.wording import dates, numbers

_FURTHEST = 16.0
"""Ratios are clipped to 1/16 and 16, so that one mistyped duration does not flatten all others."""


@checked
def draw(ratios: pl.DataFrame, summary: pl.DataFrame, period: Period, *, key: str = "estimates-over-time") -> Figure:
    """A dot per task that was estimated and timed, and the median ratio of the last 28 days.

    In: the frame of `tasks.trailing_ratios` (last, estimate, took, ratio, trailing_median) of at least the period;
    `summary` is the frame of `tasks.estimates` of the period (n, median_ratio, share_over). Out: a Figure; its table
    has last, estimate, took, ratio, trailing_median. The y axis is logarithmic: twice lies as far above the line as
    half lies below it.
    """
    rows = ratios.filter(pl.col("last").is_between(period.first, period.last)).sort("last", maintain_order=True)
    title = _title(summary, period)
    return Figure(
        key=key,
        title=title,
        subtitle=_(
            "A dot a task, on the day it was done, by what it took over its estimate; the line is the median "
            "of the last 28 days, where enough were timed."
        ),
        alt=numbers.joined(
            [_("Dots over time on a scale of ratios, {period}", period=dates.period(period)), title, _alt(summary)],
            ". ",
        )
        + ".",
        wide=_dots(rows, period, WIDE, 230),
        narrow=_dots(rows, period, NARROW, 200),
        table=rows.select("last", "estimate", "took", "ratio", "trailing_median"),
    )


def _title(summary: pl.DataFrame, period: Period) -> str:
    counts = summary.row(0, named=True) if summary.height else {"n": 0}
    if not counts["n"]:
        return _("No task done in {period} was both estimated and timed", period=dates.period(period))
    ratio = numbers.number(counts["median_ratio"], 2)
    if counts["n"] == 1:
        return _("The one task that was timed took {ratio} times as long as estimated", ratio=ratio)
    if ratio == numbers.number(1):
        return _n(
            "Half of {count} task took as long as estimated, or longer",
            "Half of {count} tasks took as long as estimated, or longer",
            counts["n"],
        )
    return _n(
        "Half of {count} task took {ratio} times as long as estimated, or longer",
        "Half of {count} tasks took {ratio} times as long as estimated, or longer",
        counts["n"],
        ratio=ratio,
    )


def _alt(summary: pl.DataFrame) -> str:
    if not summary.height or not summary.item(0, "n"):
        return ""
    return _("{share} took longer than estimated", share=numbers.percent(summary.item(0, "share_over")))


def times(ratio: float) -> str:
    """A ratio as text.

    >>> times(1.3333), times(0.5), times(12.0)
    ('1.33 times', '0.5 times', '12 times')
    """
    return _("{ratio} times", ratio=numbers.number(ratio, 2))


def _powers(rows: pl.DataFrame) -> list[int]:
    """The powers of two on the axis, at least from half to twice."""
    ratios = [min(_FURTHEST, max(1 / _FURTHEST, r)) for r in rows.get_column("ratio")]
    low = min(-1, math.floor(math.log2(min(ratios, default=1)) + 1e-9))
    high = max(1, math.ceil(math.log2(max(ratios, default=1)) - 1e-9))
    return list(range(low, high + 1))


def _power_word(power: int) -> str:
    if power == 0:
        return _("as estimated")
    if power > 0:
        return _p("of an estimate", "twice") if power == 1 else _("{ratio} times", ratio=2**power)
    return _p("of an estimate", "half") if power == -1 else f"1/{2**-power}"


def _dots(rows: pl.DataFrame, period: Period, width: float, height: float) -> Drawing:
    sheet = Canvas(width)
    powers = _powers(rows)
    words = {power: _power_word(power) for power in powers}
    left = max(74.0, 12 + max(text_width(word, SMALL) for word in words.values()))
    right, top, bottom = width - 12, 10.0, height
    across = (right - left) / max(1, period.days - 1)

    def x(day: dt.date) -> float:
        return left + (day - period.first).days * across if period.days > 1 else (left + right) / 2

    def y(ratio: float) -> float:
        power = math.log2(min(_FURTHEST, max(1 / _FURTHEST, ratio)))
        return bottom - (power - powers[0]) / (powers[-1] - powers[0]) * (bottom - top)

    sheet.rules(
        [{"x": left, "y": y(2.0**p), "x2": right, "y2": y(2.0**p)} for p in powers if p], stroke=PAGE.line, name="steps"
    )
    sheet.rules(
        [{"x": left, "y": y(1), "x2": right, "y2": y(1)}], stroke=PAGE.ink, stroke_width=1.2, name="as estimated"
    )
    sheet.texts(
        [{"x": 0, "y": y(2.0**p), "text": words[p]} for p in powers],
        size=SMALL, colour=PAGE.muted, name="ratios",
    )  # fmt: skip
    date_marks(sheet, period, x, bottom, width)
    sheet.dots(
        [
            {
                "x": x(row["last"]), "y": y(row["ratio"]),
                "label": _(
                    "{date}: took {took}, estimated {estimate}, {ratio} times",
                    date=dates.day(row["last"], weekday=False), took=dates.minutes(row["took"]),
                    estimate=dates.minutes(row["estimate"]), ratio=numbers.number(row["ratio"], 2),
                ),
            }
            for row in rows.iter_rows(named=True)
        ],
        radius=2.6 if period.days <= 62 else 1.8, fill=PAGE.quiet, name="tasks",
    )  # fmt: skip
    line, run = [], 0
    for row in rows.unique("last", keep="last").sort("last").iter_rows(named=True):
        if row["trailing_median"] is None:
            run += 1
        else:
            line.append({"x": x(row["last"]), "y": y(row["trailing_median"]), "run": run})
    sheet.lines(line, stroke=PAGE.accent, stroke_width=2.6, name="trailing")
    return sheet.drawing(height + 26)
