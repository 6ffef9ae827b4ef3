"""Waiting times of tasks, estimates, and completion of ranked tasks."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from journal import periods
from journal.charts import estimates_over_time, ranked_share, waiting_curve
from journal.charts.figure import Figure
from journal.measures import task_ends, tasks
from tests.charts import frames
from tests.charts.frames import DAY, check_drawing, layer

MARCH = periods.parse("2025-03", week_starts="monday")
YEAR = periods.parse("2025", week_starts="monday")


def lives(*ends: tuple[int, str]) -> pl.DataFrame:
    return pl.DataFrame(list(ends), schema={"days": pl.Int64, "status": pl.String}, orient="row")


def curve(*ends: tuple[int, str]) -> Figure:
    of = lives(*ends)
    return waiting_curve.draw(task_ends.ended_by(of), of)


def test_the_curve_rises_where_tasks_are_done() -> None:
    drawn = curve((1, "done"), (3, "done"), (3, "open"), (5, "done"), (5, "dropped"), (8, "open"))
    assert drawn.chart().to_dict(validate=True)["layer"]
    # By hand: 1/6 from day 1; from day 3 5/6 * 1/5 more; from day 5 4/6 * 1/3 more, and as many dropped.
    assert drawn.title == "56\N{NO-BREAK SPACE}% of 6 tasks are done within 5 days"
    assert "3 done, 2 still open, 1 dropped" in drawn.subtitle
    for drawing in (drawn.wide, drawn.narrow):
        whole, bottom = layer(drawing, "shares")[-1]["y"], layer(drawing, "shares")[0]["y"]
        path = layer(drawing, "done_by line")
        heights = [(bottom - row["y"]) / (bottom - whole) for row in path]
        assert heights == pytest.approx([0, *[0] * 1, *[1 / 6] * 3, *[1 / 3] * 3, *[5 / 9] * 2])
        zero = path[0]["x"]
        day = path[1]["x"] - zero
        assert [round((row["x"] - zero) / day, 6) for row in path] == [0, 1, 1, 3, 3, 3, 5, 5, 5, 8]
        (dot,) = layer(drawing, "half dot")
        assert ((dot["x"] - zero) / day, (bottom - dot["y"]) / (bottom - whole)) == pytest.approx((5, 5 / 9))
        ticks = layer(drawing, "censored")
        assert [round((row["x"] - zero) / day) for row in ticks] == [3, 8]
        assert [row["label"] for row in ticks] == ["1 still open after 3 days", "1 still open after 8 days"]
        (dropped,) = layer(drawing, "dropped")
        assert (bottom - dropped["y2"]) / (bottom - whole) == pytest.approx(1 - 2 / 9)
    check_drawing(drawn)


@pytest.mark.parametrize(
    ("ends", "title"),
    [
        ([], "No task has stood on a page yet"),
        ([(4, "open")] * 3, "Not one of 3 tasks is done yet"),
        ([(0, "done")], "One task: done on the day it first stood"),
        (
            [(0, "done")] * 13 + [(1, "done")] * 7,
            "65\N{NO-BREAK SPACE}% of 20 tasks are done on the day they first stand",
        ),
        ([(2, "done")] * 40, "100\N{NO-BREAK SPACE}% of 40 tasks are done within 2 days"),
        ([(2, "done"), *[(9, "open")] * 3], "25\N{NO-BREAK SPACE}% of 4 tasks are done within 2 days"),
        (
            [(3, "done")] * 2 + [(1, "dropped")] * 8,
            "20\N{NO-BREAK SPACE}% of 10 tasks are done within 3 days, 80\N{NO-BREAK SPACE}% in the end dropped",
        ),
        ([(1, "done"), (1, "done"), (400, "open")], "67\N{NO-BREAK SPACE}% of 3 tasks are done within 1 day"),
    ],
    ids=["none", "none done", "one", "same day", "all at once", "no half", "mostly dropped", "one far out"],
)
def test_curves_of_few_or_no_tasks(ends: list[tuple[int, str]], title: str) -> None:
    drawn = curve(*ends)
    assert drawn.title == title
    check_drawing(drawn)


def test_an_outlier_does_not_compress_the_curve() -> None:
    drawn = curve((1, "done"), (3, "done"), (400, "open"))
    (note,) = layer(drawn.wide, "further")
    assert note["text"] == "1 task further out, up to 400 days"
    assert max(row["x"] for row in layer(drawn.wide, "censored")) <= 980


def ratios(rows: list[tuple[int, float]], period: periods.Period = MARCH) -> Figure:
    done = pl.DataFrame(
        {
            "last": [period.first + n * DAY for n, _ in rows],
            "estimate": [30.0] * len(rows),
            "took": [30.0 * ratio for _, ratio in rows],
            "ratio": [ratio for _, ratio in rows],
        },
        schema={"last": pl.Date, "estimate": pl.Float64, "took": pl.Float64, "ratio": pl.Float64},
    )
    return estimates_over_time.draw(tasks.trailing_ratios(done), tasks.estimates(done), period)


def test_twice_is_as_far_above_the_line_as_half_is_below() -> None:
    drawn = ratios([(n, 2.0 if n % 2 else 0.5) for n in range(8)])
    assert drawn.chart().to_dict(validate=True)["layer"]
    (line,) = layer(drawn.wide, "as estimated")
    under, over = (
        {row["y"] for row in layer(drawn.wide, "tasks") if row["y"] > line["y"]},
        {row["y"] for row in layer(drawn.wide, "tasks") if row["y"] < line["y"]},
    )
    assert len(under) == len(over) == 1
    assert under.pop() - line["y"] == pytest.approx(line["y"] - over.pop())
    assert len(layer(drawn.wide, "trailing")) == 4  # from the fifth task on
    assert "2 March: took 1 h, estimated 30 min, 2 times" in frames.hovers(drawn.svg())
    assert {"twice", "half", "as estimated"} <= set(frames.words(drawn.svg("narrow")))
    check_drawing(drawn)
    assert (
        ratios([(n, 1.25) for n in range(3)]).title == "Half of 3 tasks took 1.25 times as long as estimated, or longer"
    )


@pytest.mark.parametrize(
    ("rows", "title"),
    [
        ([], "No task done in March 2025 was both estimated and timed"),
        ([(3, 1.5)], "The one task that was timed took 1.5 times as long as estimated"),
        ([(n % 31, 1.0) for n in range(40)], "Half of 40 tasks took as long as estimated, or longer"),
        ([(0, 1e-6), (1, 1e6)], None),
    ],
    ids=["none", "one", "all as estimated", "far out"],
)
def test_estimates_of_few_or_no_tasks(rows: list[tuple[int, float]], title: str | None) -> None:
    drawn = ratios(rows)
    assert title is None or drawn.title == title
    check_drawing(drawn)


def test_a_year_of_estimates() -> None:
    drawn = ratios([(n * 3, 1.2) for n in range(120)], YEAR)
    assert len(layer(drawn.wide, "tasks")) == 120
    check_drawing(drawn)


def ranked(*counts: tuple[bool, int, int]) -> Figure:
    rows = [
        {"since": dt.date(2025, 3, 1), "status": "done" if n < done else "dropped", "was_ranked": was}
        for was, done, of in counts for n in range(of)
    ]  # fmt: skip
    schema = {"since": pl.Date, "status": pl.String, "was_ranked": pl.Boolean}
    return ranked_share.draw(tasks.by_rank(pl.DataFrame(rows, schema=schema), today=dt.date(2025, 3, 31)))


@pytest.mark.parametrize(
    ("counts", "title"),
    [
        (
            [(True, 56, 70), (False, 48, 80)],
            "Ranked tasks are done more often, also because they were chosen: 80\xa0% against 60\xa0%",
        ),
        (
            [(True, 48, 80), (False, 56, 70)],
            "Ranked tasks, chosen for a reason, are done less often: 60\xa0% against 80\xa0%",
        ),
        ([(True, 3, 4), (False, 1, 2)], "No clear difference: 75\xa0% of ranked tasks are done, 50\xa0% of others"),
        ([(True, 2, 2)], "Every task so far had a rank: 2 of 2 are done"),
        ([(False, 0, 1)], "No task so far had a rank: 0 of 1 are done"),
        ([], "No task can be counted yet"),
    ],
    ids=["more", "less", "unclear", "all", "none", "nothing"],
)
def test_a_difference_is_claimed_only_if_its_interval_excludes_zero(
    counts: list[tuple[bool, int, int]], title: str
) -> None:
    drawn = ranked(*counts)
    assert drawn.title == title
    assert len(layer(drawn.wide, "rates")) == len(layer(drawn.narrow, "intervals")) == len(counts)
    check_drawing(drawn)
