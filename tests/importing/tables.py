"""Small tables, and journals to import them into, for the tests of importing."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

from journal.folder import reading
from journal.importing import apply_plan, planning, spreadsheet
from journal.importing.model import ImportedValues
from journal.importing.planning import Plan
from tests import journals

TODAY = dt.date(2025, 3, 16)
NOW = dt.datetime(2025, 3, 16, 21, 0, tzinfo=dt.UTC)

SETTINGS: dict[str, Any] = {
    "places": [journals.PLACE, journals.PLACE | {"key": "graz", "name": "Graz", "timezone": "Europe/Vienna"}],
    "habits": [
        {"key": "walk", "name": "Walk by the river", "every": "FREQ=DAILY", "from": dt.date(2025, 3, 3)},
        {"key": "read", "name": "Read", "every": "FREQ=DAILY", "from": dt.date(2025, 3, 3), "target": 20},
    ],
    "challenges": [
        {"key": "letters", "name": "Thirty letters", "from": dt.date(2025, 3, 1), "until": dt.date(2025, 3, 30)}
    ],
}


def journal_in(folder: Path, days: dict[dt.date, dict[str, Any]] | None = None) -> Path:
    """A journal of two habits, one of them counted, a challenge and two places."""
    return journals.write(folder, days or {}, **SETTINGS)


def read_values(folder: Path, text: str | bytes, *columns: str, name: str = "days.csv", **more: Any) -> ImportedValues:
    """The values of a table for a journal."""
    file = folder.parent / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return spreadsheet.read(file, reading.read_settings(folder), today=TODAY, columns=columns, **more)


def planned(folder: Path, text: str | bytes, *columns: str, name: str = "days.csv", **more: Any) -> Plan:
    """The import plan of a table."""
    known = reading.read_settings(folder).known
    return planning.plan(folder, read_values(folder, text, *columns, name=name, **more), known, now=NOW)


def imported(folder: Path, text: str | bytes, *columns: str, name: str = "days.csv", **more: Any) -> Plan:
    """The import plan of a table, after it was written."""
    plan = planned(folder, text, *columns, name=name, **more)
    apply_plan.write(folder, plan.pages, now=NOW)
    return plan


def by_day(imported: ImportedValues) -> dict[str, dict[str, Any]]:
    """The values of a table of days, as a page would have them."""
    pages: dict[str, dict[str, Any]] = {}
    for value in imported.values:
        page = pages.setdefault(value.key, {})
        name = ".".join(value.path)
        if name in ("gratitude", "notes"):
            page.setdefault(name, []).append(value.value)
        else:
            page[name] = value.value
    return pages


def texts(problems: list[Any]) -> list[str]:
    """Problems as text."""
    return [str(problem) for problem in problems]
