"""Planned and actual hours by category."""

from __future__ import annotations

from typing import NamedTuple

import polars as pl

from journal.call_arguments import checked
from journal.measures.period_columns import By, with_period
from journal.settings import Weekday


class HoursDays(NamedTuple):
    """The number of days with planned hours, with actual hours, and with both."""

    planned: int
    written: int
    both: int


def days(hours: pl.DataFrame) -> HoursDays:
    """The number of days that the sums of `totals` cover; the two layers can cover different days.

    In: `Tables.hours`, filtered to the days of interest. A day counts for a layer if it has a span in it.

    >>> import datetime as dt
    >>> monday, tuesday = dt.date(2025, 3, 10), dt.date(2025, 3, 11)
    >>> days(pl.DataFrame({"date": [monday, monday, tuesday], "layer": ["planned", "actual", "planned"]}))
    HoursDays(planned=2, written=1, both=1)
    """
    planned, written = (set(hours.filter(layer=layer).get_column("date")) for layer in ("planned", "actual"))
    return HoursDays(len(planned), len(written), len(planned & written))


@checked
def totals(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """Minutes per category and period.

    In: `Tables.hours` (date Date, layer "planned" or "actual", category String, start_minute and end_minute Int32),
    filtered to the days of interest. Out, a row per period and category, by period and then in the order in which the
    categories first occur:

    - category, period (String, ISO 8601 name or "all"), from, to (Date)
    - planned_minutes, actual_minutes (Int64; null where that layer has no span of the category)
    - as_planned_minutes (Int64): minutes that were planned for the category and spent in it at the same time
    - compared_minutes (Int64): minutes planned on days that also have actual hours. It is the denominator of
      as_planned_minutes, since a day with only a plan is no evidence of how it went. Both are null where no such day
      has a plan for the category

    Every day of the strip has 24 hours: changes of the clocks do not shift minutes.

    >>> import datetime as dt
    >>> strip = pl.DataFrame({"date": dt.date(2025, 3, 14), "layer": ["planned", "actual", "actual"],
    ...     "category": ["sleep", "sleep", "work"], "start_minute": [0, 15, 540], "end_minute": [375, 380, 600]})
    >>> totals(strip, week_starts="monday").drop("period", "from", "to").rows()
    [('sleep', 375, 365, 360, 375), ('work', None, 60, None, None)]
    """
    length = (pl.col("end_minute") - pl.col("start_minute")).cast(pl.Int64)
    planned, actual = pl.col("layer") == "planned", pl.col("layer") == "actual"
    written = pl.col("date").is_in(hours.filter(actual).get_column("date").unique().implode())
    rows = with_period(
        pl.concat([hours.with_columns(shared=pl.lit(None, pl.Int64)), _shared(hours)], how="diagonal"),
        by,
        week_starts=week_starts,
    )

    def total(inside: pl.Expr, minutes: pl.Expr) -> pl.Expr:
        return pl.when(inside.any()).then(minutes.filter(inside).sum())

    return (
        rows.with_columns(compared=planned & written)
        .group_by("period", "category", maintain_order=True)
        .agg(
            pl.col("from", "to").first(),
            total(planned, length).alias("planned_minutes"),
            total(actual, length).alias("actual_minutes"),
            pl.when(pl.col("compared").any()).then(pl.col("shared").sum()).alias("as_planned_minutes"),
            total(pl.col("compared"), length).alias("compared_minutes"),
        )
        .sort("from", maintain_order=True)
        .select(
            "category",
            "period",
            "from",
            "to",
            "planned_minutes",
            "actual_minutes",
            "as_planned_minutes",
            "compared_minutes",
        )
    )


def _shared(hours: pl.DataFrame) -> pl.DataFrame:
    """Rows of date, category and `shared` (Int64): the minutes that a planned and an actual span have in common. They
    are of no layer."""
    spans = hours.select("date", "category", "layer", "start_minute", "end_minute")
    planned, actual = (spans.filter(pl.col("layer") == layer).drop("layer") for layer in ("planned", "actual"))
    first = pl.max_horizontal("start_minute", "start_minute_right")
    last = pl.min_horizontal("end_minute", "end_minute_right")
    both = planned.join(actual, on=["date", "category"])
    return both.select("date", "category", shared=(last - first).clip(0).cast(pl.Int64))


@checked
def as_planned(totals: pl.DataFrame) -> pl.DataFrame:
    """The frame of `totals` with as_planned_share (Float64, 0 to 1): as_planned_minutes / compared_minutes.

    Null where nothing was planned on days that also have actual hours.

    >>> as_planned(pl.DataFrame({"as_planned_minutes": [360, None], "compared_minutes": [375, None]},
    ...     schema_overrides={"as_planned_minutes": pl.Int64})).get_column("as_planned_share").to_list()
    [0.96, None]
    """
    planned = pl.col("compared_minutes")
    return totals.with_columns(as_planned_share=pl.col("as_planned_minutes") / pl.when(planned > 0).then(planned))
