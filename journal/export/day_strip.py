"""The 24-hour strip of a day on a paper sheet: planned hours, daylight and appointments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

import msgspec
import polars as pl

from journal.charts import category_colours
from journal.charts.daylight import bands
from journal.charts.theme import PAPER
from journal.charts.week_strips import hour_word
from journal.entry import MINUTES_A_DAY, minute_of_day
from journal.evening.form_schema import AppointmentOffer
from journal.evening.tomorrow import SpansByCategory
from journal.language.catalogue import _, _p
from journal.settings import Settings
from journal.sun import rise_set
from journal.wording import dates, numbers

_DAY = dt.timedelta(days=1)
_EVERY_HOURS = 3


class StripBlock(msgspec.Struct, frozen=True, kw_only=True):
    """Planned hours of a category, in minutes of the day. `time` is their text, `colour` is "#RRGGBB".

    `row` is that of the category on the sheet, None without one.
    """

    start: int
    end: int
    name: str
    time: str
    colour: str
    row: int | None


class Bar(msgspec.Struct, frozen=True, kw_only=True):
    """An appointment on the strip. Overlapping ones have different lanes. Without an end, `end` equals `start`."""

    start: int
    end: int
    lane: int


class DayStrip(msgspec.Struct, frozen=True, kw_only=True):
    """The strip. `light` has the spans of daylight in minutes of the day, `hours` pairs of a minute and its label."""

    blocks: tuple[StripBlock, ...]
    light: tuple[tuple[float, float], ...]
    bars: tuple[Bar, ...]
    lanes: int
    hours: tuple[tuple[int, str], ...]


def strip(
    planned: SpansByCategory,
    set_times: Iterable[AppointmentOffer],
    days: pl.DataFrame,
    settings: Settings,
    date: dt.date,
    *,
    rows: Sequence[str],
) -> DayStrip:
    """The strip of a day. In: `Tables.days` (date, place) for the daylight; without a place there is none.

    `rows` are the categories that have a row.
    """
    known = {category.key: (category.name, settings.colour(category.key)) for category in settings.categories}
    blocks = [
        StripBlock(
            start=span.start_minute,
            end=span.end_minute,
            name=category_colours.name(known, key),
            time=span_text(span.start_minute, span.end_minute, settings),
            colour=_literal(category_colours.colour(known, key)),
            row=rows.index(key) if key in rows else None,
        )
        for key, spans in planned.items()
        for span in spans
    ]
    bars, lanes = _in_lanes(
        sorted((minute_of_day(one.start), minute_of_day(one.end or one.start)) for one in set_times if one.start)
    )
    sun = rise_set.for_journal(days, settings, date - _DAY, date + _DAY)
    return DayStrip(
        blocks=tuple(sorted(blocks, key=lambda block: (block.start, block.end, block.name))),
        light=tuple(bands(sun).get(date, ())),
        bars=bars,
        lanes=lanes,
        hours=tuple((hour * 60, hour_word(hour, settings.clock)) for hour in range(0, 25, _EVERY_HOURS)),
    )


def span_text(start: int, end: int | None, settings: Settings) -> str:
    """A span of a day in the journal's 12- or 24-hour clock; without an end, its start.

    >>> span_text(510, 540, Settings(title="Small", places=()))
    '08:30 to 09:00'
    """
    first = dates.clock(start, settings.clock)
    return (
        first if end is None else _p("times", "{first} to {last}", first=first, last=dates.clock(end, settings.clock))
    )


def alt(drawn: DayStrip, date_words: str, set_times: Sequence[str]) -> str:
    """The text alternative of the strip: planned hours, daylight, appointments."""
    planned = "; ".join(f"{block.name} {block.time}" for block in drawn.blocks) or _("nothing is planned")
    share = numbers.percent(sum(end - start for start, end in drawn.light) / MINUTES_A_DAY)
    sentences = [
        _("The 24 hours of {day}: {hours}.", day=date_words, hours=planned),
        _("The sun is up for {share} of it.", share=share) if drawn.light else None,
        _("Set at a time: {appointments}.", appointments="; ".join(set_times)) if set_times else None,
    ]
    return numbers.joined(sentences, " ")


def _literal(colour: str) -> str:
    """The colour as "#RRGGBB". On pages, an unknown category has a style variable; on paper it is the quiet colour."""
    return colour if colour.startswith("#") else PAPER.quiet


def _in_lanes(spans: list[tuple[int, int]]) -> tuple[tuple[Bar, ...], int]:
    """Assign sorted spans to as few lanes as possible without overlap. Also returns the number of lanes.

    >>> bars, lanes = _in_lanes([(510, 540), (525, 555), (540, 600)])
    >>> [bar.lane for bar in bars], lanes
    ([0, 1, 0], 2)
    """
    ends: list[int] = []
    bars = []
    for start, end in spans:
        lane = next((nth for nth, last in enumerate(ends) if last <= start), len(ends))
        ends[lane : lane + 1] = [max(end, start + 1)]
        bars.append(Bar(start=start, end=end, lane=lane))
    return tuple(bars), max(1, len(ends))
