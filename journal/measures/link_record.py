"""The record of the links of a journal: the months in which a link became clear, and in which it no longer held.

One pass over the closed months, in their order. What it says of a month rests on the days up to its end, so it is the
same on whichever later day it is asked for.

- *Told*: the evidence of a pair (`looks`) is an e-value. Among m pairs that can be compared, the k-th link is told if
  its evidence is at least m / (k x `TOLD`): Wang, R. and Ramdas, A. (2022), J. R. Stat. Soc. B 84, 822-852. So a link
  is ever told in at most a share `EVER` of journals in which nothing goes with mood.
- *Ended*: from then on the evidence against it is kept: that it is less than `STILL` of the size it had when told. It
  has ended if that reaches 1 / `EVER`, which happens to at most that share of links that last, ever. Then the pair
  starts anew.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import polars as pl

from journal.measures import looks
from journal.measures.circular_shift import Numbers
from journal.measures.compared_days import LEAST
from journal.measures.link_pairs import LinkPair, closed_by, dated_pairs, last_day

EVER = 0.05
"""The share of journals without a link in which one is ever told, and of lasting links that are ever called ended."""
TOLD = 0.8 * EVER
"""The part of it that the evidence is held to. The rest, with `_family`, is for habits that are added later: pairs are
judged among as many as there are by then, and the first ones were among fewer."""
_SETTLED_MONTHS = 6
"""After so many months with a pair that can be compared, most first habits have had their 14 days on each side."""
STILL = 0.5
"""A link has ended if it is less than half of what it was when it was told: then it was the larger."""
_ENDS_AT_ONCE = 0.5
"""The weight of an end with the first month after the link was told; the rest goes to later ends."""

EVENTS: dict[str, Any] = {
    "habit": pl.String,
    "lag_days": pl.Int64,
    "date": pl.Date,
    "ended": pl.Boolean,
    "higher": pl.Boolean,
    "evidence": pl.Float64,
    "told": pl.Date,
}


class LinkEvent(NamedTuple):
    """A pair (its place among all pairs) that is told or ended in a month (years x 12 + month)."""

    pair: int
    month: int
    ended: bool
    higher: bool
    log_evidence: float
    told: int


class _PairCourse(NamedTuple):
    """A pair: its closed blocks, the residuals, and of each block the logarithms of its e-values; and, over all days up
    to its end: the slope of the residuals within the blocks, whether both sides have the least days, and whether the
    mean is higher on days with the mark."""

    pairs: looks.DatedPairs
    closed: looks.Blocks
    residuals: Numbers
    log_values: Numbers
    slope: Numbers
    testable: list[bool]
    rises: list[bool]


class _Standing(NamedTuple):
    higher: bool
    told: int
    half: float
    capital: Numbers
    blocks: int


def record(
    states: pl.DataFrame,
    days: pl.DataFrame,
    *,
    today: dt.date,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = LEAST,
) -> pl.DataFrame:
    """The links that were told, and that ended, in the closed months of a journal.

    In: as `compared_days.compared`, the whole journal. Out: `EVENTS`, in the order of time: habit, lag_days, date (the
    last day of the month), ended (Boolean: it no longer holds; else it became clear), higher (the habit goes with
    higher mood), evidence (Float64: an e-value; 1 where nothing speaks for it), told (the day on which it became
    clear). A month is closed on its last day. A day without a mark or a mood is left out, as in `compared`; so are
    pairs with fewer than `least` days on a side.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 7, 10), eager=True)
    >>> done = [i * i * i % 31 < 15 for i in range(len(dates))]
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "asked": True, "mark": "done",
    ...     "per": pl.Series([None] * len(dates), dtype=pl.String), "state": ["done" if d else "missed" for d in done]})
    >>> moods = pl.DataFrame({"date": dates, "mood": [3.0 + d + i * 7 % 5 / 5 for i, d in enumerate(done)]})
    >>> record(states, moods, today=dates[-1], lags=(0,)).select("habit", "date", "ended", "higher").rows()
    [('walk', datetime.date(2025, 2, 28), False, True)]
    """
    pairs = dated_pairs(states, days, today=today, column=column, lags=lags)
    return events(pairs, today=today, least=least)


def events(pairs: Mapping[LinkPair, looks.DatedPairs], *, today: dt.date, least: int = LEAST) -> pl.DataFrame:
    """`record` of the days of some pairs."""
    keys = list(pairs)
    rows = [
        (*keys[e.pair], last_day(e.month), e.ended, e.higher, math.exp(min(e.log_evidence, 700)), last_day(e.told))
        for e in judged(list(pairs.values()), closed_by(today), least)
    ]
    return pl.DataFrame(rows, schema=EVENTS, orient="row")


def standing(events: pl.DataFrame, end: dt.date) -> pl.DataFrame:
    """The links that are clear by the end of a day: the last event of each pair, where that is not its end.

    In and out: `EVENTS`.

    >>> told = {"habit": "walk", "lag_days": 0, "date": dt.date(2025, 2, 28), "ended": False, "higher": True}
    >>> events = pl.DataFrame([told, told | {"date": dt.date(2027, 3, 31), "ended": True}])
    >>> [standing(events, dt.date(year, 12, 31)).height for year in (2024, 2025, 2027)]
    [0, 1, 0]
    """
    return (
        events.filter(pl.col("date") <= end)
        .unique(["habit", "lag_days"], keep="last", maintain_order=True)
        .filter(~pl.col("ended"))
    )


def judged(pairs: Sequence[looks.DatedPairs], last_month: int, least: int = LEAST) -> Iterator[LinkEvent]:
    """The events of all pairs, month by month."""
    courses = _courses(pairs, last_month, least)
    closing: dict[int, list[tuple[int, int]]] = {}
    for place, course in enumerate(courses):
        for block, month in enumerate(course.closed.month):
            closing.setdefault(month, []).append((place, block))
    size = len(courses)
    capital = np.full((size, 2, looks.STRENGTHS.size), -np.inf)
    since, testable = np.zeros(size, np.int64), np.zeros(size, np.bool_)
    stands: dict[int, _Standing] = {}
    first_month = at_first = 0
    for month in sorted(closing):
        places = np.array([place for place, _ in closing[month]])
        log_values = np.stack([courses[place].log_values[block] for place, block in closing[month]])
        since[places] += 1
        weight = looks.start_weight(since[places])[:, None, None]
        capital[places] = looks.grown(capital[places], log_values, weight)
        last_block = dict(closing[month])
        for place in places.tolist():
            testable[place] |= courses[place].testable[last_block[place]]
            if place in stands:
                stands[place] = after = _after_block(stands[place], courses[place], last_block[place])
                against = float(looks.mixed(after.capital))
                if against >= -math.log(EVER):
                    yield LinkEvent(place, month, True, after.higher, against, after.told)
                    del stands[place]
                    capital[place], since[place] = -np.inf, 0
        sides = looks.mixed(capital)
        evidence = np.logaddexp(sides[:, 0], sides[:, 1]) - math.log(2)
        higher = sides[:, 0] > sides[:, 1]
        able = [
            place
            for place, block in last_block.items()
            if testable[place] and place not in stands and _agrees(courses[place], block, bool(higher[place]))
        ]
        m = int(testable.sum())
        if m and (not first_month or month < first_month + _SETTLED_MONTHS):
            first_month, at_first = first_month or month, m
        for place in _new(able, evidence, len(stands), _family(m, at_first)):
            slope = float(courses[place].slope[last_block[place]])
            nothing_yet = np.full(looks.STRENGTHS.size, -np.inf)
            stands[place] = _Standing(bool(higher[place]), month, STILL * slope, nothing_yet, 0)
            yield LinkEvent(place, month, False, bool(higher[place]), float(evidence[place]), month)


def _agrees(course: _PairCourse, block: int, higher: bool) -> bool:
    """Whether the difference of the means and the slope within the blocks have the sign that the evidence has."""
    return course.rises[block] == higher and (course.slope[block] > 0) == higher


def _family(m: int, at_first: int) -> float:
    """The number of pairs to judge among: more than m where habits were added, since the first were among fewer."""
    return m * (1 + math.log(max(m, 1) / max(at_first, 1)))


def _new(able: list[int], evidence: Numbers, standing: int, m: float) -> list[int]:
    """The pairs to tell besides those that stand: as many as possible, the k-th with evidence of m / (k x TOLD)."""
    ordered = sorted(able, key=lambda place: -evidence[place])
    enough = 0
    for count, place in enumerate(ordered, start=1):
        if evidence[place] >= math.log(m / ((standing + count) * TOLD)):
            enough = count
    return ordered[:enough]


def _after_block(link: _Standing, course: _PairCourse, block: int) -> _Standing:
    """The link with the evidence of one more block that it is smaller than half of what it was."""
    days = slice(course.closed.start[block], course.closed.end[block])
    one = course.pairs.one[days]
    left = course.residuals[days] - link.half * (one - one.mean())
    against = looks.log_e(one[None], left[None])[0, 1 if link.higher else 0]
    count = link.blocks + 1
    weight = looks.start_weight(np.array(count), _ENDS_AT_ONCE)
    return link._replace(capital=looks.grown(link.capital, against, weight), blocks=count)


def _courses(pairs: Sequence[looks.DatedPairs], last_month: int, least: int) -> list[_PairCourse]:
    closed = [looks.blocks(pair.month, last_month) for pair in pairs]
    remainders = _residuals(pairs, closed)
    by_length: dict[int, list[tuple[int, int, slice]]] = {}
    for place, of in enumerate(closed):
        for block, (start, end) in enumerate(zip(of.start, of.end, strict=True)):
            by_length.setdefault(end - start, []).append((place, block, slice(start, end)))
    log_values = [np.zeros((len(of.month), 2, looks.STRENGTHS.size)) for of in closed]
    for entries in by_length.values():
        ones = np.stack([pairs[place].one[days] for place, _, days in entries])
        others = np.stack([remainders[place][days] for place, _, days in entries])
        for (place, block, _), values in zip(entries, looks.log_e(ones, others), strict=True):
            log_values[place][block] = values
    return [
        _course(pair, of, rest, values, least)
        for pair, of, rest, values in zip(pairs, closed, remainders, log_values, strict=True)
    ]


def _residuals(pairs: Sequence[looks.DatedPairs], closed: list[looks.Blocks]) -> list[Numbers]:
    """The residuals of each pair, computed once for habits that were asked on the same days."""
    known: dict[tuple[bytes, ...], Numbers] = {}
    remainders = []
    for pair, of in zip(pairs, closed, strict=True):
        days = pair.month.tobytes(), pair.weekday.tobytes(), pair.values.tobytes(), pair.before.tobytes()
        if days not in known:
            known[days] = looks.residuals(pair, of)
        remainders.append(known[days])
    return remainders


def _course(
    pairs: looks.DatedPairs, closed: looks.Blocks, rest: Numbers, log_values: Numbers, least: int
) -> _PairCourse:
    one, values = pairs.one, pairs.values
    start, end = np.array(closed.start, np.int64), np.array(closed.end, np.int64)

    def by_block(daily: Numbers) -> Numbers:
        sums: Numbers = np.add.reduceat(daily[: end[-1]], start) if start.size else np.zeros(0)
        return sums

    days, marks = end - start, by_block(one)
    total = np.arange(1, one.size + 1)
    with_it, all_values, together = np.cumsum(one), np.cumsum(values), np.cumsum(one * values)
    fewer = np.minimum(with_it, total - with_it)
    rises = total * together > with_it * all_values
    covariance = np.cumsum(by_block(one * rest) - marks * by_block(rest) / days)
    variance = np.cumsum(by_block(one * one) - marks * marks / days)
    return _PairCourse(
        pairs=pairs,
        closed=closed,
        residuals=rest,
        log_values=log_values,
        slope=np.divide(covariance, variance, out=np.zeros_like(covariance), where=variance > 0),
        testable=(fewer[end - 1] >= max(least, 1)).tolist(),
        rises=rises[end - 1].tolist(),
    )
