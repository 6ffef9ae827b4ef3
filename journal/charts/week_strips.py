"""Days hour by hour: a thin strip for planned hours, a thick one for actual hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import polars as pl

from journal.call_arguments import checked
from journal.charts import category_colours
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.category_colours import Categories
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.entry import MINUTES_A_DAY, clock_text
from journal.frames import Row
from journal.language.catalogue import _
from journal.periods import Period
from journal.wording import dates, numbers

Daylight = Mapping[dt.date, Sequence[tuple[float, float]]]
"""Maps a date to its spans of daylight, in minutes since local midnight. Built by `daylight.bands`."""

_PLANNED, _ACTUAL, _STEP, _TOP = 13.0, 20.0, 50.0, 28.0


@checked
def draw(
    hours: pl.DataFrame,
    categories: Categories,
    period: Period,
    *,
    clock: int = 24,
    daylight: Daylight | None = None,
    key: str = "week-strips",
) -> Figure:
    """One strip per day of the period.

    In: `Tables.hours` (date, layer "planned" or "actual", category, start_minute, end_minute) of at least the period;
    `categories` maps a key to its name and its colour "#RRGGBB" (any other text is drawn in the quiet colour);
    `clock` is 24 or 12. Out: a Figure; its table has date, layer, category, from, to ("HH:MM").
    """
    here = hours.filter(pl.col("date").is_between(period.first, period.last)).sort(
        "date", "layer", "start_minute", "end_minute"
    )
    texts = {
        key: {"name": category_colours.name(categories, key), "short": category_colours.beginning(categories, key)}
        for key in here["category"].unique()
    }
    rows = [row | texts[row["category"]] for row in here.iter_rows(named=True)]
    went = len({row["date"] for row in rows if row["layer"] == "actual"})
    planned = len({row["date"] for row in rows if row["layer"] == "planned"})
    title = _("No hours were noted")
    if rows:
        title = _(
            "Hours as they went on {went} of {days} days, planned on {planned}",
            went=went,
            days=period.days,
            planned=planned,
        )
    used = [name for k, (name, _colour) in categories.items() if any(row["category"] == k for row in rows)]
    light = _("the pale band is sunrise to sunset") if daylight else ""
    subtitle = numbers.joined([dates.period(period), _("thin as planned, thick as it went"), light], "; ")
    strips = _("A 24-hour strip a day, {period}.", period=dates.period(period))
    named = _("Categories: {names}.", names=", ".join(used)) if used else ""
    return Figure(
        key=key,
        title=title,
        subtitle=subtitle,
        alt=numbers.joined([strips, f"{title}.", named], " "),
        wide=_strips(rows, categories, period, clock=clock, daylight=daylight, width=WIDE),
        narrow=_strips(rows, categories, period, clock=clock, daylight=daylight, width=NARROW),
        table=_table(rows),
    )


def _table(rows: list[Row]) -> pl.DataFrame:
    return pl.DataFrame(
        [
            {
                "date": row["date"],
                "layer": row["layer"],
                "category": row["name"],
                "from": clock_text(row["start_minute"]),
                "to": clock_text(row["end_minute"]),
            }
            for row in rows
        ],
        schema={"date": pl.Date, "layer": pl.String, "category": pl.String, "from": pl.String, "to": pl.String},
    )


def _strips(
    rows: list[Row],
    categories: Categories,
    period: Period,
    *,
    clock: int,
    daylight: Daylight | None,
    width: float,
) -> Drawing:
    sheet = Canvas(width)
    wide = width > NARROW
    left, right = (64.0, width - 18) if wide else (46.0, width - 12)
    bottom = _TOP + period.days * _STEP

    def x(minute: float) -> float:
        return left + minute / MINUTES_A_DAY * (right - left)

    def top(day: dt.date) -> float:
        return _TOP + (day - period.first).days * _STEP + 6

    if daylight:
        bands = [
            {"x": x(rise), "y": top(day) - 4, "x2": x(down), "y2": top(day) + _STEP - 8}
            for day, stretches in daylight.items() if day in period for rise, down in stretches
        ]  # fmt: skip
        sheet.rects(bands, fill=PAGE.day, name="daylight")
    _hours(sheet, x, bottom, clock, 3 if wide else 6)
    sheet.texts(
        [
            {"x": 0, "y": top(day) + _PLANNED + 2 + _ACTUAL / 2, "text": _day_word(day, wide)}
            for day in period.dates
        ],
        size=LABEL if wide else TEXT, name="days",
    )  # fmt: skip
    keys = [k for k in dict.fromkeys([*categories, *(row["category"] for row in rows)])
            if any(row["category"] == k for row in rows)]  # fmt: skip
    words = {
        key: _blocks(
            sheet, [row for row in rows if row["category"] == key], category_colours.colour(categories, key), x, top
        )
        for key in keys
    }
    for key in keys:  # after all blocks, because a layer of names covers blocks of several categories
        colour = category_colours.text_on(category_colours.colour(categories, key))
        sheet.texts(words[key].names, size=SMALL, colour=colour, name="names")
        sheet.texts(words[key].beginnings, size=SMALL, colour=colour, align="center", name="beginnings")
    unnamed = [key for key in keys if not words[key].names]
    return sheet.drawing(_key(sheet, unnamed, categories, left if wide else 0, bottom + 14))


class _Words(NamedTuple):
    """The texts on the blocks of a category: its name, or the beginning of it on a small or a planned one."""

    names: list[Row]
    beginnings: list[Row]


def _blocks(sheet: Canvas, rows: list[Row], colour: str, x: Any, top: Any) -> _Words:
    """Draw one category's blocks. Returns the texts that they have room for."""
    words = _Words([], [])
    for layer, height, offset in (("planned", _PLANNED, 0.0), ("actual", _ACTUAL, _PLANNED + 2)):
        boxes = []
        for row in rows:
            if row["layer"] != layer:
                continue
            y, start, end = top(row["date"]) + offset, x(row["start_minute"]), x(row["end_minute"])
            ends = {"x": start + 0.4, "x2": max(start + 1.4, end - 0.4)}
            boxes.append({**ends, "y": y, "y2": y + height, "label": _label(row)})
            if layer == "actual" and text_width(row["name"], SMALL) * 1.05 + 12 <= end - start:
                words.names.append({"x": start + 7, "y": y + height / 2, "text": row["name"]})
            elif text_width(row["short"], SMALL) * 1.05 + 2 <= end - start:
                words.beginnings.append({"x": (start + end) / 2, "y": y + height / 2, "text": row["short"]})
        sheet.rects(boxes, fill=colour, stroke=category_colours.outline(colour), stroke_width=0.8, radius=2, name=layer)
    return words


def _label(row: Row) -> str:
    values = {
        "category": row["name"],
        "date": dates.day(row["date"], weekday=False),
        "start": clock_text(row["start_minute"]),
        "end": clock_text(row["end_minute"]),
    }
    if row["layer"] == "planned":
        return _("{category}, {date}, {start} to {end}, planned", **values)
    return _("{category}, {date}, {start} to {end}, as it went", **values)


def _day_word(day: dt.date, wide: bool) -> str:
    weekday = dates.weekday_short(day.weekday(), 3 if wide else 2)
    return f"{weekday} {dates.day_number(day)}"


def hour_word(hour: int, clock: int) -> str:
    """A clock hour as text on a 24 or 12 hour clock.

    >>> hour_word(6, 24), hour_word(0, 12), hour_word(15, 12), hour_word(12, 12)
    ('6:00', 'midnight', '3 pm', 'noon')
    """
    if clock == 24:
        return f"{hour}:00"
    if hour % 12 == 0:
        return _("noon") if hour == 12 else _("midnight")
    return _("{time} am", time=hour % 12) if hour < 12 else _("{time} pm", time=hour % 12)


def _hours(sheet: Canvas, x: Any, bottom: float, clock: int, every: int) -> None:
    marks = list(range(0, 25, every))
    sheet.rules(
        [{"x": x(h * 60), "y": _TOP - 4, "x2": x(h * 60), "y2": bottom} for h in marks], stroke=PAGE.line, name="hours"
    )
    for hour in marks:
        # The texts at both ends stay inside of the drawing.
        align = "left" if hour == 0 and clock == 12 else "right" if hour == 24 and clock == 12 else "center"
        at = x(hour * 60) + (sheet.width - x(1440) if align == "right" else -10 if align == "left" else 0)
        sheet.texts(
            [{"x": at, "y": 11, "text": hour_word(hour, clock)}],
            size=SMALL, colour=PAGE.muted, align=align, name="hour words",
        )  # fmt: skip


def _key(sheet: Canvas, keys: list[str], categories: Categories, left: float, y: float) -> float:
    """Draw swatches of the categories whose name fits none of their blocks. Returns the drawing's height."""
    x = left
    for key in keys:
        name = category_colours.name(categories, key)
        needed = 20 + min(160.0, text_width(name, SMALL))
        if x > left and x + needed > sheet.width:
            x, y = left, y + 20
        colour = category_colours.colour(categories, key)
        box = {"x": x, "y": y - 6, "x2": x + 13, "y2": y + 6}
        sheet.rects(
            [box], fill=colour, stroke=category_colours.outline(colour), stroke_width=0.8, radius=1.5, name="key"
        )
        sheet.texts(
            [{"x": x + 19, "y": y, "text": name, "label": name}],
            size=SMALL, colour=PAGE.muted, limit=160, name="key words",
        )  # fmt: skip
        x += needed + 16
    return y + (12 if keys else -4)
