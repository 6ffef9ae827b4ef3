"""Hours as figures: planned against actual by category, where planned time went, and the strips of a week."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import polars as pl

from journal.charts import category_hours, daylight, plan_outcomes, week_strips
from journal.charts.figure import Figure
from journal.language.catalogue import N_, _
from journal.measures import hours, plan_vs_actual
from journal.periods import Period
from journal.sections.cards import empty, figure
from journal.sections.day_cards import categories
from journal.sections.escape import Html, join
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Settings
from journal.sun import rise_set
from journal.tables import Tables

if TYPE_CHECKING:
    from journal import Journal

_DAY = dt.timedelta(days=1)


NO_HOURS = N_("No hours were written here.")
ONLY_PLANS = N_("No day with hours has come yet.")
"""Both are for `_`."""


def chapter(book: Journal, period: Period) -> PageChapter:
    """The chapter of a period's hours: for a week a strip a day; planned and actual hours, and where plans went."""
    tables, within = book.tables, pl.col("date").is_between(period.first, period.last)
    if tables.hours.filter(within).is_empty():
        return told("hours", _("Hours"), _(NO_HOURS), lambda: empty(_(NO_HOURS)))
    drawn = figures(tables, book.settings, period)
    if period.kind == "week":
        drawn.insert(min(1, len(drawn)), strips(tables, book.settings, period))
    if not drawn:  # plans of days to come alone, which a month does not count
        return told("hours", _("Hours"), _(ONLY_PLANS), lambda: empty(_(ONLY_PLANS)))

    def inside() -> Html:
        return join([figure(drawn[0], headed=False), *map(figure, drawn[1:])])

    return told("hours", _("Hours"), drawn[0].title, inside)


def figures(tables: Tables, settings: Settings, period: Period) -> list[Figure]:
    """Planned against actual hours of a period, and where planned time went. Empty without hours.

    Plans of future days are not counted.
    """
    rows = tables.hours.filter(pl.col("date").is_between(period.first, min(period.last, tables.today)))
    if rows.is_empty():
        return []
    named = categories(settings)
    drawn = [
        category_hours.draw(
            hours.as_planned(hours.totals(rows, week_starts=settings.week_starts)), named, period, days=hours.days(rows)
        )
    ]
    outcomes = plan_vs_actual.where_planned_went(rows, week_starts=settings.week_starts)
    if outcomes.height:
        drawn.append(plan_outcomes.draw(outcomes, named, period))
    return drawn


def strips(tables: Tables, settings: Settings, week: Period) -> Figure:
    """A strip for each day of a week, with daylight behind it if the journal has a place."""
    # One more day on either side: in summer far north the sun stays up past midnight.
    up = rise_set.for_journal(tables.days, settings, week.first - _DAY, week.last + _DAY)
    return week_strips.draw(
        tables.hours,
        categories(settings),
        week,
        clock=settings.clock,
        daylight=daylight.bands(up) if up.height else None,
    )
