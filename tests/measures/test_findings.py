"""Findings: the selection follows its rules, and a page without unusual values has none."""

from __future__ import annotations

import datetime as dt
import random
import statistics
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal import periods
from journal.entry import Entry, Hours, Page, Span, Task
from journal.measures.finding_events import UNUSUAL, Finding, share_as_far
from journal.measures.findings import FINDINGS, MOST, MOST_OF_ONE, chosen
from journal.measures.findings import findings as findings_of
from journal.settings import Habit, Place, Settings
from journal.tables import Tables, build, record
from journal.wording import numbers
from tests import journals

FIRST = dt.date(2025, 1, 6)  # a Monday
HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
WALK = Habit(key="walk", name="Walk", start=FIRST, every="FREQ=DAILY")
READ = Habit(key="read", name="Read", start=FIRST, every="FREQ=WEEKLY;BYDAY=MO,WE,FR,SU", target=20, unit="pages")
SWIM = Habit(key="swim", name="Swim", start=FIRST, times=2, per="week")
SETTINGS = Settings(title="A test", places=(HOME,), habits=(WALK, READ, SWIM))


Strip = dict[str, tuple[Span, ...]]


def day(number: int) -> dt.date:
    return FIRST + dt.timedelta(days=number)


def tables(entries: dict[int, Entry], last: int, with_: Settings = SETTINGS) -> Tables:
    pages = [Page(path=f"{day(n)}.toml", kind="day", key=day(n).isoformat(), content=e) for n, e in entries.items()]
    return build(record(pages), with_, day(last))


def week(number: int) -> periods.Period:
    return periods.containing(day(7 * number), "week", week_starts="monday")


def findings(tables: Tables, with_: Settings, pages: Iterable[periods.Period]) -> pl.DataFrame:
    return findings_of(journals.of_tables(tables, with_).facts, pages)


def texts(found: pl.DataFrame) -> list[str]:
    return [numbers.plain(text) for text in found.get_column("text")]


def weeks_of_mood(*weeks: list[float]) -> Tables:
    return tables(
        {7 * i + j: Entry(mood=mood) for i, moods in enumerate(weeks) for j, mood in enumerate(moods)},
        7 * len(weeks) - 1,
        msgspec.structs.replace(SETTINGS, habits=()),
    )


def student(t: float, n: int) -> float:
    """The two-sided p of Student's t among n earlier values, by scipy."""
    from scipy import stats

    return float(2 * stats.t.sf(t, n - 1))


STEADY = [[3.0, 3, 4, 3, 2 + i % 3, 3, 3] for i in range(10)]  # means 3.0, 3.14 and 3.29 in turn


def test_a_week_far_below_all_earlier_weeks_is_a_finding_with_its_numbers_and_days() -> None:
    (row,) = findings(weeks_of_mood(*STEADY, [1.0, 1, 2, 1, 1, 2, 1]), SETTINGS, [week(10)]).rows(named=True)
    means = [statistics.mean(moods) for moods in STEADY]
    below = (statistics.mean(means) - 9 / 7) / (statistics.stdev(means) * (1 + 1 / 10) ** 0.5)
    assert row == {
        "page": "2025-W12",
        "text": "Mood averaged 1.3 on 7 days on which it was noted, lower than in any of 10 earlier weeks "
        "(their median: 3.1).",
        "measure": "mood",
        "n": 7,
        "dates": [day(70 + i) for i in range(7)],
        "subject": "level",
        "unusualness": pytest.approx(1 - student(below, 10)),
        "looked_at": 2,  # mood and the days logged
        "by_chance": pytest.approx(2 * 0.02),
    }


def test_a_value_near_the_others_or_with_few_comparisons_is_no_finding() -> None:
    low = [3.0, 3, 3, 3, 2, 3, 3]  # mean 2.86, the lowest of all, but not by much
    assert findings(weeks_of_mood(*STEADY, low), SETTINGS, [week(10)]).is_empty()
    # Eight earlier weeks are too few, nine are enough.
    dark = [1.0, 1, 2, 1, 1, 2, 1]
    assert findings(weeks_of_mood(*STEADY[:8], dark), SETTINGS, [week(8)]).is_empty()
    assert findings(weeks_of_mood(*STEADY[:9], dark), SETTINGS, [week(9)]).height == 1


def test_a_week_with_too_few_days_is_neither_reported_nor_compared_with() -> None:
    few = findings(weeks_of_mood(*STEADY, [1.0, 1]), SETTINGS, [week(10)])
    assert few.get_column("measure").to_list() == ["coverage"]
    assert findings(weeks_of_mood(*STEADY[:8], [3.0, 3, 3], [1.0] * 7), SETTINGS, [week(9)]).is_empty()


def test_later_weeks_change_nothing_on_a_page() -> None:
    dark = [1.0, 1, 2, 1, 1, 2, 1]
    before = findings(weeks_of_mood(*STEADY, dark), SETTINGS, [week(10)])
    after = findings(weeks_of_mood(*STEADY, dark, [5.0] * 7, [1.0] * 7), SETTINGS, [week(10)])
    assert before.equals(after)


def test_a_long_run_is_a_finding_only_when_it_sets_a_record_and_when_it_ends() -> None:
    done = [True, False] * 14 + [True] * 20 + [False] + [True] * 3
    entries = {i: Entry(habits={"walk": mark}) for i, mark in enumerate(done)}
    only = msgspec.structs.replace(SETTINGS, habits=(WALK,))
    kept = tables(entries, len(done) - 1, only)
    by_weeks = {n: texts(findings(kept, only, [week(n)]).filter(pl.col("measure") == "streaks")) for n in range(8)}
    assert by_weeks == {
        **{n: [] for n in (0, 1, 2, 3, 5, 7)},
        4: ["Walk: 7 in a row by Sunday 9 February, longer than any of 14 earlier runs (the longest: 1)."],
        6: ["Walk: 20 in a row, longer than any of 14 earlier runs; it ended on Sunday 23 February (not done)."],
    }


def test_a_clear_change_is_reported_with_the_interval_of_statsmodels() -> None:
    """Newcombe's method 10 for 28 of 28 against 7 of 31, by statsmodels."""
    from statsmodels.stats.proportion import confint_proportions_2indep

    january = {i: Entry(habits={"walk": i % 4 == 0}) for i in range(26)}
    february = {26 + i: Entry(habits={"walk": True}) for i in range(28)}
    only = msgspec.structs.replace(SETTINGS, habits=(WALK,))
    found = findings(tables(january | february, 53, only), only, [periods.parse("2025-02", week_starts="monday")])
    (row,) = found.filter(pl.col("measure") == "changes").rows(named=True)
    low, high = confint_proportions_2indep(28, 28, 7, 26, method="newcomb", compare="diff")
    assert numbers.plain(row["text"]) == (
        "Walk: done 28 of 28 (100 %), 7 of 26 (27 %) the month before; a clear change, 95 % interval "
        f"+{100 * low:.0f} to +{100 * high:.0f} percentage points."
    )
    assert (row["n"], row["dates"]) == (54, [day(i) for i in range(54)])


def test_blank_weeks_give_no_findings_about_habits() -> None:
    entries = {i: Entry(habits={"walk": i % 7 != 3}, mood=3) for i in range(70)}
    only = msgspec.structs.replace(SETTINGS, habits=(WALK,))
    found = findings(tables(entries, 76, only), only, [week(10)])
    assert found.get_column("measure").to_list() == ["coverage"]
    assert texts(found) == [
        "0 of 6 days were logged, fewer than in any of 10 earlier weeks, on the same weekdays (their median: 100 %)."
    ]  # the seventh day is today, not logged yet


def test_the_current_week_is_compared_with_the_same_weekdays_of_earlier_weeks() -> None:
    """Until Thursday every week has more work a day than the whole week; that is no finding."""
    work: Strip = {"work": (Span(540, 1020),)}
    rest: Strip = {"walk": (Span(540, 1020),)}
    entries = {i: Entry(mood=3, hours=Hours(actual=work if i % 7 < 5 else rest)) for i in range(74)}
    only = msgspec.structs.replace(SETTINGS, habits=())
    assert findings(tables(entries, 73, only), only, [week(10)]).is_empty()
    long = {i: Entry(mood=3, hours=Hours(actual={"work": (Span(540, 1200),)})) for i in range(70, 74)}
    assert "; ".join(texts(findings(tables(entries | long, 73, only), only, [week(10)]))) == (
        "Work took 11 h a day, over 4 days whose hours were written, more than in any of 10 earlier weeks, on the same "
        "weekdays (their median: 8 h)."
    )
    # The same holds for a past week with hours on only four days.
    four = entries | {i: Entry(mood=3) for i in range(74, 77)}
    assert findings(tables(four, 76, only), only, [week(10)]).is_empty()


@pytest.mark.parametrize("kind", ["week", "month", "year"])
def test_nothing_unusual_gives_nothing(kind: periods.PeriodKind) -> None:
    """Two years with a constant mood, one habit always done and the same hours every day."""
    strip: Strip = {"sleep": (Span(0, 420),), "work": (Span(540, 1020),)}
    entry = Entry(mood=3, energy=3, habits={"walk": True}, hours=Hours(planned=strip, actual=strip))
    # In weeks with a clock change the night is an hour longer or shorter, which is unusual.
    only = msgspec.structs.replace(
        SETTINGS, habits=(WALK,), places=(msgspec.structs.replace(HOME, timezone="Etc/UTC"),)
    )
    same = tables(dict.fromkeys(range(730), entry), 729, only)
    assert findings(same, only, periods.between(FIRST, day(729), kind, week_starts="monday")).is_empty()


@pytest.mark.parametrize("kind", ["week", "month", "year"])
def test_two_entries_in_a_year_and_a_page_before_or_after_the_journal(kind: periods.PeriodKind) -> None:
    two = tables({0: Entry(mood=1, habits={"walk": True}), 300: Entry(mood=5, habits={"walk": False})}, 364)
    pages = periods.between(dt.date(2024, 6, 1), dt.date(2026, 6, 30), kind, week_starts="monday")
    together = findings(two, SETTINGS, pages)
    assert together.schema == FINDINGS
    assert set(together.get_column("measure")) <= {"coverage"}
    for page in pages[::12]:
        alone = findings(two, SETTINGS, [page])
        assert alone.schema == FINDINGS
        assert alone.equals(together.filter(pl.col("page") == page.key))
    assert findings(two, SETTINGS, []).is_empty()


def test_findings_of_nights_with_zero_and_with_twenty_hours() -> None:
    usual: Strip = {"sleep": (Span(0, 420),), "work": (Span(1200, 1440),)}
    entries = {i: Entry(mood=3, hours=Hours(actual=usual)) for i in range(77)}
    for i in (72, 74, 76):
        entries[i] = Entry(mood=3, hours=Hours(actual=usual | {"sleep": (Span(0, 1200),)}))
    for i in (71, 73):
        entries[i] = Entry(mood=3, hours=Hours(actual={"work": (Span(0, 1440),)}))
    found = findings(tables(entries, 76), SETTINGS, [week(10)])
    assert found.height <= MOST
    assert not any("nan" in text or "None" in text for text in texts(found))


def test_at_most_one_finding_per_topic_and_two_per_measure() -> None:
    def one(measure: str, subject: str, unusualness: float, topic: str = "") -> Finding:
        return Finding((topic or measure, subject), measure, f"{measure} {subject}", 1, [], unusualness)

    found = [
        one("rates", "walk", 0.95),
        one("changes", "walk", 0.9, topic="rates"),
        *(one("hours", name, 0.97) for name in "cab"),
        *(one("mood", name, 0.91) for name in ("level", "spread")),
        one("tasks", "waiting", 0.99),
        one("sleep", "minutes", 0.905),
    ]
    kept = chosen(found)
    assert [f.text for f in kept] == [
        "tasks waiting", "hours a", "hours b", "rates walk", "mood level", "mood spread",
    ]  # fmt: skip
    assert chosen(reversed(found)) == kept
    assert len(kept) == MOST


def test_unusualness_is_one_minus_the_share_at_least_as_extreme() -> None:
    assert share_as_far(0, 9) == UNUSUAL
    assert share_as_far(9, 9) == 0


def invented(seed: int, days: int) -> Tables:
    """The tables of a random journal with all kinds of entries and with gaps."""
    dice = random.Random(seed)
    entries = {}
    for i in range(days):
        if dice.random() < 0.1:
            continue
        dark = 60 <= i < 80
        strip: Strip = {
            "sleep": (Span(0, dice.choice([300, 420, 480])),),
            "work": (Span(540, dice.choice([600, 960, 1020])),),
        }
        entries[i] = Entry(
            mood=dice.choice([1, 1, 2] if dark else [3, 3, 4, 5]) if dice.random() < 0.9 else None,
            energy=dice.choice([2, 3, 4, None]),
            habits={
                "walk": dice.random() < (0.2 if dark else 0.8),
                "read": dice.choice([0, 10, 20, 30]),
                "swim": i % 3 == 0,
            },
            hours=Hours(planned={"work": (Span(540, 1000),)}, actual=strip) if dice.random() < 0.8 else Hours(),
            tasks=tuple(
                Task(title=f"Task {i} {k}", status=dice.choice(["open", "done", "carried"]))
                for k in range(dice.randint(0, 4))
            ),
        )
    return tables(entries, days - 1 + dice.randint(0, 3))


def shuffled(kept: Tables, seed: int) -> Tables:
    frames = {
        name: getattr(kept, name).sample(fraction=1, shuffle=True, seed=seed)
        for name in ("days", "marks", "hours", "tasks")
    }
    return msgspec.structs.replace(kept, **frames)


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10_000), st.integers(10, 160), st.sampled_from(["week", "month", "year"]))
def test_findings_have_distinct_topics_and_ignore_row_order(seed: int, days: int, kind: periods.PeriodKind) -> None:
    kept = invented(seed, days)
    pages = periods.between(FIRST, kept.today, kind, week_starts="monday")
    found = findings(kept, SETTINGS, pages)
    for (_,), page in found.group_by("page"):
        topics = page.select(pl.col("measure").replace("changes", "rates"), "subject")
        assert topics.is_unique().all()
        assert page.height <= MOST
        assert page.group_by("measure").len().get_column("len").max() <= MOST_OF_ONE  # type: ignore[operator]
        assert page.get_column("unusualness").is_sorted(descending=True)
    for row in found.rows(named=True):
        shown = periods.parse(row["page"], week_starts="monday")
        assert row["unusualness"] >= UNUSUAL - 1e-9
        assert row["dates"] == sorted(set(row["dates"]))
        assert all(date <= min(shown.last, kept.today) for date in row["dates"])
        assert row["n"] == len(row["dates"]) or row["measure"] in ("tasks", "coverage")
    assert findings(shuffled(kept, seed), SETTINGS, pages).equals(found)


def test_through_a_folder_in_the_writers_week(tmp_path: Path) -> None:
    """With weeks from Sunday, the page of a week has the ISO name of its middle day."""
    pages: dict[dt.date, dict[str, Any]] = {
        dt.date(2025, 1, 5) + dt.timedelta(days=i): {"mood": 1 if i >= 70 else 3 + (i % 7 == i // 7 % 7) * (i // 7 % 3)}
        for i in range(77)
    }
    journals.write(tmp_path, pages, week_starts="sunday")
    book = journal.open(tmp_path, today=max(pages), cache=False)
    page = periods.containing(max(pages), "week", week_starts="sunday")
    found = findings(book.tables, book.settings, [page]).filter(pl.col("subject") == "level")
    assert found.get_column("dates").item().to_list() == [day for day in pages if day >= dt.date(2025, 3, 16)]
    assert found.item(0, "page") == "2025-W12"
