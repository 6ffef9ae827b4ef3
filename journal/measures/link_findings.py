"""Findings about links: those that became clear in a month or year, and those that no longer hold."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import polars as pl

from journal.frames import Row
from journal.measures import link_record, link_sentences, links
from journal.measures.compared_days import compared
from journal.measures.finding_events import UNUSUAL, Finding
from journal.measures.finding_input import FindingFacts
from journal.periods import Period

LATELY = dt.timedelta(days=365)
"""The days that the sentence of an ended link describes: up to a year, all of them after it was told."""


def of_period(facts: FindingFacts, period: Period) -> Iterator[Finding]:
    """The links that became clear in a month or year or ended in it; per habit, the one with the most evidence.

    A habit with a link that was clear before has no second sentence for its other day. There is none for weeks, since a
    link is judged when a month is over. Unusualness is 1 minus the reciprocal of the evidence.
    """
    if period.kind not in ("month", "year"):
        return
    end = min(period.last, facts.today)
    events = facts.link_events().filter(pl.col("date") <= end)
    latest = events.filter(pl.col("date") >= period.first).unique(["habit", "lag_days"], keep="last")
    if latest.is_empty():
        return
    had = link_record.standing(events, period.first - dt.timedelta(days=1)).get_column("habit")
    fresh = latest.filter(pl.col("ended") | ~pl.col("habit").is_in(had.implode()))
    ordered = fresh.sort("evidence", "habit", "lag_days", descending=[True, False, False])
    for event in ordered.unique("habit", keep="first", maintain_order=True).sort("habit").rows(named=True):
        text, behind = _ended(facts, event) if event["ended"] else _told(facts, event, end)
        if text:
            unusualness = max(1 - 1 / max(event["evidence"], 1.0), UNUSUAL)
            yield Finding(("links", event["habit"]), "links", text, len(behind), behind, unusualness)


def looked_at(facts: FindingFacts, period: Period) -> tuple[int, float]:
    """The pairs that were compared by the end of a month or year, and the sentences that chance brings of them.

    In at most a share `EVER` of journals in which nothing goes with mood a link is ever told. Here it is spread over
    the months, or years, of the journal so far. A month that is not over was not looked at.
    """
    if period.kind not in ("month", "year") or (period.kind == "month" and period.last > facts.today):
        return 0, 0.0
    count = facts.link_pairs().filter(pl.col("since") <= period.last).height
    years = period.first.year - facts.first.year
    so_far = 1 + (years if period.kind == "year" else 12 * years + period.first.month - facts.first.month)
    return count, link_record.EVER / max(so_far, 1) if count else 0.0


def _told(facts: FindingFacts, event: Row, end: dt.date) -> tuple[str, list[dt.date]]:
    """The sentence of a link that became clear, and its days. Empty if the difference has turned since then."""
    habit, lag = event["habit"], event["lag_days"]
    states, days = _of(facts, habit, end)
    standing = pl.DataFrame([event], schema=link_record.EVENTS)
    (row,) = links.links(states, days, today=end, lags=(lag,), standing=standing).rows(named=True)
    if not row["clear"]:
        return "", []
    behind = compared(states, days, today=end, lag=lag).get_column("date").to_list()
    return link_sentences.habit_link(row, facts.settings.habit_name(habit)), behind


def _ended(facts: FindingFacts, event: Row) -> tuple[str, list[dt.date]]:
    """The sentence of a link that no longer holds, and the days after it was told, of the last year."""
    habit, end = event["habit"], event["date"]
    states, days = _of(facts, habit, end)
    after = pl.col("date") > max(event["told"], end - LATELY)
    lately = compared(states, days, today=end, lag=event["lag_days"]).filter(after)
    return link_sentences.ended_link(event, facts.settings.habit_name(habit), lately), lately["date"].to_list()


def _of(facts: FindingFacts, habit: str, end: dt.date) -> tuple[pl.DataFrame, pl.DataFrame]:
    past = pl.col("date") <= end
    return facts.states.filter(past, pl.col("habit") == habit), facts.days.filter(past)
