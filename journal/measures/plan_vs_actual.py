"""Planned time against actual time, and the use of open (unplanned) time.

Overlapping spans of one category count once. If two categories overlap, each has the shared minutes. The strip has 24
hours on every day, also when the clocks change.
"""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked
from journal.entry import MINUTES_A_DAY
from journal.measures.period_columns import By, with_period
from journal.measures.time_spans import gaps, lengths, merged
from journal.settings import Weekday

_FIRST = pl.max_horizontal("start_minute", "start_minute_right")
_LAST = pl.min_horizontal("end_minute", "end_minute_right")


@checked
def where_planned_went(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """Minutes by planned category and actual category.

    In: `Tables.hours` (date Date, layer "planned" or "actual", category String, start_minute and end_minute Int32),
    filtered to the days of interest. Out, a row per period and pair of categories that occurs:

    - period (ISO 8601 name or "all"), from, to (Date)
    - planned (String, a category; null for open time, without a plan), actual (String, a category; null for time
      without a record)
    - minutes (Int64), days (Int64, days with the pair)

    Rows are sorted by period and then by the order in which the categories first occur, null last. Only days with both
    planned and actual hours are compared: without a plan a day has no open time, and a plan alone is no evidence of how
    the day went. Without overlaps, the minutes of a period add up to 1440 per day.

    >>> import datetime as dt
    >>> strip = pl.DataFrame({"date": dt.date(2025, 3, 14), "layer": ["planned", "actual", "actual"],
    ...     "category": ["work", "work", "home"], "start_minute": [540, 540, 600], "end_minute": [660, 600, 690]})
    >>> where_planned_went(strip, week_starts="monday").select("planned", "actual", "minutes").rows()
    [('work', 'work', 60), ('work', 'home', 60), (None, 'home', 30), (None, None, 1290)]
    """
    planned, actual = _with_open_minutes(hours, "planned"), _with_open_minutes(hours, "actual")
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


def _with_open_minutes(hours: pl.DataFrame, layer: str) -> pl.DataFrame:
    """A layer with its open minutes as spans with a null category: date, category, start_minute, end_minute."""
    written = hours.filter(pl.col("layer") == layer).select("date", "category", "start_minute", "end_minute")
    categories = merged(written, ["date", "category"])
    between = gaps(merged(written, ["date"]), ["date"]).with_columns(category=pl.lit(None, pl.String))
    return pl.concat([categories, between.select(categories.columns)])


def accounts(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """The planned and the recorded minutes of the days in each period, and the rest of these days.

    In: as for `where_planned_went`. Out, a row per period in order: period, from, to (Date), planned_days (Int64, days
    with a plan), planned_minutes (Int64, of any category), open_minutes (Int64, the rest of those days), written_days
    (Int64, days with actual hours), actual_minutes (Int64), unaccounted_minutes (Int64, the rest of those days).
    Minutes are null in a period without such days. A period without hours has no row.

    >>> import datetime as dt
    >>> strip = pl.DataFrame({"date": dt.date(2025, 3, 14), "layer": "planned", "category": ["work", "music"],
    ...     "start_minute": [540, 600], "end_minute": [660, 690]})
    >>> accounts(strip, week_starts="monday").drop("period", "from", "to").row(0)
    (1, 150, 1290, 0, None, None)
    """
    totals = lengths(merged(hours, ["date", "layer"]), ["date", "layer"])
    minutes = pl.col("minutes")

    def layer_columns(layer: str, *names: str) -> list[pl.Expr]:
        inside = minutes.filter(pl.col("layer") == layer)
        exists = inside.count() > 0
        return [
            inside.count().cast(pl.Int64).alias(names[0]),
            pl.when(exists).then(inside.sum()).alias(names[1]),
            pl.when(exists).then((MINUTES_A_DAY - inside).sum()).alias(names[2]),
        ]

    return (
        with_period(totals.sort("date"), by, week_starts=week_starts)
        .group_by("period", maintain_order=True)
        .agg(
            pl.col("from", "to").first(),
            *layer_columns("planned", "planned_days", "planned_minutes", "open_minutes"),
            *layer_columns("actual", "written_days", "actual_minutes", "unaccounted_minutes"),
        )
    )
