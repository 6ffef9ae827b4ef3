"""The findings of the example year are correct: plain loops recount each sentence from the files."""

from __future__ import annotations

import datetime as dt
import hashlib
import statistics
import tomllib
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from statsmodels.stats.proportion import confint_proportions_2indep

import journal
from journal import periods
from journal.measures.findings import findings
from journal.wording import numbers

PAGES: dict[dt.date, dict[str, Any]] = {
    dt.date.fromisoformat(path.stem): tomllib.loads(path.read_text(encoding="utf-8"))
    for path in sorted(Path("example_year/2025").glob("2025-??-??.toml"))
}
YEAR = [dt.date(2025, 1, 1) + dt.timedelta(days=i) for i in range(365)]
LOGGED = [day for day in YEAR if "mood" in PAGES.get(day, {}) or "habits" in PAGES.get(day, {})]


TRIAL = dt.date(2025, 5, 25)
"""The first of 48 days on which it was settled by lot whether to walk, in pairs of blocks of two days."""


def is_free(day: dt.date) -> bool:
    """Whether the lot leaves a day free of the walk."""
    place = (day - TRIAL).days
    pair, second = divmod(place // 2, 2)
    first_is_on = hashlib.sha256(f"948530567:{pair}".encode()).digest()[0] % 2 == 1
    return 0 <= place < 48 and first_is_on == bool(second)


@pytest.fixture(scope="module")
def texts() -> dict[str, list[str]]:
    """The sentences of each page of the year."""
    book = journal.open("example_year", today=YEAR[-1], cache=False)
    found: dict[str, list[str]] = defaultdict(list)
    kinds: tuple[periods.PeriodKind, ...] = ("week", "month", "year")
    for kind in kinds:
        frame = findings(book.facts, periods.between(YEAR[0], YEAR[-1], kind, week_starts="monday"))
        for page, text in frame.select("page", "text").rows():
            found[page].append(numbers.plain(text))
    return found


def mark(habit: str, day: dt.date, target: int | None = None) -> bool | str:
    """True, False, "rest", or "blank" for an unlogged day. A walk that the lot left free is rest unless it was done."""
    if day not in LOGGED:
        return "blank"
    value = PAGES[day].get("habits", {}).get(habit, False)
    if habit == "walk" and is_free(day) and value is not True:
        return "rest"
    return value if value == "rest" else value >= target if target else value is True


def counted(days: Iterable[dt.date], habit: str, target: int | None = None) -> tuple[int, int]:
    """The number of days done, and of due days other than rest."""
    marks = [mark(habit, day, target) for day in days]
    return sum(m is True for m in marks), sum(m != "rest" for m in marks)


def months(year: Iterable[dt.date]) -> dict[int, list[dt.date]]:
    by_month: dict[int, list[dt.date]] = defaultdict(list)
    for day in year:
        by_month[day.month].append(day)
    return by_month


def runs(days: Iterable[dt.date], habit: str) -> list[tuple[int, dt.date | None]]:
    """The length of each run and the day on which it was broken."""
    found, length = [], 0
    for day in days:
        m = mark(habit, day)
        if m is True:
            length += 1
        elif m != "rest":
            found += [(length, day)] if length else []
            length = 0
    return found + ([(length, None)] if length else [])


def test_the_longest_walks(texts: dict[str, list[str]]) -> None:
    found = runs(YEAR, "walk")
    at = max(range(len(found)), key=lambda i: found[i][0])
    assert (*found[at], at) == (30, dt.date(2025, 12, 21), 54)
    sentence = (
        "Walk by the river: 30 in a row, longer than any of 54 earlier runs; it ended on Sunday 21 December (not done)."
    )
    assert sentence in texts["2025-12"]
    assert sentence in texts["2025-W51"]
    june = next(i for i, (_, end) in enumerate(found) if end == dt.date(2025, 6, 16))
    assert (found[june][0], june) == (17, 28), "days that the lot left free break no run"
    assert any(text.startswith("Walk by the river: 17 in a row, longer than any of 28") for text in texts["2025-06"])


def test_the_longest_stretching_streaks_under_each_rule(texts: dict[str, list[str]]) -> None:
    due = [day for day in YEAR if day < dt.date(2025, 9, 1) or day.weekday() in (0, 2, 4)]
    found = runs(due, "stretch")
    at = max(range(len(found)), key=lambda i: found[i][0])
    assert (*found[at], at) == (11, dt.date(2025, 9, 29), 59)
    assert (
        "Stretch: 11 in a row, longer than any of 59 earlier runs; it ended on Monday 29 September (not done)."
        in texts["2025-09"]
    )


def test_a_week_of_good_mood_and_much_energy(texts: dict[str, list[str]]) -> None:
    for noted, mean, n, median in (("mood", "4.6", 7, "3.1"), ("energy", "4.0", 6, "3.4")):
        every = [[PAGES[d][noted] for d in days if noted in PAGES.get(d, {})] for days in weeks(dt.date(2025, 7, 6))]
        *others, newest = [week for week in every if len(week) >= 4]
        means = [statistics.mean(week) for week in others]
        assert (len(newest), f"{statistics.mean(newest):.1f}", len(means)) == (n, mean, 26)
        assert (statistics.mean(newest) > max(means), f"{statistics.median(means):.1f}") == (True, median)
        assert (
            f"{noted.capitalize()} averaged {mean} on {n} days on which it was noted, higher than in any of 26 earlier "
            f"weeks (their median: {median})." in texts["2025-W27"]
        )


def test_a_february_of_long_nights(texts: dict[str, list[str]]) -> None:
    book = journal.open("example_year", today=YEAR[-1], cache=False)
    nights: dict[int, list[int]] = defaultdict(list)
    for night, minutes in book.nights.select("date", "minutes").drop_nulls().rows():
        nights[night.month].append(minutes)
    means = {month: statistics.mean(slept) for month, slept in nights.items()}
    february = means.pop(2)
    assert (round(february), round(statistics.median(means.values())), len(means)) == (483, 463, 11)
    assert february > max(means.values())
    assert (
        "In February, 28 nights averaged 8 h 3 min of sleep, more than in any of 11 other months so far "
        "(their median: 7 h 43 min)." in texts["2025"]
    )


def test_walks_and_swims_and_mood(texts: dict[str, list[str]]) -> None:
    sides: dict[bool | str, list[float]] = defaultdict(list)
    for day in YEAR:
        if "mood" in PAGES.get(day, {}):
            sides[mark("walk", day)].append(PAGES[day]["mood"])
    assert (len(sides[True]), len(sides[False])) == (237, 87)
    assert [f"{statistics.mean(sides[side]):.1f}" for side in (True, False)] == ["3.2", "2.6"]
    assert (
        "Walk by the river: mood averaged 3.2 on 237 days with it and 2.6 on 87 due days without; "
        "it goes with higher mood." in texts["2025"]
    )
    after: dict[bool | str, list[float]] = defaultdict(list)
    for day in YEAR:
        later = PAGES.get(day + dt.timedelta(days=1), {})
        if day >= dt.date(2025, 5, 1) and "mood" in later:
            after[mark("swim", day)].append(later["mood"])
    assert (len(after[True]), len(after[False])) == (100, 131)
    assert [f"{statistics.mean(after[side]):.1f}" for side in (True, False)] == ["3.4", "2.9"]
    assert (
        "Swim: mood averaged 3.4 on the day after 100 days with it and 2.9 after 131 days without; "
        "it goes with higher mood on the day after." in texts["2025-12"]
    )


def test_a_march_of_reading(texts: dict[str, list[str]]) -> None:
    """The interval by statsmodels, method "newcomb", over the effective numbers (`test_dependence` counts them)."""
    by_month = months(YEAR)
    before, after = counted(by_month[2], "read", 20), counted(by_month[3], "read", 20)
    assert (before, after) == ((8, 25), (24, 31))
    changed = journal.open("example_year", today=YEAR[-1], cache=False).changes(periods.month(dt.date(2025, 3, 1)))
    (row,) = changed.filter(pl.col("habit") == "read").rows(named=True)
    then, now = row["n_effective_before"], row["n_effective_after"]
    low, high = confint_proportions_2indep(24 / 31 * now, now, 8 / 25 * then, then, method="newcomb", compare="diff")
    assert (
        "Read: done 24 of 31 (77 %), 8 of 25 (32 %) the month before; a clear change, "
        f"95 % interval +{100 * low:.0f} to +{100 * high:.0f} percentage points." in texts["2025-03"]
    )


def weeks(until: dt.date) -> list[list[dt.date]]:
    """The weeks up to the one that ends on `until`, each from Monday, the first cut at the start of the year."""
    by_week: dict[tuple[int, int], list[dt.date]] = defaultdict(list)
    for day in YEAR:
        if day <= until:
            by_week[day.isocalendar()[:2]].append(day)
    return list(by_week.values())


def test_the_week_of_errands(texts: dict[str, list[str]]) -> None:
    def a_day(days: list[dt.date]) -> float | None:
        written = [PAGES[day]["hours"]["actual"] for day in days if PAGES.get(day, {}).get("hours", {}).get("actual")]
        minutes = sum(length(span) for strip in written for span in strip.get("errands", []))
        return minutes / len(written) if len(written) >= 4 else None

    def length(span: str) -> int:
        start, end = ([int(part) for part in clock.split(":")] for clock in span.split("-"))
        return 60 * (end[0] - start[0]) + end[1] - start[1]

    *others, newest = [value for days in weeks(dt.date(2025, 9, 28)) if (value := a_day(days)) is not None]
    assert (round(newest), round(statistics.median(others)), len(others)) == (141, 34, 37)
    assert newest > max(others)
    assert (
        "Errands took 2 h 21 min a day, over 7 days whose hours were written, more than in any of 37 earlier weeks "
        "(their median: 34 min)." in texts["2025-W39"]
    )


def test_the_week_with_many_carried_tasks(texts: dict[str, list[str]]) -> None:
    tasks = [
        [t["status"] for d in days if d in LOGGED for t in PAGES[d].get("tasks", [])]
        for days in weeks(dt.date(2025, 5, 18))
    ]
    *others, newest = [(sum(s == "carried" for s in week), len(week)) for week in tasks if len(week) >= 4]
    shares = [a / b for a, b in others]
    assert (newest, len(others), f"{statistics.median(shares):.0%}") == ((16, 26), 19, "26%")
    assert max(shares) < 16 / 26
    assert (
        "16 of 26 tasks on the days' pages (62 %) were carried on, more than in any of 19 earlier weeks "
        "(their median: 26 %)." in texts["2025-W20"]
    )


def test_the_week_that_was_not_logged(texts: dict[str, list[str]]) -> None:
    assert not [day for day in LOGGED if dt.date(2025, 8, 11) <= day <= dt.date(2025, 8, 17)]
    # The first week has five days in this journal, enough to be compared with.
    assert (
        texts["2025-W33"][0] == "0 of 7 days were logged, fewer than in any of 32 earlier weeks (their median: 100 %)."
    )


def test_no_page_has_more_than_six_and_some_have_none(texts: dict[str, list[str]]) -> None:
    assert max(map(len, texts.values())) <= 6
    shown = [*(f"2025-{month:02d}" for month in range(1, 13)), *(f"2025-W{week:02d}" for week in range(1, 53))]
    assert 10 <= sum(page not in texts for page in shown) <= 32
