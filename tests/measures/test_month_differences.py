"""Whether months of a habit differ: seldom in years without a change, and where a month is planted."""

from __future__ import annotations

import datetime as dt

import numpy as np
import numpy.typing as npt
import polars as pl
import pytest

from journal.measures.month_differences import apart, month_differences
from journal.measures.states import OCCASIONS
from tests.benchmarks.unchanging import chain

DAYS = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 12, 31), eager=True)


def year_of(*habits: npt.NDArray[np.bool_]) -> pl.DataFrame:
    frames = [
        pl.DataFrame({"habit": f"habit-{i}", "unit": "occasion", "from": DAYS, "to": DAYS, "date": DAYS}).with_columns(
            pl.Series("state", np.where(marks, "done", "missed"))
        )
        for i, marks in enumerate(habits)
    ]
    return pl.concat(frames).cast(OCCASIONS)  # type: ignore[arg-type]


@pytest.mark.parametrize("memory", [0.0, 0.5])
def test_years_in_which_nothing_changes_seldom_have_a_habit_that_ranged(memory: float) -> None:
    """At most 3 of 20 years of eight habits: 5 of 100 are meant, and then 3 or fewer have a probability of 98 %. By the
    gaps of Wilson's intervals, as it was, most of these years had one."""
    told = was = 0
    for seed in range(20):
        dice = np.random.default_rng(seed)
        habits = [chain(dice, rate, memory, 365) for rate in np.linspace(0.5, 0.9, 8)]
        told += bool(month_differences(year_of(*habits), resamples=199).get_column("clear").any())
        was += any(_gap(marks) for marks in habits)
    assert told <= 3
    assert was >= 10


def _gap(marks: npt.NDArray[np.bool_]) -> bool:
    """Whether the Wilson interval of a month lies above that of another (statsmodels)."""
    from statsmodels.stats.proportion import proportion_confint

    month = DAYS.dt.month().to_numpy() - 1
    low, high = proportion_confint(np.bincount(month, marks), np.bincount(month), method="wilson")
    return bool(low.max() > high.min())


def test_a_month_at_half_the_rate_and_a_slow_rise_are_found() -> None:
    dice = np.random.default_rng(2)
    lower = chain(dice, 0.8, 0.3, 365)
    lower[120:151] = chain(dice, 0.3, 0.3, 31)
    rising = dice.random(365) < np.linspace(0.3, 0.9, 365)
    steady = chain(dice, 0.7, 0.3, 365)
    assert apart(year_of(lower, rising, steady)) == {"habit-0", "habit-1"}


def test_few_occasions_one_month_two_units_and_blanks() -> None:
    marks = np.arange(365) < 31
    whole = year_of(marks)
    assert month_differences(whole).row(0, named=True)["clear"]
    date, state = pl.col("date"), pl.col("state")
    january = whole.filter(date.dt.month() == 1)
    blank = whole.with_columns(
        state=pl.when(date.dt.month() > 1).then(pl.lit("blank")).otherwise(state.cast(pl.String))
    )
    weeks = whole.with_columns(unit=pl.when(date.dt.month() > 6).then(pl.lit("week")).otherwise("unit"))
    for frame in (january, blank.cast(OCCASIONS), weeks, whole.gather_every(20)):  # type: ignore[arg-type]
        assert month_differences(frame).get_column("clear").to_list() == [None]
    assert month_differences(whole.clear()).is_empty()
    assert month_differences(whole).equals(month_differences(whole))
