"""A year of days, one small field each: mood, energy, or the states of a habit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from statistics import median
from typing import Any

import msgspec
import polars as pl

from journal.call_arguments import checked
from journal.charts import quantities
from journal.charts.canvas import NARROW, SMALL, TEXT, Canvas, Drawing, text_width
from journal.charts.figure import Figure, Half
from journal.charts.marks import MarkCell, cell, draw_key, draw_marks
from journal.charts.theme import PAGE, step
from journal.language.catalogue import N_, _, _n
from journal.settings import Scale
from journal.wording import dates, entries, habits, numbers

MEASURED = ("mood", "energy")
MOOD = Scale(words=("heavy", "low", "even", "good", "bright"))


_COUNTS = {
    "done": N_("{count} done"), "partial": N_("{count} in part"), "missed": N_("{count} not done"),
    "rest": N_("{count} rest"), "blank": N_("{count} not recorded"),
}  # fmt: skip
"""The counts of a habit's states, by state."""


class _Grid(msgspec.Struct, frozen=True, kw_only=True):
    """The layout: months down and days across, or the reverse. `months` are the first and the last month."""

    left: float
    top: float
    across: float
    down: float
    field: tuple[float, float]
    months_down: bool = False
    months: tuple[int, int] = (1, 12)

    def at(self, day: dt.date) -> tuple[float, float]:
        month = day.month - self.months[0] + 1
        column, row = (day.day, month) if self.months_down else (month, day.day)
        return self.left + (column - 0.5) * self.across, self.top + (row - 0.5) * self.down

    @property
    def size(self) -> tuple[float, float]:
        months = self.months[1] - self.months[0] + 1
        columns, rows = (31, months) if self.months_down else (months, 31)
        return self.left + columns * self.across, self.top + rows * self.down

    @property
    def width(self) -> float:
        """Width of the canvas, at least `NARROW` so that the key fits."""
        return max(self.size[0], NARROW)


_WIDE = _Grid(left=46, top=26, across=26, down=26, field=(21, 21), months_down=True)
_NARROW = _Grid(left=28, top=26, across=26, down=20, field=(22, 16))
# To stand beside or above something else, with a month a row in both.
_BESIDE = _Grid(left=40, top=24, across=17.4, down=21, field=(14.8, 17.6), months_down=True)
_SMALL = _Grid(left=34, top=22, across=9.85, down=14.5, field=(8.6, 12.4), months_down=True)
# The proportions of an A5 or A4 page within its margins.
_HALF = _Grid(left=28, top=26, across=81, down=20, field=(75, 16))
_HALVES = {
    N_("January to June"): msgspec.structs.replace(_HALF, months=(1, 6)),
    N_("July to December"): msgspec.structs.replace(_HALF, months=(7, 12)),
}


@checked
def draw(
    days: pl.DataFrame,
    year: int,
    quantity: str = "mood",
    *,
    today: dt.date,
    scale: Scale = MOOD,
    name: str = "",
    key: str = "year-pixels",
    compact: bool = False,
) -> Figure:
    """A year with one row per month (narrow: one column per month). With `compact` both drawings are small, with a row
    per month.

    In: for `quantity` "mood" or "energy" the frame `Tables.days` (date, logged, and that column Float64); for a habit's
    key the frame of states (habit, date, state, mark, value, target, aim), and `name` its name. `scale` is the scale
    of the quantity. A day without a value is a dot, a day after `today` is empty. Out: a Figure; its table has date,
    value and word, or for a habit date, state and value.
    """
    in_year = days.filter(pl.col("date").dt.year() == year, pl.col("date") <= today)
    if quantity in MEASURED:
        return _measured(in_year, year, quantity, scale, key, compact=compact)
    return _habit(in_year.filter(pl.col("habit") == quantity), year, name or quantity, key, compact=compact)


def _measured(days: pl.DataFrame, year: int, quantity: str, scale: Scale, key: str, *, compact: bool) -> Figure:
    rows = list(days.sort("date").select("date", "logged", pl.col(quantity).alias("value")).iter_rows(named=True))
    values = [row["value"] for row in rows if row["value"] is not None]
    word, heading = quantities.word(quantity), quantities.heading(quantity)
    subtitle = _("No {quantity} is noted in this year.", quantity=word)
    if rows:
        noted = _n(
            "{quantity} on {noted} of {count} day",
            "{quantity} on {noted} of {count} days",
            len(rows),
            quantity=heading,
            noted=numbers.number(len(values)),
        )
        middle = _("median {quantity} {median}", quantity=word, median=numbers.number(median(values))) if values else ""
        subtitle = numbers.joined([noted, middle], ", ")
    title = _("{quantity} through {year}", quantity=heading, year=year)
    table = pl.DataFrame(
        {
            "date": [row["date"] for row in rows],
            "value": [row["value"] for row in rows],
            "word": [None if row["value"] is None else scale.word(row["value"]) for row in rows],
        },
        schema={"date": pl.Date, "value": pl.Float64, "word": pl.String},
    )
    return Figure(
        key=key,
        title=numbers.joined([title, _usual(values, scale)], "; ") if values else title,
        subtitle=subtitle,
        alt=_("{title}, a field a day, dark is low and pale is high.", title=title) + f" {subtitle.rstrip('.')}.",
        wide=_fields(rows, quantity, scale, _BESIDE if compact else _WIDE),
        narrow=_fields(rows, quantity, scale, _SMALL if compact else _NARROW),
        table=table,
        halves=tuple(
            Half(part=_(part), drawing=_fields(rows, quantity, scale, grid)) for part, grid in _HALVES.items()
        ),
    )


def _usual(values: Sequence[float], scale: Scale) -> str:
    """A text with the most frequent whole step (the lowest of equals) and its number of days."""
    counts: dict[float, int] = {}
    for value in values:
        counts[float(int(value + 0.5))] = counts.get(float(int(value + 0.5)), 0) + 1
    most = max(sorted(counts), key=lambda v: counts[v])
    return _n(
        "most often {mood}, on {count} day",
        "most often {mood}, on {count} days",
        counts[most],
        mood=entries.rated(most, scale),
    )


def _fields(rows: list[dict[str, Any]], quantity: str, scale: Scale, grid: _Grid) -> Drawing:
    height = grid.size[1]
    sheet = Canvas(grid.width)
    _heads(sheet, grid)
    rows = [row for row in rows if grid.months[0] <= row["date"].month <= grid.months[1]]
    fills, edges = PAGE.steps(quantity)
    boxes: list[list[dict[str, Any]]] = [[] for _fill in fills]
    unrated = []
    for row in rows:
        x, y = grid.at(row["date"])
        if row["value"] is None:
            label = (
                quantities.not_rated_on(row["date"], quantity)
                if row["logged"]
                else _("{date}: nothing logged", date=dates.day(row["date"], weekday=False))
            )
            unrated.append({"x": x, "y": y, "label": label})
        else:
            label = quantities.rated_on(row["date"], quantity, row["value"], scale)
            boxes[step(row["value"], scale.low, scale.high)].append(_box(x, y, grid.field) | {"label": label})
    for nth, (fill, edge) in enumerate(zip(fills, edges, strict=True), start=1):
        sheet.rects(boxes[nth - 1], fill=fill, stroke=edge, stroke_width=1, radius=1.5, name=f"step {nth}")
    sheet.dots(unrated, radius=1.8, fill=PAGE.blank, name="blank")
    return sheet.drawing(_scale_key(sheet, fills, edges, scale, left=grid.left, y=height + 20, silent=bool(unrated)))


def _box(x: float, y: float, field: tuple[float, float]) -> dict[str, Any]:
    # Half of a one-pixel outline lies outside of its box: the inset of half a pixel per side keeps it sharp.
    width, height = field[0] - 1, field[1] - 1
    return {"x": x - width / 2, "y": y - height / 2, "x2": x + width / 2, "y2": y + height / 2}


def _scale_key(
    sheet: Canvas,
    fills: Sequence[str],
    edges: Sequence[str],
    scale: Scale,
    *,
    left: float,
    y: float,
    silent: bool,
) -> float:
    """Draw swatches with their texts, wrapped at the canvas width. Returns the drawing's height."""
    x, words = left, []
    for nth, text in enumerate(key_texts(scale)):
        if text is None:
            continue
        needed = 20 + text_width(text, SMALL)
        if x > left and x + needed > sheet.width:
            x, y = left, y + 20
        box = {"x": x, "y": y - 6, "x2": x + 13, "y2": y + 6}
        sheet.rects([box], fill=fills[nth], stroke=edges[nth], stroke_width=1, radius=1.5, name="key step")
        words.append({"x": x + 19, "y": y, "text": text})
        x += needed + 16
    if silent:
        nothing = _("not noted")
        if x + max(110, 16 + text_width(nothing, SMALL)) > sheet.width:
            x, y = left, y + 20
        sheet.dots([{"x": x + 6, "y": y}], radius=1.8, fill=PAGE.blank, name="key blank")
        words.append({"x": x + 16, "y": y, "text": nothing})
    sheet.texts(words, size=SMALL, colour=PAGE.muted, name="key")
    return y + 12


def key_texts(scale: Scale) -> list[str | None]:
    """The text of each of five colours: the whole steps of the scale nearest to it, or None without one.

    >>> key_texts(Scale(low=1, high=10))
    ['1 to 2', '3 to 4', '5 to 6', '7 to 8', '9 to 10']
    >>> key_texts(Scale(low=1, high=3, words=("low", "even", "high")))
    ['1 low', None, '2 even', None, '3 high']
    """
    whole = [scale.low + i for i in range(int(scale.high - scale.low) + 1)]
    texts: list[str | None] = []
    for nth in range(5):
        nearest = [value for value in whole if step(value, scale.low, scale.high) == nth]
        if not nearest:
            texts.append(None)
        elif len(nearest) == 1:
            texts.append(entries.rated(nearest[0], scale))
        else:
            texts.append(_("{low} to {high}", low=numbers.number(nearest[0]), high=numbers.number(nearest[-1])))
    return texts


def _habit(states: pl.DataFrame, year: int, name: str, key: str, *, compact: bool) -> Figure:
    rows = list(states.sort("date").iter_rows(named=True))
    counts = {state: sum(row["state"] == state for row in rows) for state in _COUNTS}
    subtitle = _("It was not in force this year.")
    if rows:
        named = (_(text, count=counts[state]) for state, text in _COUNTS.items() if counts[state] or state == "done")
        subtitle = ", ".join(named)
    table = states.sort("date").select("date", pl.col("state").cast(pl.String), "value")
    return Figure(
        key=key,
        title=_n(
            "{habit} through {year}: done on {days} day",
            "{habit} through {year}: done on {days} days",
            counts["done"],
            habit=name,
            year=year,
            days=counts["done"],
        ),
        subtitle=subtitle,
        alt=_("{habit} through {year}, a mark a day.", habit=name, year=year) + f" {subtitle.rstrip('.')}.",
        wide=_shapes(rows, name, _BESIDE if compact else _WIDE),
        narrow=_shapes(rows, name, _SMALL if compact else _NARROW),
        table=table,
        halves=tuple(Half(part=_(part), drawing=_shapes(rows, name, grid)) for part, grid in _HALVES.items()),
    )


def _shapes(rows: list[dict[str, Any]], name: str, grid: _Grid) -> Drawing:
    height = grid.size[1]
    sheet = Canvas(grid.width)
    _heads(sheet, grid)
    rows = [row for row in rows if grid.months[0] <= row["date"].month <= grid.months[1]]
    cells: list[MarkCell] = []
    for row in rows:
        mark = cell(row, *grid.at(row["date"]), f"{name}, {dates.day(row['date'], weekday=False)}: {habits.mark(row)}")
        if mark is not None:
            cells.append(mark)
    inset = 4 if min(grid.field) > 12 else 0.6
    side = min(grid.field) - inset
    draw_marks(sheet, cells, width=side, height=side, pitch=(grid.across, grid.down))
    return sheet.drawing(draw_key(sheet, [c.shape for c in cells], x=grid.left, y=height + 20) + 4)


def _heads(sheet: Canvas, grid: _Grid) -> None:
    """Draw the headings: month names and every fifth day number."""
    months = [dt.date(2000, month, 1) for month in range(grid.months[0], grid.months[1] + 1)]
    days = [dt.date(2000, 1, day) for day in (1, 5, 10, 15, 20, 25, 30)]
    named = [(day, dates.month_short(day.month)) for day in months]
    numbered = [(day, str(day.day)) for day in days]
    down, across = (named, numbered) if grid.months_down else (numbered, named)
    sheet.texts(
        [{"x": grid.left - 10, "y": grid.at(day)[1], "text": text} for day, text in down],
        size=TEXT if grid.months_down else SMALL, colour=PAGE.muted, align="right", name="rows",
    )  # fmt: skip
    sheet.texts(
        [{"x": grid.at(day)[0], "y": 12, "text": text} for day, text in across],
        size=SMALL, colour=PAGE.muted, align="center", name="columns",
    )  # fmt: skip
