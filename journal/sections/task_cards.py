"""Tasks as cards: how long they wait, whether ranked ones are done more often, how estimates hold, the most carried."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import polars as pl

from journal.charts import estimates_over_time, ranked_share, waiting_curve
from journal.charts.figure import Figure
from journal.language.catalogue import N_, _, _n
from journal.measures import carried_tasks, task_ends, tasks
from journal.periods import Period
from journal.sections import day_cards
from journal.sections.cards import card, details, empty, figure
from journal.sections.escape import Html, join, tag
from journal.sections.finding_cards import by_month
from journal.sections.page_chapters import PageChapter, told
from journal.wording import dates, entries, numbers

if TYPE_CHECKING:
    from journal import Journal


NO_TASKS = N_("No task was written here.")


def of_the_week(book: Journal, week: Period) -> PageChapter:
    """The chapter of a week's tasks: how each ended, and those carried most."""
    rows = book.tables.tasks.filter(pl.col("date").is_between(week.first, week.last))

    def inside() -> Html:
        return join([day_cards.tasks(rows), most_carried(book.tables.tasks, week, book.today)])

    return told("tasks", _("Tasks"), day_cards.task_counts(rows) or _(NO_TASKS), inside)


def carried(book: Journal, period: Period) -> PageChapter:
    """The chapter of the tasks that were carried most in a period."""
    often = _carried_often(book.tables.tasks, period, book.today)
    said = [
        _("{task} was {carried}", task=numbers.quoted(row["title"]), carried=entries.carried(row["in_all"]))
        for row in often.head(1).iter_rows(named=True)
    ]
    nothing = _("No task was carried twice")
    return told("tasks", _("Tasks"), said[0] if said else nothing, lambda: _most_carried(often) or empty(f"{nothing}."))


def through_the_year(book: Journal, year: Period) -> PageChapter:
    """The chapter of `figures`."""
    drawn = figures(book.tables.tasks, year, book.today)

    def inside() -> Html:
        if not drawn:
            return empty(_(NO_TASKS))
        return join([figure(drawn[0], headed=False), *map(figure, drawn[1:])])

    return told("tasks", _("Tasks"), drawn[0].title if drawn else _(NO_TASKS), inside)


def figures(rows: pl.DataFrame, period: Period, today: dt.date) -> list[Figure]:
    """Figures of the tasks that began in a period, as of its end or today. Empty without any. In: `Tables.tasks`."""
    until = min(today, period.last)
    lives = tasks.lives(rows, today=until)
    begun = lives.filter(pl.col("since").is_between(period.first, until))
    if begun.is_empty():
        return []
    drawn = [
        waiting_curve.draw(task_ends.ended_by(begun), begun),
        ranked_share.draw(tasks.by_rank(begun, today=until)),
    ]
    ratios = tasks.ratios(lives)
    done = ratios.filter(pl.col("last").is_between(period.first, until))
    if done.height:
        drawn.append(estimates_over_time.draw(tasks.trailing_ratios(ratios), tasks.estimates(done), period))
    return drawn


MOST_TASKS = 5  # more would not be read


def most_carried(tasks: pl.DataFrame, period: Period, today: dt.date) -> Html:
    """A card of the `MOST_TASKS` tasks that were carried most; empty if none was carried twice.

    In: `Tables.tasks`.
    """
    return _most_carried(_carried_often(tasks, period, today))


def _carried_often(tasks: pl.DataFrame, period: Period, today: dt.date) -> pl.DataFrame:
    rows = carried_tasks.carried_most(tasks, period.first, period.last, today=today)
    return rows.filter(pl.col("in_all") >= carried_tasks.OFTEN).head(MOST_TASKS)


def _most_carried(often: pl.DataFrame) -> Html:
    if often.is_empty():
        return Html("")
    return card(_("Carried most"), tag("ul", *map(_item, often.iter_rows(named=True)), class_="lines stacked"))


def _item(row: Mapping[str, Any]) -> Html:
    days = details(_("The days, {count}", count=len(row["dates"])), by_month(row["dates"]))
    return tag("li", tag("span", row["title"], class_="said"), tag("span", how_often(row), class_="aside"), days)


def how_often(row: Mapping[str, Any]) -> str:
    """How often a task was carried, and its end, in words. In: a row of `carried_tasks.carried_most`.

    >>> row = {"carried": 2, "in_all": 3, "status": "done", "since": dt.date(2025, 3, 6), "last": dt.date(2025, 3, 11)}
    >>> how_often(row | {"days": 5})
    'carried twice, 3 times in all · done on Tuesday 11 March, after 5 days'
    >>> how_often(row | {"in_all": 2, "status": "open", "days": 8})
    'carried twice · still open after 8 days'
    >>> how_often(row | {"carried": 1, "in_all": 2, "status": "open", "days": 8})
    'carried once, twice in all · still open after 8 days'
    """
    times = numbers.times(row["in_all"])
    in_all = _("{times} in all", times=times) if row["in_all"] > row["carried"] else None
    return numbers.joined([numbers.joined([entries.carried(row["carried"]), in_all], ", "), _end(row)])


def _end(row: Mapping[str, Any]) -> str:
    """The end of a task, and the days up to it."""
    days, day = row["days"], dates.day(row["last"])
    if row["status"] == "open":
        return _n("still open after {count} day", "still open after {count} days", days)
    if row["status"] == "dropped":
        return _n("dropped on {day}, after {count} day", "dropped on {day}, after {count} days", days, day=day)
    return _n("done on {day}, after {count} day", "done on {day}, after {count} days", days, day=day)
