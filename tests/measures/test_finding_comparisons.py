"""What a year, a habit with unwritten evenings, and a run are compared with."""

from __future__ import annotations

import datetime as dt
import random

import msgspec
import numpy as np
import pytest

from journal import periods
from journal.entry import Entry, Page
from journal.measures import finding_sentences
from journal.measures.finding_streaks import chance
from journal.measures.findings import by_page, findings
from journal.settings import Habit, Settings
from journal.tables import build, record
from journal.wording import numbers
from tests import journals
from tests.measures.test_findings import SETTINGS

FIRST = dt.date(2025, 1, 1)
WALK = Habit(key="walk", name="Walk", start=dt.date(2024, 1, 1), every="FREQ=DAILY")
ONLY_WALK = msgspec.structs.replace(SETTINGS, habits=(WALK,))


def texts(entries: dict[dt.date, Entry], page: str, known: Settings = ONLY_WALK) -> list[str]:
    pages = [Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=e) for day, e in entries.items()]
    tables = build(record(pages), known, max(entries))
    shown = periods.parse(page, week_starts="monday")
    found = findings(journals.of_tables(tables, known).facts, [shown])
    return [numbers.plain(text) for text in found["text"]]


def pages_of(entries: dict[dt.date, Entry]) -> list[Page]:
    return [Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=e) for day, e in entries.items()]


def moods(last: dt.date) -> dict[dt.date, Entry]:
    """Moods of 3 or 4 in 2024, higher in summer, and half a step lower from 2025 on."""
    dice = random.Random(4)
    entries = {}
    for day in journals.days_between(dt.date(2024, 1, 1), last):
        season = 0.6 if 4 <= day.month <= 9 else 0
        entries[day] = Entry(mood=round(3 + season + dice.random() - (0.5 if day.year > 2024 else 0)))
    return entries


def test_a_year_is_compared_with_one_year_before_it_month_by_month() -> None:
    entries = moods(dt.date(2025, 12, 31))
    means = {y: np.mean([e.mood for day, e in entries.items() if day.year == y]) for y in (2024, 2025)}
    assert texts(entries, "2025")[0] == (
        f"Mood averaged {means[2025]:.1f} on 365 days on which it was noted, lower than in 2024 ({means[2024]:.1f})."
    )


def test_a_running_year_is_compared_with_the_same_months() -> None:
    """A first half with more of winter than of summer is lower than a whole year before, and no finding by itself."""
    entries = moods(dt.date(2025, 6, 30))
    then = np.mean([e.mood for day, e in entries.items() if day <= dt.date(2024, 6, 30)])
    (text,) = [text for text in texts(entries, "2025") if "mood averaged" not in text and "Mood averaged" in text]
    assert text.endswith(f"lower than in 2024, over the same months ({then:.1f}).")
    level = {day: e if day.year == 2024 else entries[day.replace(year=2024)] for day, e in entries.items()}
    assert not [text for text in texts(level, "2025") if "2024" in text]


@pytest.mark.parametrize(("done", "told"), [(True, False), (False, True)])
def test_evenings_without_a_page_are_no_change_of_a_habit(done: bool, told: bool) -> None:
    """A habit of nine days in ten, and a month of 17 written evenings: with it on all of them, or on every fourth."""
    entries = {}
    for i, day in enumerate(journals.days_between(dt.date(2024, 1, 1), dt.date(2025, 1, 31))):
        if day.year == 2024:
            entries[day] = Entry(mood=3, habits={"walk": i % 10 != 4})
        elif day.day <= 16 or day.day == 31:
            entries[day] = Entry(mood=3, habits={"walk": done or day.day % 4 == 0})
    found = texts(entries, "2025-01")
    assert any("days were logged" in text for text in found)
    assert any(text.startswith("Walk: ") and "earlier months" in text for text in found) == told, found


def test_the_chance_of_a_run_is_the_mean_over_what_the_habit_may_be() -> None:
    """By numerical integration of a^(L-1) over the beta distribution with 20 + 1/2 and 10 + 1/2 (scipy)."""
    from scipy import stats

    for length in (1, 2, 7, 30):
        expected = stats.beta.expect(lambda a, power=length - 1: a**power, (20.5, 10.5))
        assert chance(length, 20, 10) == pytest.approx(expected, rel=1e-6)


def test_a_run_ends_with_its_unit_and_is_not_called_broken_by_a_day_months_later() -> None:
    """Daily to the end of May, a quota in summer, daily again from September, when the first day is missed."""
    blocks = (
        msgspec.structs.replace(WALK, start=dt.date(2025, 1, 1)),
        Habit(key="walk", name="Walk", start=dt.date(2025, 6, 1), times=2, per="week"),
        msgspec.structs.replace(WALK, start=dt.date(2025, 9, 1)),
    )
    known = msgspec.structs.replace(SETTINGS, habits=blocks)
    done = {day: day.day % 2 > 0 or day.month == 5 for day in journals.days_between(FIRST, dt.date(2025, 9, 30))}
    entries = {day: Entry(habits={"walk": mark and day != dt.date(2025, 9, 1)}) for day, mark in done.items()}
    found = {page: texts(entries, page, known) for page in ("2025-05", "2025-06", "2025-09")}
    assert [text for text in found["2025-05"] if "in a row" in text] == [
        "Walk: 31 in a row by Saturday 31 May, longer than any of 59 earlier runs (the longest: 2)."
    ]
    assert not [text for page in ("2025-06", "2025-09") for text in found[page] if "in a row" in text]


def test_a_page_says_how_many_numbers_were_looked_at() -> None:
    entries = moods(dt.date(2025, 12, 31))
    pages = [Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=e) for day, e in entries.items()]
    facts = journals.of_tables(build(record(pages), ONLY_WALK, max(entries)), ONLY_WALK).facts
    month = periods.parse("2025-03", week_starts="monday")
    ((_, page),) = by_page(facts, [month])
    # Mood, its spread, the walk, the days logged, and the change of the walk.
    assert (page.looked_at, round(page.by_chance, 2)) == (5, 0.13)
    assert list(by_page(facts, [periods.parse("2023-03", week_starts="monday")])) == []


@pytest.mark.parametrize(("days", "said"), [(0, "0 of 7 days were"), (1, "1 of 7 days was"), (2, "2 of 7 days were")])
def test_one_day_was_logged_and_others_were(days: int, said: str) -> None:
    row = {"measure": "coverage", "subject": "", "n": 7, "value": days / 7, "amount": days, "out_of": 7, "unit": None}
    settings = Settings(title="Small", places=())
    assert finding_sentences.value_text(row, settings).claim == f"{said} logged"


def test_changes_and_links_are_among_the_numbers_looked_at() -> None:
    """A habit of every other day, with mood, from January: two links can be compared since its first month is over."""
    entries = {
        day: Entry(mood=3, habits={"walk": day.toordinal() % 2 > 0})
        for day in journals.days_between(FIRST, dt.date(2025, 3, 11))
    }
    counts = {}
    for page in ("2025-01", "2025-02", "2025-W06", "2025"):
        tables = build(record(pages_of(entries)), ONLY_WALK, max(entries))
        shown = periods.parse(page, week_starts="monday")
        ((_, one),) = by_page(journals.of_tables(tables, ONLY_WALK).facts, [shown])
        counts[page] = (one.looked_at, round(one.by_chance, 3))
    # Each page also looks at the length of the streak, at a level of 0.02.
    assert counts["2025-01"] == (3, 0.07), "two links"
    assert counts["2025-02"] == (4, 0.095), "and the change from January: 0.02 + 0.05 / 2 + 0.05"
    assert counts["2025-W06"] == (2, 0.07), "links are judged by months; five weeks are too few to compare with"
    assert counts["2025"] == (3, 0.07), "a first year has no second half yet"
