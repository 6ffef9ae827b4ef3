"""Each number of a page against the same number of earlier periods: how rare it is, and the sentence it would be."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np
import polars as pl

from journal.language.catalogue import _
from journal.measures.finding_events import Finding
from journal.measures.finding_facts import MINUTES, PLAN, REGULARITY, SPREAD, WAITING, dates
from journal.measures.finding_input import FindingFacts
from journal.measures.finding_scales import pooled, scaled
from journal.measures.finding_sentences import Comparison, sentence
from journal.measures.finding_window import window_start
from journal.measures.prediction import PeriodValues, mean_p, prediction_p
from journal.periods import Period, PeriodKind

FEWEST = {"week": 9, "month": 5}
"""The fewest earlier periods. With fewer, t is so wide that next to nothing is rare."""
FEWEST_MONTHS = 6
"""The fewest months that a year must have in common with earlier ones."""
_SHARE = 0.05
NOTICEABLE_OF = {
    "rates": _SHARE, "mood": 0.25, "energy": 0.25, "sleep": 15.0, "hours": 15.0, "tasks": _SHARE, "coverage": _SHARE,
}  # fmt: skip
NOTICEABLE = {("sleep", REGULARITY): 3.0, ("tasks", WAITING): 2.0}
"""The least distance of a finding from the median, in the unit of its measure (our choice). If all other values are
equal, even one more minute is extreme, but it deserves no sentence."""

_RANK = 0.1
"""The greatest share of values as extreme, its own included, if any other is. It matters where outliers were left out
of the spread, or weights differ."""
_ROUNDING = 1e-9
_SERIES = ("measure", "subject", "unit")
_FRAMES = {("sleep", MINUTES): "nights", ("sleep", REGULARITY): "pairs"}
"""The frame that a measure comes from, if not "days". The measure "hours" comes from "hours"."""


class Looked(NamedTuple):
    """One comparison: its p, the count of `numbers` that were looked at for it, and its finding, or None if too small.

    Of the parts of a period, the most extreme one is compared, and p allows for their number. `p_before` is the p at
    the end of the period before, of a run that has grown since: what was told then is not told again.
    """

    measure: str
    p: float
    numbers: int
    finding: Callable[[], Finding | None]
    p_before: float = 1.0


class Course(NamedTuple):
    """The rows of `series` of one measure and subject, the first days of their periods, in order, and their values."""

    firsts: list[dt.date]
    rows: pl.DataFrame
    scales: tuple[PeriodValues, ...]


Courses = dict[tuple[Any, ...], Course]


def courses(whole: pl.DataFrame) -> Courses:
    """The frame split by measure, subject and unit, once, so that each page can look its periods up by bisection."""
    parts = whole.partition_by(*_SERIES, as_dict=True, maintain_order=True)
    return {key: Course(part.get_column("from").to_list(), part, scaled(part)) for key, part in parts.items()}


def with_earlier(facts: FindingFacts, page: Period, by_key: Courses, few: frozenset[str]) -> Iterator[Looked]:
    """Each number of a week or month against those of the weeks or months before it."""
    start = window_start(page, page.kind)
    for course in by_key.values():
        here = bisect_left(course.firsts, page.first)
        first = bisect_left(course.firsts, start)
        if course.firsts[here : here + 1] != [page.first] or here - first < FEWEST[page.kind]:
            continue
        earlier = np.arange(first, here)
        row = course.rows.row(here, named=True)
        if page.kind == "week" and row["subject"] == SPREAD:
            continue  # the spread of seven numbers says little, and each number looked at costs the others
        frame = _FRAMES.get((row["measure"], row["subject"]), "hours" if row["measure"] == "hours" else "days")
        same = _("on the same weekdays") if frame in few and row["subject"] != WAITING else ""
        others = course.rows.get_column("value")[first:here]
        yield Looked(
            row["measure"],
            _p(course, here, earlier),
            1,
            lambda row=row, others=others, same=same: _finding(facts, page.kind, row, others, same=same),  # type: ignore[misc]
        )


def parts(facts: FindingFacts, page: Period, kind: PeriodKind, by_key: Courses) -> Iterator[Looked]:
    """Per measure, the most extreme month of a year, or week of a month, against all others up to its end."""
    start = window_start(page, kind)
    middle = dt.timedelta(days=3 if kind == "week" else 0)  # a week belongs to the month of its fourth day
    for course in by_key.values():
        first = bisect_left(course.firsts, start)
        begin, end = bisect_left(course.firsts, page.first - middle), bisect_right(course.firsts, page.last - middle)
        every = np.arange(first, end)
        of_spread = kind == "week" and course.rows.item(0, "subject") == SPREAD
        if end <= begin or every.size <= FEWEST[kind] or of_spread:
            continue
        ranked = [(_p(course, i, every[every != i]), -i) for i in range(begin, end)]
        p, here = min(ranked)[0], -min(ranked)[1]
        row, values = course.rows.row(here, named=True), course.rows.get_column("value")
        others = pl.concat([values[first:here], values[here + 1 : end]])
        yield Looked(
            row["measure"],
            min(p * len(ranked), 1.0),
            len(ranked),
            lambda row=row, others=others: _finding(facts, kind, row, others, part=True),  # type: ignore[misc]
        )


def with_earlier_years(facts: FindingFacts, page: Period, by_year: Courses, by_month: Courses) -> Iterator[Looked]:
    """Each number of a year against earlier years, month by month: the mean of the differences of like months.

    So a winter is compared with winters, and a year that is not over with the same months of the others. The spread of
    the differences from month to month is the yardstick: a single earlier year is enough.
    """
    for key, course in by_year.items():
        here = bisect_left(course.firsts, page.first)
        months = by_month.get(key)
        row = course.rows.row(here, named=True) if course.firsts[here : here + 1] == [page.first] else None
        # A spread of a year is not that of its months together, and what waits is not of a year.
        if row is None or months is None or row["subject"] in (SPREAD, WAITING):
            continue
        end, start = bisect_right(months.firsts, page.last), bisect_left(months.firsts, window_start(page, "month"))
        begin = bisect_left(months.firsts, page.first)
        now = {months.firsts[i].month: i for i in range(begin, end)}
        then = {m: [i for i in range(start, begin) if months.firsts[i].month == m] for m in now}
        common = [m for m in now if then[m]]
        if len(common) < FEWEST_MONTHS:
            continue
        differences = [_differences(scale, [(now[m], then[m]) for m in common]) for scale in months.scales]
        p = max(map(mean_p, differences)) if _agree([float(d.values @ d.weights) for d in differences]) else 1.0
        earlier = months.rows[sorted(i for m in common for i in then[m])]
        same = "" if len(common) == 12 else _("over the same months")
        yield Looked(
            row["measure"],
            p,
            1,
            lambda row=row, earlier=earlier, same=same: _of_year(facts, row, earlier, same),  # type: ignore[misc]
        )


def _differences(scale: PeriodValues, months: list[tuple[int, list[int]]]) -> PeriodValues:
    """The difference of each month from the mean of like months before, weighted by its precision."""
    values, weights = [], []
    for now, then in months:
        total = float(scale.weights[then].sum())
        values.append(float(scale.values[now]) - float(scale.values[then] @ scale.weights[then]) / total)
        weights.append(1 / (1 / float(scale.weights[now]) + 1 / total))
    return scale._replace(values=np.array(values), weights=np.array(weights))


def _p(course: Course, here: int, earlier: Any) -> float:
    """The p of a period, the greatest of its scales; 1 if they differ in direction."""
    others = [scale.at(earlier) for scale in course.scales]
    values = [float(scale.values[here]) for scale in course.scales]
    if not _agree([v - float(np.average(o.values, weights=o.weights)) for v, o in zip(values, others, strict=True)]):
        return 1.0
    return max(
        prediction_p(value, float(scale.weights[here]), other)
        for value, scale, other in zip(values, course.scales, others, strict=True)
    )


def _agree(directions: list[float]) -> bool:
    return all(d > 0 for d in directions) or all(d < 0 for d in directions)


def _of_year(facts: FindingFacts, row: dict[str, Any], earlier: pl.DataFrame, same: str) -> Finding | None:
    years = earlier.with_columns(year=pl.col("from").dt.year()).partition_by("year", as_dict=True, maintain_order=True)
    whole = {year: pooled(months) for (year,), months in years.items()}
    only = str(next(iter(whole))) if len(whole) == 1 else ""
    return _finding(facts, "year", row, pl.Series(list(whole.values()), dtype=pl.Float64), only=only, same=same)


def _finding(
    facts: FindingFacts,
    kind: PeriodKind,
    row: dict[str, Any],
    others: pl.Series,
    *,
    part: bool = False,
    only: str = "",
    same: str = "",
) -> Finding | None:
    """The finding of a row; None if it is too near to the median of the others to deserve a sentence, or if too
    many others are as extreme.

    Its unusualness is the share of the others that are less extreme; `findings` puts 1 - p in its place.
    """
    median = others.median()
    assert isinstance(median, float)
    value = row["value"]
    if abs(value - median) < _noticeable(row) - _ROUNDING:
        return None
    below = value < median
    as_far = int(((others <= value + _ROUNDING) if below else (others >= value - _ROUNDING)).sum())
    if as_far and (only or as_far + 1 > (others.len() + 1) * _RANK):
        return None
    compared = Comparison(kind, below, as_far, others.len(), median, part=part, only=only, same=same)
    topic = (row["measure"], row["subject"] if row["unit"] != PLAN else "as planned")
    text = sentence(row, facts.settings, compared)
    return Finding(topic, row["measure"], text, row["n"], dates(facts, row), 1 - as_far / max(others.len(), 1))


def _noticeable(row: dict[str, Any]) -> float:
    return NOTICEABLE.get(
        (row["measure"], row["subject"]), _SHARE if row["unit"] == PLAN else NOTICEABLE_OF[row["measure"]]
    )
