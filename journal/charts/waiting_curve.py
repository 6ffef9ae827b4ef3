"""Ends of tasks: the shares that are done and dropped, by days since a task first appeared on a page."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts import shares
from journal.charts.axis import steps
from journal.charts.canvas import NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import N_, _, _n
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
        alt=numbers.joined([_("Rising steps up to {whole}.", whole=numbers.percent(1)), f"{title}.", _alt(rows)], " "),
        wide=_curve(rows, ended, WIDE, 230),
        narrow=_curve(rows, ended, NARROW, 210),
        table=ends.drop("half_days"),
    )


def _title(rows: list[Row], tasks: int) -> str:
    """The share done by the first count of days at which it is half or more, or else by the last."""
    if not tasks:
        return _("No task has stood on a page yet")
    if not rows:
        return _n("Not one of {count} task is done yet", "Not one of {count} tasks is done yet", tasks)
    row = _half(rows) or max((row for row in rows if row["done"]), key=lambda row: row["days"])
    if tasks == 1:
        if row["days"] == 0:
            return _("One task: done on the day it first stood")
        return _n("One task: done within {count} day", "One task: done within {count} days", row["days"])
    share, count = numbers.percent(row["done_by"]), numbers.number(tasks)
    if row["days"] == 0:
        done = _("{share} of {tasks} tasks are done on the day they first stand", share=share, tasks=count)
    else:
        done = _n(
            "{share} of {tasks} tasks are done within {count} day",
            "{share} of {tasks} tasks are done within {count} days",
            row["days"],
            share=share,
            tasks=count,
        )
    dropped = rows[-1]["dropped_by"] if _half(rows) is None else 0
    also = _("{share} in the end dropped", share=numbers.percent(dropped)) if dropped else None
    return numbers.joined([done, also], ", ")


def _half(rows: list[Row]) -> Row | None:
    return next((row for row in rows if row["days"] == row["half_days"]), None)


def _subtitle(rows: list[Row], lives: pl.DataFrame, ended: list[Row]) -> str:
    if not rows:
        return _("The curve begins with the first task that is done.")
    open_ones = [row for row in ended if row["status"] == "open"]
    counts = [
        (lives.height - len(ended), N_("{count} done")),
        (len(open_ones), N_("{count} still open")),
        (len(ended) - len(open_ones), N_("{count} dropped")),
    ]
    explanation = _(
        "From below: done, with its {level} interval. From above: dropped. Between: waiting; {counts}.",
        level=numbers.NINETY_FIVE,
        counts=", ".join(_(text, count=count) for count, text in counts if count),
    )
    ticks = _("Upright ticks: tasks that are still open, as long as they have waited.") if open_ones else ""
    return numbers.joined([explanation, ticks], " ")


def _alt(rows: list[Row]) -> str:
    shown = rows if len(rows) <= 8 else [*rows[:7], rows[-1]]
    return _("Shares {shares}.", shares=", ".join(map(_alt_step, shown))) if shown else ""


def _alt_step(row: Row) -> str:
    share = {"done": numbers.percent(row["done_by"])}
    if not row["dropped_by"]:
        if not row["days"]:
            return _("on the first day {done} are done", **share)
        return _n("within {count} day {done} are done", "within {count} days {done} are done", row["days"], **share)
    share["dropped"] = numbers.percent(row["dropped_by"])
    if not row["days"]:
        return _("on the first day {done} are done and {dropped} dropped", **share)
    return _n(
        "within {count} day {done} are done and {dropped} dropped",
        "within {count} days {done} are done and {dropped} dropped",
        row["days"],
        **share,
    )


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

    heights = ((0, "0"), (0.5, "50"), (1, numbers.percent(1)))
    sheet.rules(
        [{"x": left, "y": y(s), "x2": right, "y2": y(s)} for s, _text in heights], stroke=PAGE.line, name="steps"
    )
    sheet.texts(
        [{"x": left - 8, "y": y(s), "text": text} for s, text in heights],
        size=SMALL, colour=PAGE.muted, align="right", name="shares",
    )  # fmt: skip
    sheet.texts(
        [{"x": x(t), "y": bottom + 15, "text": numbers.number(t)} for t in ticks],
        size=SMALL, colour=PAGE.muted, align="center", name="days",
    )  # fmt: skip
    sheet.texts(
        [{"x": right, "y": bottom + 32, "text": _("days since it first stood")}],
        size=SMALL, colour=PAGE.muted, align="right", name="axis",
    )  # fmt: skip
    if further:
        text = _n(
            "{count} task further out, up to {days} days",
            "{count} tasks further out, up to {days} days",
            len(further),
            days=numbers.number(max(further)),
        )
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
    done = numbers.percent(row["done_by"])
    parts = [
        _n("Within {count} day: {done} done", "Within {count} days: {done} done", row["days"], done=done),
        shares.interval(row) if row["low"] is not None else "",
        _("{share} dropped", share=numbers.percent(row["dropped_by"])) if row["dropped_by"] else "",
        _(
            "{done} done and {dropped} dropped then, of {left} that were left",
            done=row["done"],
            dropped=row["dropped"],
            left=row["at_risk"],
        ),
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
        height = next((row["done_by"] for start, _end, row in reversed(stairs) if start <= days), 0.0)
        text = _n(
            "{open} still open after {count} day",
            "{open} still open after {count} days",
            days,
            open=waited.count(days),
        )
        marks.append({"x": x(days), "y": y(height) - 5, "x2": x(days), "y2": y(height) + 5, "label": text})
    sheet.rules(marks, stroke=PAGE.ink, stroke_width=1.3, name="censored")


def _dropped_words(sheet: Canvas, share: float, y: Any, right: float) -> None:
    if y(1 - share) - y(1) > 2 * TEXT:
        place = {"x": right - 6, "y": y(1) + 12, "text": _("{share} dropped", share=numbers.percent(share))}
        sheet.texts([place], size=SMALL, colour=PAGE.muted, align="right", name="dropped words")


def _half_done(sheet: Canvas, row: Row | None, x: Any, y: Any, right: float) -> None:
    """Mark the first step by which half of the tasks are done."""
    if row is None:
        return
    at, height = x(row["days"]), y(row["done_by"])
    sheet.rules([{"x": at, "y": height, "x2": at, "y2": y(0)}], stroke=PAGE.ink, dash=(4, 3), name="half")
    sheet.dots([{"x": at, "y": height}], radius=4, fill=PAGE.ink, name="half dot")
    done = numbers.percent(row["done_by"])
    text = _("{done} are done the same day", done=done)
    if row["days"]:
        text = _n("{done} are done within {count} day", "{done} are done within {count} days", row["days"], done=done)
    fits = at + 10 + text_width(text, TEXT) <= right
    below = y(row["low"] or row["done_by"])
    beneath = below + 15 if below + 30 < y(0) else y(row["high"] or row["done_by"]) - 12
    sheet.texts(
        [{"x": at + (10 if fits else -10), "y": beneath, "text": text}],
        bold=True, align="left" if fits else "right", name="half words",
    )  # fmt: skip
