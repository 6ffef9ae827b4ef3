"""Nights on the pages: their raster, what is published beside them, and a small table for a week."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import polars as pl

from journal.charts import sleep_raster
from journal.charts.figure import Figure
from journal.frames import Row
from journal.measures import sleep, sleep_summary
from journal.periods import Period
from journal.sections.cards import card, empty, figure, table
from journal.sections.escape import Html, join, tag
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import dates, numbers

BESIDE = "Beside what is published"
READING = (
    "Published for adults: 7 hours or more a night, on a regular basis (Watson et al. 2015). To read by, no advice."
)
"""Watson and others (2015), J. Clin. Sleep Med. 11, 591-592."""


class Nights(NamedTuple):
    """Every sleep and every night of a journal, and how alike neighbouring days are."""

    sleeps: pl.DataFrame
    nights: pl.DataFrame
    pairs: pl.DataFrame


def of(tables: Tables, settings: Settings, today: dt.date) -> Nights:
    """Read off the whole journal, since a night begins on the day before. Out: the frames of `sleep.sleeps`,
    `sleep.nights` and `sleep_summary.regularity_pairs`."""
    return Nights(
        sleep.sleeps(tables.hours, tables.days, sleep=settings.asleep, zones=settings.zones),
        sleep.nights(
            tables.hours, tables.days, sleep=settings.asleep, zones=settings.zones, today=today, work=settings.working
        ),
        sleep_summary.regularity_pairs(tables.hours, sleep=settings.asleep, today=today),
    )


def section(slept: Nights, period: Period, settings: Settings) -> Html:
    """The raster of a period's nights, and what is published; nothing where no sleep was written in it."""
    found = summed(slept, period, settings)
    if (drawn := raster(slept, found, period, settings)) is None:
        return Html("")
    beside = [
        card(BESIDE, tag("p", short(row)), tag("p", READING, class_="quiet"))
        for row in found.filter(pl.col("nights") > 0).iter_rows(named=True)
    ]
    return join([figure(drawn), *beside])


def summed(slept: Nights, period: Period, settings: Settings) -> pl.DataFrame:
    """The nights of a period in one row, or none. Out: the frame of `sleep_summary.summary`."""
    within = pl.col("date").is_between(period.first, period.last)
    return sleep_summary.summary(
        slept.nights.filter(within), slept.pairs.filter(within), week_starts=settings.week_starts
    )


def raster(slept: Nights, found: pl.DataFrame, period: Period, settings: Settings) -> Figure | None:
    """Every night and nap of a period, if any sleep was written in it. In: `found`, the frame of `summed`."""
    within = pl.col("date").is_between(period.first, period.last)
    if slept.sleeps.filter(within).is_empty() and slept.nights.filter(within).is_empty():
        return None
    return sleep_raster.draw(slept.sleeps, slept.nights, found, period, clock=settings.clock)


def short(row: Row) -> str:
    """How many nights were under 7 hours, from a row of `sleep_summary.summary`.

    >>> short({"under_recommended": 1, "nights": 28})
    '1 of 28 nights was under 7 hours, naps of the day added.'
    >>> short({"under_recommended": 0, "nights": 28})
    'None of 28 nights were under 7 hours, naps of the day added.'
    """
    under, nights = row["under_recommended"], row["nights"]
    count = f"None of {numbers.plural(nights, 'night')}" if not under else f"{numbers.of(under, nights)} nights"
    return f"{count} {'was' if under == 1 else 'were'} under 7 hours, naps of the day added."


def week(slept: Nights, period: Period, settings: Settings) -> Html:
    """The nights of a week, a row each, by the day of waking."""
    nights = slept.nights.filter(pl.col("date").is_between(period.first, period.last))
    napped = bool(nights.get_column("nap_minutes").sum())
    rows = [
        (
            dates.day(row["date"]),
            *(
                None if row[end] is None else dates.clock(row[end] % 1440, settings.clock)
                for end in ("bed_minute", "wake_minute")
            ),
            dates.minutes(row["minutes"]),
            *([dates.minutes(row["nap_minutes"]) if row["nap_minutes"] else None] if napped else []),
        )
        for row in nights.iter_rows(named=True)
    ]
    if not rows:
        return empty("No nights were written for this week.")
    head = ("Woke on", "To bed", "Up", "Slept", *(["Naps"] if napped else []))
    return table("Nights of the week", head, rows, kind="numbers")
