"""What stands behind `duskbook export retrospective`: a year for one reader, in one form, put in place."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

import click
import polars as pl

from journal.errors import UsageError
from journal.export import missing_glyphs, retrospective, write_files
from journal.export.audience import Audience
from journal.export.formats import RETROSPECTIVE
from journal.export.typesetting import Paper
from journal.export.write_files import Placed
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal


def make(
    opened: Journal,
    *,
    year: int | None,
    form: str,
    reader: Audience,
    named: Collection[str],
    paper: Paper | None,
    place: Path | None,
) -> list[Placed]:
    """Make the year for a reader and put it in place. Nothing is written before all of it has been made.

    Raises UsageError for a paper that no page goes on and for a habit that does not exist; ExportError where it could
    not be written.
    """
    kind = RETROSPECTIVE[form]
    if paper and not kind.has_paper:
        known = numbers.listed((f'"--format {key}"' for key, one in RETROSPECTIVE.items() if one.has_paper), "or")
        raise UsageError(f"--paper goes with {known}; {form} has no paper")
    chosen = year or default_year(opened.tables.days, opened.today)
    try:
        document = retrospective.document(opened, chosen, reader, named, _say)
        made = retrospective.files(document, form, reader, paper or "a5", _say)
    finally:
        _say("")
    if told := missing_glyphs.told(made.missing):
        click.echo(f"duskbook: {told}", err=True)
    name = kind.file_name(chosen, reader)
    if not made.files:
        click.echo(kind.empty.format(year=chosen))
    if kind.is_folder or not made.files:
        return write_files.put_all(place or Path(name), made.files)
    return [write_files.put(place / name if place and place.is_dir() else place or Path(name), made.files[name])]


def default_year(days: pl.DataFrame, today: dt.date) -> int:
    """The year of the newest page; in January the one before, if it has a page. In: `Tables.days` (date, written).

    >>> days = pl.DataFrame({"date": [dt.date(2025, 3, 14), dt.date(2026, 1, 4)], "written": True})
    >>> default_year(days, dt.date(2026, 1, 5)), default_year(days, dt.date(2026, 2, 1))
    (2025, 2026)
    """
    years = set(days.filter("written", pl.col("date") <= today)["date"].dt.year())
    if today.month == 1 and today.year - 1 in years:
        return today.year - 1
    return max(years, default=today.year)


def _say(doing: str) -> None:
    """Tell on one line of a terminal what is being done, and nothing elsewhere; an empty text clears the line."""
    if sys.stderr.isatty():
        click.echo(f"\r\x1b[K{doing}", err=True, nl=False)
