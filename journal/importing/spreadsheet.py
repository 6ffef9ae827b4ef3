"""A table from its file to what it has for the pages: one row a day, or one of Duskbook's own tables."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import msgspec

from journal.folder.discover import shown
from journal.folder.reading import Basis
from journal.importing import csv_rows, day_table, exported_tables, headings, source_file
from journal.importing.dates import Order
from journal.importing.model import ImportedValues


def read(
    file: Path, basis: Basis, *, today: dt.date, columns: Iterable[str] = (), order: Order | None = None
) -> ImportedValues:
    """What a table has for the pages of a journal, and what is wrong in it.

    `columns` are the --column options, `order` that of day and month where someone says. Nothing is written.

    Raises UsageError, with the remedy, where the file as a whole is none that can be read.
    """
    name = shown(file.name)
    fields = headings.HeadingNames(basis.settings)
    table = csv_rows.read(name, source_file.text(name, source_file.content(file)), fields.is_known)
    given = headings.assigned(columns, table.headings, name)
    record = headings.record_of(table.headings, given)
    if record is not None:
        problems = headings.record_problems(name, table.headings, *record, given)
        found = exported_tables.read(
            table, *record, settings=basis.settings, known=basis.known, today=today, asked=order
        )
        return msgspec.structs.replace(found, problems=[*table.problems, *problems, *found.problems])
    is_empty = [not any(row.cells[i].strip() for row in table.rows) for i in range(len(table.headings))]
    taken, problems = headings.columns(name, table.headings, fields, given, is_empty)
    found = day_table.read(table, taken, settings=basis.settings, known=basis.known, today=today, asked=order)
    return msgspec.structs.replace(found, problems=[*table.problems, *problems, *found.problems])
