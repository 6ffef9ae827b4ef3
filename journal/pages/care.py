"""One calm box where mood has been low, or sleep short, for long: what was seen, and that it is a reason to talk.

It stands on the page of the present period and of one that ended within a week, when it is looked over; of older ones
it would come too late.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.measures import care
from journal.pages.cards import card, details
from journal.pages.escape import Html, tag
from journal.pages.findings import by_month
from journal.periods import Period
from journal.settings import Settings

LOOKED_OVER = dt.timedelta(days=7)

NO_DIAGNOSIS = (
    "This is a journal and no diagnosis. Such a stretch is a reason to talk to a doctor, or to someone you trust."
)
IN_DANGER = "If you are in danger, call the emergency number: 112 in the European Union, elsewhere the local one."


def box(days: pl.DataFrame, nights: pl.DataFrame, settings: Settings, period: Period, today: dt.date) -> Html:
    """The box, or nothing. In: `Tables.days` and the frame of `sleep.nights`."""
    if not period.first <= today <= period.last + LOOKED_OVER:
        return Html("")
    found = care.signs(days, nights, today=today, low=settings.mood.low, high=settings.mood.high)
    if found.is_empty():
        return Html("")
    seen = []
    for row in found.iter_rows(named=True):
        seen += [
            tag("p", row["text"]),
            tag("p", f"Published: {row['threshold']} ({row['source']}).", class_="quiet small"),
            details(f"The days, {row['seen']}", by_month(row["dates"])),
        ]
    return card("A longer stretch", *seen, tag("p", NO_DIAGNOSIS), tag("p", IN_DANGER), kind="care")
