"""The days that a link between a habit and mood is based on."""

from __future__ import annotations

import datetime as dt

import numpy as np
import polars as pl

from journal.measures.circular_shift import Numbers, Whole

LEAST = 14
"""The least days on each side: with fewer, one unusual fortnight decides the result."""


def compared(
    states: pl.DataFrame, days: pl.DataFrame, *, today: dt.date, column: str = "mood", lag: int = 0
) -> pl.DataFrame:
    """The days that a link is based on.

    In: the frame of `states.states`; `Tables.days` (`date`, and `column` Float64). Out, sorted by habit (in the order
    given) and date: habit (String), date (Date, the day of the mark), done (Boolean), value (Float64: `column` `lag`
    days later), quota (Boolean: the habit has a quota on that day), before (Float64: `column` on the day before the
    mark, null where unknown).

    A day counts if the habit was due, its state is done, missed or partial (the last two are not done), and the value
    is known. Days with the states rest, blank, pending and not due are excluded. So a habit of Sundays is compared
    among Sundays.

    A quota habit is due on no single day. All asked days on which it is in force count, done or not, whether or not
    the week's quota was already met. Today counts only if it has a mark. Moods after `today` are ignored.

    >>> day = dt.date(2025, 3, 14)
    >>> states = pl.DataFrame({"habit": ["walk", "walk"], "date": [day, day + dt.timedelta(days=1)], "asked": True,
    ...     "per": pl.Series([None, None], dtype=pl.String), "mark": ["done", None], "state": ["done", "missed"]})
    >>> moods = pl.DataFrame({"date": [day, day + dt.timedelta(days=1)], "mood": [4.0, 2.0]})
    >>> compared(states, moods, today=dt.date(2025, 4, 1)).select("habit", "done", "value").rows()
    [('walk', True, 4.0), ('walk', False, 2.0)]
    """
    days = days.filter(pl.col("date") <= today)
    state = pl.col("state")  # never as text: to cast two hundred thousand takes as long as all else
    quota = pl.col("per").is_not_null()
    settled = pl.col("mark").is_not_null() | (pl.col("date") < today)
    unmarked = quota & (state == "not due") & pl.col("asked") & settled
    later = days.select((pl.col("date") - pl.duration(days=lag)).alias("date"), pl.col(column).alias("value"))
    earlier = days.select(pl.col("date") + pl.duration(days=1), pl.col(column).cast(pl.Float64).alias("before"))
    order = pl.Enum(states.get_column("habit").unique(maintain_order=True))
    # One join, of a small frame, and no column that is not told: each copies the days of all habits.
    of_day = later.drop_nulls().join(earlier, on="date", how="left")
    counts = state.is_in(["done", "missed", "partial"]) | unmarked
    return (
        states.select("habit", "date", done=state == "done", quota=quota, counts=counts)
        .filter("counts")
        .join(of_day, on="date")
        .sort(pl.col("habit").cast(order), "date")
        .select("habit", "date", "done", pl.col("value").cast(pl.Float64), "quota", "before")
    )


def weekday_and_before(pairs: pl.DataFrame) -> tuple[Whole, Numbers]:
    """The weekdays (0 for Monday to 6) of `date`, and `before` (Float64) with NaN for null."""
    weekday = (pairs.get_column("date").dt.weekday() - 1).to_numpy().astype(np.int64)
    return weekday, pairs.get_column("before").cast(pl.Float64).to_numpy()
