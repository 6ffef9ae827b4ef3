"""Hours as figures: planned against actual by category, where planned time went, and the strips of a week."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts import category_hours, daylight, plan_outcomes, week_strips
from journal.charts.figure import Figure
from journal.measures import hours, plan_vs_actual
from journal.periods import Period
from journal.sections.cards import figure
from journal.sections.day_cards import categories
from journal.sections.escape import Html, join
from journal.settings import Settings
from journal.sun import rise_set
from journal.tables import Tables

_DAY = dt.timedelta(days=1)


def section(tables: Tables, settings: Settings, period: Period) -> Html:
    """The cards of `figures`."""
    return join(map(figure, figures(tables, settings, period)))


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
