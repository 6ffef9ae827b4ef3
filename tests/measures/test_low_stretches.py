"""Signs of low mood and short sleep: the constructed fortnights of the references, and edge cases."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import journal
from journal.measures import low_stretches
from journal.measures.low_stretches import opens_again, signs, unclosed
from journal.measures.sleep import NIGHTS
from tests.journals import write
from tests.references import load, named

FIRST = dt.date(2025, 3, 3)
NO_NIGHTS = pl.DataFrame(schema=NIGHTS)
FORTNIGHTS = [check for check in load("caution") if check["name"].startswith("two-week hint")]


def diary(values: Sequence[float | None], first: dt.date = FIRST) -> pl.DataFrame:
    dates = [first + dt.timedelta(days=i) for i in range(len(values))]
    return pl.DataFrame({"date": dates, "mood": values}, schema={"date": pl.Date, "mood": pl.Float64})


def some_nights(minutes: list[int], naps: int = 0, every: int = 1) -> pl.DataFrame:
    dates = [FIRST + dt.timedelta(days=every * i) for i in range(len(minutes))]
    rows = {"date": dates, "minutes": minutes, "nap_minutes": [naps] * len(minutes)}
    return pl.concat([pl.DataFrame(schema=NIGHTS), pl.DataFrame(rows)], how="diagonal")


def on(day: int) -> dt.date:
    """The date of a day number, from 1."""
    return FIRST + dt.timedelta(days=day - 1)


@pytest.mark.parametrize("check", FORTNIGHTS, ids=lambda check: check["name"])
def test_the_first_day_with_a_sign(tmp_path: Path, check: dict[str, Any]) -> None:
    ratings = [int(rating) for rating in check["inputs"]["ratings"]]
    write(tmp_path, {on(i): {"mood": rating} for i, rating in enumerate(ratings, 1)})
    days = journal.open(tmp_path, today=on(len(ratings)), cache=False).tables.days
    shown = [i for i in range(1, len(ratings) + 1) if signs(days, NO_NIGHTS, today=on(i)).height]
    assert shown[0] == check["expected"]["first_day_shown"]
    inputs = check["inputs"]
    assert inputs["window_days"] == low_stretches.LOW_MOOD.window
    assert inputs["low_days_needed"] == low_stretches.LOW_MOOD.needed


def test_the_threshold_is_quoted_as_published() -> None:
    check = named("caution", "low mood most of the day")
    row = signs(diary([1.0] * 14), NO_NIGHTS, today=on(14)).row(0, named=True)
    assert check["expected"]["wording"] in row["threshold"]
    assert check["expected"]["days"] == low_stretches.LOW_MOOD.window
    assert "NG222" in row["source"]
    assert "NG222" in check["source"]


def test_the_sign_of_a_low_fortnight() -> None:
    ratings = [2.0, 1.0, 3.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 4.0]
    (row,) = signs(diary(ratings), NO_NIGHTS, today=on(14)).iter_rows(named=True)
    assert (row["subject"], row["n"], row["seen"], row["needed"]) == ("mood", 14, 12, 12)
    assert (row["from"], row["to"]) == (on(1), on(14))
    assert row["dates"] == [on(i) for i in range(1, 14) if i != 3]
    assert row["text"] == "Mood was low on 12 of the last 14 days on which it was noted."


def test_eleven_low_days_or_thirteen_days_in_all_are_not_enough() -> None:
    assert signs(diary([2.0] * 11 + [3.0] * 3), NO_NIGHTS, today=on(14)).height == 0
    assert signs(diary([1.0] * 13), NO_NIGHTS, today=on(13)).height == 0
    assert signs(diary([1.0] * 13), NO_NIGHTS, today=on(14)).height == 0


def test_unrated_days_are_skipped() -> None:
    every_other = diary([x for _ in range(14) for x in (1.0, None)])
    assert signs(every_other, NO_NIGHTS, today=on(28)).height == 1
    # A day later the first day is outside the four weeks, and 13 are left.
    assert signs(every_other, NO_NIGHTS, today=on(29)).height == 0
    assert signs(diary([1.0] * 20), NO_NIGHTS, today=on(200)).height == 0


def test_days_after_today_are_ignored() -> None:
    days = diary([1.0] * 14 + [5.0] * 5)
    assert signs(days, NO_NIGHTS, today=on(14)).height == 1
    assert signs(days, NO_NIGHTS, today=on(19)).height == 0


def test_low_follows_the_scale() -> None:
    days = diary([4.0] * 14)
    assert signs(days, NO_NIGHTS, today=on(14), low=0, high=10).height == 1
    assert signs(days, NO_NIGHTS, today=on(14)).height == 0


def test_weeks_of_short_nights() -> None:
    short = some_nights([410] * 24 + [430] * 4)
    (row,) = signs(diary([]), short, today=on(28)).iter_rows(named=True)
    assert (row["subject"], row["n"], row["seen"]) == ("sleep", 28, 24)
    assert row["text"] == "Sleep was under 7 hours on 24 of the last 28 nights that were written."
    hours = named("sleep-guideline", "adults: 7 hours")["expected"]["min_hours"]
    assert f"{hours} hours or more" in row["threshold"]
    ranges = named("sleep-guideline", "recommended range by age")["expected"]["recommended_hours"]
    assert {low for ages, (low, _) in ranges.items() if ages != "14-17"} == {hours}, "the same for adults of every age"
    assert signs(diary([]), some_nights([410] * 23 + [430] * 5), today=on(28)).height == 0
    assert signs(diary([]), some_nights([420] * 28), today=on(28)).height == 0
    assert signs(diary([]), some_nights([410] * 27), today=on(28)).height == 0
    assert signs(diary([]), some_nights([410] * 28, every=3), today=on(82)).height == 0


def test_naps_are_sleep() -> None:
    assert signs(diary([]), some_nights([330] * 28, naps=90), today=on(28)).height == 0
    assert signs(diary([]), some_nights([330] * 28, naps=80), today=on(28)).height == 1


def test_both_signs_and_no_sign() -> None:
    both = signs(diary([1.0] * 28), some_nights([300] * 28), today=on(28))
    assert both.get_column("subject").to_list() == ["mood", "sleep"]
    neither = signs(diary([None] * 28), NO_NIGHTS, today=on(28))
    assert neither.schema == both.schema == low_stretches.SIGNS
    assert neither.height == 0


BOTH = pl.DataFrame({"subject": ["mood", "sleep"]})


@pytest.mark.parametrize(
    ("closed", "today", "shown"),
    [
        ({}, dt.date(2026, 1, 1), ["mood", "sleep"]),
        ({"mood": dt.date(2026, 1, 1)}, dt.date(2026, 1, 1), ["sleep"]),
        ({"mood": dt.date(2026, 1, 1)}, dt.date(2026, 1, 31), ["sleep"]),
        ({"mood": dt.date(2026, 1, 1)}, dt.date(2026, 2, 1), ["mood", "sleep"]),
        ({"mood": dt.date(2026, 1, 1), "sleep": dt.date(2026, 1, 20)}, dt.date(2026, 2, 1), ["mood"]),
        ({"mood": dt.date(9999, 12, 31), "hours": dt.date(2026, 1, 1)}, dt.date(2026, 1, 2), ["mood", "sleep"]),
    ],
)
def test_each_closed_subject_stays_closed_for_a_month(
    closed: dict[str, dt.date], today: dt.date, shown: list[str]
) -> None:
    assert unclosed(BOTH, closed, today=today).get_column("subject").to_list() == shown


def test_a_month_after_the_31st_is_the_last_day_of_the_month() -> None:
    closed = [dt.date(2024, 1, 31), dt.date(2025, 1, 29), dt.date(2025, 8, 31), dt.date(2025, 12, 31)]
    assert [opens_again(day) for day in closed] == [
        dt.date(2024, 2, 29), dt.date(2025, 2, 28), dt.date(2025, 9, 30), dt.date(2026, 1, 31),
    ]  # fmt: skip


def test_after_a_month_a_closed_sign_returns_only_if_the_days_still_meet_the_rule() -> None:
    closed = {"mood": on(14)}
    low, better = diary([1.0] * 60), diary([1.0] * 14 + [4.0] * 46)
    late = opens_again(on(14))
    assert unclosed(signs(low, NO_NIGHTS, today=late), closed, today=late).height == 1
    assert unclosed(signs(better, NO_NIGHTS, today=late), closed, today=late).height == 0
