"""Hours by category: a thin bar for planned, a thick bar for actual, and the share spent as planned."""

from __future__ import annotations

from typing import Any, NamedTuple

import polars as pl

from journal.call_arguments import checked
from journal.charts import category_colours
from journal.charts.axis import steps
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.category_colours import Categories
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.measures.hours import HoursDays
from journal.periods import Period
from journal.wording import dates, numbers

_PLANNED, _ACTUAL = 5.0, 14.0
_COLUMNS = ("category", "planned_minutes", "actual_minutes", "as_planned_minutes", "compared_minutes",
            "as_planned_share")  # fmt: skip


@checked
def draw(
    totals: pl.DataFrame,
    categories: Categories,
    period: Period,
    *,
    days: HoursDays | None = None,
    key: str = "category-hours",
) -> Figure:
    """Planned and actual hours of a period, one row per category in the order of `categories`.

    In: the frame of `hours.as_planned` over `hours.totals` by "all", cut to the period; `categories` maps a key to its
    name and its colour; `days`, from `hours.days` of the same hours, is shown if some days lack one of the two layers.
    Out: a Figure; its table has category (its name), planned_minutes, actual_minutes, as_planned_minutes,
    compared_minutes, as_planned_share. A category without minutes in a layer has no bar for it.
    """
    order = {category: place for place, category in enumerate(categories)}
    rows = sorted(
        ({**row, "name": category_colours.name(categories, row["category"])} for row in totals.iter_rows(named=True)),
        key=lambda row: order.get(row["category"], len(order)),
    )
    title = _title(rows, period)
    records = [{**row, "category": row["name"]} for row in rows]
    return Figure(
        key=key,
        title=title,
        subtitle=numbers.joined(
            [
                _("{period}; hours, thin as planned, thick as they went.", period=dates.period(period)),
                _days_sentence(days),
                _("As planned: spent in the category at its planned time, on days with a plan and hours as they went."),
            ],
            " ",
        ),
        alt=numbers.joined(
            [_("Bars of planned and actual hours, {period}.", period=dates.period(period)), f"{title}.", _alt(rows)],
            " ",
        ),
        wide=_bars(rows, categories, WIDE),
        narrow=_bars(rows, categories, NARROW),
        table=pl.DataFrame(records, schema=totals.schema).select(_COLUMNS),
    )


def _days_sentence(days: HoursDays | None) -> str:
    """A sentence with the number of planned and of written days, or "" if the two layers cover the same days.

    >>> _days_sentence(HoursDays(31, 24, 24)), _days_sentence(HoursDays(7, 0, 0)), _days_sentence(HoursDays(7, 7, 7))
    ('Planned on 31 days, written as they went on 24 of them.', 'Planned on 7 days, written as they went on none.', '')
    >>> _days_sentence(HoursDays(7, 6, 5)), _days_sentence(HoursDays(0, 6, 0))
    ('Planned on 7 days, written as they went on 6, on 5 both.', '')
    """
    if days is None or not days.planned or days.planned == days.written == days.both:
        return ""
    if not days.written:
        return _n(
            "Planned on {count} day, written as they went on none.",
            "Planned on {count} days, written as they went on none.",
            days.planned,
        )
    if days.written == days.both:
        return _n(
            "Planned on {count} day, written as they went on {written} of them.",
            "Planned on {count} days, written as they went on {written} of them.",
            days.planned,
            written=days.written,
        )
    if not days.both:
        return _n(
            "Planned on {count} day, written as they went on {written}, on none both.",
            "Planned on {count} days, written as they went on {written}, on none both.",
            days.planned,
            written=days.written,
        )
    return _n(
        "Planned on {count} day, written as they went on {written}, on {both} both.",
        "Planned on {count} days, written as they went on {written}, on {both} both.",
        days.planned,
        written=days.written,
        both=days.both,
    )


def _title(rows: list[Row], period: Period) -> str:
    if not rows:
        return _("No hours were noted in {period}", period=dates.period(period))
    compared = [row for row in rows if row["as_planned_share"] is not None]
    if not compared:
        return _("No plan in {period} can be compared with how it went", period=dates.period(period))
    most = max(compared, key=lambda row: row["as_planned_share"])
    least = min(compared, key=lambda row: row["as_planned_share"])
    share, hours = numbers.percent(most["as_planned_share"]), dates.hours(most["compared_minutes"])
    if len(compared) == 1:
        return _("{category} went as planned for {share} of {hours}", category=most["name"], share=share, hours=hours)
    if most["as_planned_share"] == least["as_planned_share"]:
        return _("Every category went as planned for {share}", share=share)
    return _(
        "{most} went as planned most, {share} of {hours}; {least} least, {least_share} of {least_hours}",
        most=most["name"],
        share=share,
        hours=hours,
        least=least["name"],
        least_share=numbers.percent(least["as_planned_share"]),
        least_hours=dates.hours(least["compared_minutes"]),
    )


def _alt(rows: list[Row]) -> str:
    parts = [f"{row['name']}: {_row_text(row)}" for row in rows]
    return "; ".join(parts) + "." if parts else ""


def _row_text(row: Row) -> str:
    share = row["as_planned_share"]
    planned, went, kept = _("not planned"), _("none noted as it went"), ""
    if row["planned_minutes"] is not None:
        planned = _("planned {hours}", hours=dates.hours(row["planned_minutes"]))
    if row["actual_minutes"] is not None:
        went = _("went {hours}", hours=dates.hours(row["actual_minutes"]))
    if share is not None:
        hours = dates.hours(row["compared_minutes"])
        kept = _("{share} of {hours} as planned", share=numbers.percent(share), hours=hours)
    return numbers.joined([planned, went, kept], ", ")


class _Beside(NamedTuple):
    """The texts beside the bars of a category: its hours, and the share that went as planned."""

    went: str
    kept: str


def _beside(row: Row) -> _Beside:
    planned = (
        None if row["planned_minutes"] is None else _("planned {hours}", hours=dates.hours(row["planned_minutes"]))
    )
    share = row["as_planned_share"]
    return _Beside(
        went=numbers.joined([dates.hours(row["actual_minutes"]), planned], ", "),
        kept="" if share is None else _("{share} as planned", share=numbers.percent(share)),
    )


def _bars(rows: list[Row], categories: Categories, width: float) -> Drawing:
    """One drawing: names beside the bars on a wide one, above them on a narrow one."""
    sheet, wide = Canvas(width), width > NARROW
    longest = max((text_width(row["name"], LABEL) for row in rows), default=60)
    left = min(180.0, longest + 18) if wide else 0.0
    beside = [_beside(row) for row in rows]
    room = max((text_width(words.went, TEXT) + text_width(words.kept, SMALL) for words in beside), default=0) * 1.05
    right = width - (max(262.0, room + 30) if wide else 12)
    step, above = (40.0, 0.0) if wide else (70.0, 20.0)
    top = 10.0 if wide else 4.0
    most = max((row[c] or 0 for row in rows for c in ("planned_minutes", "actual_minutes")), default=0)
    ticks = steps(0, most / 60, 6 if wide else 4)
    bottom = top + len(rows) * step

    def x(minutes: float) -> float:
        return left + minutes / 60 / ticks[-1] * (right - left)

    if rows:
        # On a narrow drawing the grid lines leave room for the text between the bars.
        pieces = (
            [(top - 4, bottom)]
            if wide
            else [(top + n * step + above - 2, top + n * step + 43) for n in range(len(rows))]
        )
        sheet.rules(
            [{"x": x(t * 60), "y": start, "x2": x(t * 60), "y2": end} for t in ticks for start, end in pieces],
            stroke=PAGE.line, name="steps",
        )  # fmt: skip
        nothing = _("{hours} h", hours=0)
        for minutes, text, align in [(0, nothing, "left")] + [(t * 60, numbers.number(t), "right") for t in ticks[1:]]:
            sheet.texts(
                [{"x": x(minutes), "y": bottom + 13, "text": text}],
                size=SMALL, colour=PAGE.muted, align="center" if wide else align, name="hours",
            )  # fmt: skip
    for nth, (row, words) in enumerate(zip(rows, beside, strict=True)):
        y = top + nth * step + above
        _row(sheet, row, category_colours.colour(categories, row["category"]), x, y)
        middle = y + (_PLANNED + _ACTUAL + 2) / 2
        label = {"text": row["name"], "label": row["name"]}
        at = {"x": 0, "y": middle} if wide else {"x": 0, "y": y - 9}
        narrow = min(200.0, width - 12 - text_width(words.went, SMALL) * 1.05)
        sheet.texts([{**at, **label}], size=LABEL, limit=max(60.0, left - 12) if wide else narrow, name="names")
        kept = [words.kept] if words.kept else []
        if wide:
            sheet.texts([{"x": right + 14, "y": middle, "text": words.went}], size=TEXT, name="sums")
            sheet.texts([{"x": width, "y": middle, "text": text} for text in kept], size=SMALL, colour=PAGE.muted,
                        align="right", name="kept")  # fmt: skip
        else:
            sheet.texts([{"x": width, "y": y - 9, "text": words.went}], size=SMALL, align="right", name="sums")
            sheet.texts([{"x": 0, "y": y + _PLANNED + _ACTUAL + 12, "text": text} for text in kept], size=SMALL,
                        colour=PAGE.muted, name="kept")  # fmt: skip
    return sheet.drawing(bottom + 24 if rows else 20)


def _row(sheet: Canvas, row: Row, colour: str, x: Any, y: float) -> None:
    label = f"{row['name']}: {_row_text(row)}"
    boxes = [
        {"x": x(0), "y": y + offset, "x2": max(x(0) + 1.5, x(row[column])), "y2": y + offset + height, "label": label}
        for column, offset, height in (("planned_minutes", 0, _PLANNED), ("actual_minutes", _PLANNED + 2, _ACTUAL))
        if row[column] is not None
    ]
    sheet.rects(boxes, fill=colour, stroke=category_colours.outline(colour), stroke_width=0.8, radius=1.5, name="bars")
