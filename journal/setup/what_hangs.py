"""What hangs on a part of journal.toml: the days whose pages name a place, category, habit or challenge."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import polars as pl

from journal.language.catalogue import _n

if TYPE_CHECKING:
    from journal import Journal

DaysByKey = Mapping[str, Mapping[str, int]]
"""The number of days whose pages name a key, by list and key."""


def days_of(book: Journal) -> DaysByKey:
    """The number of days by list and key: days at a place, with hours of a category, with a mark or a tick.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     _ = pathlib.Path(name, "journal.toml").write_text('title = "Thread"')
    ...     _ = pathlib.Path(name, "2025-03-14.toml").write_text('[hours.actual]\\nsleep = ["00:00-06:00"]')
    ...     days_of(journal.open(name, today=dt.date(2025, 3, 14)))["categories"]
    {'sleep': 1}
    """
    tables = book.tables
    return {
        "places": _counts(tables.days, "place"),
        "categories": _counts(tables.hours, "category"),
        "habits": _counts(tables.marks, "habit", "mark"),
        "challenges": _counts(tables.ticks, "challenge", "ticked"),
    }


def _counts(frame: pl.DataFrame, key: str, *given: str) -> dict[str, int]:
    """The days by key, of the rows in which it and the columns `given` are not null."""
    rows = frame.select("date", key, *given).drop_nulls().group_by(key).agg(pl.col("date").n_unique()).sort(key).rows()
    return dict(rows)


def sentence(name: str, key: str, days: DaysByKey) -> str:
    """What hangs on a key of a list, empty if nothing does.

    >>> sentence("habits", "walk", {"habits": {"walk": 212}}), sentence("habits", "read", {"habits": {"walk": 212}})
    ('212 days have a mark of it', '')
    """
    count = days.get(name, {}).get(key, 0)
    if not count:
        return ""
    match name:
        case "places":
            return _n("{count} day was spent there", "{count} days were spent there", count)
        case "categories":
            return _n("{count} day has hours of it", "{count} days have hours of it", count)
        case "habits":
            return _n("{count} day has a mark of it", "{count} days have a mark of it", count)
        case _other:
            return _n("{count} day has a tick of it", "{count} days have a tick of it", count)
