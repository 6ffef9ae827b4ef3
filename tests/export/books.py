"""Journals built from typed pages without files, for exports that use frames only."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from journal import Journal, tables
from journal.entry import Entry, Page, Undated
from journal.settings import Place, Settings

HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
AWAY = Place(key="lisbon", name="Lisbon", latitude=38.72, longitude=-9.14, timezone="Europe/Lisbon")


def book(days: Mapping[dt.date, Entry], reviews: Iterable[Page] = (), **settings: Any) -> Journal:
    """A journal of the given days and reviews, as of its last day."""
    pages = [Page(path=f"{day}.toml", kind="day", key=str(day), content=entry) for day, entry in days.items()]
    whole = Settings(**({"title": "A test", "places": (HOME, AWAY)} | settings))
    today = max(days, default=dt.date(2025, 3, 14))
    laid = tables.build(tables.record([*pages, *reviews]), whole, today)
    return Journal(Path(), whole, today, laid, Undated(), ())
