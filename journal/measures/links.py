"""Which habits go with which moods, on the same day and on the next. Never which cause them."""

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
"""Days needed on each side: with fewer, one odd fortnight decides."""

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
    """The days behind a link.

    In: the frame of `states.states`; `Tables.days` (`date`, and `column` Float64). Out, sorted by habit (in the order
    given) and date: habit (String), date (Date, that of the mark), done (Boolean), value (Float64: `column` on the day
    `lag` days later), quota (Boolean: the habit goes by a quota on that day), before (Float64: `column` on the day
    before the mark, null where there is none).

    A day is in when the habit was due and is done (done) or missed or partial (not done), and the value is known. Days
    of rest, blank, pending and not due are left out. No single day of a quota habit is due, so all days on which it is
    in force and which were logged are in, done or not, whether the week's quota was met by then or not; of today only a
    mark that is written counts, and later moods are left out. A habit of Sundays is thus compared among Sundays.

    >>> day = dt.date(2025, 3, 14)
    >>> states = pl.DataFrame({"habit": ["walk", "walk"], "date": [day, day + dt.timedelta(days=1)], "logged": True,
    ...     "per": pl.Series([None, None], dtype=pl.String), "mark": ["done", None], "state": ["done", "missed"]})
    >>> moods = pl.DataFrame({"date": [day, day + dt.timedelta(days=1)], "mood": [4.0, 2.0]})
    >>> compared(states, moods, today=dt.date(2025, 4, 1)).select("habit", "done", "value").rows()
    [('walk', True, 4.0), ('walk', False, 2.0)]
    """
    days = days.filter(pl.col("date") <= today)
    state = pl.col("state").cast(pl.String)
    quota = pl.col("per").is_not_null()
    said = pl.col("mark").is_not_null() | (pl.col("date") < today)
    silent = quota & (state == "not due") & pl.col("logged") & said
    later = days.select((pl.col("date") - pl.duration(days=lag)).alias("date"), pl.col(column).alias("value"))
    earlier = days.select(pl.col("date") + pl.duration(days=1), pl.col(column).cast(pl.Float64).alias("before"))
    order = states.select(pl.col("habit").unique(maintain_order=True)).with_row_index("place")
    return (
        states.filter(state.is_in(["done", "missed", "partial"]) | silent)
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
    """Each habit with the mood of the same day, and of the next.

    In: as `compared`. Out: `LINKS`, a row per habit and lag, in the order of the habits:

    - habit, lag_days (0: the mood of the day itself; 1: of the day after)
    - n_done, n_missed (days on each side that have a mood); mean_done, mean_missed (on the scale of the mood)
    - difference (mean_done - mean_missed), low, high (its 95 % interval by block bootstrap, `resampling` says how; of
      this link by itself; null with 0 `resamples`)
    - superiority (0 to 1: how often the mood of a done day beats that of another, ties half; Cliff 1993)
    - p (share of all circular shifts of the marks along these days that set the means at least as far apart;
      DeRuiter and Solow 2008). With n days it is 1/n at the least, too coarse for many rows
    - q (Benjamini and Hochberg 1995 over the p_fine of all rows here), clear (q is 0.05 or less)
    - needed (days that each side must have), quota (some of the days belong to a quota)
    - p_fine (0 to 1: as p, each half of the days turned by itself, against what mood has beyond its weekday and the day
      before; `halves.fine_p`). A p over 0.05 is never made smaller by it

    With fewer than `least` days on a side everything but the counts is null, and the row is not among those that q
    counts.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 3, 1), eager=True)
    >>> done = [i % 7 in (1, 2) or i % 11 == 3 for i in range(60)]
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "logged": True, "mark": "done",
    ...     "per": pl.Series([None] * 60, dtype=pl.String), "state": ["done" if d else "missed" for d in done]})
    >>> moods = pl.DataFrame({"date": dates, "mood": [3.0 + d + i % 2 for i, d in enumerate(done)]})
    >>> found = links(states, moods, today=dt.date(2025, 4, 1))
    >>> found.select("lag_days", "n_done", "n_missed", pl.col("difference").round(2), "clear").row(0)
    (0, 22, 38, 1.07, True)
    """
    habits = states.get_column("habit").unique(maintain_order=True).to_list()
    rows = []
    for lag in lags:
        sides = compared(states, days, today=today, column=column, lag=lag).partition_by("habit", as_dict=True)
        for place, habit in enumerate(habits):
            pairs = sides.get((habit,))
            found = {} if pairs is None else _link(pairs, least, resamples, seed)
            rows.append({"habit": habit, "lag_days": lag, "needed": least, "place": place} | found)
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
    """Of rows of date (Date) and before (Float64, null where not known): 0 for Mondays to 6, and NaN for null."""
    weekday = (pairs.get_column("date").dt.weekday() - 1).to_numpy().astype(np.int64)
    return weekday, pairs.get_column("before").cast(pl.Float64).to_numpy()
