"""Drivers and the weekday against mood: which days are pairs, how many are needed, and what must not be clear."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.measures.correlates import DRIVERS, WEEKDAY, drivers, recorded, weekday
from journal.measures.effect_sizes import share_between
from journal.measures.link_sentences import driver_link, weekday_link
from tests.measures.test_links import felt, slow_p, span

MONDAY = dt.date(2025, 1, 6)


def measured(values: list[float | None], first: int = 0) -> pl.DataFrame:
    return pl.DataFrame(
        {"date": span(first + len(values))[first:], "value": values},
        schema_overrides={"date": pl.Date, "value": pl.Float64},
    )


@settings(max_examples=80)
@given(
    st.lists(st.tuples(st.one_of(st.none(), st.integers(0, 9)), st.one_of(st.none(), st.integers(1, 5))), max_size=60),
    st.integers(0, 1),
)
def test_pairs_are_days_with_both_values(found: list[tuple[int | None, int | None]], lag: int) -> None:
    values = [None if value is None else float(value) for value, _ in found]
    moods = [None if mood is None else float(mood) for _, mood in found]
    pairs = [(v, m) for v, m in zip(values, moods[lag:], strict=False) if v is not None and m is not None]
    row = drivers(felt(moods), {"x": measured(values)}, lags=(lag,), least=1).row(0, named=True)
    assert row["n"] == len(pairs)
    changing = all(len({pair[k] for pair in pairs}) > 1 for k in (0, 1))
    assert (row["p"] is not None) == changing
    if changing:
        rho = scipy.stats.spearmanr([v for v, _ in pairs], [m for _, m in pairs]).statistic
        assert row["correlation"] == pytest.approx(rho, abs=1e-9)
        if row["low"] is not None:  # 20 days are needed, and values that do not repeat themselves
            assert -1 <= row["low"] <= row["high"] <= 1


def test_a_driver_with_two_values_is_tested_like_a_mark() -> None:
    from fractions import Fraction

    done = [i * 7 % 11 < 4 for i in range(77)]
    ranks = scipy.stats.rankdata(moods := [float(i * i % 5) for i in range(77)])
    row = drivers(felt(list(moods)), {"x": measured([float(d) for d in done])}, lags=(0,)).row(0, named=True)
    assert row["p"] == slow_p(done, [Fraction(rank) for rank in ranks])


@pytest.mark.parametrize(
    ("values", "moods"),
    [([3.0] * 60, [1.0, 5.0] * 30), ([1.0, 2.0, 3.0] * 20, [3.0] * 60), ([None] * 60, [1.0, 2.0] * 30), ([], [])],
)
def test_constant_or_missing_values_have_no_correlation(values: Any, moods: Any) -> None:
    found = drivers(felt(moods), {"x": measured(values)})
    assert dict(found.schema) == DRIVERS
    for row in found.iter_rows(named=True):
        assert row["p"] is row["q"] is row["clear"] is row["correlation"] is row["low"] is None
        assert "went with" not in driver_link(row, "X")


def test_no_drivers_give_no_rows() -> None:
    assert drivers(felt([1.0]), {}).schema == DRIVERS


def test_only_the_ranks_of_the_values_matter_not_the_order_of_rows() -> None:
    values = [float(i * 7 % 31) for i in range(90)]
    moods = felt([float(1 + (i * 7 % 31 + i * i % 17) % 5) for i in range(90)])
    plain = drivers(moods, {"x": measured(list(values))})
    assert drivers(moods.reverse(), {"x": measured(list(values)).sample(fraction=1, shuffle=True, seed=4)}).equals(
        plain
    )
    assert drivers(moods, {"x": measured([2.0 ** (v / 4) for v in values])}).equals(plain)


@pytest.mark.parametrize(("n", "testable"), [(27, False), (28, True)])
def test_twenty_eight_days_are_needed(n: int, testable: bool) -> None:
    row = drivers(felt([1.0, 3.0, 2.0, 5.0] * 7), {"x": measured([float(i % 5) for i in range(n)])}).row(0, named=True)
    assert (row["n"], row["needed"], row["p"] is not None) == (n, 28, testable)
    if not testable:
        assert driver_link(row, "Sleep") == "Sleep and mood: too little to tell, with 27 days; 28 are needed."


def test_two_slow_waves_are_not_called_clear() -> None:
    """Day length, and a mood with a yearly wave of another phase: nearly every shift fits better."""
    days = np.arange(365)
    length = (720 + 240 * np.sin(days / 365 * 2 * np.pi)).tolist()
    mood = (3 + np.sin(days / 365 * 2 * np.pi + 1)).round(2).tolist()
    row = drivers(felt(mood), {"day length": measured(length)}, lags=(0,)).row(0, named=True)
    assert row["correlation"] > 0.5
    assert not row["clear"]
    assert scipy.stats.spearmanr(length, mood).pvalue < 1e-20


def test_hours_are_known_on_days_with_actual_hours() -> None:
    day, next_day = span(2)
    strip = pl.DataFrame(
        {
            "date": [day, day, day, next_day, next_day],
            "layer": ["actual", "actual", "planned", "actual", "planned"],
            "category": ["sleep", "walk", "tea", "sleep", "walk"],
            "start_minute": [0, 600, 700, 0, 0],
            "end_minute": [400, 660, 730, 430, 60],
        }
    )
    days = pl.DataFrame({"date": span(3), "energy": [1.0, None, 2.0], "high": [None, 3.0, None]})
    found = {name: frame.rows() for name, frame in recorded(days, strip).items()}
    assert found == {
        "energy": [(day, 1.0), (span(3)[2], 2.0)],
        "high": [(next_day, 3.0)],
        "hours of sleep": [(day, 400.0), (next_day, 430.0)],
        "hours of walk": [(day, 60.0), (next_day, 0.0)],
    }
    assert set(recorded(days, strip.clear())) == {"energy", "high"}


# --- The weekday


def weeks(values: list[float | None], first: dt.date = MONDAY) -> pl.DataFrame:
    dates = [first + dt.timedelta(days=i) for i in range(len(values))]
    return pl.DataFrame({"date": dates, "mood": values}, schema_overrides={"date": pl.Date, "mood": pl.Float64})


def test_the_weekday_test_detects_good_weekends() -> None:
    dice = np.random.default_rng(5)
    mood = [float(np.clip(round(3 + (i % 7 >= 5) + dice.standard_normal()), 1, 5)) for i in range(364)]
    row = weekday(weeks(list(mood))).row(0, named=True)
    assert row["clear"] and row["p"] == 1 / 2000
    table = pl.DataFrame({"on": [i % 7 for i in range(364)], "mood": mood})
    means = table.group_by("on").agg(pl.col("mood").mean(), pl.len())
    grand = table.get_column("mood").mean()
    between = sum(n * (mean - grand) ** 2 for _, mean, n in means.iter_rows())
    assert row["share"] == pytest.approx(between / ((table.get_column("mood") - grand) ** 2).sum())
    assert weekday_link(row).endswith("mood went with the day of the week.")


def test_autocorrelated_moods_are_rarely_linked_to_weekdays() -> None:
    """With phi 0.9, 100 years should give about 5 with p <= 0.05. Fewer are acceptable."""
    dice = np.random.default_rng(9)
    rejected = 0
    for _ in range(100):
        walk = np.zeros(364)
        for i in range(1, 364):
            walk[i] = 0.9 * walk[i - 1] + dice.standard_normal()
        rejected += weekday(weeks(np.round(walk, 2).tolist()), turns=199).get_column("p").item() <= 0.05
    assert rejected <= 11  # a binomial of 100 and 0.05 exceeds it 4 times in 1,000


def test_missing_days_and_partial_weeks_are_handled() -> None:
    mood: list[float | None] = [None if i % 11 == 3 else float(1 + i * 5 % 4) for i in range(300)]
    row = weekday(weeks(mood, MONDAY + dt.timedelta(days=3))).row(0, named=True)
    assert row["n"] == sum(value is not None for value in mood)
    assert 0 < row["p"] <= 1 and 0 <= row["share"] <= 1
    assert weekday(weeks(mood)).equals(weekday(weeks(mood)))
    assert dict(weekday(weeks(mood)).schema) == WEEKDAY


def test_rotations_stay_within_calendar_weeks() -> None:
    """The same random rotations, applied week by week with ISO week numbers."""
    mood: list[float | None] = [None if i % 13 == 5 else (i * i * i % 23) / 4 + (i % 7 > 4) / 2 for i in range(200)]
    frame = weeks(mood, MONDAY + dt.timedelta(days=4)).drop_nulls()
    of_week: dict[tuple[int, int], list[tuple[int, float]]] = {}
    for date, value in frame.iter_rows():
        of_week.setdefault(date.isocalendar()[:2], []).append((date.weekday(), value))
    dice = np.random.default_rng(1)
    on = [day for rows in of_week.values() for day, _ in rows]
    values = [value for rows in of_week.values() for _, value in rows]
    observed = share_between(values, on) or 0
    as_large = 1
    for _ in range(199):
        turns = dice.integers(0, [len(rows) for rows in of_week.values()])
        turned = [
            rows[(i + turn) % len(rows)][0]
            for rows, turn in zip(of_week.values(), turns, strict=True)
            for i in range(len(rows))
        ]
        as_large += (share_between(values, turned) or 0) >= observed - 1e-12
    assert weekday(frame, turns=199).get_column("p").item() == as_large / 200
    assert 0.1 < as_large / 200 < 0.9  # otherwise wrong weeks could pass too


def test_weeks_with_one_rated_day_cannot_be_rotated() -> None:
    mood: list[float | None] = [float(i % 3 + i % 5) if i % 8 == 0 else None for i in range(8 * 7 * 14)]
    row = weekday(weeks(mood)).row(0, named=True)
    assert (row["fewest"], row["p"], row["clear"]) == (14, 1.0, False)


@pytest.mark.parametrize("moods", [[], [3.0] * 10, [3.0] * 365, [None] * 365])
def test_too_few_days_or_a_constant_mood_give_no_weekday_p(moods: list[float | None]) -> None:
    row = weekday(weeks(moods)).row(0, named=True)
    assert row["p"] is row["share"] is row["clear"] is None
    assert weekday_link(row).startswith("Weekdays and mood: ")
