"""Outcome of planned time: one row per planned category, one column per actual category, hours in each cell."""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked
from journal.charts import category_colours
from journal.charts.canvas import NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.category_colours import Categories
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _n, _p
from journal.periods import Period
from journal.wording import dates, numbers

_MOST_COLUMNS = 9  # more names do not fit beside each other; then both widths show a list
_LISTED = 4


@checked
def draw(went: pl.DataFrame, categories: Categories, period: Period, *, key: str = "planned-went") -> Figure:
    """Hours by planned and by actual category.

    In: the frame of `plan_vs_actual.where_planned_went` by "all", cut to the period; `categories` maps a key to its
    name and its colour. Out: a Figure; its table has planned, actual (names; "open time" without a plan, "not written"
    without a record), minutes, days. A bar's length is its cell's share of the row.
    """
    rows = list(went.iter_rows(named=True))
    planned = _order(categories, [row["planned"] for row in rows])
    actual = _order(categories, [row["actual"] for row in rows])
    title = _title(rows, categories, period)
    matrix = len(actual) <= _MOST_COLUMNS
    draw_wide = _matrix if matrix else _list
    return Figure(
        key=key,
        title=title,
        subtitle=_(
            "{period}, days with both a plan and hours as they went. Each bar is what share of the hours planned for a "
            "category went there; in the accent what went as planned.",
            period=dates.period(period),
        ),
        alt=numbers.joined(
            [_("Hours by plan and by what became of it."), f"{title}.", _alt(rows, categories, planned)], " "
        ),
        wide=draw_wide(rows, categories, planned, actual, WIDE),
        narrow=_list(rows, categories, planned, actual, NARROW),
        table=_table(rows, categories),
    )


def _order(categories: Categories, keys: list[str | None]) -> list[str | None]:
    """The distinct keys in the order of the settings, then other keys, then None."""
    present = dict.fromkeys(keys)
    return [
        *(k for k in categories if k in present),
        *(k for k in present if k is not None and k not in categories),
        *([None] if None in present else []),
    ]


def _planned_name(categories: Categories, key: str | None) -> str:
    return _("open time") if key is None else category_colours.name(categories, key)


def _actual_name(categories: Categories, key: str | None) -> str:
    return _p("hours as they went", "not written") if key is None else category_colours.name(categories, key)


def _title(rows: list[Row], categories: Categories, period: Period) -> str:
    """A title with the largest amount that was planned for one category and spent on another."""
    if not rows:
        return _("No day of {period} has both a plan and hours as they went", period=dates.period(period))
    planned = [row for row in rows if row["planned"] is not None]
    if not planned:
        return _("Nothing was planned on the days that were written")
    moved = [row for row in planned if row["actual"] not in {None, row["planned"]}]
    if not moved:
        return _("No planned time went to another category")
    most = max(moved, key=lambda row: row["minutes"])
    return _(
        "{hours} planned for {planned} went to {actual}, the most of any pair",
        hours=dates.hours(most["minutes"]),
        planned=_planned_name(categories, most["planned"]),
        actual=_actual_name(categories, most["actual"]),
    )


def _alt(rows: list[Row], categories: Categories, planned: list[str | None]) -> str:
    sentences = []
    for key in planned:
        parts = [
            f"{_actual_name(categories, row['actual'])} {dates.hours(row['minutes'])}"
            for row in sorted(rows, key=lambda row: -row["minutes"]) if row["planned"] == key
        ]  # fmt: skip
        sentences.append(
            _("{planned} went to {actual}", planned=_planned_name(categories, key), actual=", ".join(parts))
        )
    return "; ".join(sentences) + "." if sentences else ""


def _table(rows: list[Row], categories: Categories) -> pl.DataFrame:
    records = [
        {
            "planned": _planned_name(categories, row["planned"]),
            "actual": _actual_name(categories, row["actual"]),
            "minutes": row["minutes"],
            "days": row["days"],
        }
        for row in rows
    ]
    return pl.DataFrame(
        records, schema={"planned": pl.String, "actual": pl.String, "minutes": pl.Int64, "days": pl.Int64}
    )


def _minutes_planned(rows: list[Row], key: str | None) -> int:
    """Minutes planned for a category, at least 1: the divisor of its bars."""
    return max(1, sum(int(row["minutes"]) for row in rows if row["planned"] == key))


def _label(row: Row, categories: Categories) -> str:
    planned, actual = _planned_name(categories, row["planned"]), _actual_name(categories, row["actual"])
    return _n(
        "{planned} to {actual}: {hours} on {days} day",
        "{planned} to {actual}: {hours} on {days} days",
        row["days"],
        planned=planned,
        actual=actual,
        hours=dates.hours(row["minutes"]),
        days=row["days"],
    )


def _matrix(
    rows: list[Row], categories: Categories, planned: list[str | None], actual: list[str | None], width: float
) -> Drawing:
    sheet = Canvas(width)
    left, top, step = 150.0, 44.0, 38.0
    across = (width - left) / max(1, len(actual))
    sheet.texts([{"x": 0, "y": 28, "text": _("planned for")}], size=SMALL, colour=PAGE.muted, name="planned head")
    sheet.texts([{"x": left, "y": 8, "text": _("went to")}], size=SMALL, colour=PAGE.muted, name="went head")
    for nth, key in enumerate(actual):
        _swatch_and_name(
            sheet, key, _actual_name(categories, key), categories, x=left + nth * across, y=28, limit=across - 24
        )
    for nth, key in enumerate(planned):
        y = top + nth * step
        _swatch_and_name(sheet, key, _planned_name(categories, key), categories, x=0, y=y + step / 2, limit=left - 34)
        sheet.rules([{"x": 0, "y": y, "x2": width, "y2": y}], stroke=PAGE.line, name="lines")
    places = []
    for row in rows:
        x = left + actual.index(row["actual"]) * across
        y = top + planned.index(row["planned"]) * step
        length = max(1.5, row["minutes"] / _minutes_planned(rows, row["planned"]) * (across - 16))
        places.append((row, x, y, length))
    for kept, colour in ((False, PAGE.quiet), (True, PAGE.accent)):
        here = [p for p in places if (p[0]["planned"] == p[0]["actual"] and p[0]["planned"] is not None) is kept]
        sheet.rects(
            [{"x": x, "y": y + 26, "x2": x + length, "y2": y + 31} for _row, x, y, length in here],
            fill=colour, radius=1, name="kept" if kept else "moved",
        )  # fmt: skip
        sheet.texts(
            [{"x": x, "y": y + 15, "text": dates.hours(row["minutes"])} for row, x, y, _length in here],
            size=TEXT, bold=kept, name="hours",
        )  # fmt: skip
    sheet.rects(
        [
            {"x": x, "y": y + 2, "x2": x + across - 4, "y2": y + step - 2, "label": _label(row, categories)}
            for row, x, y, _length in places
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(top + len(planned) * step + 4 if rows else 20)


def _swatch_and_name(
    sheet: Canvas, key: str | None, name: str, categories: Categories, *, x: float, y: float, limit: float
) -> None:
    """Draw a category's swatch and name. A None key has no swatch."""
    colour = None if key is None else category_colours.colour(categories, key)
    if colour:
        box = {"x": x, "y": y - 5.5, "x2": x + 11, "y2": y + 5.5}
        sheet.rects(
            [box], fill=colour, stroke=category_colours.outline(colour), stroke_width=0.8, radius=1.5, name="key"
        )
    sheet.texts(
        [{"x": x + (17 if colour else 0), "y": y, "text": name, "label": name}],
        size=TEXT, colour=PAGE.ink if colour else PAGE.muted, limit=limit, name="names",
    )  # fmt: skip


def _list(
    rows: list[Row], categories: Categories, planned: list[str | None], actual: list[str | None], width: float
) -> Drawing:
    """One block per planned category, with one line per outcome, the largest first."""
    sheet, y, line = Canvas(width), 10.0, 19.0
    # A name may be cut, and is whole in its hover text; what we say ourselves is always whole.
    ours = max(text_width(text, SMALL) for text in (_("as planned"), _actual_name(categories, None))) + 26
    start, end = (max(150.0, ours), width - 70) if width > NARROW else (max(112.0, ours), width - 62)
    for key in planned:
        here = sorted((row for row in rows if row["planned"] == key), key=lambda row: -row["minutes"])
        name = _planned_name(categories, key)
        heading = _("{planned} went to", planned=name[:1].upper() + name[1:])
        _swatch_and_name(sheet, key, heading, categories, x=0, y=y, limit=width - 20)
        y += line + 2
        for row in here[:_LISTED]:
            kept = row["actual"] == key and key is not None
            outcome = _("as planned") if kept else _actual_name(categories, row["actual"])
            length = max(1.5, row["minutes"] / _minutes_planned(rows, key) * (end - start))
            sheet.texts(
                [{"x": 17, "y": y, "text": outcome, "label": outcome}], size=SMALL, limit=start - 25, name="went"
            )
            sheet.rects(
                [{"x": start, "y": y - 4, "x2": start + length, "y2": y + 4, "label": _label(row, categories)}],
                fill=PAGE.accent if kept else PAGE.quiet, radius=1, name="kept" if kept else "moved",
            )  # fmt: skip
            sheet.texts(
                [{"x": width, "y": y, "text": dates.hours(row["minutes"])}], size=SMALL, align="right", name="hours"
            )
            y += line
        if len(here) > _LISTED:
            more = len(here) - _LISTED
            text = _("and {count} more, each less", count=more)
            sheet.texts([{"x": 17, "y": y, "text": text}], size=SMALL, colour=PAGE.muted, name="more")
            y += line
        y += 9
    return sheet.drawing(max(20.0, y - 12))
