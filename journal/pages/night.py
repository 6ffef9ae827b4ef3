"""Nights on the pages: their raster, what is published beside them, and a small table for a week."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import polars as pl

from journal.charts import sleep_raster
from journal.measures import regularity, sleep, sleep_summary
from journal.pages import wording
from journal.pages.cards import card, empty, figure, table
from journal.pages.escape import Html, join, tag
from journal.periods import Period
from journal.settings import Settings
from journal.tables import Tables

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
    `sleep.nights` and `regularity.pairs`."""
    return Nights(
        sleep.sleeps(tables.hours, tables.days, sleep=settings.asleep, zones=settings.zones),
        sleep.nights(
            tables.hours, tables.days, sleep=settings.asleep, zones=settings.zones, today=today, work=settings.working
        ),
        regularity.pairs(tables.hours, sleep=settings.asleep, today=today),
    )


def section(slept: Nights, period: Period, settings: Settings) -> Html:
    """The raster of a period's nights, and what is published; nothing where no sleep was written in it."""
    within = pl.col("date").is_between(period.first, period.last)
    if slept.sleeps.filter(within).is_empty() and slept.nights.filter(within).is_empty():
        return Html("")
    found = sleep_summary.summary(slept.nights.filter(within), slept.pairs.filter(within))
    drawn = sleep_raster.draw(slept.sleeps, slept.nights, found, period, clock=settings.clock)
    return join([figure(drawn), *[_beside(row) for row in found.filter(pl.col("nights") > 0).iter_rows(named=True)]])


def _beside(row: wording.Row) -> Html:
    """What is published of how long adults sleep, and how many nights were shorter. In: a row of the summary."""
    short, nights = row["under_recommended"], row["nights"]
    count = f"none of {wording.plural(nights, 'night')}" if not short else f"{wording.of(short, nights)} nights"
    verb = "was" if short == 1 else "were"
    said = f"{count[:1].upper()}{count[1:]} {verb} under 7 hours, naps of the day added."
    return card("Beside what is published", tag("p", said), tag("p", READING, class_="quiet"))


def week(slept: Nights, period: Period, settings: Settings) -> Html:
    """The nights of a week, a row each, by the day of waking."""
    rows = [
        (
            wording.day(row["date"]),
            *(
                None if row[end] is None else wording.clock(row[end] % 1440, settings.clock)
                for end in ("bed_minute", "wake_minute")
            ),
            wording.minutes(row["minutes"]),
            wording.minutes(row["nap_minutes"]) if row["nap_minutes"] else None,
        )
        for row in slept.nights.filter(pl.col("date").is_between(period.first, period.last)).iter_rows(named=True)
    ]
    if not rows:
        return empty("No nights were written for this week.")
    head = ("Woke on", "To bed", "Up", "Slept", "Naps")
    return table("Nights of the week", head, rows, kind="numbers")
