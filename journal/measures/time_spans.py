"""Operations on spans of minutes: union, gaps and total length. Overlaps count once."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from journal.entry import MINUTES_A_DAY

START, END = pl.col("start_minute"), pl.col("end_minute")

_APART = 2**40
"""The offset between groups: more than any minute of a calendar, and small enough for a million groups in 64 bits."""


def merged(spans: pl.DataFrame, by: Sequence[str]) -> pl.DataFrame:
    """The union of spans: spans that overlap or touch become one.

    In: start_minute, end_minute (integers, the end exclusive) and the columns `by`. Spans are merged within each group
    of `by`. Out: `by`, start_minute, end_minute, sorted by all of them; no span touches the next.

    >>> spans = pl.DataFrame({"day": 1, "start_minute": [30, 0, 90], "end_minute": [60, 40, 95]})
    >>> merged(spans, ["day"]).rows()
    [(1, 0, 60), (1, 90, 95)]
    """
    # The offset puts each group past all minutes of the group before, so one pass merges all groups. A window per group
    # takes ten times as long with one group per day.
    ordered = spans.sort(*by, "start_minute").with_columns(offset=pl.struct(by).rle_id().cast(pl.Int64) * _APART)
    reach = (pl.col("offset") + END).cum_max().shift(1)
    return (
        ordered.with_columns(run=(reach < pl.col("offset") + START).fill_null(True).cum_sum())
        .group_by(*by, "run", maintain_order=True)
        .agg(START.min(), END.max())
        .drop("run")
    )


def gaps(merged: pl.DataFrame, by: Sequence[str]) -> pl.DataFrame:
    """The gaps between the spans of each day.

    In: the frame of `merged`, in minutes of one day (0 to 1440). Out: the same columns, with the gaps. A day without
    spans is not in the frame, so it has no row here either.

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
    """The total length of the spans of each group: `by` and `minutes` (Int64).

    >>> lengths(pl.DataFrame({"day": 1, "start_minute": [0, 90], "end_minute": [60, 95]}), ["day"]).rows()
    [(1, 65)]
    """
    return merged.group_by(by, maintain_order=True).agg((END - START).sum().cast(pl.Int64).alias("minutes"))
