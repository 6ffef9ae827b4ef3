"""Parameters of a page: the journal, the current day, and the week, month or year to open at.

A served notebook has no arguments, so it reads environment variables:

    DUSKBOOK_FOLDER   the journal; without it the example year beside the notebooks
    DUSKBOOK_TODAY    an ISO 8601 date that replaces the current date
    DUSKBOOK_ON       an ISO 8601 date to open at
"""

from __future__ import annotations

import contextlib
import datetime as dt
import functools
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
import polars as pl

import journal
from journal import periods
from journal.charts import kept_drawings
from journal.errors import FolderError, Problem, UsageError
from journal.folder import discover, interrupted_save, unseen_states
from journal.folder.opened_files import OpenedFiles
from journal.folder.reading import read_settings
from journal.language import spoken
from journal.pages import handed_on, page_environment, sight_context
from journal.periods import Period, PeriodKind
from journal.settings import Settings, Weekday

if TYPE_CHECKING:
    from journal import Journal

FOLDER, TODAY, ON = page_environment.FOLDER, page_environment.TODAY, page_environment.ON


def folder(notebooks: Path | None, environment: Mapping[str, str] = os.environ) -> Path:
    """The journal's folder: from the environment, else the example year beside the folder of the notebooks.

    Raises FolderError if the folder does not exist.
    """
    named = environment.get(FOLDER)
    path = Path(named) if named else (notebooks or Path.cwd()).resolve().parent / "example_year"
    if not path.is_dir():
        raise FolderError(f'there is no folder "{path}"; set {FOLDER} to the path of a journal')
    return path


def day(name: str, environment: Mapping[str, str] = os.environ) -> dt.date | None:
    """The date in an environment variable, or None if it is not set.

    >>> day(TODAY, {"DUSKBOOK_TODAY": "2025-03-16"})
    datetime.date(2025, 3, 16)

    Raises UsageError for an invalid date.
    """
    text = environment.get(name, "")
    try:
        date = dt.date.fromisoformat(text) if text else None
        if date is None or discover.EARLIEST_YEAR <= date.year <= discover.LATEST_YEAR:
            return date
        raise ValueError("no page can be of it")
    except ValueError:
        raise UsageError(f'{name}: there is no date "{text}"; write e.g. "2025-03-14"') from None


def today(now: dt.datetime, environment: Mapping[str, str] = os.environ) -> Callable[[Settings], dt.date]:
    """A function of the settings that returns today: from the environment, else `periods.day_of` of `now`."""
    given = day(TODAY, environment)
    return lambda settings: given or periods.day_of(now, settings)


def moment(folder: Path, now: dt.datetime, environment: Mapping[str, str] = os.environ) -> dt.datetime:
    """The time of saving: `now`, moved to the day in the environment if there is one.

    Raises FolderError if the folder is not a journal.
    """
    given = day(TODAY, environment)
    if given is None:
        return now
    then = dt.datetime.combine(given, now.timetz())
    # A time before the day turns belongs to that day's evening, after midnight, so to the next calendar date.
    is_after_midnight = periods.day_of(then, read_settings(folder).settings) < given
    return then + dt.timedelta(days=1) if is_after_midnight else then


def opened(folder: Path, now: dt.datetime) -> Journal:
    """The journal as of `today`. A save that was interrupted is finished first, so that a page shows all of it. What an
    editor wrote since is kept among the earlier states. Figures of this page are kept in the journal's cache. From then
    on this page speaks the language of the journal."""
    kept_drawings.keep_in(folder)
    interrupted_save.finish(OpenedFiles(folder), now)
    as_of = today(now)

    def read(before: OpenedFiles | None) -> Journal:
        book = journal.open(folder, today=as_of, files=before)
        unseen_states.keep_changed(book.files, book.files.changed, now=now)
        return book

    book = handed_on.current(folder, as_of, read)
    spoken.speak(book.settings.language)
    return book


def again(read: Callable[[], Journal], before: Journal) -> Journal:
    """The journal read again. If it or its journal.toml is missing, `before` with that as a problem."""
    try:
        return read()
    except FolderError as error:
        missing = Problem(path="journal.toml", expected="a journal", got="none", remedy=str(error))
        return msgspec.structs.replace(before, problems=(missing, *before.problems))


def query() -> Any:
    """The parameters of the page's address: those of marimo, or of the first sight that is being drawn."""
    return sight_context.query_params()


def first_shown(kind: PeriodKind, query: Mapping[str, object], book: Journal) -> Period:
    """The period that a page opens at.

    The first that applies: the period in the address (`week=2025-W11`); the period of the day in the address
    (`on=2025-03-13`) or in the environment; the period of today if it has a logged day; the last period with a logged
    day. Invalid values in the address are ignored, so that a page always opens.
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
    """All periods from the first page to the last, or to today if that is later and the journal is still in use.

    A journal without an entry for a year counts as ended; its periods do not extend to today.
    """
    days, today, settings = book.tables.days, book.today, book.settings
    first, last = days["date"].min(), days["date"].max()
    if not isinstance(first, dt.date) or not isinstance(last, dt.date):
        return [periods.containing(today, kind, week_starts=settings.week_starts)]
    in_use = (today - last).days < 366
    return list(_between(first, max(last, today) if in_use else last, kind, settings.week_starts))


@functools.lru_cache(maxsize=8)  # each page asks twice, and fifty years have 2,600 weeks
def _between(first: dt.date, last: dt.date, kind: PeriodKind, week_starts: Weekday) -> tuple[Period, ...]:
    return tuple(periods.between(first, last, kind, week_starts=week_starts))


def evening(query: Mapping[str, object], today: dt.date) -> dt.date:
    """The day of the evening form: the day in the address or in the environment, else today, never after today.

    >>> evening({"on": "2025-03-13"}, dt.date(2025, 3, 16)), evening({"on": "2025-03-17"}, dt.date(2025, 3, 16))
    (datetime.date(2025, 3, 13), datetime.date(2025, 3, 16))
    """
    return min(carried(query) or day(ON) or today, today)


def still_to_come(query: Mapping[str, object], today: dt.date) -> dt.date | None:
    """The day in the address or in the environment if it is after today, when no evening can close it.

    >>> sunday = dt.date(2025, 3, 16)
    >>> still_to_come({"on": "2025-03-13"}, sunday), still_to_come({"on": "2025-03-17"}, sunday)
    (None, datetime.date(2025, 3, 17))
    """
    asked = carried(query) or day(ON)
    return asked if asked is not None and asked > today else None


def day_shown(query: Mapping[str, object], today: dt.date) -> dt.date:
    """The day of the day's page: the day in the address or in the environment, else today.

    A year that no page can have is ignored, so that a page always opens.

    >>> day_shown({"on": "2025-03-17"}, dt.date(2025, 3, 16)), day_shown({"on": "soon"}, dt.date(2025, 3, 16))
    (datetime.date(2025, 3, 17), datetime.date(2025, 3, 16))
    """
    asked = carried(query) or day(ON) or today
    return asked if discover.EARLIEST_YEAR <= asked.year <= discover.LATEST_YEAR else today


def carried(query: Mapping[str, object]) -> dt.date | None:
    """The day that links carry from page to page in the address, or None.

    >>> carried({"on": "2025-03-13"}), carried({"on": "soon"})
    (datetime.date(2025, 3, 13), None)
    """
    try:
        return dt.date.fromisoformat(str(query["on"])) if "on" in query else None
    except ValueError:
        return None


def anchor(period: Period, query: Mapping[str, object], today: dt.date) -> dt.date:
    """The day for links to other pages: the day in the address if it lies in the period, else today if it does, else
    the period's last day.

    >>> march = periods.parse("2025-03", week_starts="monday")
    >>> anchor(march, {"on": "2025-03-13"}, dt.date(2025, 6, 1)), anchor(march, {}, dt.date(2025, 6, 1))
    (datetime.date(2025, 3, 13), datetime.date(2025, 3, 31))
    """
    given = carried(query)
    if given is not None and given in period:
        return given
    return today if today in period else period.last
