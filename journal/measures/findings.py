"""The most unusual values of a period in this journal, as a few sentences.

Each measure of a period (a rate, a mean, a share) is ranked among the same measure of all earlier periods of its kind
that have enough days. Its *unusualness* is 1 minus the share of these values, its own included, that are at least as
extreme on the same side. A value becomes a finding if all of this holds:

- Its unusualness is `UNUSUAL` or more.
- It is compared with `FEWEST` periods or more.
- It lies beyond Tukey's inner fences: `INNER` interquartile ranges past the quartiles of the others (Tukey, J. W.
  (1977), Exploratory Data Analysis).

If a year has fewer than `FEWEST` earlier years, its months are ranked among all months up to its end. The weeks of a
month are handled likewise. One of many parts is always the most extreme, so a part must lie beyond the outer fences.
Streaks are ranked among earlier runs, changes among earlier changes, links among their own shifts: `finding_events`.

This selection is our own choice. The share is the p of a Monte Carlo test (`finding_events.share_as_far`). A page has
some thirty measures, so chance alone produces a finding now and then: tests/benchmarks/findings.md has the rate. A
finding states facts only, without praise, blame or advice.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any, NamedTuple

import polars as pl

from journal.measures.finding_events import FEWEST, UNUSUAL, Finding, clear_links, events, share_as_far
from journal.measures.finding_facts import (
    MINUTES,
    PLAN,
    REGULARITY,
    WAITING,
    FindingFacts,
    dates,
    on_same_weekdays,
    series,
)
from journal.measures.finding_sentences import sentence
from journal.periods import Period, PeriodKind

FINDINGS: dict[str, Any] = {
    "page": pl.String,
    "text": pl.String,
    "measure": pl.String,
    "n": pl.Int64,
    "dates": pl.List(pl.Date),
    "subject": pl.String,
    "unusualness": pl.Float64,
}

MOST = 6
MOST_OF_ONE = 2
"""The most sentences of one measure on a page, so that one measure cannot fill it."""

INNER, OUTER = 1.5, 3.0
"""Tukey's fences, in interquartile ranges past the quartiles. He calls values beyond the outer fences "far out"."""
_SHARE = 0.05
NOTICEABLE_OF = {
    "rates": _SHARE, "mood": 0.25, "energy": 0.25, "sleep": 15.0, "hours": 15.0, "tasks": _SHARE, "coverage": _SHARE,
}  # fmt: skip
NOTICEABLE = {("sleep", REGULARITY): 3.0, ("tasks", WAITING): 2.0}
"""The least distance of a finding from the median, in the unit of its measure (our choice). If all other values are
equal, even one more minute is extreme, but it deserves no sentence."""

_ROUNDING = 1e-9
_PARTS: dict[PeriodKind, PeriodKind] = {"year": "month", "month": "week"}
_ORDER = ("streaks", "changes", "rates", "links", "mood", "energy", "sleep", "hours", "tasks", "coverage")


def findings(facts: FindingFacts, pages: Iterable[Period]) -> pl.DataFrame:
    """The findings of some weeks, months and years.

    In: the facts of `finding_facts.gather`; the periods. Out: `FINDINGS`, a row per sentence, by page and the most
    unusual first, at most `MOST` per page and `MOST_OF_ONE` per measure:

    - page (String, ISO 8601 name of the period), text (the sentence), measure (its name in `duskbook show`, or
      "energy"), subject (the key of a habit or category, or a part of the measure such as "level")
    - n (Int64: the days, nights, occasions or tasks it is based on), dates (List of Date: those days, or the days on
      which those tasks began), unusualness (Float64, 0.9 to 1)

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
    clear = clear_links(facts)

    @cache
    def of_kind(kind: PeriodKind) -> tuple[pl.DataFrame, _Courses]:
        whole = series(facts, kind)
        return whole, _courses(whole)

    rows: list[tuple[Any, ...]] = []
    for page in pages:
        if page.first > facts.today or page.last < facts.first or page.kind == "day":
            continue
        whole, courses = of_kind(page.kind)
        same, few = on_same_weekdays(facts, page) if page.kind == "week" else (facts, frozenset())
        ranked = list(_ranked(facts, page, _courses(series(same, page.kind)) if few else courses, few))
        if page.kind in _PARTS:
            ranked += _parts(facts, page, courses, of_kind(_PARTS[page.kind])[1])
        rows += [
            (page.key, f.text, f.measure, f.n, f.dates, f.topic[1], f.unusualness)
            for f in chosen([*events(facts, page, whole, clear), *ranked])
        ]
    return pl.DataFrame(rows, schema=FINDINGS, orient="row")


def chosen(candidates: Iterable[Finding]) -> list[Finding]:
    """The findings of a page: most unusual first, one per topic; ties by the order of the measures, then by subject.

    >>> quiet = Finding(("mood", "level"), "mood", "Mood averaged 3.", 30, [], 0.9)
    >>> loud = quiet._replace(unusualness=0.95)
    >>> [finding.unusualness for finding in chosen([quiet, loud])]
    [0.95]
    """
    ordered = sorted(candidates, key=lambda f: (-round(f.unusualness, 9), _ORDER.index(f.measure), f.topic, f.text))
    kept: list[Finding] = []
    for finding in ordered:
        same_measure = [other for other in kept if other.measure == finding.measure]
        if len(same_measure) < MOST_OF_ONE and all(other.topic != finding.topic for other in kept):
            kept.append(finding)
    return kept[:MOST]


_SERIES = ("measure", "subject", "unit")


class _Course(NamedTuple):
    """The rows of `series` of one measure and subject, and the first days of their periods, in order."""

    firsts: list[dt.date]
    rows: pl.DataFrame

    @property
    def values(self) -> pl.Series:
        return self.rows.get_column("value")


_Courses = dict[tuple[Any, ...], _Course]


def _courses(whole: pl.DataFrame) -> _Courses:
    """The frame split by measure, subject and unit, once, so that each page can look its periods up by bisection."""
    parts = whole.partition_by(*_SERIES, as_dict=True, maintain_order=True)
    return {key: _Course(part.get_column("from").to_list(), part) for key, part in parts.items()}


_FRAMES = {("sleep", MINUTES): "nights", ("sleep", REGULARITY): "pairs"}
"""The frame that a measure comes from, if not "days". The measure "hours" comes from "hours"."""


def _ranked(facts: FindingFacts, page: Period, courses: _Courses, few: frozenset[str]) -> Iterator[Finding]:
    for course in courses.values():
        before = bisect_left(course.firsts, page.first)
        if page.first not in course.firsts[before : before + 1]:
            continue
        row = course.rows.row(before, named=True)
        frame = _FRAMES.get((row["measure"], row["subject"]), "hours" if row["measure"] == "hours" else "days")
        some_weekdays = frame in few and row["subject"] != WAITING
        yield from _finding(facts, page.kind, row, course.values.head(before), part=False, weekdays=some_weekdays)


def _parts(facts: FindingFacts, page: Period, courses: _Courses, parts: _Courses) -> Iterator[Finding]:
    """The most unusual part per measure, for measures with too few earlier periods of the page's kind."""
    kind = _PARTS[page.kind]
    middle = dt.timedelta(days=3 if kind == "week" else 0)  # a week belongs to the month of its fourth day
    for key, course in parts.items():
        if key in courses and bisect_left(courses[key].firsts, page.first) >= FEWEST:
            continue
        begin, end = bisect_left(course.firsts, page.first - middle), bisect_right(course.firsts, page.last - middle)
        candidates = [
            finding
            for i in range(begin, end)
            for others in [pl.concat([course.values[:i], course.values[i + 1 : end]])]
            for finding in _finding(facts, kind, course.rows.row(i, named=True), others, part=True)
        ]
        yield from sorted(candidates, key=lambda f: (-f.unusualness, f.dates[-1:], f.text))[:1]


def beyond_fences(value: float, others: pl.Series, reach: float = INNER) -> bool:
    """Whether a value lies more than `reach` interquartile ranges past the quartiles of the others.

    >>> beyond_fences(9.0, pl.Series([1.0, 2.0, 3.0, 4.0])), beyond_fences(5.0, pl.Series([1.0, 2.0, 3.0, 4.0]))
    (True, False)
    """
    low, high = others.quantile(0.25, "linear"), others.quantile(0.75, "linear")
    if low is None or high is None:
        return False
    distance = reach * (high - low) + _ROUNDING
    return not low - distance <= value <= high + distance


def _finding(
    facts: FindingFacts, kind: PeriodKind, row: dict[str, Any], others: pl.Series, *, part: bool, weekdays: bool = False
) -> Iterator[Finding]:
    among = others.len()
    median = others.median()
    if among < FEWEST or not isinstance(median, float):
        return
    value = row["value"]
    lower, higher = int((others <= value + _ROUNDING).sum()), int((others >= value - _ROUNDING).sum())
    below = lower < higher
    as_far = min(lower, higher)
    unusualness = share_as_far(as_far, among)
    if unusualness < UNUSUAL - _ROUNDING or not beyond_fences(value, others, OUTER if part else INNER):
        return
    if abs(value - median) < _noticeable(row) - _ROUNDING:
        return
    text = sentence(
        row,
        facts.settings,
        kind=kind,
        below=below,
        as_far=as_far,
        among=among,
        median=median,
        part=part,
        weekdays=weekdays,
    )
    topic = (row["measure"], row["subject"] if row["unit"] != PLAN else "as planned")
    yield Finding(topic, row["measure"], text, row["n"], dates(facts, row), unusualness)


def _noticeable(row: dict[str, Any]) -> float:
    return NOTICEABLE.get(
        (row["measure"], row["subject"]), _SHARE if row["unit"] == PLAN else NOTICEABLE_OF[row["measure"]]
    )
