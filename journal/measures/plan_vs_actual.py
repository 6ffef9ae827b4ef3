"""What became of planned time, and what open time became.

Within a category what is written over itself counts once; where two categories are written over each other, each has
those minutes. The strip has 24 hours on every day, whatever the clocks do.
"""

from __future__ import annotations

import polars as pl

from journal.entry import MINUTES_A_DAY
from journal.measures.period_columns import By, with_period
from journal.measures.time_spans import gaps, lengths, merged
from journal.settings import Weekday

_FIRST = pl.max_horizontal("start_minute", "start_minute_right")
_LAST = pl.min_horizontal("end_minute", "end_minute_right")


def where_planned_went(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """Minutes by what they were planned for and what they went to.

    In: `Tables.hours` (date Date, layer "planned" or "actual", category String, start_minute and end_minute Int32), cut
    to the days that are meant. Out, a row per period and pair that came up:

    - period (ISO 8601 name or "all"), from, to (Date)
    - planned (String, a category; null for open time, without a plan), actual (String, a category; null for time of
      which nothing was written)
    - minutes (Int64), days (Int64, on which the pair came up)

    Periods come in their order, categories in that of their first mention, null last. Only days with both a plan and
    hours as they went are compared: a day without a plan has no open time, and one that was only planned says nothing
    of how it went. Minutes of a period without overlaps add up to 1440 for each of its days.

    >>> import datetime as dt
    >>> strip = pl.DataFrame({"date": dt.date(2025, 3, 14), "layer": ["planned", "actual", "actual"],
    ...     "category": ["work", "work", "home"], "start_minute": [540, 540, 600], "end_minute": [660, 600, 690]})
    >>> where_planned_went(strip, week_starts="monday").select("planned", "actual", "minutes").rows()
    [('work', 'work', 60), ('work', 'home', 60), (None, 'home', 30), (None, None, 1290)]
    """
    planned, actual = _whole(hours, "planned"), _whole(hours, "actual")
    order = {category: i for i, category in enumerate(hours.get_column("category").unique(maintain_order=True))}

    def place(name: str) -> pl.Expr:
        return pl.col(name).replace_strict(order, default=None, return_dtype=pl.Int64)

    shared = planned.join(actual, on="date").with_columns(minutes=(_LAST - _FIRST).cast(pl.Int64))
    return (
        with_period(shared.filter(pl.col("minutes") > 0).sort("date"), by, week_starts=week_starts)
        .rename({"category": "planned", "category_right": "actual"})
        .group_by("period", "planned", "actual", maintain_order=True)
        .agg(
            pl.col("from", "to").first(),
            pl.col("minutes").sum(),
            pl.col("date").n_unique().cast(pl.Int64).alias("days"),
        )
        .sort("from", place("planned"), place("actual"), nulls_last=True)
        .select("period", "from", "to", "planned", "actual", "minutes", "days")
    )


def _whole(hours: pl.DataFrame, layer: str) -> pl.DataFrame:
    """A layer with its open minutes as stretches of no category: date, category, start_minute, end_minute."""
    written = hours.filter(pl.col("layer") == layer).select("date", "category", "start_minute", "end_minute")
    categories = merged(written, ["date", "category"])
    between = gaps(merged(written, ["date"]), ["date"]).with_columns(category=pl.lit(None, pl.String))
    return pl.concat([categories, between.select(categories.columns)])


def accounts(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """How much of the day is planned, and how much of it is written as it went.

    In: as for `where_planned_went`. Out, a row per period in order: period, from, to (Date), planned_days (Int64, days
    with a plan), planned_minutes (Int64, of any category), open_minutes (Int64, the rest of those days), written_days
    (Int64, days with hours as they went), actual_minutes (Int64), unaccounted_minutes (Int64, the rest of those days).
    Minutes are null where there is no such day. A period without hours has no row.

    >>> import datetime as dt
    >>> strip = pl.DataFrame({"date": dt.date(2025, 3, 14), "layer": "planned", "category": ["work", "music"],
    ...     "start_minute": [540, 600], "end_minute": [660, 690]})
    >>> accounts(strip, week_starts="monday").drop("period", "from", "to").row(0)
    (1, 150, 1290, 0, None, None)
    """
    totals = lengths(merged(hours, ["date", "layer"]), ["date", "layer"])
    minutes = pl.col("minutes")

    def of(layer: str, *names: str) -> list[pl.Expr]:
        inside = minutes.filter(pl.col("layer") == layer)
        some = inside.count() > 0
        return [
            inside.count().cast(pl.Int64).alias(names[0]),
            pl.when(some).then(inside.sum()).alias(names[1]),
            pl.when(some).then((MINUTES_A_DAY - inside).sum()).alias(names[2]),
        ]

    return (
        with_period(totals.sort("date"), by, week_starts=week_starts)
        .group_by("period", maintain_order=True)
        .agg(
            pl.col("from", "to").first(),
            *of("planned", "planned_days", "planned_minutes", "open_minutes"),
            *of("actual", "written_days", "actual_minutes", "unaccounted_minutes"),
        )
    )
