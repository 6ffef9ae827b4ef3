"""The lines of a journal: gratitude, memories and notes."""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked

KINDS = ("gratitude", "memory", "note")


@checked
def lines(recorded: pl.DataFrame) -> pl.DataFrame:
    """Every line, in reading order.

    In: `Tables.lines` (date, kind, position, text). Out: date (Date), kind (String, one of `KINDS`), text (String),
    by day, then by kind in the order of `KINDS`, then by position. A day without lines has no row.

    >>> import datetime as dt
    >>> written = pl.DataFrame({"date": [dt.date(2025, 3, 14)] * 2, "kind": ["note", "gratitude"], "position": [0, 0],
    ...     "text": ["Ask about the grey thread.", "The rain held off."]})
    >>> lines(written).get_column("kind").to_list()
    ['gratitude', 'note']
    """
    return recorded.sort("date", pl.col("kind").cast(pl.Enum(KINDS)), "position").select("date", "kind", "text")
