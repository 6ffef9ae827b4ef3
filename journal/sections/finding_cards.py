"""The findings of a period as a card: sentences, each with the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from journal.measures.finding_facts import FindingFacts
from journal.measures.findings import findings
from journal.periods import Period
from journal.sections import cards
from journal.sections.escape import Html, join, tag
from journal.wording import dates

TITLE = "What stands out"
NOTE = "Unusual for this journal so far. It says what was, not why."


def card(facts: FindingFacts, period: Period) -> Html:
    """A card of the findings of a period; empty without one. In: `Journal.facts`."""
    rows = findings(facts, [period])
    items = [
        tag("li", tag("p", row["text"]), cards.details(f"The days, {len(row['dates'])}", by_month(row["dates"])))
        for row in rows.iter_rows(named=True)
    ]
    if not items:
        return Html("")
    return cards.card(TITLE, tag("ul", *items, class_="findings"), note=NOTE)


def by_month(days: Iterable[dt.date]) -> Html:
    """The days, one line per month (`dates.by_month`)."""
    return join(tag("p", line, class_="quiet small") for line in dates.by_month(days))
