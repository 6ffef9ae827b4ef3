"""The findings of a period as a card: sentences, each with the days behind it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from journal.language.catalogue import N_, _
from journal.measures.finding_events import Finding
from journal.measures.finding_input import FindingFacts
from journal.measures.finding_sentences import looked_at
from journal.measures.findings import by_page
from journal.periods import Period, PeriodKind
from journal.sections import cards
from journal.sections.escape import Html, join, tag
from journal.wording import dates

TITLE = N_("What stands out")
NOTE = N_("Unusual so far: what was, not why.")
NOTHING = N_("Nothing stands out.")
_TOLD = N_(
    "It is told if chance alone would rarely put it so far out. Changes of rates and links with mood are counted too."
)
HOW: Mapping[PeriodKind, str] = {
    "week": N_("Each was compared with the same number of the weeks before, up to a year back."),
    "month": N_(
        "Each was compared with the same number of the months before, up to two years back, or, while they are few, "
        "those of its weeks with other weeks."
    ),
    "year": N_(
        "Each was compared with the same number of up to four years before, month by month, and those of its months "
        "with other months."
    ),
}
"""What the numbers of a page were compared with. The texts of this module are for `_`."""


FIRST = 3
"""The findings in sight. The others are folded."""


def card(facts: FindingFacts, period: Period) -> Html:
    """A card of the findings of a period, the most unusual in sight, and of how many numbers were looked at; empty
    where nothing could be compared. In: `Journal.facts`."""
    for _page, page in by_page(facts, [period]):
        first, rest = page.findings[:FIRST], page.findings[FIRST:]
        looked = looked_at(page.looked_at, page.by_chance, period.kind)
        how = f"{_(HOW[period.kind])} {_(_TOLD)}"
        parts = [
            _list(first) if first else tag("p", _(NOTHING)),
            *([cards.details(_("{count} more", count=len(rest)), _list(rest))] if rest else []),
            *([cards.details(looked, tag("p", how, class_="quiet small"))] if looked else []),
        ]
        if first or looked:
            return cards.card(_(TITLE), *parts, note=_(NOTE) if first else "", kind="standing-out")
    return Html("")


def _list(findings: Iterable[Finding]) -> Html:
    """Findings as a list. Each is a disclosure of the days behind it."""
    items = [
        tag(
            "li",
            cards.details(found.text, tag("p", _("The days, {count}", count=len(found.dates))), by_month(found.dates)),
        )
        for found in findings
    ]
    return tag("ul", *items, class_="findings")


def by_month(days: Iterable[dt.date]) -> Html:
    """The days, one line per month (`dates.by_month`)."""
    return join(tag("p", line, class_="quiet small") for line in dates.by_month(days))
