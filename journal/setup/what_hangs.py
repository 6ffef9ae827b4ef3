"""What hangs on a part of journal.toml: the days whose pages name a place, category, habit or challenge."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import polars as pl

from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal

_SAID = {
    "places": "{days} {were} spent there",
    "categories": "{days} {have} hours of it",
    "habits": "{days} {have} a mark of it",
    "challenges": "{days} {have} a tick of it",
}


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
        "habits": _counts(tables.marks.filter(pl.col("mark").is_not_null()), "habit"),
        "challenges": _counts(tables.ticks.filter(pl.col("ticked").is_not_null()), "challenge"),
    }


def _counts(frame: pl.DataFrame, key: str) -> dict[str, int]:
    rows = frame.drop_nulls(key).group_by(key).agg(pl.col("date").n_unique()).sort(key).rows()
    return dict(rows)


def sentence(name: str, key: str, days: DaysByKey) -> str:
    """What hangs on a key of a list, empty if nothing does.

    >>> sentence("habits", "walk", {"habits": {"walk": 212}}), sentence("habits", "read", {"habits": {"walk": 212}})
    ('212 days have a mark of it', '')
    """
    count = days.get(name, {}).get(key, 0)
    plural = count != 1
    words = {
        "days": numbers.plural(count, "day"),
        "were": "were" if plural else "was",
        "have": "have" if plural else "has",
    }
    return _SAID[name].format(**words) if count else ""
