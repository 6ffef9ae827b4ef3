"""What stands out in a period, as a few sentences: numbers that would rarely come so far out by chance.

Each number of a period (a rate, a mean, a share, a streak) is compared with the same number of earlier periods of this
journal, by a test that respects that days are alike: `finding_comparisons` and `finding_streaks` say which. On a page
some thirty numbers are looked at, so the level of each is set by their count: where nothing changes, a page has
`BY_CHANCE` sentences on average, or fewer: the expected number of false findings is what is held (Spjotvoll, E. (1972),
Ann. Math. Stat. 43, 398-411). tests/benchmarks/findings.md has the measured rates, and which real changes are told.

Changes of rates have tests of their own: `finding_events`, and so have links: `link_findings`. What a page says of
chance counts them too. A finding states facts only, without praise, blame or advice.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

import polars as pl

from journal.call_arguments import checked
from journal.measures import link_findings
from journal.measures.false_discovery import CLEAR
from journal.measures.finding_comparisons import Courses, Looked, courses, parts, with_earlier, with_earlier_years
from journal.measures.finding_events import Finding, changes
from journal.measures.finding_facts import series
from journal.measures.finding_input import FindingFacts
from journal.measures.finding_streaks import occasions_by_unit, streaks
from journal.measures.finding_window import on_same_weekdays, window_start
from journal.periods import Period, PeriodKind

FINDINGS: dict[str, Any] = {
    "page": pl.String,
    "text": pl.String,
    "measure": pl.String,
    "n": pl.Int64,
    "dates": pl.List(pl.Date),
    "subject": pl.String,
    "unusualness": pl.Float64,
    "looked_at": pl.Int64,
    "by_chance": pl.Float64,
}

BY_CHANCE: Mapping[PeriodKind, float] = {"week": 0.2, "month": 0.3, "year": 0.5}
"""The most sentences that a page may have by chance, on average, without changes and links, which come to them."""
_HIGHEST = 0.02
"""The highest level of one number. Where few are looked at, one in fifty must still be rare enough."""

MOST = 6
MOST_OF_ONE = 2
"""The most sentences of one measure on a page, so that one measure cannot fill it."""

_ORDER = ("streaks", "changes", "rates", "links", "mood", "energy", "sleep", "hours", "tasks", "coverage")


class PageFindings(NamedTuple):
    """The findings of a page, how many numbers were looked at, and how many of them chance may put so far out, on
    average, in a journal in which nothing changes (at most). Changes of rates and links with mood are among them."""

    findings: list[Finding]
    looked_at: int
    by_chance: float


@checked
def findings(facts: FindingFacts, pages: Iterable[Period]) -> pl.DataFrame:
    """The findings of some weeks, months and years.

    In: `Journal.facts`; the periods. Out: `FINDINGS`, a row per sentence, by page and the most
    unusual first, at most `MOST` per page and `MOST_OF_ONE` per measure:

    - page (String, ISO 8601 name of the period), text (the sentence, in the spoken language), measure (its name in
      `duskbook show`, or "energy"), subject (the key of a habit or category, or a part of the measure such as "level")
    - n (Int64: the days, nights, occasions or tasks it is based on), dates (List of Date: those days, or the days on
      which those tasks began), unusualness (Float64, 0.9 to 1: 1 - p)
    - looked_at (Int64), by_chance (Float64): as in `PageFindings`, the same on all rows of a page

    Unrecorded days are ignored. Periods with too few days are neither reported nor compared with. The current period
    counts up to today. An incomplete week is compared with the same weekdays of earlier weeks, and its sentence says
    so. The result is deterministic: the order of the rows in the tables does not matter.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> from journal.periods import year
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text('title = "Empty"')
    ...     facts = journal.open(folder, today=dt.date(2025, 3, 14)).facts
    >>> findings(facts, [year(2025)]).height
    0
    """
    rows = [
        (page.key, f.text, f.measure, f.n, f.dates, f.topic[1], f.unusualness, one.looked_at, one.by_chance)
        for page, one in by_page(facts, pages)
        for f in one.findings
    ]
    return pl.DataFrame(rows, schema=FINDINGS, orient="row")


def by_page(facts: FindingFacts, pages: Iterable[Period]) -> Iterator[tuple[Period, PageFindings]]:
    """The findings of each page that overlaps the journal. Several pages cost little more than one."""
    shown = [p for p in pages if p.first <= facts.today and p.last >= facts.first and p.kind != "day"]
    runs = occasions_by_unit(facts) if shown else []

    @cache
    def near(kind: PeriodKind, page_kind: PeriodKind) -> FindingFacts:
        mine = [p for p in shown if p.kind == page_kind]
        # The last week of a month ends up to three days after it.
        rest = dt.timedelta(days=6 if kind == "week" else 0)
        return facts.between(min(window_start(p, kind) for p in mine), max(p.last for p in mine) + rest)

    @cache
    def of_kind(kind: PeriodKind, page_kind: PeriodKind) -> tuple[pl.DataFrame, Courses]:
        whole = series(near(kind, page_kind), kind)
        return whole, courses(whole)

    for page in shown:
        whole, mine = of_kind(page.kind, page.kind)
        own = near(page.kind, page.kind)
        looked = list(streaks(facts, page, runs))
        if page.kind == "year":
            by_month = of_kind("month", "year")[1]
            looked += [*with_earlier_years(own, page, mine, by_month), *parts(own, page, "month", by_month)]
        elif page.kind == "month":
            of_months = list(with_earlier(own, page, mine, frozenset()))
            looked += of_months or parts(near("week", "month"), page, "week", of_kind("week", "month")[1])
        else:
            same, few = on_same_weekdays(own.between(window_start(page, "week"), page.last), page)
            looked += with_earlier(own, page, courses(series(same, "week")) if few else mine, few)
        told, by_chance = _told(looked, BY_CHANCE[page.kind])
        changed, (pairs, links_by_chance) = changes(own, page, whole), link_findings.looked_at(facts, page)
        found = chosen([*changed.findings, *link_findings.of_period(facts, page), *told])
        count = sum(one.numbers for one in looked) + changed.compared + pairs
        # Where no rate changes, some change is called clear on at most a share `CLEAR` of pages.
        yield page, PageFindings(found, count, by_chance + (CLEAR if changed.compared else 0.0) + links_by_chance)


def _told(looked: list[Looked], by_chance: float) -> tuple[list[Finding], float]:
    """The findings of what is rare enough, and the sum of the levels: how many chance brings about, at most.

    The share of a measure is the root of its count: eight habits get more than one mood, but each of them less.
    """
    counts = Counter(one.measure for one in looked)
    shares = sum(math.sqrt(count) for count in counts.values())
    levels = [min(by_chance / (shares * math.sqrt(counts[one.measure])), _HIGHEST) for one in looked]
    rare = [(one, one.finding()) for one, level in zip(looked, levels, strict=True) if one.p <= level < one.p_before]
    return [f._replace(unusualness=1 - one.p) for one, f in rare if f is not None], sum(levels)


def chosen(candidates: Iterable[Finding]) -> list[Finding]:
    """The findings of a page: most unusual first, one per topic; ties by the order of the measures, then by subject
    and days, so that they are the same in every language.

    >>> quiet = Finding(("mood", "level"), "mood", "Mood averaged 3.", 30, [], 0.9)
    >>> loud = quiet._replace(unusualness=0.95)
    >>> [finding.unusualness for finding in chosen([quiet, loud])]
    [0.95]
    """
    ordered = sorted(candidates, key=lambda f: (-round(f.unusualness, 9), _ORDER.index(f.measure), f.topic, f.dates))
    kept: list[Finding] = []
    for finding in ordered:
        same_measure = [other for other in kept if other.measure == finding.measure]
        if len(same_measure) < MOST_OF_ONE and all(other.topic != finding.topic for other in kept):
            kept.append(finding)
    return kept[:MOST]
