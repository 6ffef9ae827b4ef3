"""Habits and challenges as HTML: their names, quotas, rates by month, best streaks, and challenges day by day."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import polars as pl

from journal.charts import challenge_days as charted
from journal.charts import rates_by_month
from journal.charts.figure import Figure
from journal.language.catalogue import N_, _, _n
from journal.measures import month_differences, streaks
from journal.periods import Period
from journal.sections.cards import card, figure, lines
from journal.sections.escape import Html, join
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import dates, habits, numbers

if TYPE_CHECKING:
    from journal import Journal

NO_HABITS = N_("No habit is in force here.")
CLEAR = N_(
    "A habit done today is more likely to be done tomorrow, so each interval counts its days as fewer. Clear means "
    "that the 95\N{NO-BREAK SPACE}% interval of the difference leaves out zero, also among logged days alone, and "
    "still does when corrected for the number of habits here."
)
"""Both are for `_`."""


def names(settings: Settings) -> dict[str, str]:
    """The name of each habit by key, in the order of journal.toml."""
    return {key: settings.habit_name(key) for key in settings.habit_keys}


def quantities(states: pl.DataFrame, settings: Settings) -> dict[str, str]:
    """The quantities that can colour a year: mood, energy and each of its habits. In: `states.states` of a year."""
    present = set(states["habit"].unique())
    every = {"mood": _("Mood"), "energy": _("Energy")}
    return every | {key: name for key, name in names(settings).items() if key in present and key not in every}


def quota_left(states: pl.DataFrame, today: dt.date) -> str:
    """What is left of a quota habit in a week: "3 days left" of a quota per week, "4 due a month" of one per month.

    Empty where it is met or over. In: `states.states` of one habit in one week.
    """
    done, row = states.filter(pl.col("state") == "done").height, states.row(0, named=True)
    if row["per"] == "month":
        return _("{count} due a month", count=row["times"])
    left = states.filter((pl.col("date") >= today) & pl.col("mark").is_null()).height
    return _n("{count} day left", "{count} days left", left) if done < row["times"] and left else ""


def best_streaks(streaks: pl.DataFrame, settings: Settings) -> Html:
    """The list of `best_streak_rows`."""
    return lines(best_streak_rows(streaks, settings), nothing=_(NO_HABITS))


def best_streak_rows(streaks: pl.DataFrame, settings: Settings) -> list[tuple[str, str]]:
    """The longest streak of each habit: habits counted in days first, then weeks, then months.

    In: `streaks.streaks` of a year's occasions. Out: names of habits, and their streaks in words without the year.
    """
    order = {"occasion": 0, "week": 1, "month": 2}
    rows = sorted(streaks.iter_rows(named=True), key=lambda row: (order[row["unit"]], -row["longest"]))
    return [(settings.habit_name(row["habit"]), habits.longest_streak(row, year=False)) for row in rows]


def challenges(book: Journal, period: Period) -> PageChapter:
    """The chapter of the challenges of a period: their results and their days."""
    ticked = book.ticked(period)
    rows = challenge_rows(ticked, period, book.settings)
    drawn = challenge_days_drawn(book.tables, ticked, period, book.settings, book.today)
    nothing = _("No challenge ran in {period}.", period=dates.title(period))

    def inside() -> Html:
        return join([lines(rows, nothing=nothing), figure(drawn, headed=False) if drawn else None])

    return told("challenges", _("Challenges"), drawn.title if drawn else nothing, inside)


def through_the_year(book: Journal, year: Period) -> PageChapter:
    """The chapter of a year's habits: their rates by month and their best streaks."""
    occasions = book.occasions.filter(pl.col("date").is_between(year.first, year.last))
    apart = month_differences.apart(occasions)
    drawn = rates_by_month.draw(book.rates(year, by="month"), names(book.settings), year.first.year, apart=apart)

    def inside() -> Html:
        best = streaks.streaks(occasions, today=book.today, blank=book.settings.blank)
        return join([figure(drawn, headed=False), card(_("Best streaks"), best_streaks(best, book.settings))])

    return told("habits", _("Habits"), drawn.title, inside)


def challenge_rows(totals: pl.DataFrame, period: Period, settings: Settings) -> list[tuple[str, str]]:
    """Each challenge that overlaps a period, with its result in words. In: `challenges.totals`."""
    names = {challenge.key: challenge.name for challenge in settings.challenges}
    rows = totals.filter((pl.col("from") <= period.last) & (pl.col("to") >= period.first))
    return [
        (
            names.get(row["challenge"], row["challenge"]),
            numbers.joined(
                [
                    _("{done} ticked", done=numbers.of(row["ticks"], row["days"])),
                    _("longest {count} in a row", count=row["longest"]) if row["longest"] > 1 else None,
                    dates.stretch(row["from"], row["to"]),
                ],
            ),
        )
        for row in rows.iter_rows(named=True)
    ]


def challenge_days_drawn(
    tables: Tables,
    totals: pl.DataFrame,
    period: Period,
    settings: Settings,
    today: dt.date,
    *,
    key: str = "challenge-days",
) -> Figure | None:
    """The challenges of a period and those before it, day by day. None if no challenge overlaps the period.

    In: `challenges.totals` as of the end of the period or today, whichever is earlier.
    """
    if totals.filter((pl.col("from") <= period.last) & (pl.col("to") >= period.first)).is_empty():
        return None
    names = {challenge.key: challenge.name for challenge in settings.challenges}
    ticks = tables.ticks.join(tables.days.select("date", logged="asked"), on="date", how="left")
    return charted.draw(ticks, totals, names, today=min(today, period.last), key=key)
