"""Reading of a table file: one row per day, or one of Duskbook's own exported tables."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import msgspec

from journal.folder.folder_walk import shown
from journal.folder.reading import Basis
from journal.importing import csv_rows, day_table, exported_tables, headings, source_file
from journal.importing.dates import Order
from journal.importing.model import ImportedValues


def read(
    file: Path,
    basis: Basis,
    *,
    today: dt.date,
    columns: Iterable[str] = (),
    order: Order | None = None,
    years: Iterable[int] = (),
) -> ImportedValues:
    """Return a table's values for the pages of a journal, and its problems. Nothing is written.

    `columns` are the --column options, `order` the order of day and month if it was given, `years` those of the
    journal's pages.

    Raises UsageError, with the remedy, if the file as a whole cannot be read.
    """
    name = shown(file.name)
    fields = headings.HeadingNames(basis.settings)
    table = csv_rows.read(name, source_file.text(name, source_file.content(file)), fields.is_known)
    given = headings.assigned(columns, table.headings, name)
    record = headings.record_of(table.headings, given)
    if record is not None:
        problems = headings.record_problems(name, table.headings, *record, given)
        imported = exported_tables.read(
            table, *record, settings=basis.settings, known=basis.known, today=today, asked=order, years=years
        )
        return msgspec.structs.replace(imported, problems=[*table.problems, *problems, *imported.problems])
    is_empty = [not any(row.cells[i].strip() for row in table.rows) for i in range(len(table.headings))]
    mapped, problems = headings.columns(name, table.headings, fields, given, is_empty)
    imported = day_table.read(
        table, mapped, settings=basis.settings, known=basis.known, today=today, asked=order, years=years
    )
    return msgspec.structs.replace(imported, problems=[*table.problems, *problems, *imported.problems])
