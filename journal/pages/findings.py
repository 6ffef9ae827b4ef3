"""What the numbers of a period support, in a few sentences, each with the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from itertools import groupby

from journal.measures.findings import findings
from journal.pages.cards import card as whole
from journal.pages.cards import details
from journal.pages.escape import Html, join, tag
from journal.periods import Period
from journal.settings import Settings
from journal.tables import Tables
from journal.wording import MONTH_NAMES


def card(tables: Tables, settings: Settings, period: Period) -> Html:
    """A card of what is unusual in a period; nothing where nothing is. In: the tables of a journal as of its day."""
    found = findings(tables, settings, [period])
    items = [
        tag("li", tag("p", row["text"]), details(f"The days, {len(row['dates'])}", by_month(row["dates"])))
        for row in found.iter_rows(named=True)
    ]
    if not items:
        return Html("")
    note = "Unusual for this journal so far. It says what was, not why."
    return whole("What stands out", tag("ul", *items, class_="findings"), note=note)


def by_month(dates: Iterable[dt.date]) -> Html:
    """Days in a line a month: "March 2025: 3, 4, 7"."""
    months = groupby(sorted(dates), key=lambda date: (date.year, date.month))
    return join(
        tag("p", f"{MONTH_NAMES[month - 1]} {year}: {', '.join(str(date.day) for date in days)}", class_="quiet small")
        for (year, month), days in months
    )
