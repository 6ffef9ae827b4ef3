"""Which journal a page shows, as of which day, and which of its weeks, months or years comes first.

A notebook is told by the environment, since a served one has no arguments:

    DUSKBOOK_FOLDER   the journal; without it the example year beside the notebooks
    DUSKBOOK_TODAY    an ISO 8601 date that stands in for the clock's
    DUSKBOOK_ON       an ISO 8601 date to open at
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal import periods
from journal.errors import FolderError, Problem, UsageError
from journal.folder.reading import read_settings
from journal.periods import Period, PeriodKind
from journal.settings import Settings

if TYPE_CHECKING:
    from journal import Journal

FOLDER = "DUSKBOOK_FOLDER"
TODAY = "DUSKBOOK_TODAY"
ON = "DUSKBOOK_ON"


def folder(notebooks: Path | None, environment: Mapping[str, str] = os.environ) -> Path:
    """The journal's folder: the environment's, else the example beside the folder of the notebooks.

    Raises FolderError where neither is there.
    """
    named = environment.get(FOLDER)
    found = Path(named) if named else (notebooks or Path.cwd()).resolve().parent / "example_year"
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


def today(now: dt.datetime, environment: Mapping[str, str] = os.environ) -> Callable[[Settings], dt.date]:
    """The journal's today, by its settings: the environment's, else the day that a moment belongs to at home."""
    given = day(TODAY, environment)
    return lambda settings: given or periods.day_of(now, settings)


def moment(folder: Path, now: dt.datetime, environment: Mapping[str, str] = os.environ) -> dt.datetime:
    """The moment that something is saved at: the clock's, on the day that the environment puts in the clock's place.

    Raises FolderError where the folder is no journal.
    """
    given = day(TODAY, environment)
    if given is None:
        return now
    then = dt.datetime.combine(given, now.timetz())
    # An hour that still belongs to the day before is, of the evening of that day, one after midnight.
    is_after_midnight = periods.day_of(then, read_settings(folder).settings) < given
    return then + dt.timedelta(days=1) if is_after_midnight else then


def again(read: Callable[[], Journal], before: Journal) -> Journal:
    """A journal read once more; where it is gone or has lost its journal.toml, as it was, with that as a problem."""
    try:
        return read()
    except FolderError as error:
        gone = Problem(path="journal.toml", expected="a journal", got="none", remedy=str(error))
        return msgspec.structs.replace(before, problems=(gone, *before.problems))


def first_shown(kind: PeriodKind, query: Mapping[str, object], book: Journal) -> Period:
    """The period a page opens at.

    In this order: the one the address names (`week=2025-W11`); the one with the day that the address (`on=2025-03-13`)
    or the environment names; today's where something is logged in it; else the last in which something is. What the
    address says wrongly is passed over: a page always opens.
    """
    days, today, settings = book.tables.days, book.today, book.settings
    named = query.get(kind)
    if isinstance(named, str):
        with contextlib.suppress(UsageError):
            return periods.parse(named, kind, week_starts=settings.week_starts)
    on = carried(query) or day(ON)
    if on is not None:
        return periods.containing(on, kind, week_starts=settings.week_starts)
    present = periods.containing(today, kind, week_starts=settings.week_starts)
    last = days.filter(pl.col("logged") & (pl.col("date") <= today))["date"].max()
    if not isinstance(last, dt.date) or last in present:
        return present
    return periods.containing(last, kind, week_starts=settings.week_starts)


def choices(kind: PeriodKind, book: Journal) -> list[Period]:
    """Every period from the first page to the last, or to today where that is later and the journal still runs.

    A journal that ended long ago is not followed to today: a year without an entry ends it.
    """
    days, today, settings = book.tables.days, book.today, book.settings
    first, last = days["date"].min(), days["date"].max()
    if not isinstance(first, dt.date) or not isinstance(last, dt.date):
        return [periods.containing(today, kind, week_starts=settings.week_starts)]
    runs = (today - last).days < 366
    return periods.between(first, max(last, today) if runs else last, kind, week_starts=settings.week_starts)


def evening(query: Mapping[str, object], today: dt.date) -> dt.date:
    """The day whose evening is shown: the one that the address or the environment names, unless it is still to come;
    else today.

    >>> evening({"on": "2025-03-13"}, dt.date(2025, 3, 16)), evening({"on": "2025-03-17"}, dt.date(2025, 3, 16))
    (datetime.date(2025, 3, 13), datetime.date(2025, 3, 16))
    """
    return min(carried(query) or day(ON) or today, today)


def carried(query: Mapping[str, object]) -> dt.date | None:
    """The day that the address carries from page to page.

    >>> carried({"on": "2025-03-13"}), carried({"on": "soon"})
    (datetime.date(2025, 3, 13), None)
    """
    try:
        return dt.date.fromisoformat(str(query["on"])) if "on" in query else None
    except ValueError:
        return None


def anchor(period: Period, query: Mapping[str, object], today: dt.date) -> dt.date:
    """The day that a way to another page carries: the one that came while the period holds it, else the period's
    last day, or today in a period that holds today.

    >>> march = periods.parse("2025-03", week_starts="monday")
    >>> anchor(march, {"on": "2025-03-13"}, dt.date(2025, 6, 1)), anchor(march, {}, dt.date(2025, 6, 1))
    (datetime.date(2025, 3, 13), datetime.date(2025, 3, 31))
    """
    came = carried(query)
    if came is not None and came in period:
        return came
    return today if today in period else period.last
