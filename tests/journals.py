"""Small journals for tests: written as files, so that they are read along the same path as a person's."""

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
    """Write a journal: settings beside a title and a place, and a page for each day; returns the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    whole = {"title": "A test", "places": [PLACE]} | settings
    (folder / "journal.toml").write_text(rtoml.dumps(whole), encoding="utf-8")
    for day, page in days.items():
        path = folder / str(day.year) / f"{day}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(rtoml.dumps(page), encoding="utf-8")
    return folder


def of_tables(tables: Tables, settings: Settings) -> Journal:
    """The journal that has some tables, without files."""
    return Journal(Path(), settings, tables.today, tables, Undated(), ())


def days_between(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Every day from the first to the last."""
    while first <= last:
        yield first
        first += dt.timedelta(days=1)
