"""The challenges of a week as HTML: the prompt of each day, and what became of it. Frames in, `Html` out."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import polars as pl

from journal.charts import challenge_days as charted
from journal.language.catalogue import N_, _
from journal.measures import challenges
from journal.periods import Period
from journal.sections.cards import card, empty, lines
from journal.sections.escape import Html, join, tag
from journal.sections.page_chapters import PageChapter, told
from journal.settings import Challenge, Settings
from journal.tables import Tables
from journal.wording import dates, habits, numbers

if TYPE_CHECKING:
    from journal import Journal


def week(tables: Tables, week: Period, settings: Settings, today: dt.date) -> Html:
    """A card for each challenge that overlaps a week, with its days of the week. Empty without one.

    The days are as of today: a day that was done late counts for its own week, also once that week is over.
    """
    days = tables.ticks.filter(pl.col("date") <= week.last).join(
        tables.days.select("date", logged="asked"), on="date", how="left", maintain_order="left"
    )
    running = _running(settings, week)
    return join([_card(one, days.filter(pl.col("challenge") == one.key), week, today) for one in running])


def _running(settings: Settings, week: Period) -> list[Challenge]:
    return [one for one in settings.challenges if one.start <= week.last and one.until >= week.first]


def of_the_week(book: Journal, period: Period) -> PageChapter:
    """The chapter of the challenges of a week."""
    tables, settings = book.tables, book.settings
    running = _running(settings, period)
    ticks = tables.ticks.filter(pl.col("date").is_between(period.first, period.last))
    counts = {
        one.name: _count(challenges.totals(ticks.filter(pl.col("challenge") == one.key), today=book.today), _THIS_WEEK)
        for one in running
    }
    said = "; ".join(f"{name}: {count or habits.state_word('pending')}" for name, count in counts.items())
    nothing = _("No challenge runs in this week")

    def inside() -> Html:
        return week(tables, period, settings, book.today) or empty(f"{nothing}.")

    return told("challenges", _("Challenges"), said or nothing, inside)


def _card(challenge: Challenge, days: pl.DataFrame, week: Period, today: dt.date) -> Html:
    """One challenge. `days` are its ticks up to the end of the week, with `logged`: whether an evening asked."""
    so_far = challenges.totals(days, today=today)
    of_week = challenges.totals(days.filter(pl.col("date") >= week.first), today=today)
    counts = [_count(of_week, _THIS_WEEK), _count(so_far, _SO_FAR) if challenge.start < week.first else None]
    rows = [
        (_day(challenge, row["date"]), charted.state(row, today)["text"])
        for row in days.filter(pl.col("date") >= week.first).sort("date").iter_rows(named=True)
    ]
    span = dates.stretch(challenge.start, challenge.until, year=False)
    return card(challenge.name, lines(rows, nothing=""), note=numbers.joined([*counts, span]))


_THIS_WEEK, _SO_FAR = N_("{done} this week"), N_("{done} so far")


def _count(totals: pl.DataFrame, text: str) -> str | None:
    """The ticks of a stretch of days, None if none of them has begun. In: `challenges.totals` of one challenge."""
    if totals.is_empty() or not totals.item(0, "days"):
        return None
    return _(text, done=numbers.of(totals.item(0, "ticks"), totals.item(0, "days")))


def _day(challenge: Challenge, date: dt.date) -> Html:
    number = (date - challenge.start).days
    prompt = challenge.prompts[number] if number < len(challenge.prompts) else None
    day = dates.day_of_month(date)
    return join([day, tag("span", prompt, class_="beneath")], " ") if prompt else join([day])
