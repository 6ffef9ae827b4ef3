"""Where the hours of a stretch of days went, as planned and as they went."""

from __future__ import annotations

import polars as pl


def totals(hours: pl.DataFrame) -> pl.DataFrame:
    """Minutes per category.

    In: `Tables.hours` (category String, layer "planned" or "actual", start_minute and end_minute Int32), cut to the
    days that are meant. Out, a row per category in the order of the first mention: category (String),
    planned_minutes, actual_minutes (Int64; null where that layer says nothing of the category).

    Minutes are as written on the strip, which has 24 hours on every day: a change to summer time moves nothing.

    >>> strip = pl.DataFrame({"layer": ["planned", "actual", "actual"], "category": ["sleep", "sleep", "work"],
    ...     "start_minute": [0, 15, 540], "end_minute": [375, 380, 600]})
    >>> totals(strip).rows()
    [('sleep', 375, 365), ('work', None, 60)]
    """
    length = (pl.col("end_minute") - pl.col("start_minute")).cast(pl.Int64)

    def of(layer: str) -> pl.Expr:
        inside = pl.col("layer") == layer
        return pl.when(inside.any()).then(length.filter(inside).sum()).alias(f"{layer}_minutes")

    return hours.group_by("category", maintain_order=True).agg(of("planned"), of("actual"))
