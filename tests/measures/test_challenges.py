"""Challenges from journal folders, against a plain loop and a table counted by hand."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

import journal
from journal.measures import challenges as measure
from tests import journals

FIRST = dt.date(2025, 3, 1)
LETTERS = {"key": "letters", "name": "Letters", "from": FIRST, "until": dt.date(2025, 3, 10)}
FOLDS = {"key": "folds", "name": "Folds", "from": dt.date(2025, 3, 4), "until": dt.date(2025, 3, 6)}


def day(number: int) -> dt.date:
    return FIRST + dt.timedelta(days=number - 1)


def ticks(folder: Path, pages: dict[int, dict[str, Any]], today: int) -> pl.DataFrame:
    journals.write(folder, {day(n): {"challenges": page} for n, page in pages.items()}, challenges=[LETTERS, FOLDS])
    book = journal.open(folder, today=day(today), cache=False)
    assert not book.problems
    return book.tables.ticks


PAGES: dict[int, dict[str, Any]] = {
    1: {"letters": True},
    2: {"letters": day(4)},
    3: {"letters": False},
    4: {"letters": True, "folds": True},
    5: {"letters": True, "folds": True},
    6: {"letters": True},
    7: {"letters": day(9)},
}


def test_totals_match_a_count_by_hand(tmp_path: Path) -> None:
    found = measure.totals(ticks(tmp_path, PAGES, 8), today=day(8))
    low, high = proportion_confint(5, 7, method="wilson")
    assert found.get_column("challenge").to_list() == ["letters", "folds"]
    # A tick caught up on on the 9th does not count yet on the 8th.
    assert found.row(0)[1:8] == (day(1), day(10), 7, 5, pytest.approx(5 / 7), 3, 1)
    assert found.row(0)[8:] == pytest.approx((low, high))
    assert found.row(1)[1:8] == (day(4), day(6), 3, 2, pytest.approx(2 / 3), 2, 0)


def test_days_are_numbered_from_the_first_day_of_the_challenge(tmp_path: Path) -> None:
    rows = measure.by_day(ticks(tmp_path, PAGES, 9), today=day(9))
    letters = rows.filter(pl.col("challenge") == "letters")
    assert letters.get_column("number").to_list() == list(range(1, 9))
    assert letters.get_column("ticks").to_list() == [1, 2, 2, 3, 4, 5, 6, 6]
    assert letters.get_column("caught_up").to_list() == [None, day(4), *[None] * 4, day(9), None]
    assert rows.filter(pl.col("challenge") == "folds").select("number", "ticks").rows() == [(1, 1), (2, 2), (3, 2)]


def test_ticks_caught_up_on_later(tmp_path: Path) -> None:
    found = measure.caught_up(ticks(tmp_path, PAGES, 9), today=day(9))
    assert found.rows() == [("letters", day(2), day(4), 2), ("letters", day(7), day(9), 2)]


def test_today_counts_only_once_ticked_and_nothing_counts_before_the_first_day(tmp_path: Path) -> None:
    one = {1: {"letters": True}}
    assert measure.totals(ticks(tmp_path, one, 1), today=day(1)).select("days", "ticks").rows() == [(1, 1)]
    untold = measure.totals(ticks(tmp_path / "untold", {}, 1), today=day(1))
    assert untold.select("challenge", "days", "ticks", "rate", "longest").rows() == [("letters", 0, 0, None, 0)]
    assert measure.totals(ticks(tmp_path / "untold", {}, 1), today=day(0)).is_empty()


def test_the_endpapers_challenge_of_the_example_year(tmp_path: Path) -> None:
    """October has 26 ticks of 31 days, three of them caught up on, as the review of the month states."""
    book = journal.open("example_year", today=dt.date(2025, 12, 31), cache=False)
    found = measure.totals(book.tables.ticks, today=book.today).row(-1, named=True)
    assert (found["challenge"], found["ticks"], found["days"], found["caught_up"]) == ("endpapers", 26, 31, 3)
    later = measure.caught_up(book.tables.ticks, today=book.today)
    assert later.get_column("later").to_list() == [1, 2, 1]


said = st.sampled_from([None, True, False, 1, 3])


@settings(max_examples=60, deadline=None)
@given(st.lists(said, min_size=1, max_size=25), st.integers(0, 30))
def test_against_a_plain_loop(marks: list[bool | int | None], today: int) -> None:
    dates = [day(i + 1) for i in range(len(marks))]
    made = [
        None if isinstance(m, bool) or m is None else d + dt.timedelta(days=m)
        for m, d in zip(marks, dates, strict=True)
    ]
    frame = pl.DataFrame(
        {
            "challenge": "a",
            "date": dates,
            "ticked": [None if m is None else m is not False for m in marks],
            "caught_up": made,
        },
        schema_overrides={"ticked": pl.Boolean, "caught_up": pl.Date},
    )
    count = ticked = run = longest = late = 0
    for mark, date, then in zip(marks, dates, made, strict=True):
        yes = mark not in (None, False) and (then is None or then <= day(today))
        if date > day(today) or (date == day(today) and not yes):
            continue
        count, ticked, run = count + 1, ticked + yes, run + 1 if yes else 0
        longest, late = max(longest, run), late + (yes and then is not None)
    found = measure.totals(frame, today=day(today))
    wanted = [(count, ticked, longest, late)] if today >= 1 else []
    assert found.select("days", "ticks", "longest", "caught_up").rows() == wanted
    assert measure.totals(frame.reverse(), today=day(today)).equals(found)
