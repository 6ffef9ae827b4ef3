"""How the days of the week differ: mean and spread of each."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.charts.figure import Figure
from journal.charts.mood_line import axis_words
from journal.charts.sheet import NARROW, SMALL, TEXT, Drawing, Sheet, text_width
from journal.charts.theme import PAGE
from journal.charts.wording import mean_text, number_text, scale_text
from journal.settings import Scale

_WIDE = 640


def draw(weekdays: pl.DataFrame, scale: Scale, *, quantity: str = "mood", key: str = "weekday-profile") -> Figure:
    """Mean by weekday with one standard deviation either way.

    In: period (String "monday".., in the order to draw), n, mean, sd (null where there is none). Out: a Figure; its
    table has period, n, mean, sd.
    """
    rows = list(weekdays.select("period", "n", "mean", "sd").iter_rows(named=True))
    return Figure(
        key=key,
        title=_title(rows, quantity),
        subtitle="Mean of each weekday, the bar one standard deviation either way; days rated below.",
        alt=f"{_title(rows, quantity)}. {_alt(rows)}".rstrip(),
        wide=_profile(rows, scale, quantity, _WIDE),
        narrow=_profile(rows, scale, quantity, NARROW),
        table=weekdays.select("period", "n", "mean", "sd"),
    )


def _title(rows: list[dict[str, Any]], quantity: str) -> str:
    rated = [row for row in rows if row["mean"] is not None]
    if not rated:
        return f"No {quantity} was noted on any weekday"
    most = max(rated, key=lambda row: row["mean"])
    least = min(rated, key=lambda row: row["mean"])
    highest = f"{most['period'].capitalize()}s have the highest mean {quantity}, {mean_text(most['mean'])}"
    if most["mean"] == least["mean"]:
        return f"Mean {quantity} is {mean_text(most['mean'])} on every rated weekday"
    usual = max((row["sd"] or 0.0) for row in rated)
    if most["mean"] - least["mean"] < usual:  # a day of any weekday strays further than the weekdays differ
        return f"No weekday stands out: mean {quantity} from {mean_text(least['mean'])} to {mean_text(most['mean'])}"
    return f"{highest}; {least['period'].capitalize()}s the lowest, {mean_text(least['mean'])}"


def _alt(rows: list[dict[str, Any]]) -> str:
    said = []
    for row in rows:
        spread = "" if row["sd"] is None else f", spread {mean_text(row['sd'])}"
        mean = "not rated" if row["mean"] is None else f"{mean_text(row['mean'])}{spread}, {row['n']} days"
        said.append(f"{row['period'].capitalize()} {mean}")
    return "; ".join(said) + "." if said else ""


def _profile(rows: list[dict[str, Any]], scale: Scale, quantity: str, width: float) -> Drawing:
    sheet = Sheet(width)
    words = axis_words(scale)
    left, top, bottom = 12 + max(text_width(text, SMALL) for _, text in words), 10.0, 190.0
    across = (width - left - 8) / max(1, len(rows))  # 8 px for the last number

    def y(value: float) -> float:
        inside = min(scale.high, max(scale.low, value))  # a spread may reach over the ends of the scale
        return bottom - (inside - scale.low) / ((scale.high - scale.low) or 1) * (bottom - top)

    middles = [left + (i + 0.5) * across for i in range(len(rows))]
    sheet.rules([{"x": left, "y": y(v), "x2": width, "y2": y(v)} for v, _ in words], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in words], size=SMALL, colour=PAGE.muted, name="scale")
    rated = [(row, x) for row, x in zip(rows, middles, strict=True) if row["mean"] is not None]
    sheet.rules(
        [
            {"x": x, "y": y(r["mean"] - r["sd"]), "x2": x, "y2": y(r["mean"] + r["sd"])}
            for r, x in rated if r["sd"] is not None
        ],
        stroke=PAGE.quiet, stroke_width=2.2, name="spread",
    )  # fmt: skip
    sheet.dots([{"x": x, "y": y(r["mean"])} for r, x in rated], radius=5.5, fill=PAGE.accent, name="means")
    sheet.texts(
        [{"x": x + 9, "y": y(r["mean"]), "text": mean_text(r["mean"])} for r, x in rated], size=TEXT, name="values"
    )
    sheet.texts(
        [{"x": x, "y": bottom + 18, "text": r["period"][:3].capitalize()} for r, x in zip(rows, middles, strict=True)],
        size=TEXT, align="center", name="weekdays",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": x, "y": bottom + 35, "text": f"{r['n']} days" if width > 600 else str(r["n"])}
            for r, x in zip(rows, middles, strict=True)
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="counts",
    )  # fmt: skip
    if width <= 600 and rows:
        sheet.texts([{"x": 0, "y": bottom + 35, "text": "days"}], size=SMALL, colour=PAGE.muted, name="count word")
    sheet.rects(
        [
            {
                "x": x - across / 2, "y": 0, "x2": x + across / 2, "y2": bottom + 42,
                "label": f"{r['period'].capitalize()}: mean {quantity} {number_text(r['mean'], 2)}, "
                f"{scale_text(round(r['mean']), scale)}, {r['n']} days",
            }
            for r, x in rated
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(bottom + 44)
