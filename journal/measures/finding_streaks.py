"""Streaks that are a finding: so long that the habit's own way of going on would rarely bring them about.

A habit that goes on after a done occasion with the probability a has runs of a length of L or more with the probability
a^(L-1), whatever its rate: it is a two-state Markov chain, so days need not be independent. That a is known only from
the occasions so far: with s that went on and f that did not, and Jeffreys's prior, the probability is that of a
beta-binomial (Jeffreys, H. (1961), Theory of Probability, section 3.1), the mean of a^(L-1) over what a may be. It is
multiplied by the number of runs in the period, since the longest of them is looked at.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import polars as pl

from journal.language.catalogue import _, _n
from journal.measures.finding_comparisons import Looked
from journal.measures.finding_events import Finding
from journal.measures.finding_input import FindingFacts
from journal.periods import Period
from journal.wording import dates, habits, numbers

LEAST_RUN = {"occasion": 5, "week": 3, "month": 3}
"""The least length of a run that is a finding, whatever came before it."""
FEWEST_RUNS = 3
"""The fewest earlier runs: with fewer, how the habit goes on is not known."""

_EPOCH, _DAY = dt.date(1970, 1, 1), dt.timedelta(days=1)
_Places = npt.NDArray[np.int64]


class _Occasions(NamedTuple):
    """The counted occasions of a habit in one unit, in order, and its runs, each by its first and its last occasion.

    A run is `broken` if an occasion followed that was not done; a change of the unit ends it unbroken. `went_on` has
    the number of done occasions before each occasion that were followed by a done one, `stopped` of those by another.
    `begins` and `ends` are days since 1970: of all the dates of a journal, a page needs a few.
    """

    habit: str
    unit: str
    rows: pl.DataFrame
    begins: _Places
    ends: _Places
    firsts: _Places
    lasts: _Places
    broken: npt.NDArray[np.bool_]
    went_on: _Places
    stopped: _Places


def occasions_by_unit(facts: FindingFacts) -> list[_Occasions]:
    """The occasions of each habit and unit, once for all pages. A run ends where the unit of the habit changes."""
    counted = ["done", "missed", "partial", *(["blank"] if facts.settings.blank == "breaks" else [])]
    known = facts.every_occasion.filter(pl.col("state").is_in(counted), pl.col("to") <= facts.today).with_columns(
        stretch=pl.struct("habit", "unit").rle_id()
    )
    grouped = known.group_by("habit", "unit", maintain_order=True)
    return [_with_runs(str(habit), str(unit), rows) for (habit, unit), rows in grouped]


def _with_runs(habit: str, unit: str, rows: pl.DataFrame) -> _Occasions:
    done, stretch = (rows.get_column("state") == "done").to_numpy(), rows.get_column("stretch").to_numpy()
    after_done = np.zeros(done.size, bool)  # whether the occasion before was done, with the same unit
    after_done[1:] = done[:-1] & (stretch[1:] == stretch[:-1])
    joined = done & after_done
    firsts, lasts = np.flatnonzero(done & ~joined), np.flatnonzero(done & ~np.append(joined[1:], False))
    broken = np.append(after_done[1:], False)[lasts]
    begins, ends = (rows.get_column(name).to_physical().cast(pl.Int64).to_numpy() for name in ("from", "to"))
    went_on, stopped = np.cumsum(joined, dtype=np.int64), np.cumsum(after_done & ~joined, dtype=np.int64)
    return _Occasions(habit, unit, rows, begins, ends, firsts, lasts, broken, went_on, stopped)


def streaks(facts: FindingFacts, page: Period, every: list[_Occasions]) -> Iterator[Looked]:
    """The least likely run of each habit that ended in the page's period, or grew in it."""
    end = min(page.last, facts.today)
    newest: dict[str, _Occasions] = {}
    for mine in every:
        last = _until(mine, end)
        if last:
            other = newest.get(mine.habit)
            if other is None or mine.begins[last - 1] > other.begins[_until(other, end) - 1]:
                newest[mine.habit] = mine
    for mine in newest.values():
        looked = _of_habit(facts, page, end, mine)
        if looked is not None:
            yield looked


def _until(mine: _Occasions, day: dt.date) -> int:
    """The number of occasions that ended by a day."""
    return int(np.searchsorted(mine.ends, (day - _EPOCH).days, side="right"))


def chance(length: int, went_on: int, stopped: int) -> float:
    """The probability that a run that has begun gets `length` occasions, by how earlier ones went on.

    >>> round(chance(1, 20, 10), 3), round(chance(3, 20, 10), 3), round(chance(10, 20, 10), 4)
    (1.0, 0.444, 0.0393)
    """
    more, total = length - 1, went_on + stopped + 1
    logs = math.lgamma(went_on + 0.5 + more) - math.lgamma(went_on + 0.5) - math.lgamma(total + more)
    return math.exp(min(logs + math.lgamma(total), 0.0))


def _of_habit(facts: FindingFacts, page: Period, end: dt.date, mine: _Occasions) -> Looked | None:
    begin, stop = _until(mine, page.first - _DAY), _until(mine, end)
    if begin >= stop:
        return None
    # A run that ended by the page's first occasion belongs to it: its end is told here.
    runs = [
        i
        for i in range(int(np.searchsorted(mine.lasts, begin - 1)), int(np.searchsorted(mine.firsts, stop)))
        if i >= FEWEST_RUNS
    ]
    if not runs:
        return None
    told = []
    for i in runs:
        first, last = int(mine.firsts[i]), min(int(mine.lasts[i]), stop - 1)
        ended = last + 1 < stop and int(mine.lasts[i]) == last and bool(mine.broken[i])
        if ended or last >= begin:
            known = int(mine.went_on[first]), int(mine.stopped[first])
            p = min(len(runs) * chance(last - first + 1, *known), 1.0)
            before = 1.0 if ended or begin <= first else min(len(runs) * chance(begin - first, *known), 1.0)
            told.append((p, i, last, before, ended))
    if not told:
        return None
    p, i, last, before, ended = min(told)
    return Looked("streaks", p, 1, lambda: _finding(facts, mine, i, last, ended=ended), before)


def _finding(facts: FindingFacts, mine: _Occasions, i: int, last: int, *, ended: bool) -> Finding | None:
    first = int(mine.firsts[i])
    behind = mine.rows.get_column("date").slice(first, last - first + 1).to_list()
    length, lengths = last - first + 1, mine.lasts[:i] - mine.firsts[:i] + 1
    as_far = int((lengths >= length).sum())
    if length < LEAST_RUN[mine.unit] or (as_far and not ended):
        return None
    values = {"habit": facts.settings.habit_name(mine.habit), "run": habits.long_run(length, mine.unit)}
    values["rank"] = _rank(as_far, i)
    if ended:
        after = mine.rows.row(last + 1, named=True)
        how = habits.state_word("blank" if after["state"] == "blank" else "missed")
        text = _("{habit}: {run}, {rank}; {end} ({how}).", end=_end(after["from"], mine.unit), how=how, **values)
    else:
        by, longest = dates.day(mine.rows.item(last, "to")), numbers.number(int(lengths.max()))
        text = _("{habit}: {run} by {day}, {rank} (the longest: {longest}).", day=by, longest=longest, **values)
    return Finding(("streaks", mine.habit), "streaks", text, length, behind, 0.0)


def _rank(as_far: int, runs: int) -> str:
    """How many of the earlier runs were as long."""
    if not as_far:
        return _n("longer than any of {count} earlier run", "longer than any of {count} earlier runs", runs)
    return _n(
        "and {count} of {runs} earlier runs was as long or longer",
        "and {count} of {runs} earlier runs were as long or longer",
        as_far,
        runs=numbers.number(runs),
    )


def _end(first: dt.date, unit: str) -> str:
    """When a run ended: the day, or the week or month by its first day, that was not done."""
    day = dates.day(first, weekday=unit == "occasion")
    if unit == "week":
        return _("it ended with the week from {day}", day=day)
    return _("it ended with the month from {day}", day=day) if unit == "month" else _("it ended on {day}", day=day)
