"""Small journals for tests, written as files and opened the same way as a user's journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import rtoml

from journal import Journal
from journal.entry import Undated
from journal.settings import Settings
from journal.tables import Tables

PLACE = {
    "key": "home",
    "name": "Ljubljana",
    "latitude": 46.05,
    "longitude": 14.51,
    "timezone": "Europe/Ljubljana",
}

HOME = "[[places]]\n" + rtoml.dumps(PLACE)
"""`PLACE` as journal.toml has it, for tests that write the file as text. Six lines."""


def write(folder: Path, days: Mapping[dt.date, Mapping[str, Any]], **settings: Any) -> Path:
    """Write a journal with a title, a place, the given settings, and a page for each day; return the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    values = {"title": "A test", "places": [PLACE]} | settings
    (folder / "journal.toml").write_text(rtoml.dumps(values), encoding="utf-8")
    for day, page in days.items():
        path = folder / str(day.year) / f"{day}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(rtoml.dumps(page), encoding="utf-8")
    return folder


def of_tables(tables: Tables, settings: Settings) -> Journal:
    """A journal without files, from its tables and settings."""
    return Journal(Path(), settings, tables.today, tables, Undated(), ())


def days_between(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Every day from the first to the last, both inclusive."""
    while first <= last:
        yield first
        first += dt.timedelta(days=1)
