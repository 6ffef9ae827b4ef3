"""The links of habits and measured values with mood: charts, how to read them, and the days behind each link."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import quote

import polars as pl

from journal.charts import correlates_chart, links_chart
from journal.charts.figure import Figure
from journal.entry import DAY_FIELDS
from journal.frames import Row
from journal.language.catalogue import N_, _, _n, _p
from journal.measures import correlates, link_record, link_sentences, links, withheld_links
from journal.measures.compared_days import compared as compared_days
from journal.measures.false_discovery import together
from journal.measures.withheld_links import WithheldLink
from journal.periods import Period
from journal.sections import habit_cards, season_cards
from journal.sections.cards import card, details, figure
from journal.sections.escape import Html, join, tag
from journal.sections.finding_cards import by_month
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

TITLE = N_("What a link shows")
_SIDES = ((True, N_("With it, {days}")), (False, N_("Without, {days}")))


class Linked(NamedTuple):
    """The links of a range of days.

    `over` names the days and comparisons in words, `pairs` is the number of comparisons. `clear` has each clear link:
    its sentence, its row of `links.links` and its days (rows of `compared_days.compared` of one habit). `measured` has
    the key and name of each habit with enough days.
    """

    drawn: Figure
    over: str
    pairs: int
    clear: list[tuple[str, Row, pl.DataFrame]]
    measured: list[tuple[str, str]]


NO_HABIT = N_("No habit is in force here, so there is nothing to compare with mood.")


def chapter(book: Journal, period: Period, *, first: dt.date | None = None) -> PageChapter:
    """The chapter of the links with mood, from `first` or the start of the period to its end.

    For a year also those of measured values and of the season. The heading needs the counts and means alone; the rest
    is computed when the chapter is opened.
    """
    tables, settings, today = book.tables, book.settings, book.today
    start = first or period.first
    title = heading(book, first=start, last=period.last)
    left_out = withheld_links.sentence(withheld(book, start, period.last), settings)

    def inside() -> Html:
        nights = book.slept.between(period.first, period.last).nights
        more = measured(tables, nights, settings, period=period, today=today) if period.kind == "year" else None
        result = linked(book, first=start, last=period.last)
        page = "" if period.kind == "month" else "../month/"
        none = tag("p", _(NO_HABIT), class_="empty") if not left_out else None
        kept_back = tag("p", left_out, class_="quiet withheld") if left_out else None
        return join([_habit_links(result, page) if result else none, kept_back, more])

    return told("links", _p("chapter of a page", "Links with mood"), title or left_out or _(NO_HABIT), inside)


def withheld(book: Journal, first: dt.date, last: dt.date) -> list[WithheldLink]:
    """The links that are left out of a range of days while a trial runs."""
    return withheld_links.of_days(book.withheld, first, min(last, book.today))


def _habit_links(result: Linked, page: str) -> Html:
    clear = [details(sentence, _days(compared)) for sentence, _row, compared in result.clear]
    over = numbers.joined([result.over, _("Open a clear link to see the days behind it.") if clear else None], " ")
    by_lot = _by_lot(result, page)
    explained = card(_(TITLE), tag("p", _(link_sentences.WHAT_IT_SHOWS)), by_lot, *clear, note=over, kind="links")
    return join([figure(result.drawn, headed=False), explained])


def _by_lot(result: Linked, page: str) -> Html | None:
    """Links to the form of a trial, filled with a pair: the clear links, or without one every habit and the day after.

    `page` is the address of the month's page, empty on it.
    """
    names = dict(result.measured)
    pairs = [(row["habit"], row["lag_days"]) for _said, row, _days in result.clear if row["lag_days"] in (0, 1)]
    pairs = pairs or [(habit, 1) for habit in names]
    links = [
        tag("a", _pair(str(names.get(habit, habit)), lag), **_address(f"{habit},mood,{lag}", page))
        for habit, lag in pairs
    ]
    return tag("p", _("Settle it by lot: "), join(links, " · "), class_="by-lot") if links else None


def _pair(name: str, lag: int) -> str:
    return _("{habit}, the day after", habit=name) if lag else _("{habit}, the same day", habit=name)


def _address(pair: str, page: str) -> dict[str, str]:
    if page:
        return {"href": f"{page}?pair={quote(pair)}"}
    return {"href": "#chapter-lot", "data_goes": "chapter-lot", "data_pair": pair}


def heading(book: Journal, *, first: dt.date, last: dt.date) -> str:
    """The title of the figure of `linked`, without its numbers; empty without a habit."""
    states, days, until = _compared(book, first, last)
    rows = links.sizes(states, days, today=until, standing=link_record.standing(book.link_events, until))
    return "" if rows.is_empty() else links_chart.title(rows, habit_cards.names(book.settings))


def _compared(book: Journal, first: dt.date, last: dt.date) -> tuple[pl.DataFrame, pl.DataFrame, dt.date]:
    """The states and days of a range, up to today, and its last day. Links that are withheld are left out."""
    until = min(last, book.today)
    within = pl.col("date").is_between(first, until)
    told = book.states.select("habit", "date", "asked", "per", "mark", "state")  # a filter copies every column
    states = withheld_links.without(told.filter(within), withheld(book, first, last))
    return states, book.tables.days.filter(within), until


def linked(book: Journal, *, first: dt.date, last: dt.date) -> Linked | None:
    """The links of a range of days, as they stand at its end over the life of the journal; None without a habit.

    Those that would show the result of a trial are left out.
    """
    states, days, until = _compared(book, first, last)
    names = habit_cards.names(book.settings)
    rows = links.links(states, days, today=until, standing=link_record.standing(book.link_events, until))
    if rows.is_empty():
        return None
    pairs = rows.get_column("p").count()
    measured = rows.filter(pl.col("p").is_not_null())["habit"].unique(maintain_order=True)
    compared = {lag: compared_days(states, days, today=until, lag=lag) for lag in (0, 1)}
    return Linked(
        drawn=links_chart.draw(rows, names, pairs=pairs),
        over=_n(
            "Over {span}, {count} comparison.",
            "Over {span}, {count} comparisons.",
            pairs,
            span=dates.stretch(first, until),
        ),
        pairs=pairs,
        clear=[
            (
                link_sentences.habit_link(row, names.get(row["habit"], row["habit"])),
                row,
                compared[row["lag_days"]].filter(pl.col("habit") == row["habit"]),
            )
            for row in rows.filter("clear").iter_rows(named=True)
        ],
        measured=[(habit, names.get(habit, habit)) for habit in measured],
    )


def measured(tables: Tables, nights: pl.DataFrame, settings: Settings, *, period: Period, today: dt.date) -> Html:
    """The cards of `measured_drawn` and of `season_cards.draw`."""
    rows = _correlates(tables, nights, settings, period, today)
    within = tables.days.filter(pl.col("date").is_between(period.first, min(period.last, today)))
    months = season_cards.draw(within, rows, settings, period)
    return join([figure(drawn) for drawn in (_correlates_drawn(rows, settings), months) if drawn])


def measured_drawn(
    tables: Tables, nights: pl.DataFrame, settings: Settings, *, period: Period, today: dt.date
) -> Figure | None:
    """The correlates of mood in a year, with one q over all of them.

    These are energy, the night before, the day's high, the hours of each category, and the length of the day over all
    years up to this one. The night replaces the hours of sleep, which are cut at midnight. Values that the year
    does not have, or that were removed for a reader, are omitted. None if no day has both a mood and one of the values.

    In: the tables; the frame of `sleep.nights`.
    """
    return _correlates_drawn(_correlates(tables, nights, settings, period, today), settings)


def _correlates(
    tables: Tables, nights: pl.DataFrame, settings: Settings, period: Period, today: dt.date
) -> pl.DataFrame:
    """The rows of `correlates.drivers` and `season.day_length`, with one q over all."""
    until = min(period.last, today)
    within = pl.col("date").is_between(period.first, until)
    days = tables.days.filter(within)
    values = correlates.recorded(days, tables.hours.filter(within))
    values.pop(f"hours of {settings.asleep}", None)
    values["night"] = nights.filter(within).select("date", pl.col("minutes").cast(pl.Float64).alias("value"))
    present = {name: frame for name, frame in values.items() if frame["value"].count()}
    over_years = season_cards.over_years(tables.days.filter(pl.col("date") <= until), settings, period)
    return pl.concat(together(correlates.drivers(days, present), over_years), how="diagonal")


def _correlates_drawn(rows: pl.DataFrame, settings: Settings) -> Figure | None:
    if not rows.filter(pl.col("driver") != season_cards.DAY_LENGTH)["n"].sum():
        return None
    return correlates_chart.draw(rows, driver_names(settings))


def driver_names(settings: Settings) -> dict[str, str]:
    """The name of each value that is compared with mood, by key."""
    named = {field.name: _(field.driver) for field in DAY_FIELDS if field.driver} | {"night": _("Sleep of the night")}
    named[season_cards.DAY_LENGTH] = _("Day length")
    return named | {
        f"hours of {category.key}": _("Hours of {category}", category=category.name) for category in settings.categories
    }


def _days(compared: pl.DataFrame) -> Html:
    """The days on each side. In: rows of `compared_days.compared` of one habit."""
    return join(
        part
        for side, heading in _SIDES
        for days in [compared.filter(pl.col("done") == side)]
        for part in (tag("h3", _(heading, days=on_average(days))), by_month(days["date"]))
    )


def on_average(days: pl.DataFrame) -> str:
    """The number of days on one side of a link, and their mean mood. In: rows of `compared_days.compared`."""
    mean = numbers.number(days["value"].mean(), 2)  # type: ignore[arg-type]
    return _n("{count} day, mood {mean} on average", "{count} days, mood {mean} on average", days.height, mean=mean)
