"""The association of each habit with mood, on the same day and on the next. It makes no claim about causes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import polars as pl

from journal.call_arguments import checked
from journal.measures import link_record
from journal.measures.circular_shift import shift_p
from journal.measures.compared_days import LEAST, compared, weekday_and_before
from journal.measures.effect_sizes import superiority
from journal.measures.false_discovery import together
from journal.measures.half_shift import fine_p
from journal.measures.shift_interval import shift_interval

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
    "told": pl.Date,
}


@checked
def links(
    states: pl.DataFrame,
    days: pl.DataFrame,
    *,
    today: dt.date,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = LEAST,
    standing: pl.DataFrame | None = None,
) -> pl.DataFrame:
    """The association of each habit with the mood of the same day, and of the next day.

    In: as `compared_days.compared`; `standing`, the links that are clear by the last of these days over the life of
    the journal (`link_record.standing`). Without it, these days are taken for the whole journal. Out: `LINKS`, a row
    per habit and lag, in the order of the habits:

    - habit, lag_days (0: the mood of the day itself; 1: of the day after)
    - n_done, n_missed (days on each side that have a mood); mean_done, mean_missed (on the scale of the mood)
    - difference (mean_done - mean_missed), low, high (its 95 % interval by `shift_interval`, not adjusted for the
      number of rows; null where the days cannot bound it)
    - superiority (0 to 1: the probability that the mood of a done day exceeds that of another day, ties count half;
      Cliff 1993)
    - p (share of all circular shifts of the marks along these days with means at least as far apart; DeRuiter and
      Solow 2008). With n days its minimum is 1/n, which is too coarse for many rows
    - q (Benjamini and Hochberg 1995 over the p_fine of all rows here), of a look at these days alone
    - clear (a link that is clear under repeated looks over the life of the journal, and has the same sign in these
      days), told (Date: the end of the month in which it became clear; null if not clear)
    - needed (days that each side must have), quota (some of the days belong to a quota)
    - p_fine (0 to 1: as p, with each half of the days shifted separately, against the residuals of mood after the
      weekday and the day before; `half_shift.fine_p`). It never makes a p over 0.05 smaller

    With fewer than `least` days on a side, everything but the counts is null and q ignores the row.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 4, 30), eager=True)
    >>> done = [i * i * i % 31 < 15 for i in range(120)]
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "asked": True, "mark": "done",
    ...     "per": pl.Series([None] * 120, dtype=pl.String), "state": ["done" if d else "missed" for d in done]})
    >>> moods = pl.DataFrame({"date": dates, "mood": [3.0 + d + i % 2 for i, d in enumerate(done)]})
    >>> table = links(states, moods, today=dt.date(2025, 5, 1))
    >>> table.select("lag_days", "n_done", "n_missed", pl.col("difference").round(2), "clear", "told").row(0)
    (0, 51, 69, 0.98, True, datetime.date(2025, 2, 28))
    """
    sides = [(lag, compared(states, days, today=today, column=column, lag=lag)) for lag in lags]
    (frame,) = together(_rows(states, sides, least, _link))
    if standing is None:
        events = link_record.record(states, days, today=today, column=column, lags=lags, least=least)
        standing = link_record.standing(events, today)
    return _marked(frame, standing).select(*LINKS)


def sizes(
    states: pl.DataFrame,
    days: pl.DataFrame,
    *,
    today: dt.date,
    standing: pl.DataFrame,
    column: str = "mood",
    lags: Sequence[int] = (0, 1),
    least: int = LEAST,
) -> pl.DataFrame:
    """The rows of `links`, with all that needs no shifts: the counts, the means and their difference, clear and told.

    In: as for `links`. Out: `LINKS`; low, high, superiority, p, q and p_fine are null. A heading needs no more, and it
    takes a tenth of the time.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 2, 28), eager=True)
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "asked": True, "mark": "done",
    ...     "per": pl.Series([None] * 59, dtype=pl.String), "state": ["done", "missed", "missed"] * 19 + ["done"] * 2})
    >>> moods = pl.DataFrame({"date": dates, "mood": [4.0, 3.0, 3.0] * 19 + [4.0] * 2})
    >>> never = pl.DataFrame(schema=link_record.EVENTS)
    >>> table = sizes(states, moods, today=dt.date(2025, 3, 1), standing=never)
    >>> table.select("lag_days", "n_done", "n_missed", "difference", "clear").row(0)
    (0, 21, 38, 1.0, False)
    """
    sides = [(lag, compared(states, days, today=today, column=column, lag=lag)) for lag in lags]
    return _marked(_rows(states, sides, least, _size), standing).select(*LINKS)


def _rows(
    states: pl.DataFrame,
    sides: Sequence[tuple[int, pl.DataFrame]],
    least: int,
    of: Callable[[pl.DataFrame, int], dict[str, Any]],
) -> pl.DataFrame:
    """The rows of habits and lags, in the order of the habits, with what `of` tells of each. In: the frame of
    `compared_days.compared` by lag."""
    habits = states.get_column("habit").unique(maintain_order=True).to_list()
    rows = []
    for lag, every in sides:
        by_habit = every.partition_by("habit", as_dict=True)
        for place, habit in enumerate(habits):
            pairs = by_habit.get((habit,))
            statistics = {} if pairs is None else of(pairs, least)
            rows.append({"habit": habit, "lag_days": lag, "needed": least, "place": place} | statistics)
    frame = pl.DataFrame(rows, schema=LINKS | {"place": pl.Int64}).sort("place", "lag_days", maintain_order=True)
    return frame.with_columns(pl.col("n_done", "n_missed").fill_null(0), pl.col("quota").fill_null(False))


def _marked(frame: pl.DataFrame, standing: pl.DataFrame) -> pl.DataFrame:
    """The rows with `clear` and `told` by the links that stand."""
    higher = pl.col("difference") > 0
    agrees = ((higher == pl.col("higher")) & (pl.col("difference") != 0)).fill_null(False)
    return (
        frame.drop("told")
        .join(standing.select("habit", "lag_days", "higher", "told"), on=["habit", "lag_days"], how="left")
        .sort("place", "lag_days", maintain_order=True)
        .with_columns(
            pl.when(pl.col("difference").is_not_null()).then(agrees).alias("clear"),
            pl.when(pl.col("difference").is_not_null() & agrees).then("told").alias("told"),
        )
    )


def _size(pairs: pl.DataFrame, least: int) -> dict[str, Any]:
    """The counts and, with enough days on each side, the means."""
    done, values = pairs.get_column("done").to_numpy(), pairs.get_column("value").to_numpy()
    counts = {
        "n_done": int(done.sum()),
        "n_missed": int((~done).sum()),
        "quota": bool(pairs.get_column("quota").any()),
    }
    if min(counts["n_done"], counts["n_missed"]) < max(least, 1):
        return counts
    means = {"mean_done": float(values[done].mean()), "mean_missed": float(values[~done].mean())}
    return counts | means | {"difference": float(values[done].mean() - values[~done].mean())}


def _link(pairs: pl.DataFrame, least: int) -> dict[str, Any]:
    """`_size` with the evidence of all shifts."""
    size = _size(pairs, least)
    if "difference" not in size:
        return size
    done, values = pairs.get_column("done").to_numpy(), pairs.get_column("value").to_numpy()
    low, high = shift_interval(done, values) or (None, None)
    p = shift_p(done, values)
    weekday, before = weekday_and_before(pairs)
    return size | {
        "low": low,
        "high": high,
        "superiority": superiority(values[done], values[~done]),
        "p": p,
        "p_fine": fine_p(done.astype(np.float64), values, weekday, before, p=p, size=size["difference"]),
    }
