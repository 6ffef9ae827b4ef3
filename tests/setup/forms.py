"""What a browser sends of the settings: the offer as it stands, and the same with one control changed."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec

import journal
from journal import Journal
from journal.setup import settings_form

TODAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)


def opened(folder: Path) -> Journal:
    return journal.open(folder, today=TODAY, cache=False)


def sent(folder: Path) -> dict[str, Any]:
    """The form of a folder, sent as it was offered: every field, row and strip."""
    offer = msgspec.to_builtins(settings_form.offer(opened(folder)))
    return {
        "base": offer["base"],
        "singles": offer["singles"],
        "lists": {
            name: [{key: row[key] for key in ("ref", "values", "schedule")} for row in rows["rows"]]
            for name, rows in offer["lists"].items()
        },
        "strips": offer["strips"],
        "removed": {},
    }
