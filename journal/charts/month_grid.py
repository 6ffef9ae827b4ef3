"""A month of habits: one row each with a mark per day, and beside it counts, rate and streak."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.day_columns import HEAD, Columns, draw_heads, draw_today, draw_weekends
from journal.charts.figure import Figure
from journal.charts.marks import MarkCell, cell, draw_key, draw_marks
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.periods import Period
from journal.wording import dates, habits, numbers


def draw(
    states: pl.DataFrame,
    rates: pl.DataFrame,
    streaks: pl.DataFrame,
    month: Period,
    names: Mapping[str, str],
    *,
    today: dt.date,
    streak_heading: str = "streak now",
    before: Mapping[str, str] | None = None,
    before_heading: str = "",
    key: str = "month-grid",
) -> Figure:
    """Habits of a month, in the order of `names`. Habits without a day in the month are left out.

    In: `states` (habit, date, state, mark, value, target, aim) of at least the month, `rates` with a row per habit for
    this month (habit, due, done, rate, low, high), `streaks` (habit, unit, current). No rate is drawn if it is null.
    Out: a Figure; its table has habit, done, due, counted, rate, low, high, logged_rate, streak, unit. The marks of a
    quota habit show what was done on each day; its rate counts weeks or months. `before` adds a column with a text by
    habit on the period before, headed by `before_heading`.
    """
    rows = [
        {**row, "before": (before or {}).get(row["habit"], "")} for row in _rows(states, rates, streaks, month, names)
    ]
    return Figure(
        key=key,
        title=_title(rows, month),
        subtitle=_subtitle(rows, month, today),
        alt=_alt(rows, month),
        wide=_wide(rows, month, today, streak_heading, before_heading),
        narrow=_narrow(rows, month, today, before_heading),
        table=_table(rows),
    )


def _rows(
    states: pl.DataFrame,
    rates: pl.DataFrame,
    streaks: pl.DataFrame,
    month: Period,
    names: Mapping[str, str],
) -> list[Row]:
    """One row per habit: its name, its days, its rate and its streak."""
    here = states.filter(pl.col("date").is_between(month.first, month.last))
    days: dict[str, list[Row]] = {}
    for day in here.sort("date").iter_rows(named=True):
        days.setdefault(day["habit"], []).append(day)
    rate = {row["habit"]: row for row in rates.iter_rows(named=True)}
    streak = {row["habit"]: row for row in streaks.iter_rows(named=True)}
    order = [*(habit for habit in names if habit in days), *(habit for habit in days if habit not in names)]
    rows = []
    for habit in order:
        unit = str(streak.get(habit, {}).get("unit", "occasion"))
        if unit == "occasion" and all(day["state"] != "not due" for day in days[habit]):
            unit = "day"
        known = rate.get(habit, {})
        rows.append(
            {
                "habit": habit,
                "name": names.get(habit, habit),
                "days": days[habit],
                "unit": unit,
                "streak": streak.get(habit, {}).get("current"),
                # Rest days and days to come are not counted in "3 of 4".
                "counted": known.get("counted", known.get("due")),
                **{k: known.get(k) for k in ("done", "due", "rate", "low", "high", "logged_rate")},
            }
        )
    return rows


def _title(rows: list[Row], month: Period) -> str:
    rated = [row for row in rows if row["rate"] is not None]
    if not rated:
        return f"Habits in {dates.period(month)}"
    # Compare interval ends, so that 1 of 1 does not rank above 30 of 31.
    highest = max(rated, key=lambda row: row["low"])
    lowest = min(rated, key=lambda row: row["high"])
    title = f"{highest['name']} held {_counted(highest)}"
    if lowest["rate"] < highest["rate"]:
        title += f"; {lowest['name']} held {_counted(lowest)}"
    return title


def _rate_text(row: Row) -> str:
    interval = f"{numbers.NINETY_FIVE} interval {numbers.interval(row['low'], row['high'])}"
    return f"{numbers.percent(row['rate'])}, {interval}"


def _counted(row: Row) -> str:
    return numbers.of(row["done"], row["counted"], habits.UNIT_NOUNS[row["unit"]])


def _streak(row: Row) -> str:
    return numbers.plural(row["streak"], habits.UNIT_NOUNS[row["unit"]])


def _subtitle(rows: list[Row], month: Period, today: dt.date) -> str:
    if not rows:
        return "No habit was in force."
    until = f" to {dates.day(today, weekday=False)}" if month.first <= today < month.last else ""
    explanation = f"Done of what was due, rest days left out, with the {numbers.NINETY_FIVE} interval."
    return f"{dates.period(month)}{until}. {explanation}"


def _alt(rows: list[Row], month: Period) -> str:
    if not rows:
        return f"Month grid of {dates.period(month)}, with no habit in it."
    sentences = []
    for row in rows:
        if row["rate"] is None:
            sentences.append(f"{row['name']}: {'not recorded' if row['counted'] else 'nothing to count yet'}")
            continue
        rate = _rate_text(row)
        streak = "" if row["streak"] is None else f"streak {_streak(row)}"
        before = f"before that {row['before']}" if row["before"] else ""
        sentences.append(numbers.joined([f"{row['name']}: {_counted(row)}", rate, streak, before], ", "))
    return f"Month grid of {dates.period(month)}, a row a habit and a mark a day. " + "; ".join(sentences) + "."


def _table(rows: list[Row]) -> pl.DataFrame:
    schema: dict[str, Any] = {
        "habit": pl.String, "done": pl.Int64, "due": pl.Int64, "counted": pl.Int64, "rate": pl.Float64,
        "low": pl.Float64, "high": pl.Float64, "logged_rate": pl.Float64, "streak": pl.Int64, "unit": pl.String,
    }  # fmt: skip
    records = [{"habit": row["name"], **{k: row[k] for k in list(schema)[1:]}} for row in rows]
    return pl.DataFrame(records, schema=schema)


def _wide(rows: list[Row], month: Period, today: dt.date, streak_heading: str, before_heading: str) -> Drawing:
    sheet = Canvas(WIDE)
    # The column of the period before takes its room from the days.
    pitch, step, square = (14.0, 26.0, 11.5) if before_heading else (18.2, 30.0, 13.0)
    label = min(152.0, 16 + max((text_width(row["name"], LABEL) for row in rows), default=60))
    top, columns = HEAD, Columns(dates=month.dates, left=label, pitch=pitch)
    right = columns.right
    count_x, axis_x, axis_width = right + 16, right + 104, 78.0
    streak_x = axis_x + axis_width + (22 if before_heading else 27)
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
            {"x": streak_x, "y": y, "text": _streak(r)}
            for r, y in zip(rows, middles, strict=True) if r["streak"]
        ],
        size=TEXT, name="streaks",
    )  # fmt: skip
    sheet.texts(
        [{"x": streak_x, "y": y, "text": "none"} for r, y in zip(rows, middles, strict=True) if r["streak"] == 0],
        colour=PAGE.muted, name="no streak",
    )  # fmt: skip
    before_x = streak_x + 82
    sheet.texts(
        [{"x": before_x, "y": y, "text": r["before"]} for r, y in zip(rows, middles, strict=True) if r["before"]],
        colour=PAGE.muted, name="before",
    )  # fmt: skip
    heads = [(count_x, "done of due"), (streak_x, streak_heading), (before_x, before_heading)]
    sheet.texts(
        [{"x": x, "y": 28, "text": t} for x, t in heads if rows and t], size=SMALL, colour=PAGE.muted, name="heads"
    )
    below = draw_key(sheet, [c.shape for c in cells], x=columns.left, y=bottom + 22, size=12)
    return sheet.drawing(below + 4)


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
        [{"x": count_x, "y": y, "text": _counted(r)} for r, y in rated],
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
            "label": f"{r['name']}: {_rate_text(r)}",
        }
        for r, y in rated
    ]  # fmt: skip
    sheet.rects(hover, name="rate words")


def _narrow(rows: list[Row], month: Period, today: dt.date, before_heading: str) -> Drawing:
    """One block per habit: name and streak, a row of marks, and the rate as text."""
    sheet = Canvas(NARROW)
    pitch, block, top = NARROW / 31, 76.0 if before_heading else 66.0, 22.0
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
    streaks = ["" if not r["streak"] else _streak(r) for r in rows]
    sheet.texts(
        [{"x": 0, "y": y + 8, "text": r["name"], "label": r["name"]} for r, y in zip(rows, tops, strict=True)],
        size=LABEL, limit=225, name="habits",
    )  # fmt: skip
    sheet.texts(
        [{"x": NARROW, "y": y + 8, "text": f"streak {s}"} for s, y in zip(streaks, tops, strict=True) if s],
        size=SMALL, align="right", name="streaks",
    )  # fmt: skip
    sheet.texts(
        [
            {
                "x": 0, "y": y + 49,
                "text": numbers.joined(
                    [_counted(r), numbers.percent(r["rate"]),
                     f"interval {numbers.interval(r['low'], r['high'])}"],
                ),
            }
            for r, y in zip(rows, tops, strict=True) if r["rate"] is not None
        ],
        size=SMALL, colour=PAGE.muted, name="counts",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": 0, "y": y + 61, "text": f"{before_heading}: {r['before']}"}
            for r, y in zip(rows, tops, strict=True) if r["before"]
        ],
        size=SMALL, colour=PAGE.muted, name="before",
    )  # fmt: skip
    below = draw_key(sheet, [c.shape for c in cells], x=0, y=bottom + 10)
    return sheet.drawing(below + 4)


def _cells(rows: list[Row], columns: Columns, middles: list[float]) -> list[MarkCell]:
    cells = []
    for row, y in zip(rows, middles, strict=True):
        for day in row["days"]:
            label = f"{row['name']}, {dates.day(day['date'], weekday=False)}: {habits.mark(day)}"
            if (mark := cell(day, columns.middle(day["date"]), y, label)) is not None:
                cells.append(mark)
    return cells
