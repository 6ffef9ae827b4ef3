"""What the numbers of a period support, in a few sentences, each with the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from journal.measures.finding_facts import FindingFacts
from journal.measures.findings import findings
from journal.periods import Period
from journal.sections.cards import card as whole
from journal.sections.cards import details
from journal.sections.escape import Html, join, tag
from journal.wording import dates

TITLE = "What stands out"
NOTE = "Unusual for this journal so far. It says what was, not why."


def card(facts: FindingFacts, period: Period) -> Html:
    """A card of what is unusual in a period; nothing where nothing is. In: `Journal.facts`."""
    found = findings(facts, [period])
    items = [
        tag("li", tag("p", row["text"]), details(f"The days, {len(row['dates'])}", by_month(row["dates"])))
        for row in found.iter_rows(named=True)
    ]
    if not items:
        return Html("")
    return whole(TITLE, tag("ul", *items, class_="findings"), note=NOTE)


def by_month(days: Iterable[dt.date]) -> Html:
    """Days in a line a month, as `dates.by_month` has them."""
    return join(tag("p", line, class_="quiet small") for line in dates.by_month(days))
