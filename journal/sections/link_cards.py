"""Which habits go with which moods, on the pages: the chart, what it does not show, and the days behind each link."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import polars as pl

from journal.charts import correlates_chart, links_chart
from journal.charts.figure import Figure
from journal.entry import DAY_FIELDS
from journal.frames import Row
from journal.measures import correlates, link_sentences, links
from journal.measures.false_discovery import together
from journal.periods import Period
from journal.sections import habit_cards, season_cards
from journal.sections.cards import card, details, figure
from journal.sections.escape import Html, join, tag
from journal.sections.finding_cards import by_month
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import dates, numbers

TITLE = "What a link shows"
_SIDES = ((True, "With it"), (False, "Without"))


class Linked(NamedTuple):
    """The links of a stretch: the chart, over what in words, how many comparisons could be made, and each clear link as
    a sentence, as its row of `links.links`, and with the days behind it (rows of `links.compared` of one habit)."""

    drawn: Figure
    over: str
    pairs: int
    clear: list[tuple[str, Row, pl.DataFrame]]


def section(
    states: pl.DataFrame, tables: Tables, settings: Settings, *, first: dt.date, last: dt.date, today: dt.date
) -> Html:
    """The cards of `linked`; a stretch without any habit has no section."""
    found = linked(states, tables, settings, first=first, last=last, today=today)
    if found is None:
        return Html("")
    said = [details(sentence, _days(behind)) for sentence, _, behind in found.clear]
    over = found.over + (" Open a clear link to see the days behind it." if said else "")
    told = card(TITLE, tag("p", link_sentences.WHAT_IT_SHOWS), *said, note=over, kind="links")
    return join([figure(found.drawn), told])


def linked(
    states: pl.DataFrame, tables: Tables, settings: Settings, *, first: dt.date, last: dt.date, today: dt.date
) -> Linked | None:
    """Links of a stretch of the journal, if it has a habit.

    In: the frame of `states.states`, whole; the tables; the first and the last day that count.
    """
    until = min(last, today)
    within = pl.col("date").is_between(first, until)
    states, days, names = states.filter(within), tables.days.filter(within), habit_cards.names(settings)
    found = links.links(states, days, today=until)
    if found.is_empty():
        return None
    pairs = found.get_column("p").count()
    behind = {lag: links.compared(states, days, today=until, lag=lag) for lag in (0, 1)}
    return Linked(
        drawn=links_chart.draw(found, names, pairs=pairs),
        over=f"Over {dates.stretch(first, until)}, {numbers.plural(pairs, 'comparison')}.",
        pairs=pairs,
        clear=[
            (
                link_sentences.habit_link(row, names.get(row["habit"], row["habit"]), pairs=pairs),
                row,
                behind[row["lag_days"]].filter(pl.col("habit") == row["habit"]),
            )
            for row in found.filter("clear").iter_rows(named=True)
        ],
    )


def measured(tables: Tables, nights: pl.DataFrame, settings: Settings, *, period: Period, today: dt.date) -> Html:
    """The card of `measured_drawn`, and of the year's months before their daylight."""
    found = _beside(tables, nights, settings, period, today)
    within = tables.days.filter(pl.col("date").is_between(period.first, min(period.last, today)))
    months = season_cards.drawn(within, found, settings, period)
    return join([figure(one) for one in (_beside_drawn(found, settings), months) if one])


def measured_drawn(
    tables: Tables, nights: pl.DataFrame, settings: Settings, *, period: Period, today: dt.date
) -> Figure | None:
    """What is measured beside mood in a year: energy, the night before, the day's high, hours of each category, and
    over all years up to it the length of the day. q is over all of them.

    In: the tables; the frame of `sleep.nights`. The night stands in for the hours of sleep, which end at midnight.
    What is written on no day of the year, or was taken out for a reader, is not spoken of. Without a day that has both
    a mood and any of these there is none.
    """
    return _beside_drawn(_beside(tables, nights, settings, period, today), settings)


def _beside(tables: Tables, nights: pl.DataFrame, settings: Settings, period: Period, today: dt.date) -> pl.DataFrame:
    """The frame of `drivers.drivers`, with that of `season.day_length` below it, under one q."""
    until = min(period.last, today)
    within = pl.col("date").is_between(period.first, until)
    days = tables.days.filter(within)
    beside = correlates.recorded(days, tables.hours.filter(within))
    beside.pop(f"hours of {settings.asleep}", None)
    beside["night"] = nights.filter(within).select("date", pl.col("minutes").cast(pl.Float64).alias("value"))
    written = {name: frame for name, frame in beside.items() if frame["value"].count()}
    over_years = season_cards.over_years(tables.days.filter(pl.col("date") <= until), settings, period)
    return pl.concat(together(correlates.drivers(days, written), over_years), how="diagonal")


def _beside_drawn(found: pl.DataFrame, settings: Settings) -> Figure | None:
    if not found.filter(pl.col("driver") != season_cards.DAY_LENGTH)["n"].sum():
        return None
    return correlates_chart.draw(found, driver_names(settings))


def driver_names(settings: Settings) -> dict[str, str]:
    """What is compared with mood, by its key, as it is called."""
    named = {field.name: field.driver for field in DAY_FIELDS if field.driver} | {"night": "Sleep of the night"}
    named[season_cards.DAY_LENGTH] = "Day length"
    return named | {f"hours of {category.key}": f"Hours of {category.name}" for category in settings.categories}


def _days(compared: pl.DataFrame) -> Html:
    """The days on each side. In: rows of `links.compared` of one habit."""
    return join(
        part
        for side, heading in _SIDES
        for some in [compared.filter(pl.col("done") == side)]
        for part in (tag("h3", f"{heading}, {on_average(some)}"), by_month(some["date"]))
    )


def on_average(some: pl.DataFrame) -> str:
    """How many days there are on one side of a link, and their mean mood. In: rows of `links.compared`."""
    mean = numbers.number(some["value"].mean(), 2)  # type: ignore[arg-type]
    return f"{numbers.plural(some.height, 'day')}, mood {mean} on average"
