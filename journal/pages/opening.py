"""Which journal a page shows, as of which day, and which of its weeks, months or years comes first.

A notebook is told by the environment, since a served one has no arguments:

    DUSKBOOK_FOLDER   the journal; without it the example year beside the notebooks
    DUSKBOOK_TODAY    an ISO 8601 date that stands in for the clock's
    DUSKBOOK_ON       an ISO 8601 date to open at
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from pathlib import Path

import polars as pl

from journal import periods
from journal.errors import FolderError, UsageError
from journal.periods import Kind, Period
from journal.settings import Weekday

FOLDER = "DUSKBOOK_FOLDER"
TODAY = "DUSKBOOK_TODAY"
ON = "DUSKBOOK_ON"


def folder(notebook: str | Path, environment: Mapping[str, str] = os.environ) -> Path:
    """The journal's folder: the environment's, else the example beside the folder of a notebook.

    Raises FolderError where neither is there.
    """
    named = environment.get(FOLDER)
    found = Path(named) if named else Path(notebook).resolve().parents[1] / "example_year"
    if not found.is_dir():
        raise FolderError(f'there is no folder "{found}"; set {FOLDER} to the path of a journal')
    return found


def day(name: str, environment: Mapping[str, str] = os.environ) -> dt.date | None:
    """The date that the environment gives under a name, None where it gives none.

    >>> day(TODAY, {"DUSKBOOK_TODAY": "2025-03-16"})
    datetime.date(2025, 3, 16)

    Raises UsageError for what is no date.
    """
    text = environment.get(name, "")
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        raise UsageError(f'{name}: there is no date "{text}"; write e.g. "2025-03-14"') from None


def first_shown(
    kind: Kind, query: Mapping[str, object], *, on: dt.date | None, today: dt.date, written: pl.DataFrame,
    week_starts: Weekday = "monday",
) -> Period:  # fmt: skip
    """The period a page opens at.

    In this order: the one the address names (`week=2025-W11`), the one that holds the day the address names
    (`on=2025-03-13`), the one that holds the day `on`; today's where something is written in it; else the last in
    which something is. What the address says wrongly is passed over: a page always opens.

    `written` has a row per day with `date` (Date) and `logged` (Boolean).
    """
    named = query.get(kind)
    if isinstance(named, str):
        try:
            return periods.parse(named, kind, week_starts)
        except UsageError:
            pass
    asked = query.get("on")
    if isinstance(asked, str):
        try:
            on = dt.date.fromisoformat(asked)
        except ValueError:
            pass
    if on is not None:
        return periods.containing(on, kind, week_starts)
    present = periods.containing(today, kind, week_starts)
    logged = written.filter(pl.col("logged") & (pl.col("date") <= today))["date"]
    last = logged.max()
    if not isinstance(last, dt.date) or last in present:
        return present
    return periods.containing(last, kind, week_starts)


def anchor(period: Period, query: Mapping[str, object], last: dt.date) -> dt.date:
    """The day that a way to another page carries along: the one that came, while the period still holds it.

    `last` is the last day there is anything to see of; a later one is never carried.
    """
    asked = query.get("on")
    if isinstance(asked, str):
        try:
            came = dt.date.fromisoformat(asked)
        except ValueError:
            came = None
        if came is not None and came in period:
            return came
    return min(period.last, max(last, period.first))
