"""Mood and the length of the day: the months of a year, and their link over all years."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

import polars as pl

from journal.charts import season_chart
from journal.charts.figure import Figure
from journal.measures import season
from journal.measures.link_sentences import day_length_link
from journal.periods import Period
from journal.settings import Settings
from journal.sun import rise_set

DAY_LENGTH = season.DAY_LENGTH


def over_years(days: pl.DataFrame, settings: Settings, year: Period) -> pl.DataFrame:
    """The row of `season.day_length` over `days`: all years up to and including `year`.

    Day lengths are those of `year`: a date differs by at most two minutes from year to year. 29 February is skipped if
    the year has none. Without a place, or if it was removed for a reader, there is no row.
    """
    month, day = pl.col("date").dt.month().alias("month"), pl.col("date").dt.day().alias("day")
    lit = _light(settings, year).select(month, day, "day_minutes")
    row = season.day_length(
        days, days.select("date", month, day).join(lit, on=["month", "day"]).select("date", "day_minutes")
    )
    return row if lit.height else row.clear()


def draw(days: pl.DataFrame, links: pl.DataFrame, settings: Settings, year: Period) -> Figure | None:
    """Mean mood of the months of a year, with daylight behind it.

    In: `Tables.days`, cut to past days of the year; a frame that contains the row of `over_years`. None if fewer than
    two months have moods, or without a place.
    """
    months = season.months(days, _light(settings, year))
    if (months["n"] > 0).sum() < 2:
        return None
    row = links.row(by_predicate=pl.col("driver") == DAY_LENGTH, named=True)
    return season_chart.draw(months, settings.mood, said=day_length_link(row))


def _light(settings: Settings, year: Period) -> pl.DataFrame:
    """date (Date), day_minutes (Float64): the days of a year at home. Without a place there are no rows."""
    if not settings.places:
        return pl.DataFrame(schema={"date": pl.Date, "day_minutes": pl.Float64})
    home = settings.places[0]
    return _lit(year.first, year.last, home.latitude, home.longitude, home.timezone)


@lru_cache(maxsize=8)  # takes half a second per year, and every edit of the journal redraws the page
def _lit(first: dt.date, last: dt.date, latitude: float, longitude: float, timezone: str) -> pl.DataFrame:
    return rise_set.days(first, last, latitude, longitude, timezone).select("date", "day_minutes")
