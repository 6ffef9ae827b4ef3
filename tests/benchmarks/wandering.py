"""Independent random series of marks and moods, for the benchmarks of links."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import polars as pl
import scipy.signal
import scipy.stats

from journal.measures.states import State

Floats = npt.NDArray[np.float64]
Marks = npt.NDArray[np.bool_]
Dice = np.random.Generator

FIRST = dt.date(2025, 1, 1)
UNRATED = 0.07
SPREAD = 0.8
"""Standard deviation of mood before it is rounded."""


class Calls(NamedTuple):
    """The number of journals with a result, out of all."""

    hits: int
    of: int

    def __str__(self) -> str:
        share = self.hits / self.of
        return f"{100 * share:.1f} ± {100 * math.sqrt(share * (1 - share) / self.of):.1f}"


def series(dice: np.random.Generator, phi: float, n: int) -> Floats:
    """A stationary first-order autoregressive series with mean 0 and standard deviation 1."""
    shocks = dice.standard_normal(n + 300) * math.sqrt(1 - phi * phi)
    found: Floats = scipy.signal.lfilter([1], [1, -phi], shocks)[300:]
    return found


def marks(dice: Dice, phi: float, n: int) -> Marks:
    """Marks with 35 to 75 % of days done, in runs if phi is high."""
    done: Marks = series(dice, phi, n) < scipy.stats.norm.ppf(dice.uniform(0.35, 0.75))
    return done


def weekly(dice: Dice, phi: float, n: int) -> Marks:
    """Marks as in `marks`, with a random weekly cycle: some weekdays far more often than others."""
    done: Marks = series(dice, phi, n) + dice.uniform(-1, 1, 7)[np.arange(n) % 7] < dice.uniform(-0.4, 0.6)
    return done


def weekly_mood(dice: Dice, phi: float, n: int) -> Floats:
    """A mood with random weekday means, with a standard deviation of 0.5."""
    return 0.9 * series(dice, phi, n) + dice.normal(0, 0.5, 7)[np.arange(n) % 7]


def growing(dice: Dice, phi: float, n: int) -> Marks:
    """A habit that grows day by day and stops at once, later if phi is high."""
    drops = dice.random(n + 300) < (1 - phi) / 1.5 + 0.02
    last = np.maximum.accumulate(np.where(drops, np.arange(n + 300), 0))
    since = (np.arange(n + 300) - last)[300:]
    found = since / max(float(since.std()), 1e-9) + 0.5 * dice.standard_normal(n)
    done: Marks = found > np.quantile(found, dice.uniform(0.3, 0.6))
    return done


def falling(dice: Dice, phi: float, n: int) -> Floats:
    """A mood that falls at once about every other week, and recovers slowly if phi is high."""
    falls = np.where(dice.random(n + 300) < 0.06, -1.5 - dice.exponential(1, n + 300), 0.0)
    found = scipy.signal.lfilter([1], [1, -phi], falls)[300:] + 0.5 * dice.standard_normal(n)
    apart: Floats = (found - found.mean()) / found.std()
    return apart


KINDS: dict[str, tuple[Callable[[Dice, float, int], Marks], Callable[[Dice, float, int], Floats]]] = {
    "first order": (marks, series),
    "a week of their own": (weekly, weekly_mood),
    "growing and dropped, falling and coming back": (growing, falling),
}


def frames(
    dice: np.random.Generator, done: list[npt.NDArray[np.bool_]], felt: Floats
) -> tuple[pl.DataFrame, pl.DataFrame]:
    n = felt.size
    dates = pl.date_range(FIRST, FIRST + dt.timedelta(days=n - 1), eager=True)
    states = [
        pl.DataFrame({"date": dates, "state": np.where(habit, "done", "missed")}).select(
            pl.lit(f"habit {i}").alias("habit"),
            "date",
            pl.lit(True).alias("asked"),
            pl.lit(None, pl.String).alias("per"),
            pl.lit(None, pl.String).alias("mark"),
            pl.col("state").cast(State),
        )
        for i, habit in enumerate(done)
    ]
    mood = np.clip(np.rint(3 + SPREAD * felt), 1, 5)
    rated = pl.Series(np.where(dice.random(n) < UNRATED, np.nan, mood)).fill_nan(None)
    return pl.concat(states), pl.DataFrame({"date": dates, "mood": rated})
