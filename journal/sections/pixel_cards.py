"""The year with a field a day, coloured by the chosen quantity."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.charts import year_pixels
from journal.charts.figure import Figure
from journal.periods import Period

if TYPE_CHECKING:
    from journal import Journal


def draw(book: Journal, year: Period, chosen: str, available: Mapping[str, str]) -> Figure:
    """The year by mood, by energy or by a habit.

    In: the chosen quantity and the available ones (`habit_cards.quantities`); an unavailable one is replaced by mood.
    """
    quantity, settings = chosen if chosen in available else "mood", book.settings
    return year_pixels.draw(
        book.tables.days if quantity in ("mood", "energy") else book.states,
        year.first.year,
        quantity,
        today=book.today,
        scale=settings.energy if quantity == "energy" else settings.mood,
        name=available[quantity],
        compact=True,
    )
