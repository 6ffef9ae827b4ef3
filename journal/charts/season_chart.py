"""Mean mood by month, with day length as columns behind it."""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked
from journal.charts import quantities
from journal.charts.canvas import NARROW, SMALL, TEXT, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.mood_line import axis_words
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.settings import Scale
from journal.wording import dates, entries, numbers

ENOUGH = 10
"""Least days with a mood for a month to be named highest or lowest. Months with fewer are drawn hollow."""

_WIDE = 760


@checked
def draw(
    months: pl.DataFrame, scale: Scale, *, said: str = "", quantity: str = "mood", key: str = "season-chart"
) -> Figure:
    """Mean mood of each month, in front of a column that shows the length of its days.

    In: the frame of `season.months`, of one year; `said` is the sentence on their link (`link_sentences`). The
    column axis runs from 0 to 24 hours of daylight over the height of the scale. Out: a Figure; its table has month
    (String, its name), n, mean, day_minutes.
    """
    rows = [row | {"name": dates.month_name(row["month"].month)} for row in months.iter_rows(named=True)]
    title = _title(rows, quantity)
    shows = _(
        "A dot is a month's mean {quantity}, the column behind it how many hours of daylight its days have.",
        quantity=quantities.word(quantity),
    )
    return Figure(
        key=key,
        title=title,
        subtitle=numbers.joined([shows, said], " "),
        alt=numbers.joined([_("A column a month."), f"{title}.", _alt(rows), said], " "),
        wide=_months(rows, scale, quantity, _WIDE),
        narrow=_months(rows, scale, quantity, NARROW),
        table=pl.DataFrame(
            [{column: row[column] for column in ("name", "n", "mean", "day_minutes")} for row in rows],
            schema={"name": pl.String, "n": pl.Int64, "mean": pl.Float64, "day_minutes": pl.Float64},
        ).rename({"name": "month"}),
    )


def _title(rows: list[Row], quantity: str) -> str:
    enough = [row for row in rows if row["n"] >= ENOUGH]
    if len(enough) < 2:
        return _(
            "Too few days to tell the months' {quantity} apart: {days} of a month are needed",
            quantity=quantities.word(quantity),
            days=ENOUGH,
        )
    top, bottom = (choose(enough, key=lambda row: row["mean"]) for choose in (max, min))
    if numbers.mean(top["mean"]) == numbers.mean(bottom["mean"]):
        return _(
            "Mean {quantity} is {mean} in every month",
            quantity=quantities.word(quantity),
            mean=numbers.mean(top["mean"]),
        )
    return _(
        "Mean {quantity} was highest in {high_month}, {high}, and lowest in {low_month}, {low}",
        quantity=quantities.word(quantity),
        high_month=top["name"],
        high=numbers.mean(top["mean"]),
        low_month=bottom["name"],
        low=numbers.mean(bottom["mean"]),
    )


def _alt(rows: list[Row]) -> str:
    return "; ".join(_row_text(row) for row in rows) + "." if rows else ""


def _hover(row: Row, scale: Scale) -> str:
    return _row_text(row) + ("" if row["mean"] is None else f", {entries.rated(round(row['mean']), scale)}")


def _row_text(row: Row) -> str:
    mean = _("{month} not rated", month=row["name"])
    if row["mean"] is not None:
        mean = _n(
            "{month} {mean} over {count} day",
            "{month} {mean} over {count} days",
            row["n"],
            month=row["name"],
            mean=numbers.number(row["mean"], 2),
        )
    light = None if row["day_minutes"] is None else _("days of {length}", length=dates.minutes(row["day_minutes"]))
    return numbers.joined([mean, light], ", ")


def _light(minutes: float, *, broad: bool) -> str:
    """The length of a month's days in whole hours."""
    hours = f"{minutes / 60:.0f}"
    return _("{hours} h", hours=hours) if broad else hours


def _months(rows: list[Row], scale: Scale, quantity: str, width: float) -> Drawing:
    sheet, words = Canvas(width), axis_words(scale)
    broad = width > 600
    left, top, bottom = 12 + max(text_width(text, SMALL) for _value, text in words), 10.0, 200.0
    across = (width - left) / max(1, len(rows))

    def y(value: float) -> float:
        return bottom - (value - scale.low) / ((scale.high - scale.low) or 1) * (bottom - top)

    middles = [left + (i + 0.5) * across for i in range(len(rows))]
    placed = list(zip(rows, middles, strict=True))
    lit = [
        (x, bottom - row["day_minutes"] / 1440 * (bottom - top), row["day_minutes"])
        for row, x in placed if row["day_minutes"] is not None
    ]  # fmt: skip
    sheet.rects(
        [{"x": x - across / 2 + 1, "y": high, "x2": x + across / 2 - 1, "y2": bottom} for x, high, _long in lit],
        fill=PAGE.day, name="daylight",
    )  # fmt: skip
    sheet.rules([{"x": left, "y": y(v), "x2": width, "y2": y(v)} for v, _text in words], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in words], size=SMALL, colour=PAGE.muted, name="scale")
    sheet.texts(
        [{"x": x, "y": bottom - 10, "text": _light(long, broad=broad)} for x, _top, long in lit],
        size=SMALL, colour=PAGE.muted, align="center", name="hours",
    )  # fmt: skip
    rated = [(row, x) for row, x in placed if row["mean"] is not None]
    for enough in (False, True):
        dots = [{"x": x, "y": y(row["mean"])} for row, x in rated if (row["n"] >= ENOUGH) is enough]
        fill = PAGE.accent if enough else PAGE.card
        sheet.dots(dots, radius=5, fill=fill, stroke=PAGE.accent, name="means" if enough else "few")
    sheet.texts(
        [{"x": x, "y": y(row["mean"]) - 15, "text": numbers.mean(row["mean"])} for row, x in rated],
        size=TEXT if broad else SMALL, align="center", name="values",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": x, "y": bottom + 15, "text": dates.month_short(row["month"].month, 3 if broad else 1)}
            for row, x in placed
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="months",
    )  # fmt: skip
    sheet.rects(
        [
            {
                "x": x - across / 2, "y": 0, "x2": x + across / 2, "y2": bottom + 22,
                "label": _hover(row, scale),
            }
            for row, x in placed
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(bottom + 26)
