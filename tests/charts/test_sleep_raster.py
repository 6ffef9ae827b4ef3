"""Nights: each at its time, blank without a record."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest

from journal import periods
from journal.charts import sleep_raster
from journal.charts.figure import Figure
from journal.measures import sleep, sleep_summary
from tests.charts import frames
from tests.charts.frames import DAY, check_drawing, layer

MARCH = periods.parse("2025-03", week_starts="monday")
YEAR = periods.parse("2025", week_starts="monday")


def spans(first: dt.date, nights: list[tuple[int, int] | None]) -> list[tuple[dt.date, str, str, int, int]]:
    """Hours rows of nights, by day of waking. A bed minute below 0 is on the evening before."""
    rows = []
    for n, night in enumerate(nights):
        if night is None:
            continue
        day, (bed, wake) = first + n * DAY, night
        if bed < 0:
            rows.append((day - DAY, "actual", "sleep", bed + 1440, 1440))
        rows.append((day, "actual", "sleep", max(0, bed), wake))
    return rows


def raster(rows: list[tuple[dt.date, str, str, int, int]], period: periods.Period = MARCH, **more: Any) -> Figure:
    hours = frames.hours(sorted(rows))
    days = pl.DataFrame({"date": period.dates}).with_columns(place=pl.lit(None, pl.String))
    zones, later = {"home": "Europe/Ljubljana"}, period.last + 40 * DAY
    sleeps = sleep.sleeps(hours, days, sleep="sleep", zones=zones)
    nights = sleep.nights(hours, days, sleep="sleep", zones=zones, today=later, work=("work",))
    inside = pl.col("date").is_between(period.first, period.last)
    pairs = sleep_summary.regularity_pairs(hours, sleep="sleep", today=later)
    summary = sleep_summary.summary(nights.filter(inside), pairs.filter(inside), week_starts="monday")
    return sleep_raster.draw(sleeps, nights, summary, period, **more)


def test_nights_are_at_their_day_and_hours() -> None:
    rows = spans(MARCH.first, [(-60, 420), None, (30, 450)])
    drawn = raster([*rows, (MARCH.first + 2 * DAY, "actual", "sleep", 840, 870)])
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.title == "7 h 30 min of sleep a night in March 2025, the mean of 2 nights"
    nights = layer(drawn.wide, "night")
    assert len(nights) == 2
    pitch = (nights[1]["x"] - nights[0]["x"]) / 2  # a blank day between them
    at = {row["text"]: row["y"] for row in layer(drawn.wide, "hours")}
    hour = (at["6:00"] - at["0:00"]) / 6
    assert (nights[0]["y"] - at["0:00"]) / hour == pytest.approx(-1)
    assert (nights[0]["y2"] - at["0:00"]) / hour == pytest.approx(7)
    assert (nights[1]["y"] - at["0:00"]) / hour == pytest.approx(0.5)
    assert len(layer(drawn.wide, "nap")) == len(layer(drawn.narrow, "nap")) == 1
    assert 0 < pitch < 40
    down = layer(drawn.narrow, "night")
    assert down[1]["y"] - down[0]["y"] == pytest.approx(22)
    assert "Night to 1 March: 23:00 to 07:00, 8 h" in frames.hovers(drawn.svg())
    assert "Nap on 3 March: 14:00 to 14:30, 30 min" in frames.hovers(drawn.svg("narrow"))
    assert drawn.table.select("bed", "wake", "minutes").rows() == [("23:00", "07:00", 480), ("00:30", "07:30", 420)]
    check_drawing(drawn)


def test_free_days_have_a_band() -> None:
    rows = spans(MARCH.first, [(-60, 420)] * 5)
    work = [(MARCH.first + n * DAY, "actual", "work", 540, 600) for n in (0, 1, 4)]
    drawn = raster(rows + work)
    (band,) = layer(drawn.wide, "free")  # two days as one
    nights = layer(drawn.wide, "night")
    assert band["x"] < nights[2]["x"] < nights[3]["x2"] < band["x2"]
    assert drawn.table.get_column("work").to_list() == [True, True, False, False, True]


def test_mean_times_are_marked_across_midnight() -> None:
    drawn = raster(spans(MARCH.first, [(-60, 420), (60, 420)]))
    lines = layer(drawn.wide, "mean times")
    at = {row["text"]: row["y"] for row in layer(drawn.wide, "hours")}
    heights = sorted({round(row["y"], 2) for row in lines})
    assert heights == pytest.approx([at["0:00"], (at["6:00"] * 2 + at["9:00"]) / 3], abs=0.01)
    assert {row["text"] for row in layer(drawn.wide, "means")} == {"to bed 00:00", "up 07:00"}
    assert {row["text"] for row in layer(raster(spans(MARCH.first, [(-60, 420)]), clock=12).wide, "means")} == {
        "to bed 11:00 pm", "up 7:00 am"
    }  # fmt: skip


def test_a_night_without_sleep_and_a_part_of_one() -> None:
    full = [(MARCH.first + DAY, "actual", "work", 0, 1440)]
    drawn = raster([*spans(MARCH.first, [(-60, 420)]), *full, (MARCH.first + 9 * DAY, "actual", "sleep", 0, 300)])
    assert [row["label"] for row in layer(drawn.wide, "awake")] == ["Night to 2 March: no sleep"]
    assert len(layer(drawn.wide, "part")) == 1
    assert "a ring for a night without sleep" in drawn.subtitle
    check_drawing(drawn)


@pytest.mark.parametrize(
    ("nights", "period"),
    [
        ([], MARCH),
        ([], YEAR),
        ([(-60, 420)], MARCH),
        ([(-600, 600)] * 3, MARCH),
        ([(0, 1)] * 2, MARCH),
        ([(480, 900)] * 40, YEAR),
        ([(-60, 420)] * 365, YEAR),
    ],
    ids=["none", "none in a year", "one", "twenty hours", "a minute", "by day", "every night the same"],
)
def test_nights_of_any_kind(nights: list[tuple[int, int] | None], period: periods.Period) -> None:
    drawn = raster(spans(period.first, nights), period)
    assert drawn.title.startswith("No night") is (not nights)
    check_drawing(drawn)
