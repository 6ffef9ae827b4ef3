"""Waiting time of tasks: the share not done yet, by days since a task first appeared on a page."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.charts.axis import steps
from journal.charts.canvas import NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.wording import numbers


def draw(waiting: pl.DataFrame, lives: pl.DataFrame, *, key: str = "waiting-curve") -> Figure:
    """The Kaplan-Meier curve of tasks, its median, and the censored tasks.

    In: the frame of `tasks.waiting`, and the frame of `tasks.lives` (days, status) that it was computed from. Out: a
    Figure; its table has days, at_risk, done, survival, low, high. Without a task that is done there is no curve.
    """
    rows = list(waiting.iter_rows(named=True))
    ended = [row for row in lives.select("days", "status").iter_rows(named=True) if row["status"] != "done"]
    title = _title(rows, lives.height)
    return Figure(
        key=key,
        title=title,
        subtitle=_subtitle(rows, lives, ended),
        alt=numbers.joined([f"Falling steps from {numbers.percent(1)}. {title}.", _alt(rows)], " "),
        wide=_curve(rows, ended, WIDE, 230),
        narrow=_curve(rows, ended, NARROW, 210),
        table=waiting.select("days", "at_risk", "done", "survival", "low", "high"),
    )


def _title(rows: list[Row], tasks: int) -> str:
    if not tasks:
        return "No task has stood on a page yet"
    if not rows:
        return f"Not one of {numbers.plural(tasks, 'task')} is done yet"
    median = rows[0]["median_days"]
    if median is None:
        last = rows[-1]
        return (
            f"More than half of {numbers.plural(tasks, 'task')} still wait after {numbers.plural(last['days'], 'day')}"
        )
    when = "on the day they first stand" if median == 0 else f"within {numbers.plural(median, 'day')}"
    return f"Half of all tasks are done {when} ({numbers.plural(tasks, 'task')})"


def _subtitle(rows: list[Row], lives: pl.DataFrame, ended: list[Row]) -> str:
    if not rows:
        return "The curve begins with the first task that is done."
    open_ones = [row for row in ended if row["status"] == "open"]
    counts = {"done": lives.height - len(ended), "still open": len(open_ones), "dropped": len(ended) - len(open_ones)}
    counts_text = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    ticks = " Upright ticks: tasks that were last seen waiting, open or dropped." if ended else ""
    explanation = f"Share still waiting, by days since a task first stood, with its {numbers.NINETY_FIVE} interval"
    return f"{explanation}; {counts_text}.{ticks}"


def _alt(rows: list[Row]) -> str:
    shown = rows if len(rows) <= 8 else [*rows[:7], rows[-1]]
    parts = [
        f"{numbers.percent(row['survival'])} wait longer than "
        + (numbers.plural(row["days"], "day") if row["days"] else "the day they first stand")
        for row in shown
    ]
    return ", ".join(parts) + "." if parts else ""


def _curve(rows: list[Row], ended: list[Row], width: float, height: float) -> Drawing:
    sheet = Canvas(width)
    if not rows:
        return sheet.drawing(20)
    left, right, top, bottom = 44.0, width - 16, 14.0, height
    longest, further = _longest(rows, ended)
    ticks = [t for t in steps(0, longest, 8 if width > 600 else 5) if t == int(t) and t <= longest]

    def x(days: float) -> float:
        return left + min(days, longest) / longest * (right - left)

    def y(share: float) -> float:
        return bottom - share * (bottom - top)

    shares = ((0, "0"), (0.5, "50"), (1, numbers.percent(1)))
    sheet.rules([{"x": left, "y": y(s), "x2": right, "y2": y(s)} for s, _ in shares], stroke=PAGE.line, name="steps")
    sheet.texts(
        [{"x": left - 8, "y": y(s), "text": text} for s, text in shares],
        size=SMALL, colour=PAGE.muted, align="right", name="shares",
    )  # fmt: skip
    sheet.texts(
        [{"x": x(t), "y": bottom + 15, "text": numbers.number(t)} for t in ticks],
        size=SMALL, colour=PAGE.muted, align="center", name="days",
    )  # fmt: skip
    sheet.texts(
        [{"x": right, "y": bottom + 32, "text": "days since it first stood"}],
        size=SMALL, colour=PAGE.muted, align="right", name="axis",
    )  # fmt: skip
    if further:
        tasks = numbers.plural(len(further), "task")
        text = f"{tasks} further out, up to {numbers.plural(max(further), 'day')}"
        sheet.texts([{"x": right, "y": bottom + 48, "text": text}], size=SMALL, colour=PAGE.muted, align="right",
                    name="further")  # fmt: skip
    stairs = _stairs(rows, longest)
    sheet.rects(
        [
            {"x": x(start), "y": y(row["high"]), "x2": x(end), "y2": y(row["low"])}
            for start, end, row in stairs if row["low"] is not None
        ],
        fill=PAGE.wash, name="intervals",
    )  # fmt: skip
    for column, colour, weight in (("low", PAGE.quiet, 0.8), ("high", PAGE.quiet, 0.8), ("survival", PAGE.accent, 2.4)):
        sheet.lines(_path(stairs, column, x, y), stroke=colour, stroke_width=weight, name=f"{column} line")
    _ticks(sheet, ended, stairs, x, y)
    _median(sheet, rows[0]["median_days"], x, y, right)
    sheet.rects(
        [
            {
                "x": x(start), "y": top, "x2": max(x(end), x(start) + 2), "y2": bottom,
                "label": _step_text(row),
            }
            for start, end, row in stairs
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(bottom + (58 if further else 42))


def _step_text(row: Row) -> str:
    has_interval = row["low"] is not None
    parts = [
        f"After {numbers.plural(row['days'], 'day')}: {numbers.percent(row['survival'])} still wait",
        f"{numbers.NINETY_FIVE} interval {numbers.interval(row['low'], row['high'])}" if has_interval else "",
        f"{row['done']} of {row['at_risk']} that were left were done then",
    ]
    return numbers.joined(parts, ", ")


def _longest(rows: list[Row], ended: list[Row]) -> tuple[float, list[int]]:
    """End of the axis, and the days of tasks beyond it: one task that waits a year must not compress the curve."""
    last = max(14, 1.5 * rows[-1]["days"])
    days = [row["days"] for row in ended]
    further = [d for d in days if d > last]
    return (last if further else max([1, rows[-1]["days"], *days])), further


def _path(stairs: list[tuple[float, float, Row]], column: str, x: Any, y: Any) -> list[Row]:
    """The steps of one column as a line that starts at 100 % and ends at the first null."""
    points = [(0.0, 1.0)]
    for start, end, row in stairs:
        if row[column] is None:
            break
        points += [(start, points[-1][1]), (start, row[column]), (end, row[column])]
    return [{"x": x(days), "y": y(share), "run": 0} for days, share in points]


def _stairs(rows: list[Row], end: float) -> list[tuple[float, float, Row]]:
    """Each step with its first and last day."""
    ends = [row["days"] for row in rows[1:]] + [end]
    return [(row["days"], max(stop, row["days"]), row) for row, stop in zip(rows, ends, strict=True)]


def _ticks(sheet: Canvas, ended: list[Row], stairs: list[tuple[float, float, Row]], x: Any, y: Any) -> None:
    """Draw a tick on the curve for each day on which tasks are censored."""
    marks = []
    for days in sorted({row["days"] for row in ended}):
        here = [row["status"] for row in ended if row["days"] == days]
        height = next((row["survival"] for start, _, row in reversed(stairs) if start <= days), 1.0)
        counts = {"still open": here.count("open"), "dropped": len(here) - here.count("open")}
        counts_text = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
        marks.append(
            {"x": x(days), "y": y(height) - 5, "x2": x(days), "y2": y(height) + 5,
             "label": f"{counts_text} after {numbers.plural(days, 'day')}"}
        )  # fmt: skip
    sheet.rules(marks, stroke=PAGE.ink, stroke_width=1.3, name="censored")


def _median(sheet: Canvas, median: int | None, x: Any, y: Any, right: float) -> None:
    if median is None:
        return
    at = x(median)
    sheet.rules([{"x": at, "y": y(0.5), "x2": at, "y2": y(0)}], stroke=PAGE.ink, dash=(4, 3), name="median")
    sheet.dots([{"x": at, "y": y(0.5)}], radius=4, fill=PAGE.ink, name="median dot")
    text = "half are done the same day" if median == 0 else f"half are done within {numbers.plural(median, 'day')}"
    fits = at + 10 + text_width(text, TEXT) <= right
    sheet.texts(
        [{"x": at + (10 if fits else -10), "y": y(0.5) - 11, "text": text}],
        bold=True, align="left" if fits else "right", name="median words",
    )  # fmt: skip
