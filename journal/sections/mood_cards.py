"""Mood as cards and figures: mood and energy in a sentence, the line of a period, the profile of the week."""

from __future__ import annotations

from typing import TYPE_CHECKING

import polars as pl

from journal.charts import mood_line, weekday_profile
from journal.charts.figure import Figure
from journal.language.catalogue import _
from journal.measures import correlates, link_sentences, mood, mood_profile
from journal.periods import Period
from journal.sections import day_cards
from journal.sections.cards import figure
from journal.sections.escape import Html, join
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Scale, Settings
from journal.wording import entries

if TYPE_CHECKING:
    from journal import Journal


def chapter(book: Journal, period: Period) -> PageChapter:
    """The chapter of mood and energy: sentences, for a month or a year their line, for a year the profile of the week.

    Days to come and days before the first page are not counted.
    """
    lived, settings = book.lived_in(period), book.settings
    moods = _summary(lived, "mood", settings.mood, settings)

    def inside() -> Html:
        energies = _summary(lived, "energy", settings.energy, settings)
        drawn = [] if period.kind == "week" else [line_drawn(book.tables.days, lived, settings, period)]
        drawn += [weekdays_drawn(lived, settings)] if period.kind == "year" else []
        return join([day_cards.energy(moods, energies, settings), *map(figure, drawn)])

    said = next((entries.felt(row).rstrip(".") for row in moods.head(1).iter_rows(named=True)), _("No mood was noted"))
    return told("mood", _("Mood"), said, inside)


def _summary(lived: pl.DataFrame, column: str, scale: Scale, settings: Settings) -> pl.DataFrame:
    return mood.summary(lived, column=column, low=scale.low, high=scale.high, week_starts=settings.week_starts)


def line_drawn(
    every_day: pl.DataFrame, lived: pl.DataFrame, settings: Settings, period: Period, *, key: str = "mood-line"
) -> Figure:
    """Mood over a period with its trailing means and its runs of low and high days.

    In: `Tables.days` of the whole journal; `lived`, `Journal.lived_in` of the period.
    """
    runs = mood_profile.runs(every_day, low=settings.mood.low, high=settings.mood.high)
    return mood_line.draw(mood.trailing(every_day), settings.mood, period, days=lived.height, runs=runs, key=key)


def weekdays_drawn(lived: pl.DataFrame, settings: Settings) -> Figure:
    """Mood by day of the week, and whether the days differ as a whole. In: `Journal.lived_in` of a period."""
    profile = mood_profile.weekdays(lived, week_starts=settings.week_starts)
    row = correlates.weekday(lived).row(0, named=True)
    sentence = link_sentences.weekday_link(row)
    return weekday_profile.draw(profile, settings.mood, clear=row["clear"], said=sentence)
