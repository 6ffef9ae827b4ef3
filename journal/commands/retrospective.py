"""The work of `duskbook export retrospective`: a year for one reader, in one format, written to its place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from typing import TYPE_CHECKING

import click
import polars as pl

from journal.charts import kept_drawings
from journal.commands import export_place, terminal
from journal.commands.export_place import ExportPlace
from journal.commands.usage_errors import say
from journal.errors import UsageError
from journal.export import missing_glyphs, retrospective
from journal.export.audience import Audience
from journal.export.formats import RETROSPECTIVE
from journal.export.typesetting import Paper
from journal.export.write_files import Placed
from journal.language.catalogue import _
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
    place: ExportPlace | None,
) -> list[Placed]:
    """Make the year for a reader and write it. Nothing is written before all of it is output.

    Raises UsageError for a paper with a format that has none and for an unknown habit, ExportError if it cannot be made
    or written.
    """
    kept_drawings.keep_in(opened.folder)
    kind = RETROSPECTIVE[form]
    if paper and not kind.has_paper:
        known = numbers.listed((f'"--format {key}"' for key, other in RETROSPECTIVE.items() if other.has_paper), "or")
        raise UsageError(_("--paper goes with {formats}; {format} has no paper", formats=known, format=form))
    chosen = year or default_year(opened.tables.days, opened.today)
    try:
        document = retrospective.document(opened, chosen, reader, named, terminal.show_step)
        output = retrospective.files(document, form, reader, paper or "a5", terminal.show_step)
    finally:
        terminal.show_step("")
    if warning := missing_glyphs.warning(output.missing):
        say(f"duskbook: {warning}", err=True)
    name = kind.file_name(chosen, reader)
    if not output.files:
        click.echo(_(kind.empty, year=chosen))
    if kind.is_folder or not output.files:
        return export_place.put_all(place, name, output.files)
    return export_place.put(place, name, output.files[name])


def default_year(days: pl.DataFrame, today: dt.date) -> int:
    """The year of the newest page; in January the year before, if it has a page. In: `Tables.days` (date, written).

    >>> days = pl.DataFrame({"date": [dt.date(2025, 3, 14), dt.date(2026, 1, 4)], "written": True})
    >>> default_year(days, dt.date(2026, 1, 5)), default_year(days, dt.date(2026, 2, 1))
    (2025, 2026)
    """
    years = set(days.filter("written", pl.col("date") <= today)["date"].dt.year())
    if today.month == 1 and today.year - 1 in years:
        return today.year - 1
    return max(years, default=today.year)
