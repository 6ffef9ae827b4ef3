"""The days of each pair of a habit and the mood of a day, on which the record of links rests."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import polars as pl

from journal.measures import looks
from journal.measures.compared_days import LEAST, compared, weekday_and_before

LinkPair = tuple[str, int]
"""A habit, and the days from its mark to the mood."""

COMPARABLE: dict[str, Any] = {"habit": pl.String, "lag_days": pl.Int64, "since": pl.Date}


def dated_pairs(
    states: pl.DataFrame, days: pl.DataFrame, *, today: dt.date, column: str = "mood", lags: Sequence[int] = (0, 1)
) -> dict[LinkPair, looks.DatedPairs]:
    """The days of each pair up to `today`. In: as `compared_days.compared`."""
    return {
        (str(habit), lag): dated(rows, lag)
        for lag in lags
        for (habit,), rows in compared(states, days, today=today, column=column, lag=lag).group_by(
            "habit", maintain_order=True
        )
    }


def dated(rows: pl.DataFrame, lag: int) -> looks.DatedPairs:
    """The days of one pair, from rows of `compared` of one habit, in order. The month is that of the mood's day."""
    felt = rows.get_column("date").dt.offset_by(f"{lag}d")
    weekday, before = weekday_and_before(rows)
    month = (felt.dt.year().cast(pl.Int64) * 12 + felt.dt.month().cast(pl.Int64) - 1).to_numpy()
    return looks.DatedPairs(
        month=month,
        weekday=weekday,
        one=rows.get_column("done").cast(pl.Float64).to_numpy(),
        values=rows.get_column("value").to_numpy(),
        before=before,
    )


def comparable(pairs: Mapping[LinkPair, looks.DatedPairs], *, today: dt.date, least: int = LEAST) -> pl.DataFrame:
    """The pairs that can be compared by the end of the last closed month.

    Out: habit, lag_days (Int64), since (Date: the end of the month from which each side has `least` days).

    >>> month = np.repeat([24300, 24301], 28)
    >>> pair = looks.DatedPairs(month, month % 7, np.arange(56.0) % 4 == 0, month * 1.0, month * 1.0)
    >>> comparable({("walk", 0): pair}, today=dt.date(2025, 3, 1)).rows()
    [('walk', 0, datetime.date(2025, 2, 28))]
    """
    rows = []
    for (habit, lag), pair in pairs.items():
        closed = looks.blocks(pair.month, closed_by(today))
        with_it = np.cumsum(pair.one)[np.array(closed.end, np.int64) - 1]
        enough = np.minimum(with_it, np.array(closed.end) - with_it) >= max(least, 1)
        if enough.any():
            rows.append((habit, lag, last_day(closed.month[int(enough.argmax())])))
    return pl.DataFrame(rows, schema=COMPARABLE, orient="row")


def content(states: pl.DataFrame, days: pl.DataFrame, *, today: dt.date, column: str = "mood") -> list[bytes]:
    """What the record of links rests on, as bytes: equal bytes mean an equal record.

    In: as `compared_days.compared`. It rests on the days of the closed months alone, each row here as a number of 64
    bits.
    """
    end = last_day(closed_by(today))
    over = pl.col("date") <= end
    rows = [  # columns first: a filter copies each
        states.select("habit", "date", "asked", "mark", "per", "state").filter(over),
        days.select("date", column).filter(over),
    ]
    # On the last day of a month it counts only what has a mark.
    return [repr((end, end == today)).encode(), *(frame.hash_rows(seed=1).to_numpy().tobytes() for frame in rows)]


def closed_by(day: dt.date) -> int:
    """The last month that is over by the end of a day (years x 12 + month)."""
    next_day = day + dt.timedelta(days=1)
    return next_day.year * 12 + next_day.month - 2


def last_day(month: int) -> dt.date:
    """The last day of a month (years x 12 + month)."""
    return dt.date((month + 1) // 12, (month + 1) % 12 + 1, 1) - dt.timedelta(days=1)
