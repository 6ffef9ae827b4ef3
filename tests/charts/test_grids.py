"""Month grid, year pixels and week: the marks match the states, in place and shape."""

from __future__ import annotations

import datetime as dt
import itertools
from collections import Counter

import polars as pl
import pytest

from journal import periods
from journal.charts import month_grid, week_days, year_pixels
from journal.charts.figure import Figure
from journal.settings import Scale
from tests.charts import frames
from tests.charts.frames import check_drawing, layer

MARCH = periods.parse("2025-03", week_starts="monday")
LATER = dt.date(2025, 4, 20)
MOOD = Scale(words=("heavy", "low", "even", "good", "bright"))
NAMES = {"walk": "Walk by the river", "read": "Read", "swim": "Swim"}

WALK = frames.marks("walk", MARCH.first, "ddddnrbsd--edddddddddddddddddn-")
READ = frames.marks("read", MARCH.first, "9995500bsr" + "9" * 21, target=8.0, aim="at least")
SWIM = frames.marks(
    "swim", dt.date(2025, 2, 24), "dsdsdss" + "dsdssss" + "ddddsss" + "dssssdd" + "ddsssss", times=3, per="week"
)


def month(today: dt.date = LATER, names: dict[str, str] = NAMES, *marks: pl.DataFrame) -> Figure:
    stated = frames.states(marks or (WALK, READ, SWIM), today)
    rates, streaks = frames.measures(stated, today)
    return month_grid.draw(stated, rates.filter(pl.col("period") == "2025-03"), streaks, MARCH, names, today=today)


def test_month_marks_match_the_states() -> None:
    # Counted by hand from the letters above: walk, read (9 meets the target, 5 is part of it, 0 is missed), swim.
    drawn = month()
    expected = {
        "done": (4 + 1 + 17) + (3 + 21) + (2 + 4 + 3 + 2),
        "partial": 2,
        "missed": 3 + (2 + 1),
        "rest": 1 + 1,
        "blank": 1 + 1,
        "pending": 0,
        "extra": 1,
    }
    for chart in (drawn.wide, drawn.narrow):
        key = Counter({shape: 1 for shape, n in expected.items() if n})  # the key shows each shape once
        assert {s: len(layer(chart, s)) - key[s] for s in expected} == expected
        assert len(layer(chart, "hover")) == sum(expected.values())


def test_month_title_alt_and_table() -> None:
    drawn = month(LATER, NAMES, frames.marks("walk", MARCH.first, "d" * 26 + "n" * 5), SWIM)
    assert drawn.title == "Walk by the river held 26 of 31 days; Swim held 2 of 4 weeks"
    assert drawn.subtitle == ("March 2025. Done of what was due, rest days left out, with the 95\xa0% interval.")
    assert drawn.alt == (
        "Month grid of March 2025, a row a habit and a mark a day. "
        "Walk by the river: 26 of 31 days, 84\xa0%, 95\xa0% interval 67 to 93\xa0%, streak 0 days; "
        "Swim: 2 of 4 weeks, 50\xa0%, 95\xa0% interval 15 to 85\xa0%, streak 0 weeks."
    )
    assert drawn.table.select("habit", "done", "due", "counted", "streak", "unit").rows() == [
        ("Walk by the river", 26, 31, 31, 0, "day"),
        ("Swim", 2, 4, 4, 0, "week"),
    ]
    words = frames.words(drawn.svg())
    assert {"26 of 31 days", "2 of 4 weeks", "none", "done of due", "streak now"} <= set(words)


def test_month_rate_dot_is_at_the_rate() -> None:
    drawn = month(LATER, NAMES, frames.marks("walk", MARCH.first, "d" * 15 + "n" * 16))
    zero, half, whole = (row["x"] for row in layer(drawn.wide, "axis"))
    (dot,), (interval,) = layer(drawn.wide, "rates"), layer(drawn.wide, "intervals")
    row = drawn.table.row(0, named=True)
    assert half == pytest.approx((zero + whole) / 2)
    for at, share in ((dot["x"], "rate"), (interval["x"], "low"), (interval["x2"], "high")):
        assert (at - zero) / (whole - zero) == pytest.approx(row[share])


def test_month_half_in_the_future() -> None:
    drawn = month(dt.date(2025, 3, 16), NAMES, frames.marks("walk", MARCH.first, "d" * 15 + "b" * 16))
    assert len(layer(drawn.wide, "pending")) == 16 + 1
    assert drawn.subtitle.startswith("March 2025 to 16 March.")
    assert len(layer(drawn.wide, "today")) == 2  # the number and the column
    check_drawing(drawn)


def test_a_partial_mark_is_filled_to_its_share() -> None:
    drawn = month(LATER, NAMES, frames.marks("read", MARCH.first, "4", target=8.0, aim="at least"))
    (fill, _), (outline, _) = layer(drawn.wide, "filling"), layer(drawn.wide, "partial")
    assert (fill["y2"] - fill["y"]) / (outline["y2"] - outline["y"]) == pytest.approx(0.5)
    assert fill["y2"] == outline["y2"]


def test_month_weekends_have_a_band() -> None:
    bands = layer(month().wide, "weekend")
    # March 2025 begins with a Saturday and ends with a Monday: five whole weekends.
    assert len(bands) == 5
    widths = {round(band["x2"] - band["x"], 6) for band in bands}
    assert widths == {round(2 * 18.2, 6)}


def test_forty_habits_with_long_names_all_appear() -> None:
    names = {f"h{i}": f"A habit whose name is far too long for any row, number {i}" for i in range(40)}
    drawn = month(LATER, names, *(frames.marks(key, MARCH.first, "dn" * 15 + "d") for key in names))
    check_drawing(drawn)
    for size in ("wide", "narrow"):
        svg = drawn.svg("narrow" if size == "narrow" else "wide")
        assert {h for h in frames.hovers(svg) if "," not in h or "row, number" in h} >= set(names.values())
        assert sum(word.endswith("…") for word in frames.words(svg)) >= 40
    assert drawn.table.get_column("habit").to_list() == list(names.values())


def test_months_without_entries() -> None:
    none = frames.states([], LATER)
    empty = month_grid.draw(none, *frames.measures(none, LATER), MARCH, NAMES, today=LATER)
    assert empty.title == "Habits in March 2025"
    assert empty.table.is_empty()
    check_drawing(empty)
    blank = month(LATER, NAMES, frames.marks("walk", MARCH.first, "b" * 31))
    assert blank.title == "Habits in March 2025"
    assert blank.alt.endswith("Walk by the river: not recorded.")
    assert len(layer(blank.wide, "blank")) == 31 + 1
    check_drawing(blank)
    drawn = month(LATER, NAMES, frames.marks("walk", MARCH.last, "d"))
    assert drawn.title == "Walk by the river held 1 of 1 day"
    check_drawing(drawn)
    rest = month(LATER, NAMES, frames.marks("walk", MARCH.first, "r" * 31))
    assert rest.alt.endswith("Walk by the river: nothing to count yet.")
    check_drawing(rest)


def test_year_of_mood() -> None:
    year = frames.days(dt.date(2024, 1, 1), [*[1.0] * 10, *[2.0] * 20, None, None, *[3.0] * 30, *[4.0] * 5, 4.5, 5.0])
    drawn = year_pixels.draw(year, 2024, today=dt.date(2024, 12, 31), scale=MOOD)
    for chart in (drawn.wide, drawn.narrow):
        assert [len(layer(chart, f"step {n}")) for n in range(1, 6)] == [10, 20, 30, 5, 2]
        assert len(layer(chart, "blank")) == 2
    assert drawn.title == "Mood through 2024; most often 3 even, on 30 days"
    assert drawn.subtitle == "Mood on 67 of 69 days, median mood 3"
    assert drawn.table.height == 69
    assert drawn.table.row(0) == (dt.date(2024, 1, 1), 1.0, "heavy")
    assert {"1 heavy", "5 bright", "not noted", "Jan", "Dec"} <= set(frames.words(drawn.svg("narrow")))
    assert "9 March: mood 5 bright" in frames.hovers(drawn.svg())
    check_drawing(drawn)


def test_every_day_of_a_leap_year_has_its_own_place() -> None:
    year = frames.days(dt.date(2024, 1, 1), [3.0] * 366)
    drawn = year_pixels.draw(year, 2024, "energy", today=dt.date(2024, 12, 31), scale=Scale())
    for chart in (drawn.wide, drawn.narrow):
        places = {(row["x"], row["y"]) for row in layer(chart, "step 3")}
        assert len(places) == 366
    assert "29 February: energy 3" in frames.hovers(drawn.svg())
    check_drawing(drawn)


@pytest.mark.parametrize("quantity", ["mood", "walk"])
def test_a_compact_year_has_a_row_a_month_in_both_drawings(quantity: str) -> None:
    of_mood = frames.days(dt.date(2024, 1, 1), [3.0] * 366)
    year, of = (2024, of_mood) if quantity == "mood" else (2025, frames.states([WALK, READ], LATER))
    drawn = year_pixels.draw(of, year, quantity, today=dt.date(2025, 4, 20), scale=MOOD, compact=True)
    check_drawing(drawn)
    assert drawn.wide["width"] <= 584, "it stands beside the fields of the review"
    for chart in (drawn.wide, drawn.narrow):
        assert chart["height"] < 340
        rows, columns = layer(chart, "rows"), layer(chart, "columns")
        assert [row["text"] for row in rows][::11] == ["Jan", "Dec"]
        assert [row["text"] for row in columns] == ["1", "5", "10", "15", "20", "25", "30"]
        places = {(row["x"], row["y"]) for row in layer(chart, "step 3" if quantity == "mood" else "hover")}
        assert len(places) == (366 if quantity == "mood" else 28)


def test_a_current_year_shows_nothing_after_today() -> None:
    year = frames.days(dt.date(2025, 1, 1), [3.0] * 365)
    drawn = year_pixels.draw(year, 2025, today=dt.date(2025, 3, 1), scale=MOOD)
    assert len(layer(drawn.wide, "step 3")) == 60
    assert drawn.table.height == 60


@pytest.mark.parametrize("moods", [[], [None], [None] * 365, [5.0]], ids=["none", "one blank", "all blank", "one day"])
def test_years_with_few_or_no_entries(moods: list[float | None]) -> None:
    drawn = year_pixels.draw(frames.days(dt.date(2025, 1, 1), moods), 2025, today=LATER, scale=MOOD)
    check_drawing(drawn)
    assert drawn.title.startswith("Mood through 2025")


def test_a_scale_of_ten() -> None:
    scale = Scale(low=1, high=10)
    year = frames.days(dt.date(2025, 1, 1), [float(v) for v in range(1, 11)])
    drawn = year_pixels.draw(year, 2025, today=LATER, scale=scale)
    assert [len(layer(drawn.wide, f"step {n}")) for n in range(1, 6)] == [2, 2, 2, 2, 2]
    assert "9 to 10" in frames.words(drawn.svg())
    check_drawing(drawn)


def test_year_of_a_habit_uses_the_shapes_of_the_month() -> None:
    stated = frames.states([WALK, READ], LATER)
    drawn = year_pixels.draw(stated, 2025, "walk", today=LATER, name="Walk")
    assert drawn.title == "Walk through 2025: done on 22 days"
    assert drawn.subtitle == "22 done, 3 not done, 1 rest, 1 not recorded"
    shapes = {shape: len(layer(drawn.narrow, shape)) for shape in ("done", "missed", "rest", "blank", "extra")}
    assert shapes == {"done": 23, "missed": 4, "rest": 2, "blank": 2, "extra": 2}
    check_drawing(drawn)
    check_drawing(year_pixels.draw(stated, 1999, "walk", today=LATER))


def test_week() -> None:
    week = periods.parse("2025-W11", week_starts="monday")
    today = dt.date(2025, 3, 14)
    stated = frames.states(
        [
            frames.marks("walk", week.first, "ddnrddd"),
            frames.marks("swim", week.first, "dsdssss", times=3, per="week"),
            frames.marks("idle", week.first, "-" * 7),
        ],
        today,
    )
    moods = frames.days(week.first, [2.0, 4.0, None, 4.0, 3.0, None, None])
    rates, _ = frames.measures(stated, today, by="week")
    drawn = week_days.draw(stated, moods, week, NAMES, MOOD, today=today, rates=rates)
    assert drawn.title == "Mood from 2 low to 4 good on 4 days; habits done 7 times"
    assert drawn.alt.endswith("Walk by the river: 5 of 6; Swim: 2 of 3.")
    for size in ("wide", "narrow"):
        words = frames.words(drawn.svg("wide" if size == "wide" else "narrow"))
        assert {"5 of 6", "2 of 3", "Swim", "Mood"} <= set(words)
        assert "idle" not in words
    assert len(layer(drawn.wide, "mood")) == 4
    assert len(layer(drawn.wide, "no mood")) == 1  # Wednesday; the weekend is still to come
    assert drawn.table.columns == ["date", "mood", "Walk by the river", "Swim"]
    assert drawn.table.row(2) == (dt.date(2025, 3, 12), None, "not done", "done")
    check_drawing(drawn)


def test_a_narrow_week_is_short_and_its_lines_do_not_meet() -> None:
    week = periods.parse("2025-W11", week_starts="monday")
    names = {f"h{i}": f"Habit {i}" for i in range(9)}
    stated = frames.states([frames.marks(key, week.first, "ddnrddd") for key in names], LATER)
    moods = frames.days(week.first, [4.0] * 7)
    drawn = week_days.draw(stated, moods, week, names, MOOD, today=LATER, below={"h1": "streak of 3", "h8": "resting"})
    assert drawn.narrow["height"] < 330
    texts = sorted(row["y"] for row in [*layer(drawn.narrow, "habits"), *layer(drawn.narrow, "below")])
    assert len(texts) == 11
    assert all(below - above >= 13 for above, below in itertools.pairwise(texts))
    rules = [row["y"] for row in layer(drawn.narrow, "lines")]
    assert not [1 for rule in rules for text in texts if abs(rule - text) < 7], "a line through a text"
    check_drawing(drawn)


def test_weeks_with_few_or_no_entries() -> None:
    week = periods.parse("2025-W11", week_starts="monday")
    nothing = week_days.draw(frames.states([], LATER), frames.days(week.first, []), week, {}, MOOD, today=LATER)
    assert nothing.title == "No mood noted"
    check_drawing(nothing)
    two = {"a": "date", "b": "date"}
    stated = frames.states([frames.marks(key, week.first, "d") for key in two], LATER)
    twins = week_days.draw(stated, frames.days(week.first, [3.0]), week, two, MOOD, today=LATER)
    assert len(set(twins.table.columns)) == 4
    check_drawing(twins)
