"""Runs of due occasions that were done.

Days that are not due are no occasions. Missed and partial occasions break a run. A blank breaks it unless the setting
`blank` is "bridges". Rest and pending occasions neither extend nor break it. A run has one unit (single days, weeks or
months) and ends with the last day before the habit counts in another: days and weeks do not compare.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

import polars as pl

from journal.call_arguments import checked

Blank = Literal["breaks", "bridges"]


def counted(occasions: pl.DataFrame, *, today: dt.date, blank: Blank = "breaks") -> pl.DataFrame:
    """The occasions that extend or break a run: those that began by `today` and are neither rest nor pending.

    In: `states.OCCASIONS`. With `blank="bridges"` a blank one is left out too.

    >>> day = dt.date(2025, 3, 14)
    >>> kept = pl.DataFrame({"habit": "walk", "from": [day] * 3, "state": ["done", "rest", "blank"]})
    >>> counted(kept, today=day)["state"].to_list(), counted(kept, today=day, blank="bridges")["state"].to_list()
    (['done', 'blank'], ['done'])
    """
    transparent = ["rest", "pending", *(["blank"] if blank == "bridges" else [])]
    return occasions.filter(pl.col("from") <= today, ~pl.col("state").is_in(transparent))


@checked
def runs(occasions: pl.DataFrame, *, today: dt.date, blank: Blank = "breaks") -> pl.DataFrame:
    """Every run of done occasions, in the order of the occasions.

    In: `states.OCCASIONS`, with `unit_to` where a habit has changed its unit. Out: habit, unit, from (Date, first day
    of the first occasion), to (Date, last day of the last), length (Int64, occasions), running (Boolean: nothing has
    broken it by `today`, and the habit still counts in this unit). Occasions that start after `today` are ignored.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 5), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["done", "missed", "done", "rest", "done"]}).cast(OCCASIONS)
    >>> runs(kept, today=dt.date(2025, 3, 5)).select("from", "length", "running").rows()
    [(datetime.date(2025, 3, 1), 1, False), (datetime.date(2025, 3, 3), 2, True)]
    """
    if "unit_to" not in occasions.columns:
        occasions = occasions.with_columns(unit_to=pl.lit(None, pl.Date))
    done = pl.col("state") == "done"
    return (
        counted(occasions, today=today, blank=blank)
        .with_columns(
            run=pl.struct("habit", "unit", "unit_to", done).rle_id(),
            newest=pl.col("habit").is_last_distinct() & (pl.col("unit_to") >= today).fill_null(True),
        )
        .filter(done)
        .group_by("run", maintain_order=True)
        .agg(
            pl.col("habit", "unit", "from").first(),
            pl.col("to").last(),
            pl.len().cast(pl.Int64).alias("length"),
            pl.col("newest").any().alias("running"),
        )
        .drop("run")
    )


@checked
def streaks(occasions: pl.DataFrame, *, today: dt.date, blank: Blank = "breaks") -> pl.DataFrame:
    """The current and the longest streak of each habit.

    In: `states.OCCASIONS`. Out, a row per habit in the order of the occasions: habit, unit (of its newest occasion),
    current (Int64, 0 if the newest counted occasion was not done), current_from (Date), pending
    (Boolean: an occasion that includes `today` is still open), longest (Int64), longest_from, longest_to
    (Date; the earliest of ties). Dates are null where there is no streak.

    A habit that changed from single days to a quota has runs of two units. Only runs of its newest unit are compared.
    The streak of an earlier unit is past, and no longer current from the day of the change.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["done", "done", "missed", "pending"]}).cast(OCCASIONS)
    >>> streaks(kept, today=dt.date(2025, 3, 4)).select("current", "pending", "longest", "longest_to").row(0)
    (0, True, 2, datetime.date(2025, 3, 2))
    """
    begun = occasions.filter(pl.col("from") <= today)
    habits = begun.group_by("habit", maintain_order=True).agg(
        pl.col("unit").last(),
        ((pl.col("state") == "pending") & (pl.col("to") >= today)).any().alias("pending"),
    )
    running, length = pl.col("running"), pl.col("length")
    longest = length.arg_max()  # of ties the first, which is the earliest
    of_habits = (
        runs(begun, today=today, blank=blank)
        .group_by("habit", "unit")
        .agg(
            length.filter(running).first().alias("current"),
            pl.col("from").filter(running).first().alias("current_from"),
            length.get(longest).alias("longest"),
            pl.col("from").get(longest).alias("longest_from"),
            pl.col("to").get(longest).alias("longest_to"),
        )
    )
    return (
        habits.join(of_habits, on=["habit", "unit"], how="left", maintain_order="left")
        .with_columns(pl.col("current", "longest").fill_null(0))
        .select("habit", "unit", "current", "current_from", "pending", "longest", "longest_from", "longest_to")
    )
