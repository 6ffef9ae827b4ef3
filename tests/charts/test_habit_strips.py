"""The rows of a month: the marks of all habits are in line below the days, and the rate is at its place."""

from __future__ import annotations

import datetime as dt
import itertools
import re

import pytest

from journal import periods
from journal.charts import habit_month, habit_strips
from journal.charts.canvas import Drawing
from journal.charts.figure import svg
from journal.frames import Row
from tests.charts import frames
from tests.charts.frames import layer

MARCH = periods.parse("2025-03", week_starts="monday")
LATER = dt.date(2025, 4, 20)
LETTERS = {"walk": "ddddnrbsd--edddddddddddddddddn-", "read": "n" * 31, "swim": "-" * 30 + "d"}


def rows(today: dt.date = LATER, letters: dict[str, str] = LETTERS) -> dict[str, Row]:
    stated = frames.states([frames.marks(key, MARCH.first, text) for key, text in letters.items()], today)
    rates, streaks = frames.measures(stated, today)
    found = habit_month.rows(stated, rates, streaks, MARCH, {key: key.capitalize() for key in letters})
    return {row["habit"]: row for row in found}


def middles(drawing: Drawing) -> list[float]:
    return [(row["x"] + row["x2"]) / 2 for row in layer(drawing, "hover")]


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_the_marks_of_a_day_are_in_line_below_its_head(size: str) -> None:
    head = getattr(habit_strips.heads(MARCH, LATER), size)
    drawn = {key: getattr(habit_strips.strip(row, MARCH, LATER), size) for key, row in rows().items()}
    assert {drawing["width"] for drawing in drawn.values()} == {head["width"]}
    pitch = head["width"] / 31
    assert middles(drawn["read"]) == pytest.approx([(day + 0.5) * pitch for day in range(31)])
    assert middles(drawn["swim"]) == pytest.approx([30.5 * pitch])
    shown = {row["text"]: row["x"] for row in layer(head, "days")}
    assert list(shown) == ["1", "8", "15", "22", "29"]
    assert shown["8"] == pytest.approx(7.5 * pitch)


def test_the_marks_are_those_of_the_states() -> None:
    walk = rows()["walk"]
    for drawing in (habit_strips.strip(walk, MARCH, LATER).wide, habit_strips.strip(walk, MARCH, LATER).narrow):
        counts = {shape: len(layer(drawing, shape)) for shape in ("done", "missed", "rest", "blank", "extra")}
        assert counts == {"done": 22, "missed": 3, "rest": 1, "blank": 1, "extra": 1}
    assert habit_strips.marks_alt(walk) == "Walk: 22 done, 3 not done, 1 rest, 1 not recorded, 1 done, though not due"
    assert habit_strips.marks_alt({"name": "Swim", "days": []}) == "Swim: not due"


def test_the_rate_is_at_its_place_and_left_out_without_one() -> None:
    row = rows(letters={"walk": "d" * 15 + "n" * 16})["walk"]
    drawn = habit_strips.strip(row, MARCH, LATER).rate
    assert drawn is not None
    zero, _, whole = (rule["x"] for rule in layer(drawn, "axis"))
    (dot,), (interval,) = layer(drawn, "rates"), layer(drawn, "intervals")
    for at, share in ((dot["x"], row["rate"]), (interval["x"], row["low"]), (interval["x2"], row["high"])):
        assert (at - zero) / (whole - zero) == pytest.approx(share)
    resting = rows(letters={"walk": "r" * 31})["walk"]
    assert habit_strips.strip(resting, MARCH, LATER).rate is None


@pytest.mark.parametrize("day", [1, 2, 8, 15, 30, 31])
def test_the_number_of_today_stands_and_hides_no_other(day: int) -> None:
    today = dt.date(2025, 3, day)
    heads = habit_strips.heads(MARCH, today)
    for head, room in ((heads.wide, 11), (heads.narrow, 10.5)):
        numbers = sorted((row["x"], row["text"]) for row in layer(head, "days"))
        assert str(day) in [text for _, text in numbers]
        assert all(right - left >= room for (left, _), (right, _) in itertools.pairwise(numbers))
    marks = habit_strips.strip(rows(today)["read"], MARCH, today)
    assert len(layer(marks.wide, "today")) == 1
    left, _, width, _ = map(float, re.findall(r'viewBox="([^"]*)"', svg(marks.wide, key="k", alt_text="a"))[0].split())
    assert [left, width] == [0, habit_strips.WIDE_STRIP], "in line with the head, which has no frame"
