"""Stretches of minutes, put together and turned inside out. What is written over itself counts once."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from journal.entry import MINUTES_A_DAY

START, END = pl.col("start_minute"), pl.col("end_minute")

_APART = 2**40
"""More than any minute of a calendar, and little enough that a million groups fit in 64 bits."""


def merged(spans: pl.DataFrame, by: Sequence[str]) -> pl.DataFrame:
    """Stretches that overlap or touch, made one.

    In: start_minute, end_minute (integers, the end not part of it) and the columns `by`, within whose values stretches
    are put together. Out: `by`, start_minute, end_minute, sorted by all of them; none touches the next.

    >>> spans = pl.DataFrame({"day": 1, "start_minute": [30, 0, 90], "end_minute": [60, 40, 95]})
    >>> merged(spans, ["day"]).rows()
    [(1, 0, 60), (1, 90, 95)]
    """
    # Each group lies past all minutes of the one before, so that one pass takes them all: a window over as many groups
    # as there are days takes ten times as long.
    ordered = spans.sort(*by, "start_minute").with_columns(offset=pl.struct(by).rle_id().cast(pl.Int64) * _APART)
    reach = (pl.col("offset") + END).cum_max().shift(1)
    return (
        ordered.with_columns(run=(reach < pl.col("offset") + START).fill_null(True).cum_sum())
        .group_by(*by, "run", maintain_order=True)
        .agg(START.min(), END.max())
        .drop("run")
    )


def gaps(merged: pl.DataFrame, by: Sequence[str]) -> pl.DataFrame:
    """What the stretches of a day leave open.

    In: the frame of `merged`, in minutes of one day (0 to 1440). Out: the same columns, the stretches between. A day
    without a stretch is not in the frame and so has no row here either.

    >>> gaps(pl.DataFrame({"day": 1, "start_minute": [0, 90], "end_minute": [60, 1440]}), ["day"]).rows()
    [(1, 60, 90)]
    """
    before = merged.with_columns(start_minute=END.shift(1).over(by).fill_null(0), end_minute=START)
    after = merged.group_by(by, maintain_order=True).agg(
        END.max().alias("start_minute"), pl.lit(MINUTES_A_DAY, dtype=merged.schema["end_minute"]).alias("end_minute")
    )
    between = pl.concat([before, after.select(before.columns)]).filter(START < END)
    return between.sort(*by, "start_minute")


def lengths(merged: pl.DataFrame, by: Sequence[str]) -> pl.DataFrame:
    """`by` and `minutes` (Int64): how long the stretches are together.

    >>> lengths(pl.DataFrame({"day": 1, "start_minute": [0, 90], "end_minute": [60, 95]}), ["day"]).rows()
    [(1, 65)]
    """
    return merged.group_by(by, maintain_order=True).agg((END - START).sum().cast(pl.Int64).alias("minutes"))
