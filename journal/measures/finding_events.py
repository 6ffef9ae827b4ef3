"""Findings about events in a period: rates that changed."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import polars as pl

from journal import periods
from journal.frames import Row
from journal.language.catalogue import _
from journal.language.digits import signed
from journal.measures import completion
from journal.measures.finding_facts import LEAST_OCCASIONS
from journal.measures.finding_input import FindingFacts
from journal.measures.finding_window import window_start
from journal.periods import Period, PeriodKind
from journal.wording import numbers, rate_changes

UNUSUAL = 0.9
"""The least unusualness of a finding: at most one in ten is as extreme."""
FEWEST = 9
"""The least number of comparisons of a finding: with fewer, even the most extreme value is not one in ten."""
_ROUNDING = 1e-9
_COUNTED = ("done", "missed", "partial", "blank")


class Finding(NamedTuple):
    """One sentence. `topic` is its measure and subject: a page has at most one finding per topic."""

    topic: tuple[str, str]
    measure: str
    text: str
    n: int
    dates: list[dt.date]
    unusualness: float


def share_as_far(as_far: int, among: int) -> float:
    """Unusualness, 0 to 1: 1 minus the share of all values, this one included, that are at least as extreme.

    The share is the p of a Monte Carlo test (Barnard, G. A. (1963), J. R. Stat. Soc. B 25, 294; Dwass (1957), as in
    `correlates`) with the other values as the null distribution. The test assumes that all orders of the values are
    equally likely. Slow changes violate that.

    >>> share_as_far(0, 9), share_as_far(3, 9)
    (0.9, 0.6)
    """
    return 1 - (as_far + 1) / (among + 1)


class RateChanges(NamedTuple):
    """The findings about changes of rates, and the number of habits whose rates were compared."""

    findings: list[Finding]
    compared: int


def changes(facts: FindingFacts, period: Period, whole: pl.DataFrame) -> RateChanges:
    """Changes of a rate against the period before; in the journal's first year, of its second half against its first.

    In: `whole`, `finding_facts.series` of the kind of the period. A change must be clear. If the habit has enough
    earlier changes, its size must also be one in ten among them. Each span must have enough known occasions: blank
    evenings are no change of a habit.
    """
    halves = period.kind == "year" and period.first <= facts.first
    before, after = _halves(period) if halves else _with_the_one_before(facts, period)
    compared = _compared(facts, before, after, period.kind)
    findings: list[Finding] = []
    earlier = whole.filter(pl.col("from").is_between(window_start(period, period.kind), period.first, closed="left"))
    for row in compared.filter("clear").rows(named=True):
        sizes = _sizes(earlier, row["habit"])
        unusualness = share_as_far(int((sizes >= abs(row["difference"]) - _ROUNDING).sum()), sizes.len())
        if sizes.len() >= FEWEST and unusualness < UNUSUAL - _ROUNDING:
            continue
        text = _text(row, facts.settings.habit_name(row["habit"]), period.kind, halves=halves)
        inside = pl.col("date").is_between(*before) | pl.col("date").is_between(*after)
        mine = facts.occasions.filter(inside, pl.col("habit") == row["habit"], pl.col("state").is_in(_COUNTED))
        counted = row["counted_before"] + row["counted_after"]
        days, topic = mine.get_column("date").to_list(), ("rates", row["habit"])
        findings.append(Finding(topic, "changes", text, counted, days, max(unusualness, UNUSUAL)))
    return RateChanges(findings, compared.height)


def _compared(facts: FindingFacts, before: completion.Dates, after: completion.Dates, kind: PeriodKind) -> pl.DataFrame:
    """The changes of the habits with enough logged occasions in both spans; `clear` is among all habits of the page."""
    least = LEAST_OCCASIONS[kind]
    changed = completion.changes(
        facts.between(before[0], after[1]).occasions,
        before=before,
        after=after,
        opened=facts.first,
        known=facts.dependence,
    )
    enough = (pl.col("logged_before") >= least) & (pl.col("logged_after") >= least)
    return changed.filter(pl.col("p").is_not_null(), enough)


def _text(row: Row, name: str, kind: PeriodKind, *, halves: bool) -> str:
    """The sentence of a change, from a row of `completion.changes`."""
    now, then = (
        f"{numbers.of(row[f'done_{side}'], row[f'counted_{side}'])} ({numbers.percent(row[f'rate_{side}'])})"
        for side in ("after", "before")
    )
    if halves:
        done = _("done {now} in the second half, {then} in the first", now=now, then=then)
    elif kind == "week":
        done = _("done {now}, {then} the week before", now=now, then=then)
    elif kind == "month":
        done = _("done {now}, {then} the month before", now=now, then=then)
    else:
        done = _("done {now}, {then} the year before", now=now, then=then)
    return _(
        "{habit}: {comparison}; a clear change, {level} interval {low} to {high} percentage points.",
        habit=name,
        comparison=numbers.joined([done, rate_changes.among_logged(row)], "; "),
        level=numbers.NINETY_FIVE,
        low=_points(row["low"]),
        high=_points(row["high"]),
    )


def _points(difference: float) -> str:
    points = 100 * difference
    return signed(f"{points:+.{0 if abs(points) >= 1 else 1}f}".replace("-", "−"))


def _sizes(earlier: pl.DataFrame, habit: str) -> pl.Series:
    """The absolute differences of a habit's rates in successive periods of one unit."""
    mine = earlier.filter(pl.col("measure") == "rates", pl.col("subject") == habit).sort("from")
    follows = (pl.col("from") - pl.col("to").shift()).dt.total_days() == 1
    same_unit = pl.col("unit") == pl.col("unit").shift()
    return mine.select(pl.col("value").diff().abs().filter(follows & same_unit)).to_series()


def _halves(year: Period) -> tuple[completion.Dates, completion.Dates]:
    middle = dt.date(year.first.year, 6, 30)
    return (year.first, middle), (middle + dt.timedelta(days=1), year.last)


def _with_the_one_before(facts: FindingFacts, period: Period) -> tuple[completion.Dates, completion.Dates]:
    earlier = periods.before(period)
    return (earlier.first, earlier.last), (period.first, period.last)
