"""Mood as cards and figures: mood and energy in a sentence, the line of a period, the profile of the week."""

from __future__ import annotations

import polars as pl

from journal.charts import mood_line, weekday_profile
from journal.charts.figure import Figure
from journal.measures import correlates, link_sentences, mood, mood_profile
from journal.periods import Period
from journal.sections import day_cards
from journal.sections.cards import card, figure
from journal.sections.escape import Html
from journal.settings import Settings


def summary(lived: pl.DataFrame, settings: Settings, heading: str = "How the days were") -> Html:
    """The card of a period's mood and energy. In: `Tables.days`, cut to past days."""
    moods = mood.summary(lived, low=settings.mood.low, high=settings.mood.high, week_starts=settings.week_starts)
    energy = mood.summary(
        lived, column="energy", low=settings.energy.low, high=settings.energy.high, week_starts=settings.week_starts
    )
    return card(heading, day_cards.mood_and_energy(moods, energy, settings))


def line(every_day: pl.DataFrame, lived: pl.DataFrame, settings: Settings, period: Period) -> Html:
    """The card of `line_drawn`."""
    return figure(line_drawn(every_day, lived, settings, period))


def line_drawn(
    every_day: pl.DataFrame, lived: pl.DataFrame, settings: Settings, period: Period, *, key: str = "mood-line"
) -> Figure:
    """Mood over a period with its trailing means and its runs of low and high days.

    In: `Tables.days` of the whole journal; `lived` as for `summary`, so that both count the same days.
    """
    runs = mood_profile.runs(every_day, low=settings.mood.low, high=settings.mood.high)
    return mood_line.draw(mood.trailing(every_day), settings.mood, period, days=lived.height, runs=runs, key=key)


def weekdays(lived: pl.DataFrame, settings: Settings) -> Html:
    """The card of `weekdays_drawn`."""
    return figure(weekdays_drawn(lived, settings))


def weekdays_drawn(lived: pl.DataFrame, settings: Settings) -> Figure:
    """Mood by day of the week, and whether the days differ as a whole. In: as for `summary`."""
    profile = mood_profile.weekdays(lived, week_starts=settings.week_starts)
    row = correlates.weekday(lived).row(0, named=True)
    sentence = link_sentences.weekday_link(row)
    return weekday_profile.draw(profile, settings.mood, clear=row["clear"], said=sentence)
