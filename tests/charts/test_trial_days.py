"""The days of a trial: every day has its dot by arm, its lot, its mark, and a bar where the two differ."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.charts import trial_days
from journal.charts.figure import Figure
from journal.charts.trial_days import ArmMeans
from journal.settings import Scale
from tests.charts.frames import DAY, check_drawing, hovers, layer, words

FIRST = dt.date(2025, 3, 1)
SCHEMA: Any = {"date": pl.Date, "arm": pl.String, "done": pl.Boolean, "outcome": pl.Float64}
ARMS = {"+": "on", "-": "off", "w": "washout"}
DONE = {"d": True, "n": False, "?": None}


def frame(arms: str, done: str, outcomes: list[float | None]) -> pl.DataFrame:
    days = zip(arms, done, outcomes, strict=True)
    rows = [(FIRST + i * DAY, ARMS[arm], DONE[mark], value) for i, (arm, mark, value) in enumerate(days)]
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")


def drawn(rows: pl.DataFrame, means: ArmMeans = ArmMeans(4.0, 3.0), scale: Scale | None = Scale()) -> Figure:  # noqa: B008
    return trial_days.draw(rows, means, title="Mood was 1.0 higher.", habit="Walk", outcome="mood", scale=scale)


def test_each_day_is_where_its_lot_and_its_mark_say() -> None:
    figure = drawn(frame("++--w-", "dnn?dd", [4, 5, 3, None, 2, 3]))
    check_drawing(figure)
    for drawing in (figure.wide, figure.narrow):
        assert [len(layer(drawing, f"drawn {arm}")) for arm in ("on", "off", "washout")] == [2, 2, 1]
        assert [len(layer(drawing, name)) for name in ("on", "off", "left out")] == [1, 2, 1]
        assert [len(layer(drawing, name)) for name in ("done", "missed", "blank", "otherwise")] == [3, 2, 1, 2]
    assert figure.alt.endswith(
        "2 days drawn on, 2 with a value, mean mood 4.0; 3 days drawn off, 2 with a value, mean mood 3.0; "
        "2 days went otherwise than drawn."
    )
    assert hovers(figure.svg())[-2:] == [
        "1 March: drawn on, Walk done, mood 4",
        "2 March: drawn on, Walk not done, mood 5",
    ]
    assert {"on 4.0", "off 3.0", "by lot", "done", "otherwise", "1 Mar"} <= set(words(figure.svg()))
    assert figure.table.columns == ["date", "arm", "done", "outcome"]


def test_without_a_day_that_went_otherwise_there_is_no_row_for_them() -> None:
    said = words(drawn(frame("+-", "dn", [4, 3])).svg())
    assert "otherwise" not in said
    assert "done" in said


@pytest.mark.parametrize("scale", [Scale(words=("heavy", "low", "even", "good", "bright")), None])
def test_without_a_value_only_the_lots_are_drawn(scale: Scale | None) -> None:
    figure = drawn(frame("+-+-", "????", [None] * 4), ArmMeans(None, None), scale)
    check_drawing(figure)
    assert layer(figure.wide, "drawn on") == layer(figure.wide, "mean on") == []
    assert len(layer(figure.wide, "on")) == 2


@given(
    days=st.lists(
        st.tuples(st.sampled_from("+-w"), st.sampled_from("dn?"), st.none() | st.floats(-9, 900)),
        min_size=1,
        max_size=99,
    )
)
@settings(max_examples=25, deadline=None)
def test_whatever_the_days_are_all_stands_inside(days: list[tuple[str, str, float | None]]) -> None:
    arms, done, outcomes = map(list, zip(*days, strict=True))
    figure = drawn(frame("".join(arms), "".join(done), outcomes), ArmMeans(None, None), None)
    for drawing in (figure.wide, figure.narrow):
        boxes = [row for part in drawing["layer"] for row in part["data"]["values"]]
        assert all(0 <= row["x"] <= drawing["width"] and 0 <= row["y"] <= drawing["height"] for row in boxes)
        assert all(row["x"] <= row["x2"] <= drawing["width"] + 1 for row in boxes if "x2" in row)
        dots = sum(len(layer(drawing, f"drawn {arm}")) for arm in ARMS.values())
        assert dots == sum(value is not None for value in outcomes)
