"""Mood line, monthly rates, weekdays and hours: the drawings match the frames."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest

from journal import periods
from journal.charts import mood_line, rates_by_month, week_strips, weekday_profile
from journal.charts.theme import PAGE
from journal.measures import mood, mood_profile
from journal.settings import Scale
from tests.charts import frames
from tests.charts.frames import check_drawing, layer

MARCH = periods.parse("2025-03", week_starts="monday")
YEAR = periods.parse("2025", week_starts="monday")
MOOD = Scale(words=("heavy", "low", "even", "good", "bright"))


def line(moods: list[float | None], scale: Scale = MOOD, period: periods.Period = MARCH) -> Any:
    trailing = mood.trailing(frames.days(period.first, moods))
    return mood_line.draw(trailing, scale, period)


def test_mood_line() -> None:
    moods: list[float | None] = [3.0] * 20 + [None] * 8 + [4.0, 5.0, 4.0]
    drawn = line(moods)
    assert drawn.chart().to_dict(validate=True)["layer"]  # valid by Vega-Lite's schema
    assert drawn.title == "Mood averaged 3.2 in March 2025, on 23 of 31 days"
    running = mood_line.draw(mood.trailing(frames.days(MARCH.first, moods[:24])), MOOD, MARCH, days=24)
    assert running.title == "Mood averaged 3.0 in March 2025, on 20 of 24 days"
    assert len(layer(drawn.wide, "days")) == 23
    assert drawn.table.get_column("value").to_list() == moods
    assert "30 March: mood 5 bright" in frames.hovers(drawn.svg())
    assert {"5 bright", "1 heavy", "last 7 days", "last 28 days"} <= set(frames.words(drawn.svg()))
    assert {"7 days", "28 days"} <= set(frames.words(drawn.svg("narrow")))
    check_drawing(drawn)


def test_gaps_stay_gaps() -> None:
    drawn = line([3.0] * 12 + [None] * 7 + [4.0] * 12)
    runs = layer(drawn.wide, "trailing_7")
    means = drawn.table.get_column("trailing_7")
    assert len(runs) == means.len() - means.null_count()
    # Four of seven days are rated from 4 March to 15 March and from 23 March on.
    first, second = ([row["x"] for row in runs if row["run"] == run] for run in sorted({row["run"] for row in runs}))
    assert (len(first), len(second)) == (12, 9)
    days = [row["x"] for row in layer(drawn.wide, "days")]
    assert first[0] == days[3]
    assert second[-1] == days[-1]


def test_runs_are_bands_in_the_upper_or_lower_half() -> None:
    moods = [1.0, 2.0, 1.0, 3.0, 5.0, 5.0, 3.0, 4.0, 5.0, 4.0, 4.0, 3.0] + [None] * 17 + [1.0, 1.0]
    days = frames.days(MARCH.first, [*moods, 1.0, 2.0])  # the last run continues in April
    drawn = mood_line.draw(mood.trailing(days), MOOD, MARCH, runs=mood_profile.runs(days))
    low, high, last = layer(drawn.wide, "runs")
    dots = [row["x"] for row in layer(drawn.wide, "days")]
    assert low["x"] <= dots[0] < dots[2] < low["x2"] < dots[3]
    assert dots[6] < high["x"] < dots[7] < dots[10] < high["x2"] < dots[11]
    assert high["y"] < high["y2"] == low["y"] < low["y2"]
    assert last["x2"] <= 980 and last["label"] == "4 low days in a row, from 30 March"
    assert "2 of low days, the longest 4 days from 30 March; 1 of high days, the longest 4 days" in drawn.alt
    check_drawing(drawn)
    assert not layer(line(moods).wide, "runs")


def test_values_are_at_their_height() -> None:
    drawn = line([1.0, 2.0, 3.0, 4.0, 5.0])
    heights = [row["y"] for row in layer(drawn.wide, "days")]
    steps = [row["y"] for row in layer(drawn.wide, "steps")]
    assert heights == pytest.approx(steps)
    assert heights == sorted(heights, reverse=True)


@pytest.mark.parametrize(
    ("moods", "period"),
    [
        ([], MARCH),
        ([None] * 31, MARCH),
        ([4.0], MARCH),
        ([3.0] * 366, periods.parse("2024", week_starts="monday")),
        ([2.0], YEAR),
    ],
    ids=["none", "blank", "one day", "leap year", "one day of a year"],
)
def test_lines_of_periods_of_any_length(moods: list[float | None], period: periods.Period) -> None:
    check_drawing(line(moods, MOOD, period))
    check_drawing(line(moods, Scale(low=1, high=10), period))


def test_line_of_one_day_and_of_a_week() -> None:
    check_drawing(line([4.0], MOOD, periods.parse("2025-03-14", week_starts="monday")))
    check_drawing(line([4.0, None, 3.0], MOOD, periods.parse("2025-W11", week_starts="monday")))


def test_names_at_the_ends_of_lines_do_not_overlap() -> None:
    drawn = line([3.0] * 31)  # both means end at 3
    first, second = layer(drawn.wide, "line")
    assert abs(first["y"] - second["y"]) >= 14


def monthly() -> pl.DataFrame:
    walk = frames.marks("walk", dt.date(2025, 1, 1), "d" * 31 + "n" * 28 + "dn" * 15 + "d")
    read = frames.marks("read", dt.date(2025, 2, 1), "d" * 28)
    return frames.measures(frames.states([walk, read], dt.date(2025, 12, 31)), dt.date(2025, 12, 31))[0]


def test_rates_by_month() -> None:
    drawn = rates_by_month.draw(monthly(), {"walk": "Walk", "read": "Read"}, 2025, apart={"walk"})
    assert drawn.title == "Walk ranged widest in 2025: 0\xa0% in February, 100\xa0% in January"
    assert drawn.table.select("habit", "month", "done", "counted").rows() == [
        ("Walk", "2025-01", 31, 31),
        ("Walk", "2025-02", 0, 28),
        ("Walk", "2025-03", 16, 31),
        ("Read", "2025-02", 28, 28),
    ]
    for chart in (drawn.wide, drawn.narrow):
        assert len(layer(chart, "rates")) == len(layer(chart, "intervals")) == len(layer(chart, "hover")) == 4
    words = frames.words(drawn.svg("narrow"))
    assert {"Walk", "Read", "Jan 100\xa0%, Feb 0\xa0%", "100\xa0%"} <= set(words)
    assert "Walk, March: 16 of 31, 52\xa0%, 95\xa0% interval 35 to 68\xa0%" in frames.hovers(drawn.svg())
    check_drawing(drawn)


def test_a_habit_whose_months_do_not_clearly_differ_is_in_no_title() -> None:
    call = frames.marks("call", dt.date(2025, 1, 31), "dn")
    rates, _ = frames.measures(frames.states([call], dt.date(2025, 12, 31)), dt.date(2025, 12, 31))
    assert rates_by_month.draw(rates, {}, 2025, apart=set()).title == "No habit's months stand clearly apart in 2025"


def test_a_month_in_which_nothing_was_logged_is_not_drawn_as_nothing_done() -> None:
    days = frames.marks("walk", dt.date(2025, 11, 1), "dn" * 15 + "b" * 31)
    today = dt.date(2026, 1, 10)
    rates, _ = frames.measures(frames.states([days], today), today)
    drawn = rates_by_month.draw(rates, {"walk": "Walk"}, 2025, apart=set())
    assert drawn.table.get_column("month").to_list() == ["2025-11"]
    assert "0\xa0%" not in frames.words(drawn.svg())
    nothing = rates_by_month.draw(rates.filter(pl.col("period") == "2025-12"), {"walk": "Walk"}, 2025, apart=set())
    assert nothing.title == "No habit has a rate in 2025"


def test_rates_of_no_habit_and_of_forty() -> None:
    nothing = rates_by_month.draw(monthly(), {}, 1999, apart=set())
    assert nothing.title == "No habit was due in 1999"
    check_drawing(nothing)
    names = {f"h{i}": f"A habit with a name that is rather long, number {i}" for i in range(40)}
    marks = [frames.marks(key, dt.date(2025, 1, 1), "d" * 365) for key in names]
    rates, _ = frames.measures(frames.states(marks, dt.date(2025, 12, 31)), dt.date(2025, 12, 31))
    many = rates_by_month.draw(rates, names, 2025, apart=set())
    assert set(names.values()) <= set(frames.hovers(many.svg("narrow")))
    check_drawing(many)


def test_weekday_profile() -> None:
    # Four weeks from a Monday: 3 every day, but 5 on Sundays.
    days = frames.days(dt.date(2025, 3, 3), [3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 5.0] * 4)
    drawn = weekday_profile.draw(mood.summary(days, by="weekday", week_starts="monday"), MOOD)
    assert drawn.title == "Sundays have the highest mean mood, 5.0; Mondays the lowest, 3.0"
    assert len(layer(drawn.wide, "means")) == 7
    assert drawn.table.get_column("n").to_list() == [4] * 7
    assert "Sunday 5.0, spread 0.0, 4 days" in drawn.alt
    assert {"Mon", "Sun", "4 days", "5.0"} <= set(frames.words(drawn.svg()))
    check_drawing(drawn)


def test_a_weekday_inside_the_spread_of_the_others_does_not_stand_out() -> None:
    days = frames.days(dt.date(2025, 3, 3), [2.0, 3.0, 4.0, 3.0, 3.0, 3.0, 3.0, 4.0, 3.0, 2.0, 3.0, 3.0, 3.0, 4.0])
    drawn = weekday_profile.draw(mood.summary(days, by="weekday", week_starts="monday"), MOOD)
    assert drawn.title == "No weekday stands out: mean mood from 3.0 to 3.5"


def test_weekdays_with_intervals_of_the_mean() -> None:
    days = frames.days(dt.date(2025, 3, 3), [3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 5.0, 2.0, 3.0, 4.0, 3.0, 3.0, 3.0, 5.0])
    profile = mood_profile.weekdays(days, week_starts="monday")
    drawn = weekday_profile.draw(profile, MOOD)
    assert "95\xa0% interval" in drawn.subtitle
    # Mondays 3 and 2: mean 2.5, t with one degree of freedom 12.706 times 0.5, far beyond the scale.
    assert "Monday 2.5, interval -3.9 to 8.9, 2 days" in drawn.alt
    assert drawn.title == "No weekday stands out: mean mood from 2.5 to 5.0"
    steps = [row["y"] for row in layer(drawn.wide, "steps")]
    assert all(min(steps) <= row["y"] <= max(steps) for row in layer(drawn.wide, "spread"))
    check_drawing(drawn)
    far = frames.days(dt.date(2025, 3, 3), [3.0, 3.1, 3.0, 3.0, 3.0, 3.0, 5.0, 2.9, 3.0, 3.1, 3.0, 3.1, 3.1, 5.0] * 4)
    apart = weekday_profile.draw(mood_profile.weekdays(far, week_starts="monday"), MOOD)
    assert apart.title == "Sundays have the highest mean mood, 5.0; Mondays the lowest, 3.0"
    # The test over the whole week decides, not two of the seven intervals.
    assert weekday_profile.draw(mood_profile.weekdays(far, week_starts="monday"), MOOD, clear=False).title.startswith(
        "No weekday stands out"
    )
    assert weekday_profile.draw(profile, MOOD, clear=True).title.startswith("Sundays have the highest")


@pytest.mark.parametrize("moods", [[], [None] * 7, [4.0]], ids=["none", "blank", "one day"])
def test_weekdays_with_few_or_no_days(moods: list[float | None]) -> None:
    days = frames.days(dt.date(2025, 3, 3), moods)
    check_drawing(weekday_profile.draw(mood.summary(days, by="weekday", week_starts="monday"), Scale(low=1, high=10)))
    check_drawing(weekday_profile.draw(mood_profile.weekdays(days, week_starts="monday"), Scale(low=1, high=10)))


WEEK = periods.parse("2025-W11", week_starts="monday")
CATEGORIES = {"sleep": ("Sleep", "#332288"), "work": ("Workshop", "#88CCEE"), "odd": ("Odd", "url(http://x.example/a)")}


def strips(**more: Any) -> Any:
    rows = [
        (WEEK.first, "planned", "sleep", 0, 375),
        (WEEK.first, "actual", "sleep", 0, 360),
        (WEEK.first, "actual", "work", 540, 750),
        (WEEK.last, "actual", "odd", 1430, 1440),
        (WEEK.last, "actual", "gone", 600, 660),
    ]
    return week_strips.draw(frames.hours(rows), CATEGORIES, WEEK, **more)


def test_hours_as_planned_and_as_they_went() -> None:
    drawn = strips()
    assert drawn.title == "Hours as they went on 2 of 7 days, planned on 1"
    assert len(layer(drawn.wide, "planned")) == 1
    assert len(layer(drawn.wide, "actual")) == 4
    words = frames.words(drawn.svg())
    assert {"Sleep", "Workshop", "Odd", "gone", "0:00", "24:00", "Mon 10"} <= set(words)
    assert "Sleep, 10 March, 00:00 to 06:15, planned" in frames.hovers(drawn.svg())
    assert drawn.table.row(0) == (WEEK.first, "actual", "Sleep", "00:00", "06:00")
    check_drawing(drawn)


def test_names_lie_over_the_blocks_of_every_category() -> None:
    rows = [(WEEK.first, "actual", "sleep", 0, 360), (WEEK.last, "actual", "also dark", 600, 900)]
    categories = {"sleep": ("Sleep", "#332288"), "also dark": ("People", "#117733")}  # white names in one layer
    drawn = week_strips.draw(frames.hours(rows), categories, WEEK)
    kinds = [part.get("name", "").split(" #")[0] for part in drawn.wide["layer"]]
    assert {row["text"] for row in layer(drawn.wide, "names")} == {"Sleep", "People"}
    assert kinds.index("names") > max(place for place, kind in enumerate(kinds) if kind == "actual")


def test_planned_is_thin_and_actual_is_thick() -> None:
    (planned,) = layer(strips().wide, "planned")
    actual = layer(strips().wide, "actual")[0]
    assert planned["y2"] - planned["y"] < (actual["y2"] - actual["y"]) * 0.7
    assert planned["y2"] < actual["y"]


def test_only_a_valid_colour_is_used() -> None:
    drawn = strips()
    assert "url(" not in drawn.svg() + drawn.svg("narrow")
    assert f'fill="{PAGE.quiet}"' in drawn.svg()


def test_twelve_hours_and_daylight() -> None:
    drawn = strips(clock=12, daylight={WEEK.first: [(380.0, 1084.0)], dt.date(2030, 1, 1): [(0.0, 1.0)]})
    assert {"midnight", "noon", "3 pm"} <= set(frames.words(drawn.svg()))
    assert len(layer(drawn.wide, "daylight")) == 1
    check_drawing(drawn)


def test_a_week_without_hours() -> None:
    nothing = week_strips.draw(frames.hours([]), CATEGORIES, WEEK)
    assert nothing.title == "No hours were noted"
    check_drawing(nothing)
