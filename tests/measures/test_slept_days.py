"""Sleep of some days against the same days of the whole journal."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from journal.measures import sleep
from journal.measures.slept_days import SleptDays
from journal.settings import Category, Place, Settings

FIRST = dt.date(2025, 3, 20)  # the clock moves forward on the 30th
COUNT = 20
DATES = [FIRST + dt.timedelta(days=n) for n in range(COUNT)]
PLACES = (
    Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana"),
    Place(key="york", name="New York", latitude=40.7, longitude=-74.0, timezone="America/New_York"),
)
SETTINGS = Settings(
    title="Small",
    places=PLACES,
    categories=(Category(key="sleep", name="Sleep", sleep=True), Category(key="work", name="Work", work=True)),
)
SPANS = st.lists(
    st.tuples(st.sampled_from(["sleep", "sleep", "work"]), st.integers(0, 47), st.integers(1, 24)), max_size=4
)
WEEKS = st.lists(st.tuples(SPANS, st.sampled_from([None, None, "york"])), min_size=COUNT, max_size=COUNT)


def frames(weeks: list[tuple[list[tuple[str, int, int]], str | None]]) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Hours and days of random strips, in half hours: short wakings, whole days of sleep, journeys."""
    rows = [
        (date, "actual", category, start * 30, min((start + length) * 30, 1440))
        for date, (spans, _) in zip(DATES, weeks, strict=True)
        for category, start, length in spans
    ]
    columns = {
        "date": pl.Date,
        "layer": pl.String,
        "category": pl.String,
        "start_minute": pl.Int32,
        "end_minute": pl.Int32,
    }
    days = pl.DataFrame(
        {"date": DATES, "place": [place for _, place in weeks]}, schema={"date": pl.Date, "place": pl.String}
    )
    return pl.DataFrame(rows, schema=columns, orient="row"), days


@given(WEEKS, st.integers(7, COUNT - 8), st.integers(0, 5))
def test_the_sleep_of_some_days_is_that_of_the_whole_journal(
    weeks: list[tuple[list[tuple[str, int, int]], str | None]], start: int, length: int
) -> None:
    hours, days = frames(weeks)
    first, last, today = DATES[start], DATES[min(start + length, COUNT - 1)], DATES[-1]
    whole = SleptDays(hours, days, SETTINGS, today=today)
    some = whole.between(first, last)
    within = pl.col("date").is_between(first, last)
    assert_frame_equal(some.sleeps, whole.sleeps.filter(within))
    assert_frame_equal(some.nights, whole.nights.filter(within))
    assert_frame_equal(some.pairs, whole.pairs.filter(within))


def test_sleeps_are_joined_once_for_each_range_of_days(monkeypatch: pytest.MonkeyPatch) -> None:
    hours, days = frames([([("sleep", 44, 4), ("sleep", 0, 13)], None)] * COUNT)
    joined: list[int] = []
    real = sleep.sleeps

    def counting(hours: pl.DataFrame, *rest: Any, **more: Any) -> pl.DataFrame:
        joined.append(hours.height)
        return real(hours, *rest, **more)

    monkeypatch.setattr(sleep, "sleeps", counting)
    slept = SleptDays(hours, days, SETTINGS, today=DATES[-1])
    for _ in range(2):
        assert slept.between(DATES[9], DATES[9]).nights.height == slept.between(DATES[9], DATES[9]).sleeps.height == 1
    assert joined == [2 * 15], "a week on each side of the day"
    assert slept.nights.height == COUNT - 1
    assert joined == [2 * 15, 2 * COUNT]


def test_days_at_the_ends_of_the_calendar() -> None:
    hours, days = frames([([], None)] * COUNT)
    assert SleptDays(hours, days, SETTINGS, today=DATES[-1]).between(dt.date.min, dt.date.max).nights.is_empty()
