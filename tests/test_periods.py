"""Days, weeks, months and years: against tables of ISO 8601, reference month grids, and round trips."""

from __future__ import annotations

import calendar
import datetime as dt
import itertools
from typing import Any, get_args

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.measures.period_columns import By, with_period
from journal.periods import Period, PeriodKind, after, before, between, containing, month, parse, parse_name, year
from journal.settings import WEEKDAYS, Weekday
from tests.references import load, named

DAY = dt.timedelta(days=1)
KINDS: tuple[PeriodKind, ...] = ("day", "week", "month", "year")

ISO_WEEK_TABLES = [check for check in load("iso-week") if "dates" in check["inputs"]]
GRIDS = [check for check in load("calendar") if check["name"].startswith("month grid")]

# Without the years 1 and 9999, whose outer weeks have days that `date` cannot represent.
days = st.dates(dt.date(2, 1, 1), dt.date(9998, 12, 31))
kinds = st.sampled_from(KINDS)
week_starts = st.sampled_from(WEEKDAYS)


def iso_week(day: dt.date) -> Period:
    """The ISO 8601 week of a day."""
    return containing(day, "week", week_starts="monday")


# --- References -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("check", ISO_WEEK_TABLES, ids=[check["name"] for check in ISO_WEEK_TABLES])
def test_reference_week_of_a_date(check: dict[str, Any]) -> None:
    dates = [dt.date.fromisoformat(text) for text in check["inputs"]["dates"]]
    results = [f"{week.key}-{week.dates.index(day) + 1}" for day in dates for week in [iso_week(day)]]
    assert results == check["expected"]["weeks"]


def test_reference_years_with_53_weeks() -> None:
    check = named("iso-week", "years with 53 weeks")
    first, last = check["inputs"]["range"]

    def has_53_weeks(number: int) -> bool:
        weeks = between(dt.date(number, 1, 1), dt.date(number, 12, 31), "week", week_starts="monday")
        return sum(week.key.startswith(f"{number}-") for week in weeks) == 53

    assert [year for year in range(first, last + 1) if has_53_weeks(year)] == check["expected"]["years"]
    assert sum(has_53_weeks(year) for year in range(2000, 2400)) == check["expected"]["in_400_years"]


@pytest.mark.parametrize("check", GRIDS, ids=[check["name"] for check in GRIDS])
def test_reference_month_grid(check: dict[str, Any]) -> None:
    shown = month(dt.date(check["inputs"]["year"], check["inputs"]["month"], 1))
    expected = check["expected"]
    assert shown.days == len(shown.dates) == expected["days"]
    starts: tuple[tuple[str, Weekday], ...] = (("monday_first", "monday"), ("sunday_first", "sunday"))
    for suffix, week_starts in starts:
        weeks = between(shown.first, shown.last, "week", week_starts=week_starts)
        grid = [[day.day if day in shown else 0 for day in week.dates] for week in weeks]
        assert grid == expected[f"weeks_{suffix}"]
        assert len(grid) == expected[f"rows_{suffix}"]
    weeks = between(shown.first, shown.last, "week", week_starts="monday")
    assert [int(week.key.partition("-W")[2]) for week in weeks] == expected["iso_weeks"]


def test_reference_leap_years() -> None:
    check = named("calendar", "leap years")
    assert [year(number).days for number in check["inputs"]["years"]] == check["expected"]["days"]
    februaries = [month(dt.date(number, 2, 1)) for number in check["inputs"]["years"]]
    assert [february.last + DAY == february.first.replace(month=3) for february in februaries] == [True] * 7
    assert [february.days == 29 for february in februaries] == check["expected"]["leap"]


def test_reference_day_of_the_year_and_weekday() -> None:
    check = named("calendar", "day of the year")
    dates = [dt.date.fromisoformat(text) for text in check["inputs"]["dates"]]
    assert [year(day.year).dates.index(day) + 1 for day in dates] == check["expected"]["yday"]
    assert [iso_week(day).dates.index(day) + 1 for day in dates] == check["expected"]["isoweekday"]


def test_reference_days_between() -> None:
    check = named("calendar", "days between")
    pairs = [[dt.date.fromisoformat(text) for text in pair] for pair in check["inputs"]["pairs"]]
    results = [len(between(first, last, "day", week_starts="monday")) - 1 for first, last in pairs]
    assert results == check["expected"]["days"]


def test_all_reference_checks_are_used() -> None:
    assert len(ISO_WEEK_TABLES) + 1 == len(load("iso-week"))
    assert len(GRIDS) + 3 == len(load("calendar"))


# --- Properties -------------------------------------------------------------------------------------------------------


@given(days, kinds, week_starts)
def test_the_period_of_a_day_contains_it_and_parses_back(day: dt.date, kind: PeriodKind, start: Weekday) -> None:
    period = containing(day, kind, week_starts=start)
    assert day in period
    assert period.first in period
    assert period.last in period
    assert parse(period.key, kind, week_starts=start) == period
    assert parse(period.key, week_starts=start) == period
    assert all(containing(other, kind, week_starts=start) == period for other in (period.first, period.last))


@given(days, kinds, week_starts)
def test_periods_are_adjacent(day: dt.date, kind: PeriodKind, start: Weekday) -> None:
    period = containing(day, kind, week_starts=start)
    assert after(period).first == period.last + DAY
    assert before(period).last == period.first - DAY
    assert before(after(period)) == period
    assert before(period).key < period.key < after(period).key


@given(days, week_starts)
def test_a_week_has_seven_days_starts_as_asked_and_is_named_by_its_middle_day(day: dt.date, start: Weekday) -> None:
    week = containing(day, "week", week_starts=start)
    assert week.days == 7
    assert WEEKDAYS[week.first.weekday()] == start
    year, number, _ = week.dates[3].isocalendar()
    assert week.key == f"{year:04d}-W{number:02d}"


@given(days, kinds, week_starts)
def test_a_name_parsed_without_settings_gets_its_days_later(day: dt.date, kind: PeriodKind, start: Weekday) -> None:
    period = containing(day, kind, week_starts=start)
    name = parse_name(period.key)
    assert (name.kind, name.key) == (kind, period.key)
    assert name.period(week_starts=start) == period
    assert all(name.inside in name.period(week_starts=other) for other in WEEKDAYS)


@given(st.lists(days, min_size=1, max_size=5), st.sampled_from(get_args(By)), week_starts)
def test_frames_have_the_same_periods(dates: list[dt.date], by: By, start: Weekday) -> None:
    results = with_period(pl.DataFrame({"date": dates}), by, week_starts=start).select("period", "from", "to").rows()
    if by == "all":
        assert results == [("all", min(dates), max(dates))] * len(dates)
        return
    every = [containing(day, by, week_starts=start) for day in dates]
    assert results == [(period.key, period.first, period.last) for period in every]


@given(days)
def test_months_and_years_match_the_calendar(day: dt.date) -> None:
    assert (month(day).first.day, month(day).days) == (1, calendar.monthrange(day.year, day.month)[1])
    assert year(day.year).days == 365 + calendar.isleap(day.year)


@given(days, st.integers(-30, 800), kinds, week_starts)
def test_periods_between_cover_a_range_once(first: dt.date, length: int, kind: PeriodKind, start: Weekday) -> None:
    last = min(first + length * DAY, dt.date(9998, 12, 31))
    results = between(first, last, kind, week_starts=start)
    if length < 0:
        assert results == []
        return
    assert first in results[0]
    assert last in results[-1]
    assert all(right.first == left.last + DAY for left, right in itertools.pairwise(results))


@given(st.text(max_size=12) | st.from_regex(r"[0-9]{4}-?W?[0-9]{0,2}-?[0-9]{0,2}", fullmatch=True), week_starts)
def test_any_text_is_a_period_or_raises(text: str, start: Weekday) -> None:
    try:
        period = parse(text, week_starts=start)
    except UsageError as error:
        assert "write e.g." in str(error)
    else:
        assert period.key == text


@pytest.mark.parametrize(
    "text",
    ["2025-02-29", "2025-13", "2025-00", "2025-W54", "2025-W00", "2021-W53", "0000", "25", "2025-3-14", "2025-W1", "",
     "2025-03-14T00:00", " 2025", "2025\n", "２０２５", "9999-12-31", "9999-W52", "0001"],
)  # fmt: skip
def test_invalid_periods(text: str) -> None:
    with pytest.raises(UsageError, match=r"write e\.g\."):
        parse_name(text)


@pytest.mark.parametrize(("kind", "text"), [("day", "2025-03"), ("week", "2025-03"), ("month", "2025"), ("year", "x")])
def test_the_wrong_kind_raises_with_an_example_of_the_right_one(kind: PeriodKind, text: str) -> None:
    with pytest.raises(UsageError, match=rf'there is no {kind} "{text}"; write e\.g\. "2025'):
        parse_name(text, kind)
