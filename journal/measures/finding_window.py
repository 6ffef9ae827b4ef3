"""The part of a journal that a page's findings are compared with: a bounded number of earlier periods.

The bound keeps a page of the fiftieth year as quick as one of the third, and compares her with herself of these years.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.measures.finding_input import FindingFacts
from journal.periods import Period, PeriodKind
from journal.settings import WEEKDAYS

WEEKS, MONTHS, YEARS = 52, 24, 4
"""The most earlier periods that are compared with."""


def window_start(page: Period, kind: PeriodKind) -> dt.date:
    """The first day of the periods of `kind` that a page is compared with. A page of a year is compared by months.

    >>> from journal import periods
    >>> march = periods.month(dt.date(2025, 3, 1))
    >>> window_start(march, "month"), window_start(march, "week"), window_start(periods.year(2025), "month")
    (datetime.date(2023, 3, 1), datetime.date(2024, 3, 2), datetime.date(2021, 1, 1))
    """
    if page.kind == "year":
        return dt.date(max(page.first.year - YEARS, 1), 1, 1)
    if kind == "month":
        return dt.date(max(page.first.year - MONTHS // 12, 1), page.first.month, 1)
    return page.first - dt.timedelta(weeks=WEEKS)


def on_same_weekdays(facts: FindingFacts, week: Period) -> tuple[FindingFacts, frozenset[str]]:
    """The facts on only those weekdays that a week has, and the names of the frames that this restricts.

    For hours and nights, the weekdays are those with recorded values. Without this, an incomplete week would differ for
    no reason: from Monday to Thursday there is more work a day than in a week with its Sunday. The occasions of a
    weekly or monthly quota are kept.
    """
    written = facts.hours.filter(pl.col("layer") == "actual")
    slept = facts.nights.filter(pl.col("minutes").is_not_null())
    recorded = {"days": facts.days, "hours": written, "nights": slept, "pairs": facts.pairs}
    inside = pl.col("date").is_between(week.first, week.last)
    weekdays = {name: frame.filter(inside).get_column("date").dt.weekday().unique() for name, frame in recorded.items()}
    few = frozenset(name for name, present in weekdays.items() if 0 < present.len() < len(WEEKDAYS))
    if not few:
        return facts, few
    on = {name: pl.col("date").dt.weekday().is_in(weekdays[name].implode()) for name in few}
    same = facts.replaced(**{name: getattr(facts, name).filter(here) for name, here in on.items()})
    if "days" not in few:
        return same, few
    return same.replaced(
        occasions=facts.occasions.filter(on["days"] | (pl.col("unit") != "occasion")),
        tasks=facts.tasks.filter(on["days"]),
    ), few
