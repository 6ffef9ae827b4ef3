"""Mood and the length of the day, on the year's page: month by month, and whether they go together over the years."""

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
    """What `season.day_length` tells of all years up to one: `days` is cut to them.

    A date is as long in every year, to within two minutes; a 29 February is left out where the year has none. Without
    a place, and where it was taken out for a reader, there is no row.
    """
    month, day = pl.col("date").dt.month().alias("month"), pl.col("date").dt.day().alias("day")
    lit = _light(settings, year).select(month, day, "day_minutes")
    found = season.day_length(
        days, days.select("date", month, day).join(lit, on=["month", "day"]).select("date", "day_minutes")
    )
    return found if lit.height else found.clear()


def drawn(days: pl.DataFrame, found: pl.DataFrame, settings: Settings, year: Period) -> Figure | None:
    """The months of a year before their daylight; none with moods in fewer than two months, or without a place.

    In: `Tables.days`, cut to the days of the year that are over, and a frame that has the row of `over_years`.
    """
    months = season.months(days, _light(settings, year))
    if (months["n"] > 0).sum() < 2:
        return None
    told = found.row(by_predicate=pl.col("driver") == DAY_LENGTH, named=True)
    return season_chart.draw(months, settings.mood, said=day_length_link(told))


def _light(settings: Settings, year: Period) -> pl.DataFrame:
    """date (Date), day_minutes (Float64): the days of a year at home; without a place no row."""
    if not settings.places:
        return pl.DataFrame(schema={"date": pl.Date, "day_minutes": pl.Float64})
    home = settings.places[0]
    return _lit(year.first, year.last, home.latitude, home.longitude, home.timezone)


@lru_cache(maxsize=8)  # half a second a year, and every edit of the journal draws the page again
def _lit(first: dt.date, last: dt.date, latitude: float, longitude: float, timezone: str) -> pl.DataFrame:
    return rise_set.days(first, last, latitude, longitude, timezone).select("date", "day_minutes")
