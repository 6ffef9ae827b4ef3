"""Nights as HTML: the raster of a period, the published recommendation, and a table for a week."""

from __future__ import annotations

from typing import TYPE_CHECKING

import polars as pl

from journal.charts import sleep_raster
from journal.charts.figure import Figure
from journal.frames import Row
from journal.language.catalogue import N_, _, _n
from journal.measures import sleep_summary
from journal.periods import Period
from journal.sections.cards import card, empty, figure, table
from journal.sections.escape import Html, join, tag
from journal.sections.page_chapters import PageChapter, told
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

NO_NIGHTS = N_("No night was written here.")
RECOMMENDATION = N_("A published recommendation")
READING = N_(
    "Published for adults: 7 hours or more a night, on a regular basis (Watson et al. 2015). This is a reference, "
    "not advice."
)
"""Watson and others (2015), J. Clin. Sleep Med. 11, 591-592. The three are for `_`."""


def chapter(book: Journal, period: Period) -> PageChapter:
    """The chapter of a period's nights: a table for a week, else every night, and the published recommendation."""
    summary = summary_row(book, period)
    drawn = raster(book, summary, period)

    def inside() -> Html:
        if period.kind == "week":
            return week(book, period)
        if drawn is None:
            return empty(_(NO_NIGHTS))
        published = [
            card(_(RECOMMENDATION), tag("p", short_nights(row)), tag("p", _(READING), class_="quiet"))
            for row in summary.filter(pl.col("nights") > 0).iter_rows(named=True)
        ]
        return join([figure(drawn, headed=False), *published])

    return told("nights", _("Nights"), drawn.title if drawn else _(NO_NIGHTS), inside)


def summary_row(book: Journal, period: Period) -> pl.DataFrame:
    """The nights of a period: `sleep_summary.summary` with one row, or without a row if it has no nights."""
    slept = book.slept.between(period.first, period.last)
    return sleep_summary.summary(slept.nights, slept.pairs, week_starts=book.settings.week_starts)


def raster(book: Journal, summary: pl.DataFrame, period: Period) -> Figure | None:
    """Every night and nap of a period; None without sleep. In: `summary`, the frame of `summary_row`."""
    slept = book.slept.between(period.first, period.last)
    if slept.sleeps.is_empty() and slept.nights.is_empty():
        return None
    return sleep_raster.draw(slept.sleeps, slept.nights, summary, period, clock=book.settings.clock)


def short_nights(row: Row) -> str:
    """The number of nights under 7 hours in a sentence, from a row of `sleep_summary.summary`.

    >>> short_nights({"under_recommended": 1, "nights": 28})
    '1 of 28 nights was under 7 hours, naps of the day added.'
    >>> short_nights({"under_recommended": 0, "nights": 28})
    'None of 28 nights were under 7 hours, naps of the day added.'
    """
    under, nights = row["under_recommended"], row["nights"]
    if not under:
        return _n(
            "None of {count} night were under 7 hours, naps of the day added.",
            "None of {count} nights were under 7 hours, naps of the day added.",
            nights,
        )
    return _n(
        "{count} of {nights} nights was under 7 hours, naps of the day added.",
        "{count} of {nights} nights were under 7 hours, naps of the day added.",
        under,
        nights=numbers.number(nights),
    )


def week(book: Journal, period: Period) -> Html:
    """A table of the nights of a week, by the day of waking."""
    nights = book.slept.between(period.first, period.last).nights
    napped = bool(nights.get_column("nap_minutes").sum())
    rows = [
        (
            dates.day(row["date"]),
            *(
                None if row[end] is None else dates.clock(row[end] % 1440, book.settings.clock)
                for end in ("bed_minute", "wake_minute")
            ),
            dates.minutes(row["minutes"]),
            *([dates.minutes(row["nap_minutes"]) if row["nap_minutes"] else None] if napped else []),
        )
        for row in nights.iter_rows(named=True)
    ]
    if not rows:
        return empty(_(NO_NIGHTS))
    head = (_("Woke on"), _("To bed"), _("Up"), _("Slept"), *([_("Naps")] if napped else []))
    return table(_("Nights of the week"), head, rows, kind="numbers")
