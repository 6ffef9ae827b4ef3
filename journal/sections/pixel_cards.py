"""The year in pixels: its days, coloured by the chosen quantity."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import polars as pl

from journal.charts import year_pixels
from journal.charts.figure import Figure
from journal.periods import Period
from journal.settings import Settings


def draw(
    chosen: str,
    available: Mapping[str, str],
    days: pl.DataFrame,
    states: pl.DataFrame,
    settings: Settings,
    *,
    year: Period,
    today: dt.date,
) -> Figure:
    """The year by mood, by energy or by a habit.

    In: the chosen quantity and the available ones (`habit_cards.quantities`); an unavailable one is replaced by mood.
    `Tables.days` and the frame of `states.states`.
    """
    quantity = chosen if chosen in available else "mood"
    return year_pixels.draw(
        days if quantity in ("mood", "energy") else states,
        year.first.year,
        quantity,
        today=today,
        scale=settings.energy if quantity == "energy" else settings.mood,
        name=available[quantity],
    )
