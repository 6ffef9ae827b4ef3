"""The care box: a calm note after a long stretch of low mood or short sleep.

The page of the current period has it, and of a period that ended at most a week ago, when people look back on it. For
older periods it would come too late.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.frames import Row
from journal.language.catalogue import N_, _
from journal.measures import low_stretches
from journal.periods import Period
from journal.sections.cards import card, details
from journal.sections.escape import Html, tag
from journal.sections.finding_cards import by_month
from journal.settings import Settings

LOOKING_BACK = dt.timedelta(days=7)

TITLE = N_("A longer stretch")
NO_DIAGNOSIS = N_(
    "This is a journal and no diagnosis. Such a stretch is a reason to talk to a doctor, or to someone you trust."
)
IN_DANGER = N_("If you are in danger, call the emergency number: 112 in the European Union, elsewhere the local one.")
"""The texts of the box, for `_`."""


def box(signs: pl.DataFrame, *below: Html) -> Html:
    """The box, with `below` at its end; empty without a sign. In: the frame of `signs`."""
    if signs.is_empty():
        return Html("")
    rows = list(signs.iter_rows(named=True))
    said = [tag("p", row["text"]) for row in rows]
    days = [details(_("The days, {count}", count=row["seen"]), by_month(row["dates"])) for row in rows]
    published = [tag("p", publication(row), class_="small") for row in rows]
    whole = details(_("Threshold and days"), *published, *days)
    help_ = tag("p", f"{_(NO_DIAGNOSIS)} {_(IN_DANGER)}", class_="help")
    return card(_(TITLE), *said, help_, tag("div", whole, *below, class_="ways"), kind="care")


def signs(days: pl.DataFrame, nights: pl.DataFrame, settings: Settings, period: Period, today: dt.date) -> pl.DataFrame:
    """The frame of `low_stretches.signs` as of today; without rows if the period ended more than a week ago.

    In: `Tables.days` and the frame of `sleep.nights`.
    """
    frame = low_stretches.signs(days, nights, today=today, low=settings.mood.low, high=settings.mood.high)
    return frame if period.first <= today <= period.last + LOOKING_BACK else frame.clear()


def publication(row: Row) -> str:
    """The published threshold of a row of `low_stretches.signs`, and its source."""
    return _("Published: {threshold} ({source}).", threshold=row["threshold"], source=row["source"])
