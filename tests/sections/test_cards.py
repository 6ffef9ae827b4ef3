"""The building blocks of a page: their text, their empty state, and that they escape."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import polars as pl

import journal
from journal import periods
from journal.charts import weekday_profile
from journal.errors import Problem
from journal.sections import cards, day_cards, habit_cards, habit_grids
from journal.settings import Scale
from tests import journals
from tests.sections.test_escape import Reader

FRIDAY = dt.date(2025, 3, 14)
MARCH = periods.parse("2025-03", week_starts="monday")


def text(html: str) -> str:
    return Reader(html).text


def test_the_header_marks_the_page_and_carries_the_day() -> None:
    header = cards.header("month", "<Spine>", today=FRIDAY, on=dt.date(2025, 3, 1))
    links = {
        dict(attrs)["href"]: dict(attrs).get("aria-current") for name, attrs in Reader(header).elements if name == "a"
    }
    assert links["../month/?on=2025-03-01"] == "page"
    assert links["../week/?on=2025-03-01"] is None
    assert "<Spine>" in text(header)
    assert "Friday 14 March 2025" in text(header)


def test_a_figure_has_both_drawings_and_its_numbers() -> None:
    weekdays = pl.DataFrame(
        {"period": ["monday", "tuesday"], "n": [2, 0], "mean": [3.25, None], "sd": [1.5, None]},
        schema={"period": pl.String, "n": pl.Int64, "mean": pl.Float64, "sd": pl.Float64},
    )
    html = cards.figure(weekday_profile.draw(weekdays, Scale()))
    read = Reader(html)
    assert html.count('role="img"') == 2
    assert [attrs for name, attrs in read.elements if name == "th"][:2] == [[("scope", "col")], [("scope", "col")]]
    assert "monday23.251.5" in read.text
    assert "tuesday0––" in read.text  # a missing value is a dash, not a zero


def test_problems_say_where_and_what_to_do() -> None:
    problems = [
        Problem(path="2025/a.toml", line=3, column=7, where="mood", expected="a number", got='"<b>"', remedy="write 4")
    ]
    shown = text(cards.problems(problems))
    assert "1 place in the journal's files" in shown
    assert "2025/a.toml:3:7" in shown
    assert 'mood: expected a number, got "<b>"' in shown
    assert "Write 4." in shown
    assert cards.problems([]) == ""
    many = text(cards.problems(problems[:1] * 1_060))
    assert many.count(problems[0].path) == cards.MOST_PROBLEMS
    assert "1,060 places" in many and '1,010 more are told by "duskbook check".' in many
    assert "settings page" not in shown
    of_settings = Problem(path="journal.toml", expected="a number", got="none", remedy="write 4")
    assert "Mend journal.toml on the settings page" in text(cards.problems([*problems, of_settings]))


def tasks(*rows: tuple[dt.date, int, str | None, str, str]) -> pl.DataFrame:
    frame = pl.DataFrame(rows, schema=["date", "position", "id", "title", "status"], orient="row")
    return frame.with_columns(
        rank=pl.lit(None, pl.Int32), estimate=pl.lit(None, pl.Float64), took=pl.lit(None, pl.Float64),
        since=pl.lit(None, pl.Date),
    )  # fmt: skip


def test_a_task_is_listed_once_with_its_last_status() -> None:
    monday = FRIDAY - dt.timedelta(days=4)
    shown = text(
        day_cards.tasks(tasks((monday, 0, "t1", "Quote", "carried"), (FRIDAY, 0, "t1", "Quote, reworded", "done")))
    )
    assert shown == "Done, 1Quote, rewordedCarried, 0None.Dropped, 0None."


def test_a_task_of_a_future_day_counts_as_open_unless_carried() -> None:
    friday = tasks((FRIDAY, 0, "t1", "Quote", "open"), (FRIDAY, 1, None, "Sweep", "open"))
    thursday = tasks((FRIDAY - dt.timedelta(days=1), 0, "t1", "Quote", "carried"))
    assert (
        text(day_cards.tasks(pl.concat([thursday, friday])))
        == "Done, 0None.Carried, 1QuoteStill open, 1SweepDropped, 0None."
    )


def test_a_week_without_tasks() -> None:
    assert text(day_cards.tasks(tasks())) == "No tasks were written for this week."


def test_a_quota_says_what_is_left() -> None:
    week = [dt.date(2025, 3, 10) + dt.timedelta(days=i) for i in range(7)]
    states = pl.DataFrame(
        {"date": week, "times": [3] * 7, "per": ["week"] * 7, "mark": ["done", None, "done", None, None, None, None],
         "state": ["done", "not due", "done", "not due", "not due", "not due", "not due"]}
    )  # fmt: skip
    assert habit_cards.quota_left(states, today=FRIDAY) == "3 days left"
    assert habit_cards.quota_left(states, today=dt.date(2025, 3, 17)) == ""
    assert habit_cards.quota_left(states.with_columns(times=1), today=FRIDAY) == ""
    assert habit_cards.quota_left(states.with_columns(per=pl.lit("month")), today=FRIDAY) == "3 due a month"


def test_a_month_that_can_still_be_met_is_not_told_as_nothing_due(tmp_path: Path) -> None:
    """The last evening of March, none of two swims, days not logged: the month is open, and February was met."""
    swim = {"key": "swim", "name": "Swim", "times": 2, "per": "month", "from": dt.date(2025, 1, 1)}
    pages = {dt.date(2025, 2, day): {"habits": {"swim": True}} for day in (3, 10)}
    today = dt.date(2025, 3, 31)
    book = journal.open(journals.write(tmp_path, pages, habits=[swim]), today=today, cache=False)
    shown = text(habit_grids.month(book, MARCH).numbers)
    assert "Swimstill runningstreak of 1 month before this one longest 1 month in a row, " in shown


def test_a_clear_change_has_its_direction(tmp_path: Path) -> None:
    """5 of 28 in February and 22 of 31 in March are apart, 14 of 28 and 19 of 31 are not."""
    first, last = dt.date(2025, 2, 1), dt.date(2025, 3, 31)
    done, length = {"a": {2: 5, 3: 22}, "b": {2: 14, 3: 19}}, {2: 28, 3: 31}  # scattered over the days of the month
    pages = {
        day: {"habits": {key: day.day * 11 % length[day.month] < counts[day.month] for key, counts in done.items()}}
        for day in journals.days_between(first, last)
    }
    habits = [{"key": key, "name": f"<{key.upper()}>", "every": "FREQ=DAILY", "from": first} for key in done]
    book = journal.open(journals.write(tmp_path, pages, habits=habits), today=last, cache=False)
    shown = text(habit_grids.month(book, MARCH).numbers)
    assert "<A>22 of 31" in shown
    assert "up from 5 of 28 to 22 of 31, clear<B>" in shown
    assert "no clear change: 14 of 28, then 19 of 31" in shown
