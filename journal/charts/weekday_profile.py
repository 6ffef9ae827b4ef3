"""Mean mood or energy by weekday, with its uncertainty."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.call_arguments import checked
from journal.charts import quantities
from journal.charts.canvas import NARROW, SMALL, TEXT, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.mood_line import axis_words
from journal.charts.theme import PAGE
from journal.language import digits
from journal.language.catalogue import _, _n
from journal.settings import WEEKDAYS, Scale
from journal.wording import dates, entries, numbers

_WIDE = 640


@checked
def draw(
    weekdays: pl.DataFrame,
    scale: Scale,
    *,
    quantity: str = "mood",
    clear: bool | None = None,
    said: str = "",
    key: str = "weekday-profile",
) -> Figure:
    """Mean by weekday with its interval, or with one standard deviation either way if there is none.

    In: period (String "monday".., in drawing order), n, mean, sd, and optionally low, high (null if unknown), the
    interval of the mean, as in the frame of `mood_profile.weekdays`. `clear` is the result of the test over the whole
    week (`correlates.weekday`), because seven separate intervals do not test whether any two days differ. `said` is
    that result as a sentence. Out: a Figure; its table has period, n, mean, sd, low, high. If `clear` is None, the
    title names the highest and the lowest weekday if their intervals do not overlap.
    """
    known = "low" in weekdays.columns
    table = weekdays if known else weekdays.with_columns(low=pl.lit(None, pl.Float64), high=pl.lit(None, pl.Float64))
    table = table.select("period", "n", "mean", "sd", "low", "high")
    rows = [row | _bar(row, known) for row in table.iter_rows(named=True)]
    title = _title(rows, quantity, known, clear)
    bars = (
        _("Mean of each weekday, the bar its {level} interval; days rated below.", level=numbers.NINETY_FIVE)
        if known
        else _("Mean of each weekday, the bar one standard deviation either way; days rated below.")
    )
    return Figure(
        key=key,
        title=title,
        subtitle=numbers.joined([bars, said], " "),
        alt=numbers.joined([f"{title}.", _alt(rows, known), said], " "),
        wide=_profile(rows, scale, quantity, _WIDE),
        narrow=_profile(rows, scale, quantity, NARROW),
        table=table,
    )


def _bar(row: dict[str, Any], known: bool) -> dict[str, float | None]:
    """The ends of a weekday's bar."""
    if known or row["mean"] is None or row["sd"] is None:
        return {"bar_low": row["low"], "bar_high": row["high"]}
    return {"bar_low": row["mean"] - row["sd"], "bar_high": row["mean"] + row["sd"]}


def _title(rows: list[dict[str, Any]], quantity: str, known: bool, clear: bool | None) -> str:
    rated = [row for row in rows if row["mean"] is not None]
    word = quantities.word(quantity)
    if not rated:
        return _("No {quantity} was noted on any weekday", quantity=word)
    top = max(rated, key=lambda row: row["mean"])
    bottom = min(rated, key=lambda row: row["mean"])
    if top["mean"] == bottom["mean"]:
        return _("Mean {quantity} is {mean} on every rated weekday", quantity=word, mean=numbers.mean(top["mean"]))
    if clear is None:
        clear = _apart(rated, top, bottom, known)
    values = {"quantity": word, "low": numbers.mean(bottom["mean"]), "high": numbers.mean(top["mean"])}
    if not clear:
        return _("No weekday stands out: mean {quantity} from {low} to {high}", **values)
    return _(
        "{highest}s have the highest mean {quantity}, {high}; {lowest}s the lowest, {low}",
        highest=_weekday(top),
        lowest=_weekday(bottom),
        **values,
    )


def _weekday(row: dict[str, Any]) -> str:
    return dates.weekday(WEEKDAYS.index(row["period"]))


def _apart(rated: list[dict[str, Any]], highest: dict[str, Any], lowest: dict[str, Any], known: bool) -> bool:
    if known:
        return highest["low"] is not None and lowest["high"] is not None and bool(highest["low"] > lowest["high"])
    # Single days vary more than the weekday means differ.
    return bool(highest["mean"] - lowest["mean"] >= max(row["sd"] or 0.0 for row in rated))


def _alt(rows: list[dict[str, Any]], known: bool) -> str:
    parts = []
    for row in rows:
        if row["mean"] is None:
            parts.append(_("{weekday} not rated", weekday=_weekday(row)))
            continue
        spread = "" if known or row["sd"] is None else _("spread {spread}", spread=numbers.mean(row["sd"]))
        interval = (
            ""
            if row["low"] is None
            else _("interval {interval}", interval=_span(numbers.mean(row["low"]), numbers.mean(row["high"])))
        )
        days = _n("{count} day", "{count} days", row["n"])
        parts.append(numbers.joined([f"{_weekday(row)} {numbers.mean(row['mean'])}", spread, interval, days], ", "))
    return "; ".join(parts) + "." if parts else ""


def _weekday_short(row: dict[str, Any]) -> str:
    return dates.weekday_short(WEEKDAYS.index(row["period"]))


def _span(low: str, high: str) -> str:
    return _("{low} to {high}", low=low, high=high)


def _hover(row: dict[str, Any], scale: Scale, quantity: str) -> str:
    mean = _(
        "{weekday}: mean {quantity} {mean}",
        weekday=_weekday(row),
        quantity=quantities.word(quantity),
        mean=numbers.number(row["mean"], 2),
    )
    interval = None
    if row["low"] is not None:
        low, high = (digits.signed(f"{row[column]:.2f}") for column in ("low", "high"))
        interval = _("{level} interval {interval}", level=numbers.NINETY_FIVE, interval=_span(low, high))
    days = _n("{count} day", "{count} days", row["n"])
    return numbers.joined([mean, entries.rated(round(row["mean"]), scale), days, interval], ", ")


def _profile(rows: list[dict[str, Any]], scale: Scale, quantity: str, width: float) -> Drawing:
    sheet = Canvas(width)
    words = axis_words(scale)
    left, top, bottom = 12 + max(text_width(text, SMALL) for _value, text in words), 10.0, 190.0
    across = (width - left - 8) / max(1, len(rows))  # 8 px for the last number

    def y(value: float) -> float:
        inside = min(scale.high, max(scale.low, value))  # a spread may exceed the scale
        return bottom - (inside - scale.low) / ((scale.high - scale.low) or 1) * (bottom - top)

    middles = [left + (i + 0.5) * across for i in range(len(rows))]
    sheet.rules([{"x": left, "y": y(v), "x2": width, "y2": y(v)} for v, _text in words], stroke=PAGE.line, name="steps")
    sheet.texts([{"x": 0, "y": y(v), "text": text} for v, text in words], size=SMALL, colour=PAGE.muted, name="scale")
    rated = [(row, x) for row, x in zip(rows, middles, strict=True) if row["mean"] is not None]
    sheet.rules(
        [
            {"x": x, "y": y(r["bar_low"]), "x2": x, "y2": y(r["bar_high"])}
            for r, x in rated if r["bar_low"] is not None and r["bar_high"] is not None
        ],
        stroke=PAGE.quiet, stroke_width=2.2, name="spread",
    )  # fmt: skip
    sheet.dots([{"x": x, "y": y(r["mean"])} for r, x in rated], radius=5.5, fill=PAGE.accent, name="means")
    sheet.texts(
        [{"x": x + 9, "y": y(r["mean"]), "text": numbers.mean(r["mean"])} for r, x in rated], size=TEXT, name="values"
    )
    sheet.texts(
        [{"x": x, "y": bottom + 18, "text": _weekday_short(r)} for r, x in zip(rows, middles, strict=True)],
        size=TEXT, align="center", name="weekdays",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": x, "y": bottom + 35,
             "text": _n("{count} day", "{count} days", r["n"]) if width > 600 else str(r["n"])}
            for r, x in zip(rows, middles, strict=True)
        ],
        size=SMALL, colour=PAGE.muted, align="center", name="counts",
    )  # fmt: skip
    if width <= 600 and rows:
        sheet.texts([{"x": 0, "y": bottom + 35, "text": _("days")}], size=SMALL, colour=PAGE.muted, name="count word")
    sheet.rects(
        [
            {
                "x": x - across / 2, "y": 0, "x2": x + across / 2, "y2": bottom + 42,
                "label": _hover(r, scale, quantity),
            }
            for r, x in rated
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(bottom + 44)
