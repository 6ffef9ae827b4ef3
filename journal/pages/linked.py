"""Which habits go with which moods, on the pages: the chart, what it does not show, and the days behind each link."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts import drivers_chart, links_chart
from journal.measures import drivers, link_wording, links
from journal.pages import habits, wording
from journal.pages.cards import card, details, figure
from journal.pages.escape import Html, join, tag
from journal.pages.findings import by_month
from journal.periods import Period
from journal.settings import Settings
from journal.tables import Tables

_SIDES = ((True, "With it"), (False, "Without"))


def section(
    states: pl.DataFrame, tables: Tables, settings: Settings, *, first: dt.date, last: dt.date, today: dt.date
) -> Html:
    """Links of a stretch of the journal.

    In: the frame of `states.states`, whole; the tables; the first and the last day that count. A stretch without any
    habit has no section.
    """
    until = min(last, today)
    within = pl.col("date").is_between(first, until)
    states, days, names = states.filter(within), tables.days.filter(within), habits.names(settings)
    found = links.links(states, days, today=until)
    if found.is_empty():
        return Html("")
    pairs = found.get_column("p").count()
    drawn = links_chart.draw(found, names, pairs=pairs)
    behind = {lag: links.compared(states, days, today=until, lag=lag) for lag in (0, 1)}
    said = [
        details(
            link_wording.habit_link(row, names.get(row["habit"], row["habit"]), pairs=pairs),
            _days(behind[row["lag_days"]].filter(pl.col("habit") == row["habit"])),
        )
        for row in found.filter("clear").iter_rows(named=True)
    ]
    over = f"Over {wording.stretch(first, until)}, {wording.plural(pairs, 'comparison')}."
    if said:
        over += " Open a clear link to see the days behind it."
    told = card("What a link shows", tag("p", link_wording.WHAT_IT_SHOWS), *said, note=over, kind="links")
    return join([figure(drawn), told])


def measured(tables: Tables, nights: pl.DataFrame, settings: Settings, *, period: Period, today: dt.date) -> Html:
    """What is measured beside mood in a period: energy, the night before, the day's high, hours of each category.

    In: the tables; the frame of `sleep.nights`. The night stands in for the hours of sleep, which end at midnight.
    Without a day that has both a mood and any of these there is nothing.
    """
    within = pl.col("date").is_between(period.first, min(period.last, today))
    days = tables.days.filter(within)
    beside = drivers.recorded(days, tables.hours.filter(within))
    beside.pop(f"hours of {settings.asleep}", None)
    beside["night"] = nights.filter(within).select("date", pl.col("minutes").cast(pl.Float64).alias("value"))
    found = drivers.drivers(days, beside)
    if not found["n"].sum():
        return Html("")
    named = {"energy": "Energy", "high": "The day's high", "night": "Sleep of the night"}
    named |= {f"hours of {category.key}": f"Hours of {category.name}" for category in settings.categories}
    return figure(drivers_chart.draw(found, named))


def _days(compared: pl.DataFrame) -> Html:
    """The days on each side. In: rows of `links.compared` of one habit."""
    parts = []
    for side, heading in _SIDES:
        some = compared.filter(pl.col("done") == side)
        mean = wording.number(some["value"].mean(), 2)  # type: ignore[arg-type]
        parts += [
            tag("h3", f"{heading}, {wording.plural(some.height, 'day')}, mood {mean} on average"),
            by_month(some["date"]),
        ]
    return join(parts)
