"""One calm box where mood has been low, or sleep short, for long: what was seen, and that it is a reason to talk.

It stands on the page of the present period and of one that ended within a week, when it is looked over; of older ones
it would come too late.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.frames import Row
from journal.measures import low_stretches
from journal.periods import Period
from journal.sections.cards import card, details
from journal.sections.escape import Html, tag
from journal.sections.finding_cards import by_month
from journal.settings import Settings

LOOKED_OVER = dt.timedelta(days=7)

TITLE = "A longer stretch"
NO_DIAGNOSIS = (
    "This is a journal and no diagnosis. Such a stretch is a reason to talk to a doctor, or to someone you trust."
)
IN_DANGER = "If you are in danger, call the emergency number: 112 in the European Union, elsewhere the local one."


def box(found: pl.DataFrame, *below: Html) -> Html:
    """The box, with what is to stand in it last, or nothing where nothing was found. In: the frame of `signs`."""
    if found.is_empty():
        return Html("")
    seen = []
    for row in found.iter_rows(named=True):
        seen += [
            tag("p", row["text"]),
            tag("p", published(row), class_="quiet small"),
            details(f"The days, {row['seen']}", by_month(row["dates"])),
        ]
    return card(TITLE, *seen, tag("p", NO_DIAGNOSIS), tag("p", IN_DANGER), *below, kind="care")


def signs(days: pl.DataFrame, nights: pl.DataFrame, settings: Settings, period: Period, today: dt.date) -> pl.DataFrame:
    """The frame of `care.signs` as of today, without a row for a period that is looked over no more.

    In: `Tables.days` and the frame of `sleep.nights`.
    """
    found = low_stretches.signs(days, nights, today=today, low=settings.mood.low, high=settings.mood.high)
    return found if period.first <= today <= period.last + LOOKED_OVER else found.clear()


def published(row: Row) -> str:
    """What was published of a row of `care.signs`, and where."""
    return f"Published: {row['threshold']} ({row['source']})."
