"""A month of habits: one row each with a mark per day, and beside it counts, rate and streak."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import polars as pl

from journal.call_arguments import checked
from journal.charts import habit_month
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.day_columns import HEAD, Columns, draw_heads, draw_today, draw_weekends
from journal.charts.figure import Figure
from journal.charts.marks import MarkCell, cell, draw_key, draw_marks
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _p
from journal.periods import Period
from journal.wording import dates, numbers


@checked
def draw(
    states: pl.DataFrame,
    rates: pl.DataFrame,
    streaks: pl.DataFrame,
    month: Period,
    names: Mapping[str, str],
    *,
    today: dt.date,
    streak_heading: str | None = None,
    key: str = "month-grid",
) -> Figure:
    """Habits of a month, in the order of `names`. Habits without a day in the month are left out.

    In: `states` (habit, date, state, mark, value, target, aim) of at least the month, `rates` with a row per habit for
    this month (habit, due, done, rate, low, high), `streaks` (habit, unit, current). No rate is drawn if it is null.
    Out: a Figure; its table has habit, done, due, counted, rate, low, high, logged_rate, streak, unit. The marks of a
    quota habit show what was done on each day; its rate counts weeks or months.
    """
    rows = habit_month.rows(states, rates, streaks, month, names)
    return Figure(
        key=key,
        title=habit_month.title(rows, month),
        subtitle=habit_month.subtitle(rows, month, today),
        alt=_alt(rows, month),
        wide=_wide(rows, month, today, _("streak now") if streak_heading is None else streak_heading),
        narrow=_narrow(rows, month, today),
        table=habit_month.table(rows),
    )


def _alt(rows: list[Row], month: Period) -> str:
    if not rows:
        return _("Month grid of {month}, with no habit in it.", month=dates.period(month))
    sentences = "; ".join(habit_month.sentence(row) for row in rows)
    grid = _("Month grid of {month}, a row a habit and a mark a day.", month=dates.period(month))
    return f"{grid} {sentences}."


def _wide(rows: list[Row], month: Period, today: dt.date, streak_heading: str) -> Drawing:
    sheet = Canvas(WIDE)
    step, square, axis_width = 30.0, 13.0, 78.0
    label = min(152.0, 16 + max((text_width(row["name"], LABEL) for row in rows), default=60))
    counts, streaks = _column_widths(rows, streak_heading)
    pitch = min(18.2, (WIDE - label - 16 - counts - axis_width - 27 - streaks) / 31)
    top, columns = HEAD, Columns(dates=month.dates, left=label, pitch=pitch)
    right = columns.right
    count_x, axis_x = right + 16, right + 16 + counts
    streak_x = axis_x + axis_width + 27
    bottom = top + len(rows) * step
    draw_weekends(sheet, columns, top, bottom)
    draw_heads(sheet, columns, today)
    draw_today(sheet, columns, today, top, bottom)
    middles = [top + (i + 0.5) * step for i in range(len(rows))]
    sheet.rules(
        [{"x": 0, "y": y + step / 2, "x2": WIDE, "y2": y + step / 2} for y in middles[:-1]],
        stroke=PAGE.line, name="lines",
    )  # fmt: skip
    cells = _cells(rows, columns, middles)
    draw_marks(sheet, cells, width=square, height=square, pitch=(pitch, step))
    sheet.texts(
        [{"x": 0, "y": y, "text": r["name"], "label": r["name"]} for r, y in zip(rows, middles, strict=True)],
        size=LABEL, limit=label - 14, name="habits",
    )  # fmt: skip
    _rate_column(sheet, rows, middles, count_x=count_x, axis_x=axis_x, width=axis_width, span=(top, bottom))
    sheet.texts(
        [
            {"x": streak_x, "y": y, "text": habit_month.streak(r)}
            for r, y in zip(rows, middles, strict=True) if r["streak"]
        ],
        size=TEXT, name="streaks",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": streak_x, "y": y, "text": _p("of a streak", "none")}
            for r, y in zip(rows, middles, strict=True) if r["streak"] == 0
        ],
        colour=PAGE.muted, name="no streak",
    )  # fmt: skip
    heads = [(count_x, _("done of due")), (streak_x, streak_heading)]
    sheet.texts([{"x": x, "y": 28, "text": t} for x, t in heads if rows], size=SMALL, colour=PAGE.muted, name="heads")
    below = draw_key(sheet, [c.shape for c in cells], x=columns.left, y=bottom + 22, size=12)
    return sheet.drawing(below + 4)


def _column_widths(rows: list[Row], streak_heading: str) -> tuple[float, float]:
    """The widths of the columns of counts and of streaks, in pixels."""
    counts = [text_width(habit_month.counted(row), TEXT) for row in rows if row["rate"] is not None]
    streaks = [text_width(habit_month.streak(row), TEXT) for row in rows if row["streak"]]
    heads = text_width(_("done of due"), SMALL), text_width(streak_heading, SMALL)
    return max(72.0, heads[0], *counts) + 16, max(52.0, heads[1], *streaks)


def _rate_column(
    sheet: Canvas,
    rows: list[Row],
    middles: list[float],
    *,
    count_x: float,
    axis_x: float,
    width: float,
    span: tuple[float, float],
) -> None:
    """Draw counts as text, and the rate as a dot on its 95 % interval between 0 and 100 %."""
    rated = [(r, y) for r, y in zip(rows, middles, strict=True) if r["rate"] is not None]
    if not rated:
        return
    sheet.rules(
        [{"x": axis_x + s * width, "y": span[0], "x2": axis_x + s * width, "y2": span[1]} for s in (0, 0.5, 1)],
        stroke=PAGE.line, name="axis",
    )  # fmt: skip
    sheet.texts(
        [{"x": axis_x + s * width, "y": 28, "text": t} for s, t in ((0, "0"), (0.5, "50"), (1, numbers.percent(1)))],
        size=SMALL, colour=PAGE.muted, align="center", name="axis words",
    )  # fmt: skip
    sheet.texts(
        [{"x": count_x, "y": y, "text": habit_month.counted(r)} for r, y in rated],
        name="counts",
    )  # fmt: skip
    sheet.rules(
        [{"x": axis_x + r["low"] * width, "y": y, "x2": axis_x + r["high"] * width, "y2": y} for r, y in rated],
        stroke=PAGE.quiet, stroke_width=2.2, name="intervals",
    )  # fmt: skip
    sheet.dots([{"x": axis_x + r["rate"] * width, "y": y} for r, y in rated], radius=5, fill=PAGE.accent, name="rates")
    hover = [
        {
            "x": axis_x, "y": y - 12, "x2": axis_x + width, "y2": y + 12,
            "label": f"{r['name']}: {habit_month.rate(r)}",
        }
        for r, y in rated
    ]  # fmt: skip
    sheet.rects(hover, name="rate words")


def _narrow(rows: list[Row], month: Period, today: dt.date) -> Drawing:
    """One block per habit: name and streak, a row of marks, and the rate as text."""
    sheet = Canvas(NARROW)
    pitch, block, top = NARROW / 31, 66.0, 22.0
    columns = Columns(dates=month.dates, left=0, pitch=pitch)
    bottom = top + len(rows) * block
    sheet.texts(
        [
            {"x": columns.middle(day), "y": 9, "text": str(day.day)}
            for day in month.dates if day.day % 7 == 1
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="days",
    )  # fmt: skip
    tops = [top + i * block for i in range(len(rows))]
    for y in tops:
        draw_weekends(sheet, columns, y + 18, y + 40)
        draw_today(sheet, columns, today, y + 18, y + 40)
    cells = _cells(rows, columns, [y + 29 for y in tops])
    draw_marks(sheet, cells, width=8.4, height=14, pitch=(pitch, 22))
    streaks = ["" if not r["streak"] else habit_month.named_streak(r) for r in rows]
    longest = max((text_width(s, SMALL) for s in streaks), default=0)
    sheet.texts(
        [{"x": 0, "y": y + 8, "text": r["name"], "label": r["name"]} for r, y in zip(rows, tops, strict=True)],
        size=LABEL, limit=min(225.0, NARROW - 12 - longest), name="habits",
    )  # fmt: skip
    sheet.texts(
        [{"x": NARROW, "y": y + 8, "text": s} for s, y in zip(streaks, tops, strict=True) if s],
        size=SMALL, align="right", name="streaks",
    )  # fmt: skip
    sheet.texts(
        [
            {
                "x": 0, "y": y + 49,
                "text": numbers.joined(
                    [habit_month.counted(r), numbers.percent(r["rate"]),
                     _("interval {interval}", interval=numbers.interval(r["low"], r["high"]))],
                ),
            }
            for r, y in zip(rows, tops, strict=True) if r["rate"] is not None
        ],
        size=SMALL, colour=PAGE.muted, name="counts",
    )  # fmt: skip
    below = draw_key(sheet, [c.shape for c in cells], x=0, y=bottom + 10)
    return sheet.drawing(below + 4)


def _cells(rows: list[Row], columns: Columns, middles: list[float]) -> list[MarkCell]:
    cells = []
    for row, y in zip(rows, middles, strict=True):
        for day in row["days"]:
            label = habit_month.mark_label(row, day)
            if (mark := cell(day, columns.middle(day["date"]), y, label)) is not None:
                cells.append(mark)
    return cells
