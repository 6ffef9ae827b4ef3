"""A week in seven columns: mood on top, then the habits with the marks of the month grid."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Callable, Mapping
from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts import quantities
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, Canvas, Drawing
from journal.charts.day_columns import HEAD, Columns, draw_heads, draw_today, draw_weekends
from journal.charts.figure import Figure
from journal.charts.marks import MarkCell, cell, draw_key, draw_marks
from journal.charts.theme import PAGE, step
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.periods import Period
from journal.settings import Scale
from journal.wording import dates, entries, habits, numbers

_WIDE = 660


@checked
def draw(
    states: pl.DataFrame,
    days: pl.DataFrame,
    week: Period,
    names: Mapping[str, str],
    scale: Scale,
    *,
    today: dt.date,
    rates: pl.DataFrame | None = None,
    below: Mapping[str, str] | None = None,
    key: str = "week-days",
) -> Figure:
    """Mood and habits of a week, in the order of `names`. Habits that were never due in the week are left out.

    In: `states` (habit, date, state, mark, value, target, aim, times, per) and `Tables.days` (date, logged, mood) of at
    least the week; `rates` of the week (habit, done, counted or due) adds counts; the count of a weekly quota comes
    from `states`. `below` has a text by habit, drawn below its name. Out: a Figure; its table has date, mood, then a
    column per habit with its states as text.
    """
    inside = pl.col("date").is_between(week.first, week.last)
    moods = {row["date"]: row for row in days.filter(inside).iter_rows(named=True)}
    here = states.filter(inside).sort("date")
    by_habit: dict[str, list[Row]] = {}
    for row in here.iter_rows(named=True):
        by_habit.setdefault(row["habit"], []).append(row)
    order = [*(h for h in names if h in by_habit), *(h for h in by_habit if h not in names)]
    counted = {} if rates is None else {row["habit"]: row for row in rates.iter_rows(named=True)}
    # A habit that was not due this week and has no entry would be an empty row.
    order = [
        h for h in order if any(d["state"] != "not due" or habits.is_extra(d) or d.get("per") for d in by_habit[h])
    ]
    rows: list[Row] = [
        {"name": names.get(h, h), "days": by_habit[h], "count": _count(by_habit[h], counted.get(h))}
        | {"below": (below or {}).get(h, "")}
        for h in order
    ]
    title = _title(moods, here, scale)
    nothing = _("nothing counted")
    counts_text = "; ".join(
        numbers.joined([f"{row['name']}: {row['count'] or nothing}", row["below"]], ", ") for row in rows
    )
    return Figure(
        key=key,
        title=title,
        subtitle=dates.period(week),
        alt=numbers.joined(
            [
                _("The week of {week}, a column a day.", week=dates.period(week)),
                f"{title}.",
                counts_text and f"{counts_text}.",
            ],
            " ",
        ),
        wide=_draw(rows, moods, week, today=today, scale=scale, width=_WIDE),
        narrow=_draw(rows, moods, week, today=today, scale=scale, width=NARROW),
        table=_table(rows, moods, week),
    )


def _count(days: list[Row], rate: Row | None) -> str:
    per = days[0].get("per")
    times: int = days[0].get("times") or 0
    done = sum(day["state"] == "done" for day in days)
    if per == "week":
        return numbers.of(done, times) if done <= times else _("{done}, {times} due", done=done, times=times)
    if per == "month":
        return f"{done}" if done else ""
    if rate is None or rate["rate"] is None:
        return ""
    return numbers.of(rate["done"], rate["counted"] if "counted" in rate else rate["due"])


def _title(moods: dict[dt.date, Row], states: pl.DataFrame, scale: Scale) -> str:
    values = sorted(row["mood"] for row in moods.values() if row["mood"] is not None)
    done = states.filter(pl.col("state") == "done").height
    marks = _n("habits done {count} time", "habits done {count} times", done) if states.height else ""
    if not values:
        return numbers.joined([_("No mood noted"), marks], "; ")
    low, high = entries.rated(values[0], scale), entries.rated(values[-1], scale)
    if low == high:
        span = _n("Mood {mood} on {count} day", "Mood {mood} on {count} days", len(values), mood=low)
    else:
        span = _n(
            "Mood from {low} to {high} on {count} day",
            "Mood from {low} to {high} on {count} days",
            len(values),
            low=low,
            high=high,
        )
    return numbers.joined([span, marks], "; ")


def _table(rows: list[Row], moods: dict[dt.date, Row], week: Period) -> pl.DataFrame:
    columns: dict[str, Any] = {
        "date": week.dates,
        "mood": pl.Series([moods.get(day, {}).get("mood") for day in week.dates], dtype=pl.Float64),
    }
    for row in rows:
        marks = {day["date"]: habits.mark(day) for day in row["days"]}
        name = row["name"]
        while name in columns:  # a habit may be named "date", or two may share a name
            name += "\u2032"
        columns[name] = pl.Series([marks.get(day) for day in week.dates], dtype=pl.String)
    return pl.DataFrame(columns)


def _draw(
    rows: list[Row], moods: dict[dt.date, Row], week: Period, *, today: dt.date, scale: Scale, width: float
) -> Drawing:
    wide = width > NARROW
    sheet = Canvas(width)
    counts = 62.0 if wide else 42.0
    pitch = 52.0 if wide else 21.5
    left = width - counts - 7 * pitch
    columns = Columns(dates=week.dates, left=left, pitch=pitch)
    top, mood = HEAD, 48.0 if wide else 40.0
    lines = [32.0 if wide else 29.0 if row["below"] else 21.0 for row in rows]
    tops = list(itertools.accumulate(lines, initial=top + mood))
    bottom = tops.pop()

    draw_weekends(sheet, columns, top, bottom)
    sheet.rules(
        [{"x": 0, "y": y, "x2": width, "y2": y} for y in tops],
        stroke=PAGE.line, name="lines",
    )  # fmt: skip
    draw_heads(sheet, columns, today, letters=3 if wide else 1)
    draw_today(sheet, columns, today, top, bottom)
    sheet.texts([{"x": 0, "y": top + mood / 2, "text": _("Mood")}], size=LABEL if wide else TEXT, name="mood word")
    past = {day: row for day, row in moods.items() if day <= today}
    blank = _mood_row(sheet, past, scale, columns.middle, top + (18 if wide else 13))
    cells: list[MarkCell] = []
    middles = [y + line / 2 for y, line in zip(tops, lines, strict=True)]
    for row, y in zip(rows, middles, strict=True):
        for day in row["days"]:
            label = f"{row['name']}, {dates.day(day['date'], weekday=False)}: {habits.mark(day)}"
            if (mark := cell(day, columns.middle(day["date"]), y, label)) is not None:
                cells.append(mark)
    draw_marks(sheet, cells, width=15, height=15, pitch=(pitch, min(lines, default=0)))
    named = list(zip(rows, middles, strict=True))
    sheet.texts(
        [
            {"x": 0, "y": y - 6 if row["below"] else y, "text": row["name"], "label": row["name"]}
            for row, y in named
        ],
        size=LABEL if wide else TEXT, limit=left - 8, name="habits",
    )  # fmt: skip
    sheet.texts(
        [{"x": 0, "y": y + (8 if wide else 7), "text": row["below"]} for row, y in named if row["below"]],
        size=SMALL, colour=PAGE.muted, limit=left - 8, name="below",
    )  # fmt: skip
    sheet.texts(
        [{"x": width, "y": y, "text": row["count"]} for row, y in named if row["count"]],
        size=TEXT if wide else SMALL, align="right", name="counts",
    )  # fmt: skip
    shapes = [c.shape for c in cells] + (["blank"] if blank else [])
    return sheet.drawing(draw_key(sheet, shapes, x=0, y=bottom + 20) + 4)


def _mood_row(sheet: Canvas, moods: dict[dt.date, Row], scale: Scale, x: Callable[[dt.date], float], y: float) -> bool:
    """Draw each day's mood as a coloured field over its number, or a dot. Returns whether a day has no mood."""
    fills, edges = PAGE.steps("mood")
    blank, noted = [], []
    for day, row in moods.items():
        if row["mood"] is None:
            blank.append({"x": x(day), "y": y, "label": quantities.not_rated_on(day, "mood")})
            continue
        nth = step(row["mood"], scale.low, scale.high)
        label = quantities.rated_on(day, "mood", row["mood"], scale)
        box = {"x": x(day) - 10, "y": y - 10, "x2": x(day) + 10, "y2": y + 10, "label": label}
        sheet.rects([box], fill=fills[nth], stroke=edges[nth], stroke_width=1, radius=1.5, name="mood")
        noted.append({"x": x(day), "y": y + 19, "text": numbers.number(row["mood"])})
    sheet.dots(blank, radius=1.8, fill=PAGE.blank, name="no mood")
    sheet.texts(noted, size=SMALL, align="center", name="mood numbers")
    return bool(blank)
