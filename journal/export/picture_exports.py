"""The pictures of a day in exports. Their names there have only the day and a number: a camera's name has the time."""

from __future__ import annotations

import datetime as dt

import polars as pl


def export_name(date: dt.date, position: int) -> str:
    """The name of one picture in exports, as `name_of`.

    >>> export_name(dt.date(2025, 3, 14), 0)
    '2025-03-14-1.jpg'
    """
    return f"{date}-{position + 1}.jpg"


def name_of(date: pl.Expr, position: pl.Expr) -> pl.Expr:
    """The name of a picture in exports, without anything of its own name: "2025-03-14-1.jpg".

    >>> row = {"date": ["2025-03-14"], "position": [0]}
    >>> pl.DataFrame(row).select(name_of(*map(pl.col, row))).item()
    '2025-03-14-1.jpg'
    """
    return pl.format("{}-{}.jpg", date.cast(pl.String), position + 1)
