"""Monthly mood and daylight: dots match the scale, and no month with few days is named the highest."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest

from journal.charts import season_chart
from journal.settings import Scale
from tests.charts.frames import check_drawing, layer

SCALE = Scale(words=("heavy", "low", "even", "good", "bright"))
SCHEMA = {"month": pl.Date, "n": pl.Int64, "mean": pl.Float64, "day_minutes": pl.Float64}


def months(means: dict[int, tuple[int, float | None]], minutes: float | None = 720.0) -> pl.DataFrame:
    rows: list[dict[str, Any]] = [
        {"month": dt.date(2025, i, 1), "n": n, "mean": mean, "day_minutes": minutes}
        for i in range(1, 13) for n, mean in [means.get(i, (0, None))]
    ]  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA)


@pytest.mark.parametrize(
    ("means", "title"),
    [
        (
            {1: (30, 2.4), 2: (3, 5.0), 5: (30, 3.6), 6: (30, 3.0)},
            "Mean mood was highest in May, 3.6, and lowest in January, 2.4",
        ),
        ({1: (30, 3.0), 2: (28, 3.0)}, "Mean mood is 3.0 in every month"),
        ({1: (9, 3.0), 2: (28, 4.0)}, "Too few days to tell the months' mood apart: 10 of a month are needed"),
        ({}, "Too few days to tell the months' mood apart: 10 of a month are needed"),
    ],
)
def test_titles_name_only_months_with_enough_days(means: dict[int, tuple[int, float | None]], title: str) -> None:
    drawn = season_chart.draw(months(means), SCALE)
    assert drawn.title == title
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.table.height == 12
    check_drawing(drawn)


def test_dots_match_the_scale_and_columns_match_day_length() -> None:
    drawn = season_chart.draw(months({1: (30, 2.0), 2: (3, 4.0)}), SCALE, said="No clear link.")
    assert drawn.subtitle.endswith("No clear link.") and drawn.alt.endswith("No clear link.")
    assert "January 2 over 30 days, days of 12 h; February 4 over 3 days" in drawn.alt
    for drawing in (drawn.wide, drawn.narrow):
        at = {row["text"]: row["y"] for row in layer(drawing, "scale")}
        (full,), (few,) = layer(drawing, "means"), layer(drawing, "few")
        assert (full["y"], few["y"]) == pytest.approx((at["2 low"], at["4 good"]))
        columns = layer(drawing, "daylight")
        assert len(columns) == 12
        assert [row["y"] for row in columns] == pytest.approx([at["3 even"]] * 12)  # 12 of 24 hours


def test_without_daylight_only_dots_are_drawn() -> None:
    drawn = season_chart.draw(months({1: (30, 2.0)}, minutes=None), SCALE)
    assert not layer(drawn.wide, "daylight")
    check_drawing(drawn)
