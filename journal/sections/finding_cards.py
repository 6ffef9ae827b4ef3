"""The findings of a period as a card: sentences, each with the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from journal.frames import Row
from journal.measures.finding_facts import FindingFacts
from journal.measures.findings import findings
from journal.periods import Period
from journal.sections import cards
from journal.sections.escape import Html, join, tag
from journal.wording import dates

TITLE = "What stands out"
NOTE = "Unusual so far: what was, not why."


FIRST = 3
"""The findings in sight. The others are folded."""


def card(facts: FindingFacts, period: Period) -> Html:
    """A card of the findings of a period, the most unusual in sight; empty without one. In: `Journal.facts`."""
    rows = list(findings(facts, [period]).iter_rows(named=True))
    if not rows:
        return Html("")
    rest = [cards.details(f"{len(rows) - FIRST} more", _list(rows[FIRST:]))] if len(rows) > FIRST else []
    return cards.card(TITLE, _list(rows[:FIRST]), *rest, note=NOTE, kind="standing-out")


def _list(rows: Iterable[Row]) -> Html:
    """Findings as a list. Each is a disclosure of the days behind it."""
    items = [
        tag("li", cards.details(row["text"], tag("p", f"The days, {len(row['dates'])}"), by_month(row["dates"])))
        for row in rows
    ]
    return tag("ul", *items, class_="findings")


def by_month(days: Iterable[dt.date]) -> Html:
    """The days, one line per month (`dates.by_month`)."""
    return join(tag("p", line, class_="quiet small") for line in dates.by_month(days))
