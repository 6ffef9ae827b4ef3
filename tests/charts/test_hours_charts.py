"""Planned and actual hours, outcomes of planned time, and daylight spans."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from journal import periods
from journal.charts import category_hours, daylight, plan_outcomes, week_strips
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.measures import hours, plan_vs_actual
from journal.sun import rise_set
from tests.charts import frames
from tests.charts.frames import check_drawing, layer

WEEK = periods.parse("2025-W11", week_starts="monday")
MONDAY = WEEK.first
CATEGORIES = {"sleep": ("Sleep", "#332288"), "work": ("Workshop", "#88CCEE"), "odd": ("Odd", "url(http://x.example/a)")}
H = "\xa0h"
PERCENT = "\xa0%"

ROWS = [
    (MONDAY, "planned", "sleep", 0, 400),
    (MONDAY, "actual", "sleep", 0, 300),
    (MONDAY, "planned", "work", 540, 660),
    (MONDAY, "actual", "odd", 540, 630),
    (MONDAY, "actual", "work", 630, 690),
]


def bars(rows: list[tuple[dt.date, str, str, int, int]]) -> Figure:
    strip = frames.hours(rows)
    return category_hours.draw(
        hours.as_planned(hours.totals(strip, week_starts="monday")), CATEGORIES, WEEK, days=hours.days(strip)
    )


def went(rows: list[tuple[dt.date, str, str, int, int]]) -> Figure:
    return plan_outcomes.draw(
        plan_vs_actual.where_planned_went(frames.hours(rows), week_starts="monday"), CATEGORIES, WEEK
    )


def test_bar_lengths_match_the_hours() -> None:
    drawn = bars(ROWS)
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.title == f"Sleep went as planned most, 75{PERCENT} of 6.7{H}; Workshop least, 25{PERCENT} of 2{H}"
    for drawing in (drawn.wide, drawn.narrow):
        lengths = [row["x2"] - row["x"] for row in layer(drawing, "bars")]
        # Sleep as planned and as it went, workshop as planned and as it went, odd as it went.
        assert [length / lengths[0] for length in lengths] == pytest.approx(
            [1, 300 / 400, 120 / 400, 60 / 400, 90 / 400]
        )
        thick = [row["y2"] - row["y"] for row in layer(drawing, "bars")]
        assert thick[0] < thick[1] / 2
    assert f"Odd: not planned, went 1.5{H}" in frames.hovers(drawn.svg())
    assert drawn.table.select("category", "as_planned_share").rows() == [
        ("Sleep", 0.75),
        ("Workshop", 0.25),
        ("Odd", None),
    ]
    assert "url(" not in drawn.svg() + drawn.svg("narrow")
    check_drawing(drawn)


@pytest.mark.parametrize(
    ("rows", "title"),
    [
        ([], "No hours were noted in 10 to 16 March 2025"),
        ([(MONDAY, "actual", "sleep", 0, 0)], "No plan in 10 to 16 March 2025 can be compared with how it went"),
        (ROWS[:2], f"Sleep went as planned for 75{PERCENT} of 6.7{H}"),
        (
            [(MONDAY, layer_, "sleep", 0, 60) for layer_ in ("planned", "actual")],
            f"Sleep went as planned for 100{PERCENT} of 1{H}",
        ),
    ],
    ids=["none", "no minute", "one", "all of it"],
)
def test_bars_of_few_or_no_hours(rows: list[tuple[dt.date, str, str, int, int]], title: str) -> None:
    drawn = bars(rows)
    assert drawn.title == title
    check_drawing(drawn)


def test_the_subtitle_counts_days_if_the_layers_differ() -> None:
    assert "Planned on" not in bars(ROWS).subtitle  # one day with both layers
    tuesday, wednesday = (MONDAY + dt.timedelta(n) for n in (1, 2))
    planned = [*ROWS, (tuesday, "planned", "work", 540, 660)]
    assert "Planned on 2 days, written as they went on 1 of them." in bars(planned).subtitle
    went_too = [*planned, (wednesday, "actual", "work", 540, 660)]
    assert "Planned on 2 days, written as they went on 2, on 1 both." in bars(went_too).subtitle


def test_each_pair_has_a_cell_with_its_hours() -> None:
    drawn = went(ROWS)
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.title == f"1.5{H} planned for Workshop went to Odd, the most of any pair"
    # Sleep to sleep and to nothing; workshop to odd and to workshop; open time to workshop and to nothing.
    assert len(layer(drawn.wide, "hours")) == len(layer(drawn.narrow, "hours")) == drawn.table.height == 6
    assert len(layer(drawn.wide, "kept")) == len(layer(drawn.narrow, "kept")) == 2
    assert f"Workshop to Odd: 1.5{H} on 1 day" in frames.hovers(drawn.svg())
    assert f"open time to not written: 14.8{H} on 1 day" in frames.hovers(drawn.svg())
    assert ("Workshop", "Odd", 90, 1) in drawn.table.rows()
    sleep, work = (row["x2"] - row["x"] for row in layer(drawn.wide, "kept"))
    assert sleep / work == pytest.approx(0.75 / 0.25)  # shares of the minutes planned for each
    check_drawing(drawn)


def test_no_outcomes_without_both_layers() -> None:
    nothing = went([])
    assert nothing.title == "No day of 10 to 16 March 2025 has both a plan and hours as they went"
    check_drawing(nothing)
    kept = went([(MONDAY, one, "sleep", 0, 60) for one in ("planned", "actual")])
    assert kept.title == "No planned time went to another category"
    check_drawing(kept)


def test_forty_categories_with_long_names() -> None:
    categories = {f"c{n}": (f"A category of some length, number {n}", "#332288") for n in range(40)}
    rows = [
        (MONDAY, one, f"c{(n + turn) % 40}", n * 30, n * 30 + 30)
        for n in range(40) for turn, one in ((0, "planned"), (n % 3, "actual"))
    ]  # fmt: skip
    totals = hours.as_planned(hours.totals(frames.hours(rows), week_starts="monday"))
    first = category_hours.draw(totals, categories, WEEK)
    assert len(layer(first.narrow, "names")) == 40
    check_drawing(first)
    second = plan_outcomes.draw(
        plan_vs_actual.where_planned_went(frames.hours(rows), week_starts="monday"), categories, WEEK
    )
    assert len(layer(second.wide, "hours")) == len(layer(second.narrow, "hours"))
    check_drawing(second)


def test_daylight_by_calendar_day() -> None:
    home = rise_set.days(MONDAY, MONDAY, 46.05, 14.51, "Europe/Ljubljana")
    ((rise, down),) = daylight.bands(home)[MONDAY]
    assert (round(rise), round(down)) == (round(home.item(0, "rise_minute")), round(home.item(0, "set_minute")))
    june = dt.date(2024, 6, 20)
    white = rise_set.days(
        june, june + dt.timedelta(1), 64.1466, -21.9426, "Atlantic/Reykjavik"
    )  # it sets after midnight
    found = daylight.bands(white)
    assert found[june][-1][1] == 1440
    (early, _), (late_rise, end) = found[june + dt.timedelta(1)]
    assert (early, end) == (0.0, 1440.0)
    assert late_rise == white.item(1, "rise_minute")
    # Against the sun itself: every crossing on the 21st is the start or the end of a span.
    day = june + dt.timedelta(1)
    at = rise_set.crossings(day, day, 64.1466, -21.9426, "Atlantic/Reykjavik").get_column("at").to_list()
    minutes = sorted(dt.datetime.fromisoformat(t).hour * 60 + dt.datetime.fromisoformat(t).minute for t in at)
    edges = sorted(int(edge) for stretch in found[day] for edge in stretch if 0 < edge < 1440)
    assert edges == minutes


def test_daylight_at_the_poles() -> None:
    midsummer, midwinter = dt.date(2024, 6, 21), dt.date(2024, 12, 21)
    assert daylight.bands(rise_set.days(midsummer, midsummer, 69.65, 18.96, "Europe/Oslo")) == {
        midsummer: [(0.0, 1440.0)]
    }
    assert daylight.bands(rise_set.days(midwinter, midwinter, 69.65, 18.96, "Europe/Oslo")) == {}
    assert daylight.bands(pl.DataFrame(schema=rise_set.SUN)) == {}


def test_strips_show_every_span_of_daylight() -> None:
    drawn = week_strips.draw(frames.hours(ROWS), CATEGORIES, WEEK, daylight={MONDAY: [(0.0, 4.0), (175.0, 1440.0)]})
    assert len(layer(drawn.wide, "daylight")) == len(layer(drawn.narrow, "daylight")) == 2
    assert f'fill="{PAGE.day}"' in drawn.svg()
    check_drawing(drawn)
