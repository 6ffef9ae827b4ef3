"""The association of each habit with mood, on the same day and on the next. It makes no claim about causes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import numpy as np
import polars as pl

from journal.measures.block_bootstrap import RESAMPLES, difference_interval
from journal.measures.circular_shift import Numbers, Whole, shift_p
from journal.measures.effect_sizes import superiority
from journal.measures.false_discovery import together
from journal.measures.half_shift import fine_p

LEAST = 14
"""The least days on each side: with fewer, one unusual fortnight decides the result."""

LINKS: dict[str, Any] = {
    "habit": pl.String,
    "lag_days": pl.Int64,
    "n_done": pl.Int64,
    "n_missed": pl.Int64,
    "mean_done": pl.Float64,
    "mean_missed": pl.Float64,
    "difference": pl.Float64,
    "superiority": pl.Float64,
    "p": pl.Float64,
    "q": pl.Float64,
    "clear": pl.Boolean,
    "low": pl.Float64,
    "high": pl.Float64,
    "needed": pl.Int64,
    "quota": pl.Boolean,
    "p_fine": pl.Float64,
}


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
    state = pl.col("state").cast(pl.String)
    quota = pl.col("per").is_not_null()
    settled = pl.col("mark").is_not_null() | (pl.col("date") < today)
    unmarked = quota & (state == "not due") & pl.col("asked") & settled
    later = days.select((pl.col("date") - pl.duration(days=lag)).alias("date"), pl.col(column).alias("value"))
    earlier = days.select(pl.col("date") + pl.duration(days=1), pl.col(column).cast(pl.Float64).alias("before"))
    order = states.select(pl.col("habit").unique(maintain_order=True)).with_row_index("place")
    return (
        states.filter(state.is_in(["done", "missed", "partial"]) | unmarked)
        .select("habit", "date", (state == "done").alias("done"), quota.alias("quota"))
        .join(later.drop_nulls(), on="date")
        .join(earlier, on="date", how="left")
        .join(order, on="habit")
        .sort("place", "date")
        .drop("place")
        .select("habit", "date", "done", pl.col("value").cast(pl.Float64), "quota", "before")
    )


def links(
    states: pl.DataFrame,
    days: pl.DataFrame,
    *,
    today: dt.date,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = LEAST,
    resamples: int = RESAMPLES,
    seed: int = 1,
) -> pl.DataFrame:
    """The association of each habit with the mood of the same day, and of the next day.

    In: as `compared`. Out: `LINKS`, a row per habit and lag, in the order of the habits:

    - habit, lag_days (0: the mood of the day itself; 1: of the day after)
    - n_done, n_missed (days on each side that have a mood); mean_done, mean_missed (on the scale of the mood)
    - difference (mean_done - mean_missed), low, high (its 95 % interval by `block_bootstrap`, not adjusted for the
      number of rows; null with 0 `resamples`)
    - superiority (0 to 1: the probability that the mood of a done day exceeds that of another day, ties count half;
      Cliff 1993)
    - p (share of all circular shifts of the marks along these days with means at least as far apart; DeRuiter and
      Solow 2008). With n days its minimum is 1/n, which is too coarse for many rows
    - q (Benjamini and Hochberg 1995 over the p_fine of all rows here), clear (q is 0.05 or less)
    - needed (days that each side must have), quota (some of the days belong to a quota)
    - p_fine (0 to 1: as p, with each half of the days shifted separately, against the residuals of mood after the
      weekday and the day before; `half_shift.fine_p`). It never makes a p over 0.05 smaller

    With fewer than `least` days on a side, everything but the counts is null and q ignores the row.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 3, 1), eager=True)
    >>> done = [i % 7 in (1, 2) or i % 11 == 3 for i in range(60)]
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "asked": True, "mark": "done",
    ...     "per": pl.Series([None] * 60, dtype=pl.String), "state": ["done" if d else "missed" for d in done]})
    >>> moods = pl.DataFrame({"date": dates, "mood": [3.0 + d + i % 2 for i, d in enumerate(done)]})
    >>> table = links(states, moods, today=dt.date(2025, 4, 1))
    >>> table.select("lag_days", "n_done", "n_missed", pl.col("difference").round(2), "clear").row(0)
    (0, 22, 38, 1.07, True)
    """
    habits = states.get_column("habit").unique(maintain_order=True).to_list()
    rows = []
    for lag in lags:
        sides = compared(states, days, today=today, column=column, lag=lag).partition_by("habit", as_dict=True)
        for place, habit in enumerate(habits):
            pairs = sides.get((habit,))
            statistics = {} if pairs is None else _link(pairs, least, resamples, seed)
            rows.append({"habit": habit, "lag_days": lag, "needed": least, "place": place} | statistics)
    frame = pl.DataFrame(rows, schema=LINKS | {"place": pl.Int64}).sort("place", "lag_days", maintain_order=True)
    (frame,) = together(frame.with_columns(pl.col("n_done", "n_missed").fill_null(0), pl.col("quota").fill_null(False)))
    return frame.select(*LINKS)


def _link(pairs: pl.DataFrame, least: int, resamples: int, seed: int) -> dict[str, Any]:
    done, values = pairs.get_column("done").to_numpy(), pairs.get_column("value").to_numpy()
    counts = {
        "n_done": int(done.sum()),
        "n_missed": int((~done).sum()),
        "quota": bool(pairs.get_column("quota").any()),
    }
    if min(counts["n_done"], counts["n_missed"]) < max(least, 1):
        return counts
    with_it, without = values[done], values[~done]
    marks = done.astype(np.float64)
    low, high = difference_interval(marks, values, resamples, seed) or (None, None)
    difference, p = float(with_it.mean() - without.mean()), shift_p(done, values)
    weekday, before = weekday_and_before(pairs)
    return counts | {
        "mean_done": float(with_it.mean()),
        "mean_missed": float(without.mean()),
        "difference": difference,
        "low": low,
        "high": high,
        "superiority": superiority(with_it, without),
        "p": p,
        "p_fine": fine_p(marks, values, weekday, before, p=p, size=difference),
    }


def weekday_and_before(pairs: pl.DataFrame) -> tuple[Whole, Numbers]:
    """The weekdays (0 for Monday to 6) of `date`, and `before` (Float64) with NaN for null."""
    weekday = (pairs.get_column("date").dt.weekday() - 1).to_numpy().astype(np.int64)
    return weekday, pairs.get_column("before").cast(pl.Float64).to_numpy()
