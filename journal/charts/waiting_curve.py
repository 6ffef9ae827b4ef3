"""Ends of tasks: the shares that are done and dropped, by days since a task first appeared on a page."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts.axis import steps
from journal.charts.canvas import NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.wording import numbers


@checked
def draw(ends: pl.DataFrame, lives: pl.DataFrame, *, key: str = "waiting-curve") -> Figure:
    """The shares of tasks done (from below) and dropped (from above), the rest still waiting between them.

    In: the frame of `task_ends.ended_by`, and the frame of `tasks.lives` (days, status) that it was computed from. Out:
    a Figure; its table has days, at_risk, done, dropped, done_by, dropped_by, waiting, low, high. Without a task that
    is done there is no curve.
    """
    rows = list(ends.iter_rows(named=True))
    ended = [row for row in lives.select("days", "status").iter_rows(named=True) if row["status"] != "done"]
    title = _title(rows, lives.height)
    return Figure(
        key=key,
        title=title,
        subtitle=_subtitle(rows, lives, ended),
        alt=numbers.joined([f"Rising steps up to {numbers.percent(1)}. {title}.", _alt(rows)], " "),
        wide=_curve(rows, ended, WIDE, 230),
        narrow=_curve(rows, ended, NARROW, 210),
        table=ends.drop("half_days"),
    )


def _title(rows: list[Row], tasks: int) -> str:
    """The share done by the first count of days at which it is half or more, or else by the last."""
    if not tasks:
        return "No task has stood on a page yet"
    if not rows:
        return f"Not one of {numbers.plural(tasks, 'task')} is done yet"
    row = _half(rows) or max((row for row in rows if row["done"]), key=lambda row: row["days"])
    days = row["days"]
    when = "on the day they first stand" if days == 0 else f"within {numbers.plural(days, 'day')}"
    if tasks == 1:
        return f"One task: done {when.replace('they first stand', 'it first stood')}"
    dropped = rows[-1]["dropped_by"]
    also = f", {numbers.percent(dropped)} in the end dropped" if dropped and _half(rows) is None else ""
    return f"{numbers.percent(row['done_by'])} of {numbers.plural(tasks, 'task')} are done {when}{also}"


def _half(rows: list[Row]) -> Row | None:
    return next((row for row in rows if row["days"] == row["half_days"]), None)


def _subtitle(rows: list[Row], lives: pl.DataFrame, ended: list[Row]) -> str:
    if not rows:
        return "The curve begins with the first task that is done."
    open_ones = [row for row in ended if row["status"] == "open"]
    counts = {"done": lives.height - len(ended), "still open": len(open_ones), "dropped": len(ended) - len(open_ones)}
    counts_text = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    ticks = " Upright ticks: tasks that are still open, as long as they have waited." if open_ones else ""
    explanation = f"From below: done, with its {numbers.NINETY_FIVE} interval. From above: dropped. Between: waiting"
    return f"{explanation}; {counts_text}.{ticks}"


def _alt(rows: list[Row]) -> str:
    shown = rows if len(rows) <= 8 else [*rows[:7], rows[-1]]
    parts = [
        ("on the first day" if not row["days"] else f"within {numbers.plural(row['days'], 'day')}")
        + f" {numbers.percent(row['done_by'])} are done"
        + (f" and {numbers.percent(row['dropped_by'])} dropped" if row["dropped_by"] else "")
        for row in shown
    ]
    return f"Shares {', '.join(parts)}." if parts else ""


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
            {"x": x(start), "y": top, "x2": x(end), "y2": y(1 - row["dropped_by"])}
            for start, end, row in stairs if row["dropped_by"]
        ],
        fill=PAGE.line, name="dropped",
    )  # fmt: skip
    sheet.rects(
        [
            {"x": x(start), "y": y(row["high"]), "x2": x(end), "y2": y(row["low"])}
            for start, end, row in stairs if row["low"] is not None
        ],
        fill=PAGE.wash, name="intervals",
    )  # fmt: skip
    _dropped_words(sheet, rows[-1]["dropped_by"], y, right)
    for column, colour, weight in (("low", PAGE.quiet, 0.8), ("high", PAGE.quiet, 0.8), ("done_by", PAGE.accent, 2.4)):
        sheet.lines(_path(stairs, column, x, y), stroke=colour, stroke_width=weight, name=f"{column} line")
    _ticks(sheet, ended, stairs, x, y)
    _half_done(sheet, _half(rows), x, y, right)
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
    days = numbers.plural(row["days"], "day")
    parts = [
        f"Within {days}: {numbers.percent(row['done_by'])} done",
        f"{numbers.NINETY_FIVE} interval {numbers.interval(row['low'], row['high'])}" if row["low"] is not None else "",
        f"{numbers.percent(row['dropped_by'])} dropped" if row["dropped_by"] else "",
        f"{row['done']} done and {row['dropped']} dropped then, of {row['at_risk']} that were left",
    ]
    return numbers.joined(parts, ", ")


def _longest(rows: list[Row], ended: list[Row]) -> tuple[float, list[int]]:
    """End of the axis, and the days of tasks beyond it: one task that waits a year must not compress the curve."""
    last = max(14, 1.5 * rows[-1]["days"])
    days = [row["days"] for row in ended]
    further = [d for d in days if d > last]
    return (last if further else max([rows[-1]["days"] + 1, *days])), further


def _path(stairs: list[tuple[float, float, Row]], column: str, x: Any, y: Any) -> list[Row]:
    """The steps of one column as a line that starts at 0. Where the column is null, there is no interval: a gap."""
    points: list[tuple[float, float, int]] = []
    height, run = 0.0, 0
    for start, end, row in stairs:
        if row[column] is None:
            run += 1
            continue
        points += [(0.0, 0.0, run)] if column == "done_by" and not points else []
        points += [(start, height, run)] if points and points[-1][2] == run else []
        height = row[column]
        points += [(start, height, run), (end, height, run)]
    return [{"x": x(days), "y": y(share), "run": run} for days, share, run in points]


def _stairs(rows: list[Row], end: float) -> list[tuple[float, float, Row]]:
    """Each step with its first and last day."""
    ends = [row["days"] for row in rows[1:]] + [end]
    return [(row["days"], max(stop, row["days"]), row) for row, stop in zip(rows, ends, strict=True)]


def _ticks(sheet: Canvas, ended: list[Row], stairs: list[tuple[float, float, Row]], x: Any, y: Any) -> None:
    """Draw a tick on the line for each number of days that open tasks have waited."""
    waited = [row["days"] for row in ended if row["status"] == "open"]
    marks = []
    for days in sorted(set(waited)):
        height = next((row["done_by"] for start, _, row in reversed(stairs) if start <= days), 0.0)
        text = f"{waited.count(days)} still open after {numbers.plural(days, 'day')}"
        marks.append({"x": x(days), "y": y(height) - 5, "x2": x(days), "y2": y(height) + 5, "label": text})
    sheet.rules(marks, stroke=PAGE.ink, stroke_width=1.3, name="censored")


def _dropped_words(sheet: Canvas, share: float, y: Any, right: float) -> None:
    if y(1 - share) - y(1) > 2 * TEXT:
        place = {"x": right - 6, "y": y(1) + 12, "text": f"{numbers.percent(share)} dropped"}
        sheet.texts([place], size=SMALL, colour=PAGE.muted, align="right", name="dropped words")


def _half_done(sheet: Canvas, row: Row | None, x: Any, y: Any, right: float) -> None:
    """Mark the first step by which half of the tasks are done."""
    if row is None:
        return
    at, height = x(row["days"]), y(row["done_by"])
    sheet.rules([{"x": at, "y": height, "x2": at, "y2": y(0)}], stroke=PAGE.ink, dash=(4, 3), name="half")
    sheet.dots([{"x": at, "y": height}], radius=4, fill=PAGE.ink, name="half dot")
    when = "the same day" if row["days"] == 0 else f"within {numbers.plural(row['days'], 'day')}"
    text = f"{numbers.percent(row['done_by'])} are done {when}"
    fits = at + 10 + text_width(text, TEXT) <= right
    below = y(row["low"] or row["done_by"])
    beneath = below + 15 if below + 30 < y(0) else y(row["high"] or row["done_by"]) - 12
    sheet.texts(
        [{"x": at + (10 if fits else -10), "y": beneath, "text": text}],
        bold=True, align="left" if fits else "right", name="half words",
    )  # fmt: skip
