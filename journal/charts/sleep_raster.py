"""Nights side by side: bedtime to waking, on an axis from evening to noon."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from typing import Any

import msgspec
import polars as pl

from journal.call_arguments import checked
from journal.charts import sleep_texts
from journal.charts.canvas import NARROW, SMALL, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.charts.week_strips import hour_word
from journal.entry import MINUTES_A_DAY
from journal.frames import Row
from journal.language.catalogue import N_, _
from journal.periods import Period
from journal.wording import dates, numbers

Box = dict[str, Any]

_EVENING, _NOON = -6 * 60, 12 * 60
_EARLIEST, _LATEST = -12 * 60, 24 * 60
"""Limits in minutes from midnight before waking. Later or earlier times are clipped; the hover text has them whole."""


class _Nights(msgspec.Struct, frozen=True, kw_only=True):
    """The content of both drawings. `means` are minutes from midnight before waking, with their texts."""

    sleeps: list[Row]
    awake: list[dt.date]
    free: list[dt.date]
    means: list[tuple[float, str]]
    period: Period
    hours: tuple[int, int]
    clock: int


class _Frame(msgspec.Struct, frozen=True, kw_only=True):
    """The layout: a night takes `pitch` pixels along one axis, the hours run along the other.

    Nights run to the right on a wide drawing and down on a narrow one.
    """

    down: bool
    start: float
    pitch: float
    near: float
    far: float
    first: dt.date
    hours: tuple[int, int]

    def along(self, day: dt.date) -> float:
        return self.start + (day - self.first).days * self.pitch

    def across(self, minute: float) -> float:
        low, high = self.hours
        inside = min(high, max(low, minute))
        return self.near + (inside - low) / (high - low) * (self.far - self.near)

    def box(self, day: dt.date, low: float, high: float, *, thick: float = 1, days: int = 1) -> Box:
        """The box of one or more nights between two minutes. `thick` is its share of the pitch."""
        middle = self.along(day) + days * self.pitch / 2
        half = days * self.pitch * thick / 2
        a, b = self.across(low), self.across(high)
        if self.down:
            return {"x": a, "y": middle - half, "x2": b, "y2": middle + half}
        return {"x": middle - half, "y": a, "x2": middle + half, "y2": b}


@checked
def draw(
    sleeps: pl.DataFrame, nights: pl.DataFrame, summary: pl.DataFrame, period: Period,
    *, clock: int = 24, key: str = "sleep-raster",
) -> Figure:  # fmt: skip
    """All nights and naps of a month or a year.

    In: the frames of `sleep.sleeps` and of `sleep.nights`, of at least the period; `summary`, that of
    `sleep_summary.summary` by "all" of the period (none or one row); `clock` is 24 or 12. Out: a Figure; its table has
    the nights of the period: date (of waking), bed, wake, minutes, nap_minutes, work.
    A day without a record stays blank. Nights that end on a free day have a band behind them.
    """
    in_period = nights.filter(pl.col("date").is_between(period.first, period.last)).sort("date")
    slept = sleeps.filter(pl.col("date").is_between(period.first, period.last)).sort("date", "bed_minute")
    totals = summary.row(0, named=True) if summary.height else {}
    rows = slept.with_columns(pl.col("kind").cast(pl.String)).to_dicts()
    shown = _Nights(
        sleeps=rows,
        awake=in_period.filter(pl.col("bed_minute").is_null())["date"].to_list(),
        free=in_period.filter(~pl.col("work"))["date"].to_list(),
        means=_means(totals, rows, clock),
        period=period,
        hours=_hours(rows),
        clock=clock,
    )
    title = sleep_texts.title(totals, period)
    heading = _("Nights from evening to noon, one beside the other, {period}", period=dates.period(period))
    return Figure(
        key=key,
        title=title,
        subtitle=sleep_texts.subtitle(totals, clock, _kinds(shown)),
        alt=numbers.joined([heading, title, sleep_texts.times(totals, clock)], ". ") + ".",
        wide=_wide(shown),
        narrow=_narrow(shown),
        table=in_period.select("date", "bed", "wake", "minutes", "nap_minutes", "work"),
    )


def _kinds(shown: _Nights) -> set[str]:
    """What the subtitle explains."""
    kinds = {row["kind"] for row in shown.sleeps}
    return kinds | {name for name in ("means", "free", "awake") if getattr(shown, name)}


def _means(totals: Row, rows: list[Row], hours: int) -> list[tuple[float, str]]:
    """Mean times as axis minutes. Of the same clock time on two days, the one closer to the median is used."""
    nights = [row for row in rows if row["kind"] == "night"]
    means = []
    for end, text in (("bed", N_("to bed {time}")), ("wake", N_("up {time}"))):
        if (minute := totals.get(f"{end}_mean_minute")) is None or not nights:
            continue
        usual = sorted(row[f"{end}_minute"] for row in nights)[len(nights) // 2]
        at = min((minute, minute - MINUTES_A_DAY), key=lambda candidate: abs(candidate - usual))
        means.append((at, _(text, time=sleep_texts.clock_text(minute, hours))))
    return means


def _hours(rows: Iterable[Row]) -> tuple[int, int]:
    """Ends of the axis in whole hours: 18:00 to noon, extended to cover all sleep within the limits."""
    rows = list(rows)
    low = min([_EVENING, *(row["bed_minute"] for row in rows)])
    high = max([_NOON, *(row["wake_minute"] for row in rows)])
    return max(_EARLIEST, low // 60 * 60), min(_LATEST, -(-high // 60) * 60)


def _wide(shown: _Nights) -> Drawing:
    sheet, top, height = Canvas(WIDE), 8.0, 300.0
    hours = {minute: hour_word(minute // 60 % 24, shown.clock) for minute in _ticks(shown, 3)}
    left = max(62.0, 10 + max(text_width(text, SMALL) for text in hours.values()))
    beside = 6 + max((text_width(text, SMALL) for _minute, text in shown.means), default=0) * 1.1  # they are bold
    pitch = (WIDE - left - max(84.0, beside)) / shown.period.days
    frame = _Frame(
        down=False, start=left, pitch=pitch, near=top, far=top + height, first=shown.period.first, hours=shown.hours
    )
    _nights(sheet, frame, shown)
    right = left + pitch * shown.period.days
    sheet.texts(
        [{"x": left - 8, "y": frame.across(minute), "text": text} for minute, text in hours.items()],
        size=SMALL, colour=PAGE.muted, align="right", name="hours",
    )  # fmt: skip
    sheet.texts(
        [{"x": right + 6, "y": y, "text": text} for y, text in _apart([(frame.across(m), t) for m, t in shown.means])],
        size=SMALL, bold=True, name="means",
    )  # fmt: skip
    at = _offset(shown.period, pitch)
    _dates(sheet, shown.period, lambda day: {"x": frame.along(day) + at, "y": top + height + 14})
    return sheet.drawing(top + height + 24)


def _narrow(shown: _Nights) -> Drawing:
    sheet, left, top = Canvas(NARROW), 36.0, 38.0
    pitch = 1.6 if shown.period.days > 62 else 11.0
    frame = _Frame(
        down=True, start=top, pitch=pitch, near=left, far=NARROW - 14.0, first=shown.period.first, hours=shown.hours
    )
    _nights(sheet, frame, shown)
    sheet.texts(
        [{"x": frame.across(m), "y": 28, "text": hour_word(m // 60 % 24, shown.clock)} for m in _ticks(shown, 6)],
        size=SMALL, colour=PAGE.muted, align="center", name="hours",
    )  # fmt: skip
    sheet.texts(
        [{"x": frame.across(m), "y": 9, "text": text} for m, text in shown.means],
        size=SMALL, bold=True, align="center", name="means",
    )  # fmt: skip
    _dates(sheet, shown.period, lambda day: {"x": 0.0, "y": frame.along(day) + _offset(shown.period, pitch)}, "left")
    return sheet.drawing(top + pitch * shown.period.days + 4)


def _ticks(shown: _Nights, every: int) -> list[int]:
    low, high = shown.hours
    return [m for m in range(low, high + 1) if m % (every * 60) == 0]


def _offset(period: Period, pitch: float) -> float:
    """Offset of a date's text: the middle of a day in a month, the beginning of a month in a year."""
    return pitch / 2 if period.days <= 62 else 6.0


def _apart(ends: list[tuple[float, str]]) -> list[tuple[float, str]]:
    if len(ends) == 2 and abs(ends[1][0] - ends[0][0]) < 15:
        middle = (ends[0][0] + ends[1][0]) / 2
        return [(middle - 7.5, ends[0][1]), (middle + 7.5, ends[1][1])]
    return ends


def _dates(sheet: Canvas, period: Period, place: Callable[[dt.date], dict[str, float]], align: str = "") -> None:
    """Draw the date axis: every seventh day of a month, or the months of a year."""
    if period.days > 62:
        rows = [{**place(dt.date(period.first.year, m, 1)), "text": dates.month_short(m)} for m in range(1, 13)]
    else:
        rows = [{**place(day), "text": str(day.day)} for i, day in enumerate(period.dates) if i % 7 == 0]
    plain = "left" if period.days > 62 else "center"
    sheet.texts(rows, size=SMALL, colour=PAGE.muted, align=align or plain, name="dates")


def _nights(sheet: Canvas, frame: _Frame, shown: _Nights) -> None:
    low, high = shown.hours
    sheet.rects(_bands(frame, shown), fill=PAGE.wash, name="free")
    first, last = shown.period.first, shown.period.days
    lines = [frame.box(first, m, m, days=last) for m in _ticks(shown, 3)]
    sheet.rules(lines, stroke=PAGE.line, name="lines")
    thick = 0.72 if frame.pitch >= 4 else 1.0
    looks: dict[str, dict[str, Any]] = {
        "night": {"fill": PAGE.accent, "radius": 2 if frame.pitch >= 8 else 0},
        "nap": {"fill": PAGE.quiet, "radius": 2 if frame.pitch >= 8 else 0},
        "part": {"stroke": PAGE.quiet, "stroke_width": 1.2 if frame.pitch >= 4 else 0.7},
    }
    for kind, look in looks.items():
        sheet.rects(
            [
                {
                    **frame.box(row["date"], row["bed_minute"], row["wake_minute"], thick=thick),
                    "label": sleep_texts.label(row, shown.clock),
                }
                for row in shown.sleeps if row["kind"] == kind
            ],
            **look, name=kind,
        )  # fmt: skip
    rings = [(frame.box(day, 180, 180), day) for day in shown.awake]
    sheet.dots(
        [
            {
                "x": (b["x"] + b["x2"]) / 2,
                "y": (b["y"] + b["y2"]) / 2,
                "label": _("Night to {date}: no sleep", date=dates.day(day, weekday=False)),
            }
            for b, day in rings
        ],
        radius=2.6, stroke=PAGE.ink, name="awake",
    )  # fmt: skip
    # A wider line in the background colour separates the dashes from the bars they cross.
    for colour, weight, dash in ((PAGE.card, 3.0, None), (PAGE.ink, 1.3, (5.0, 3.0))):
        means = [frame.box(first, minute, minute, days=last) for minute, _text in shown.means if low <= minute <= high]
        sheet.rules(means, stroke=colour, stroke_width=weight, dash=dash, name="mean times")


def _bands(frame: _Frame, shown: _Nights) -> list[Box]:
    """Boxes of free days. Adjacent days share one box, so that no seam shows."""
    runs: list[list[dt.date]] = []
    for day in shown.free:
        if runs and (day - runs[-1][-1]).days == 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    return [frame.box(run[0], *shown.hours, days=len(run)) for run in runs]
