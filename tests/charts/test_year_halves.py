"""A year split in two for facing pages: every day is on exactly one of them."""

from __future__ import annotations

import datetime as dt

import pytest

from journal.charts import year_pixels
from journal.charts.figure import svg
from tests.charts.frames import days, hovers, layer, marks, states, tree

FIRST, LAST = dt.date(2024, 1, 1), dt.date(2024, 12, 31)


def test_every_day_is_in_one_half() -> None:
    figure = year_pixels.draw(days(FIRST, [float(1 + n % 5) for n in range(366)]), 2024, today=LAST)
    assert [half.part for half in figure.halves] == ["January to June", "July to December"]
    labels = [hovers(svg(half.drawing, key=str(n), alt_text="A half.")) for n, half in enumerate(figure.halves)]
    assert [len(half) for half in labels] == [182, 184]
    assert labels[0][0].startswith("1 January:") and not any("July" in day for day in labels[0])
    assert sorted(labels[0] + labels[1]) == sorted(hovers(figure.svg("wide")))


def test_months_stand_in_columns_of_their_own() -> None:
    figure = year_pixels.draw(days(FIRST, [3.0] * 366), 2024, today=LAST)
    heads = [[row["text"] for row in layer(half.drawing, "columns")] for half in figure.halves]
    assert heads == [["Jan", "Feb", "Mar", "Apr", "May", "Jun"], ["Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]]
    boxes = layer(figure.halves[1].drawing, "step 3")
    places = {(round(box["x"]), round(box["y"])) for box in boxes}
    assert len(places) == 184
    assert len({x for x, _ in places}) == 6


@pytest.mark.parametrize("size", ["halves", "alone"])
def test_a_habit_is_split_the_same_way(size: str) -> None:
    stated = states([marks("walk", dt.date(2024, 6, 29), "ddnd")], today=LAST)
    figure = year_pixels.draw(stated, 2024, "walk", today=LAST, name="Walk")
    if size == "alone":
        assert len(hovers(figure.svg("narrow"))) == 4
        return
    drawn = [svg(half.drawing, key=half.part, alt_text="A half.") for half in figure.halves]
    assert [len(hovers(half)) for half in drawn] == [2, 2]
    widths = {(tree(half).get("viewBox") or "").split()[2] for half in drawn}
    assert len(widths) == 1
