"""The 24 hours of a day as they stand on a sheet: planned hours, when the sun is up, and what is set at a time."""

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
from journal.settings import Settings
from journal.sun import rise_set
from journal.wording import dates, numbers

_DAY = dt.timedelta(days=1)
_EVERY_HOURS = 3


class StripBlock(msgspec.Struct, frozen=True, kw_only=True):
    """Planned hours of a category, in minutes of the day; `time` says them. `colour` is its own, "#RRGGBB"."""

    start: int
    end: int
    name: str
    time: str
    colour: str


class Bar(msgspec.Struct, frozen=True, kw_only=True):
    """An appointment on the strip; what overlaps lies in another lane. One without an end ends where it starts."""

    start: int
    end: int
    lane: int


class DayStrip(msgspec.Struct, frozen=True, kw_only=True):
    """`light` are the stretches in which the sun is up, in minutes of the day; `hours` pairs of minute and word."""

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
) -> DayStrip:
    """The strip of a day. In: `Tables.days` (date, place), which says where the sun is; without a place, no light."""
    known = {category.key: (category.name, settings.colour(category.key)) for category in settings.categories}
    blocks = [
        StripBlock(
            start=span.start_minute,
            end=span.end_minute,
            name=category_colours.name(known, key),
            time=span_text(span.start_minute, span.end_minute, settings),
            colour=_literal(category_colours.colour(known, key)),
        )
        for key, spans in planned.items()
        for span in spans
    ]
    bars, lanes = _laned(
        sorted((minute_of_day(one.start), minute_of_day(one.end or one.start)) for one in set_times if one.start)
    )
    beside = rise_set.for_journal(days, settings, date - _DAY, date + _DAY)
    return DayStrip(
        blocks=tuple(sorted(blocks, key=lambda block: (block.start, block.end, block.name))),
        light=tuple(bands(beside).get(date, ())),
        bars=bars,
        lanes=lanes,
        hours=tuple((hour * 60, hour_word(hour, settings.clock)) for hour in range(0, 25, _EVERY_HOURS)),
    )


def span_text(start: int, end: int | None, settings: Settings) -> str:
    """A stretch of a day by the journal's clock, or its start alone.

    >>> span_text(510, 540, Settings(title="Small", places=()))
    '08:30 to 09:00'
    """
    times = [dates.clock(minute, settings.clock) for minute in (start, end) if minute is not None]
    return " to ".join(times)


def alt(drawn: DayStrip, date_words: str, set_times: Sequence[str]) -> str:
    """The strip in words: planned hours, then what is set at a time."""
    planned = "; ".join(f"{block.name} {block.time}" for block in drawn.blocks) or "nothing is planned"
    appointments = f" Set at a time: {'; '.join(set_times)}." if set_times else ""
    lit = sum(end - start for start, end in drawn.light)
    sun_up = f" The sun is up for {numbers.percent(lit / MINUTES_A_DAY)} of it." if drawn.light else ""
    return f"The 24 hours of {date_words}: {planned}.{sun_up}{appointments}"


def _literal(colour: str) -> str:
    """A colour that is not the writer's own is the page's quiet one: on paper, its own value."""
    return colour if colour.startswith("#") else PAPER.quiet


def _laned(spans: list[tuple[int, int]]) -> tuple[tuple[Bar, ...], int]:
    """Stretches, sorted, in as few lanes as keep those apart that overlap; and how many lanes those are.

    >>> bars, lanes = _laned([(510, 540), (525, 555), (540, 600)])
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
