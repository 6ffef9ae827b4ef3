"""Which habits go with which moods, on the pages: the chart, what it does not show, and the days behind each link."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.charts import links_chart
from journal.measures import link_wording, links
from journal.pages import habits, wording
from journal.pages.cards import card, details, figure
from journal.pages.escape import Html, join, tag
from journal.pages.findings import by_month
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
