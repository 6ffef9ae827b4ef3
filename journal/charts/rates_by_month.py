"""Monthly completion rates with intervals, in a small panel per habit."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts import shares
from journal.charts.canvas import LABEL, NARROW, SMALL, WIDE, Canvas, Drawing
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _
from journal.wording import dates, numbers

_PANEL = 132.0  # pixels: two heading lines, 68 of plot, one line of months


@checked
def draw(
    rates: pl.DataFrame,
    names: Mapping[str, str],
    year: int,
    *,
    apart: Collection[str],
    key: str = "rates-by-month",
) -> Figure:
    """One panel per habit, in the order of `names`. Habits and months without a rate are left out.

    In: rates by month (habit, from, done, counted or due, rate, low, high; `from` is a Date in the month); `apart`, the
    habits whose months clearly differ (`month_differences`): the title tells of none but these.
    Out: a Figure; its table has habit, month (ISO 8601), done, counted, rate, low, high.
    """
    panels = _panels(rates, names, year)
    title = _title(panels, year, apart, is_due=_of_year(rates, year).height > 0)
    return Figure(
        key=key,
        title=title,
        subtitle=_(
            "Share done of what was due in each month, 0 to {whole}, with its {level} interval.",
            whole=numbers.percent(1),
            level=numbers.NINETY_FIVE,
        ),
        alt=numbers.joined([_("Small panels, one a habit, a dot a month."), f"{title}.", _alt(panels)], " "),
        wide=_draw(panels, WIDE, 3),
        narrow=_draw(panels, NARROW, 2),
        table=_table(panels),
    )


def _panels(rates: pl.DataFrame, names: Mapping[str, str], year: int) -> dict[str, list[Row]]:
    """Map the name of each habit to its rows, in drawing order."""
    rows_by_habit: dict[str, list[Row]] = {}
    for row in _of_year(rates, year).filter(pl.col("rate").is_not_null()).sort("month").iter_rows(named=True):
        rows_by_habit.setdefault(row["habit"], []).append({**row, "counted": row.get("counted", row.get("due"))})
    order = [*(h for h in names if h in rows_by_habit), *(h for h in rows_by_habit if h not in names)]
    return {names.get(habit, habit): rows_by_habit[habit] for habit in order}


def _of_year(rates: pl.DataFrame, year: int) -> pl.DataFrame:
    """The rates of a year's months, with `month`, its ISO 8601 name."""
    month = pl.col("period") if "period" in rates.columns else pl.col("from").dt.strftime("%Y-%m")
    return rates.with_columns(month=month).filter(pl.col("month").str.starts_with(f"{year:04d}"))


def _highest(rows: list[Row]) -> Row:
    """The highest month, by the low end of its interval, so that 1 of 1 does not rank above 30 of 31."""
    return max(rows, key=lambda row: row["low"])


def _lowest(rows: list[Row]) -> Row:
    return min(rows, key=lambda row: row["high"])


def _swing(rows: list[Row]) -> float:
    """The gap between the intervals of the lowest and the highest month. Negative if they overlap."""
    return float(_highest(rows)["low"] - _lowest(rows)["high"])


def _ends(rows: list[Row]) -> str:
    """The lowest and the highest rate with their months, in chronological order."""
    low = min(rows, key=lambda row: (row["rate"], -row["counted"]))
    high = max(rows, key=lambda row: (row["rate"], row["counted"]))
    if low["rate"] == high["rate"]:
        return numbers.percent(low["rate"])
    first, last = sorted((low, high), key=lambda row: str(row["month"]))
    return ", ".join(f"{_month_short(row)} {numbers.percent(row['rate'])}" for row in (first, last))


def _month(row: Row) -> str:
    return dates.month_name(int(row["month"][5:7]))


def _month_short(row: Row) -> str:
    return dates.month_short(int(row["month"][5:7]))


def _title(panels: dict[str, list[Row]], year: int, apart: Collection[str], *, is_due: bool) -> str:
    if not panels:
        return _("No habit has a rate in {year}", year=year) if is_due else _("No habit was due in {year}", year=year)
    differing = {name: rows for name, rows in panels.items() if rows[0]["habit"] in apart}
    if not differing:
        return _("No habit's months stand clearly apart in {year}", year=year)
    name, rows = max(differing.items(), key=lambda item: _swing(item[1]))
    low, high = _lowest(rows), _highest(rows)
    return _(
        "{habit} ranged widest in {year}: {low} in {low_month}, {high} in {high_month}",
        habit=name,
        year=year,
        low=numbers.percent(low["rate"]),
        low_month=_month(low),
        high=numbers.percent(high["rate"]),
        high_month=_month(high),
    )


def _alt(panels: dict[str, list[Row]]) -> str:
    parts = [
        _("{habit}: {rates}, {count} months", habit=name, rates=_ends(rows), count=len(rows))
        for name, rows in panels.items()
    ]
    return "; ".join(parts) + "." if parts else ""


def _table(panels: dict[str, list[Row]]) -> pl.DataFrame:
    schema: dict[str, Any] = {
        "habit": pl.String, "month": pl.String, "done": pl.Int64, "counted": pl.Int64,
        "rate": pl.Float64, "low": pl.Float64, "high": pl.Float64,
    }  # fmt: skip
    records = [{**{k: row[k] for k in schema}, "habit": name} for name, rows in panels.items() for row in rows]
    return pl.DataFrame(records, schema=schema)


def _draw(panels: dict[str, list[Row]], width: float, columns: int) -> Drawing:
    sheet = Canvas(width)
    gap = 36.0 if columns == 3 else 20.0
    panel_width = (width - gap * (columns - 1)) / columns
    for nth, (name, rows) in enumerate(panels.items()):
        left, top = (nth % columns) * (panel_width + gap), nth // columns * (_PANEL + 12)
        _panel(sheet, name, rows, left=left, top=top, width=panel_width)
    lines = -(-len(panels) // columns)
    return sheet.drawing(max(20.0, lines * (_PANEL + 12)))


def _panel(sheet: Canvas, name: str, rows: list[Row], *, left: float, top: float, width: float) -> None:
    """Draw one habit: its name, its highest and lowest month as text, and a dot per month that has a rate."""
    axis = left + 30
    across = (left + width - axis) / 12
    high, low = top + 42, top + 110

    def x(row: Row) -> float:
        return axis + (int(row["month"][5:7]) - 0.5) * across

    def y(share: float) -> float:
        return low - share * (low - high)

    words = _ends(rows)
    sheet.texts([{"x": left, "y": top + 9, "text": name, "label": name}], size=LABEL, limit=width, name="habit")
    sheet.texts([{"x": left, "y": top + 26, "text": words}], size=SMALL, colour=PAGE.muted, name="ends")
    sheet.rules(
        [{"x": axis, "y": y(s), "x2": left + width, "y2": y(s)} for s in (0, 0.5, 1)], stroke=PAGE.line, name="axis"
    )
    sheet.texts(
        [{"x": axis - 6, "y": y(s), "text": t} for s, t in ((0, "0"), (0.5, "50"), (1, "100"))],
        size=11, colour=PAGE.muted, align="right", name="shares",
    )  # fmt: skip
    every = 1 if across >= 14 else 3
    sheet.texts(
        [
            {"x": axis + (i + 0.5) * across, "y": low + 13, "text": dates.month_short(i + 1, 1)}
            for i in range(0, 12, every)
        ],
        size=11, colour=PAGE.muted, align="center", name="months",
    )  # fmt: skip
    sheet.rules(
        [{"x": x(r), "y": y(r["low"]), "x2": x(r), "y2": y(r["high"])} for r in rows],
        stroke=PAGE.quiet, stroke_width=1.8, name="intervals",
    )  # fmt: skip
    sheet.dots([{"x": x(r), "y": y(r["rate"])} for r in rows], radius=3.6, fill=PAGE.accent, name="rates")
    sheet.rects(
        [
            {
                "x": x(r) - across / 2, "y": high - 6, "x2": x(r) + across / 2, "y2": low + 6,
                "label": f"{name}, {_month(r)}: {numbers.of(r['done'], r['counted'])}, {shares.with_interval(r)}",
            }
            for r in rows
        ],
        name="hover",
    )  # fmt: skip
