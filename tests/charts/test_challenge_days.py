"""Challenges by day: the marks match the ticks as of a day."""

from __future__ import annotations

import datetime as dt
from collections import Counter

import polars as pl
import pytest

from journal.charts import challenge_days
from journal.charts.figure import Figure
from journal.measures import challenges
from tests.charts import frames
from tests.charts.frames import DAY, check_drawing, layer

FIRST = dt.date(2025, 3, 1)
NAMES = {"letters": "Thirty letters", "paper": "An endpaper a day"}
SHAPES = ("done", "missed", "blank", "pending", "caught up")


def ticks(challenge: str, first: dt.date, letters: str) -> pl.DataFrame:
    """One letter per day: d ticked, n not ticked, s not logged, l logged without a tick, c ticked two days later."""
    return pl.DataFrame(
        {
            "challenge": challenge,
            "date": [first + n * DAY for n in range(len(letters))],
            "ticked": [{"d": True, "c": True, "n": False}.get(letter) for letter in letters],
            "caught_up": [first + (n + 2) * DAY if letter == "c" else None for n, letter in enumerate(letters)],
            "logged": [letter != "s" for letter in letters],
        },
        schema={
            "challenge": pl.String,
            "date": pl.Date,
            "ticked": pl.Boolean,
            "caught_up": pl.Date,
            "logged": pl.Boolean,
        },
    )


def drawn_of(frame: pl.DataFrame, today: dt.date, names: dict[str, str] = NAMES) -> Figure:
    return challenge_days.draw(frame, challenges.totals(frame, today=today), names, today=today)


def shapes(figure: Figure) -> list[dict[str, int]]:
    key = Counter(shape for shape in SHAPES if layer(figure.wide, shape))
    return [
        {shape: len(layer(drawing, shape)) - key[shape] for shape in SHAPES if layer(drawing, shape)}
        for drawing in (figure.wide, figure.narrow)
    ]


def test_marks_match_the_ticks() -> None:
    frame = ticks("letters", FIRST, "ddncsdddss")
    drawn = drawn_of(frame, FIRST + 8 * DAY)
    assert drawn.chart().to_dict(validate=True)["layer"]
    # Day 9 is today and has no tick yet, day 10 is tomorrow: both are to come.
    assert shapes(drawn) == [{"done": 5, "missed": 1, "blank": 1, "pending": 2, "caught up": 1}] * 2
    assert drawn.title == "Thirty letters: 6 of 8 days"
    hovers = frames.hovers(drawn.svg())
    assert "Thirty letters, 4 March, day 4: caught up on 6 March" in hovers
    assert "Thirty letters, 5 March, day 5: not recorded" in hovers
    assert {"caught up later", "to come"} <= set(frames.words(drawn.svg("narrow")))
    check_drawing(drawn)


def test_a_logged_day_without_a_tick_is_not_done() -> None:
    drawn = drawn_of(ticks("letters", FIRST, "dlsn"), FIRST + 8 * DAY)
    assert shapes(drawn) == [{"done": 1, "missed": 2, "blank": 1}] * 2
    assert "Thirty letters, 2 March, day 2: logged without a tick" in frames.hovers(drawn.svg())


def test_a_tick_caught_up_after_today_is_still_to_come() -> None:
    drawn = drawn_of(ticks("letters", FIRST, "dcdddd"), FIRST + 2 * DAY)
    assert shapes(drawn)[0] == {"done": 2, "missed": 1, "pending": 3}
    assert drawn.title == "Thirty letters: 2 of 3 days"


def test_challenges_line_up_by_their_first_day() -> None:
    frame = pl.concat([ticks("letters", FIRST, "d" * 30), ticks("paper", FIRST + 50 * DAY, "dn" * 15)])
    drawn = drawn_of(frame, FIRST + 200 * DAY)
    assert drawn.title == "Thirty letters: 30 of 30 days; An endpaper a day: 15 of 30 days"
    places = {row["label"].split(": ")[0]: row["x"] for row in layer(drawn.wide, "hover")}
    assert places["Thirty letters, 1 March, day 1"] == places["An endpaper a day, 20 April, day 1"]
    assert drawn.table.select("challenge", "days", "ticks").rows() == [
        ("Thirty letters", 30, 30),
        ("An endpaper a day", 30, 15),
    ]
    check_drawing(drawn)


def test_a_long_challenge_wraps_to_more_lines() -> None:
    drawn = drawn_of(ticks("letters", FIRST, "d" * 100), FIRST + 200 * DAY, {})
    for drawing in (drawn.wide, drawn.narrow):
        assert len({row["y"] for row in layer(drawing, "hover")}) == 4
        assert len(layer(drawing, "hover")) == 100
    check_drawing(drawn)


@pytest.mark.parametrize("letters", ["", "s", "s" * 30, "d"], ids=["none", "today", "no entries", "one"])
def test_challenges_with_few_or_no_entries(letters: str) -> None:
    drawn = drawn_of(ticks("letters", FIRST, letters), FIRST)
    assert (drawn.title == "No challenge has begun") is (not letters)
    check_drawing(drawn)


def test_before_the_first_day_and_without_a_caught_up_column() -> None:
    frame = ticks("letters", FIRST, "ddd")
    assert drawn_of(frame, FIRST - DAY).title == "No challenge has begun"
    bare = challenge_days.draw(
        frame.drop("caught_up"), challenges.totals(frame, today=FIRST + 9 * DAY), NAMES, today=FIRST + 9 * DAY
    )
    assert shapes(bare)[0] == {"done": 3}
    check_drawing(bare)


def test_forty_challenges_with_long_names() -> None:
    names = {f"c{n}": f"A challenge with a name that is rather long, number {n}" for n in range(40)}
    frame = pl.concat([ticks(key, FIRST, "dn" * 5) for key in names])
    drawn = drawn_of(frame, FIRST + 60 * DAY, names)
    assert drawn.title.startswith("40 challenges; the fullest is ")
    assert set(names.values()) <= set(frames.hovers(drawn.svg("narrow")))
    check_drawing(drawn)
