"""Where the hours of a stretch of days went, as planned and as they went."""

from __future__ import annotations

from typing import NamedTuple

import polars as pl

from journal.measures.period_columns import By, with_period
from journal.settings import Weekday


class HoursDays(NamedTuple):
    """How many days were planned, how many written as they went, and of how many both is known."""

    planned: int
    written: int
    both: int


def days(hours: pl.DataFrame) -> HoursDays:
    """On how many days the sums of `totals` rest: a plan of days that were never written outgrows what went.

    In: `Tables.hours`, cut to the days that are meant. A day with nothing in a layer does not count for it.

    >>> import datetime as dt
    >>> monday, tuesday = dt.date(2025, 3, 10), dt.date(2025, 3, 11)
    >>> days(pl.DataFrame({"date": [monday, monday, tuesday], "layer": ["planned", "actual", "planned"]}))
    HoursDays(planned=2, written=1, both=1)
    """
    planned, written = (set(hours.filter(layer=layer).get_column("date")) for layer in ("planned", "actual"))
    return HoursDays(len(planned), len(written), len(planned & written))


def totals(hours: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """Minutes per category and period.

    In: `Tables.hours` (date Date, layer "planned" or "actual", category String, start_minute and end_minute Int32), cut
    to the days that are meant. Out, a row per period and category, periods in their order, categories in that of their
    first mention:

    - category, period (String, ISO 8601 name or "all"), from, to (Date)
    - planned_minutes, actual_minutes (Int64; null where that layer says nothing of the category)
    - as_planned_minutes (Int64): planned in the category and spent in it at the same time
    - compared_minutes (Int64): planned on days whose hours were written as they went, too, which is what
      as_planned_minutes is out of: a day of which only the plan is known says nothing of how it went. Both are null
      where there is no such day with a plan for the category

    Minutes are as written on the strip, which has 24 hours on every day: a change to summer time moves nothing.

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

    def of(inside: pl.Expr, minutes: pl.Expr) -> pl.Expr:
        return pl.when(inside.any()).then(minutes.filter(inside).sum())

    return (
        rows.with_columns(compared=planned & written)
        .group_by("period", "category", maintain_order=True)
        .agg(
            pl.col("from", "to").first(),
            of(planned, length).alias("planned_minutes"),
            of(actual, length).alias("actual_minutes"),
            pl.when(pl.col("compared").any()).then(pl.col("shared").sum()).alias("as_planned_minutes"),
            of(pl.col("compared"), length).alias("compared_minutes"),
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
    """Rows of date, category and `shared` (Int64): minutes that a planned and an actual stretch have in common."""
    spans = hours.select("date", "category", "layer", "start_minute", "end_minute")
    planned, actual = (spans.filter(pl.col("layer") == layer).drop("layer") for layer in ("planned", "actual"))
    first = pl.max_horizontal("start_minute", "start_minute_right")
    last = pl.min_horizontal("end_minute", "end_minute_right")
    return (
        planned.join(actual, on=["date", "category"])
        .select("date", "category", shared=(last - first).clip(0).cast(pl.Int64))
        .with_columns(layer=pl.lit(""))
    )


def as_planned(totals: pl.DataFrame) -> pl.DataFrame:
    """The frame of `totals` with as_planned_share (Float64, 0 to 1): as_planned_minutes of compared_minutes.

    Null where nothing was planned on days whose hours were written as they went, too.

    >>> as_planned(pl.DataFrame({"as_planned_minutes": [360, None], "compared_minutes": [375, None]},
    ...     schema_overrides={"as_planned_minutes": pl.Int64})).get_column("as_planned_share").to_list()
    [0.96, None]
    """
    planned = pl.col("compared_minutes")
    return totals.with_columns(as_planned_share=pl.col("as_planned_minutes") / pl.when(planned > 0).then(planned))
