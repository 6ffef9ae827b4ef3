"""Reading of a table with one row per day: its date, and in other cells its fields, marks and lines."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from journal.entry import DAY_FIELDS
from journal.fields import Field
from journal.folder.page_names import Known
from journal.importing import cells
from journal.importing.csv_rows import CsvRow, CsvTable
from journal.importing.dates import ColumnDates, Order
from journal.importing.headings import ASKED, DATE, LEFT_OUT, LOGGED, MappedColumn
from journal.importing.model import CLOSED, ImportedValue, ImportedValues, SourceCell
from journal.importing.row_reader import ValueCollector
from journal.language.catalogue import _
from journal.settings import Settings

_FIELDS = {field.path: field for field in DAY_FIELDS}


def read(
    table: CsvTable,
    columns: Sequence[MappedColumn],
    *,
    settings: Settings,
    known: Known,
    today: dt.date,
    asked: Order | None = None,
    years: Iterable[int] = (),
) -> ImportedValues:
    """Return the values in the rows of a table, each cell read according to its column.

    Empty cells are skipped. Of two rows with one date the first counts. A future day can have no mood, marks or memory;
    its place and rest marks are accepted. A cell that cannot be read is a problem, and affects only itself.

    `years` are those of the journal's pages, for dates with a two-digit year.

    Raises UsageError if the order of day and month is ambiguous.
    """
    date = next(column for column in columns if column.path == DATE)
    dates = ColumnDates(table.name, [row.cells[date.position] for row in table.rows], asked, years)
    reader = _DayRows(ValueCollector(table.name, dates, settings, known, today), columns, table.separator != ",")
    seen: dict[dt.date, int] = {}
    for row in table.rows:
        cell = date.cell(row)
        day = reader.collector.date(cell)
        if day is None:
            continue
        if (first := seen.setdefault(day, row.line)) != row.line:
            reader.collector.problem(
                cell,
                _("one row for {day} (line {line} has it)", day=day, line=first),
                _("bring the two together; the first counts"),
            )
        else:
            reader.row(row, day, cell)
    labels = [(column.heading, column.field_name) for column in columns]
    return ImportedValues(table.name, reader.collector.values, reader.collector.problems, labels, len(table.rows))


class _DayRows:
    def __init__(self, collector: ValueCollector, columns: Iterable[MappedColumn], comma: bool) -> None:
        self.collector, self.comma = collector, comma
        self.columns = [column for column in columns if column.path not in (DATE, LEFT_OUT)]

    def row(self, row: CsvRow, day: dt.date, date: SourceCell) -> None:
        has_future_value = is_logged = False
        for column in self.columns:  # in our own tables, `logged` stands before `asked`
            cell = column.cell(row)
            if not cell.text.strip():
                continue
            for path, value in self._values(column.path, cell, day):
                is_logged |= path == CLOSED
                if path == ASKED and not is_logged:
                    continue
                if self.collector.is_future(day, path, value):
                    has_future_value = True
                else:
                    self.collector.values.append(ImportedValue(key=day.isoformat(), path=path, value=value, cell=cell))
        if has_future_value:
            self.collector.report_future(date)

    def _values(self, path: tuple[str, ...], cell: SourceCell, day: dt.date) -> Iterator[tuple[tuple[str, ...], Any]]:
        """Yield the values of a cell with their paths; several if it is a list of lines."""
        value = self.collector.reading(lambda: self._read(path, cell.text, day), cell)
        if path == LOGGED:
            yield from [(CLOSED, {})] if value else []
        elif path == ASKED:
            yield from [(ASKED, False)] if value is False else []
        elif isinstance(value, list):
            yield from ((path, line) for line in value)
        elif value is not None:
            yield path, value

    def _read(self, path: tuple[str, ...], text: str, day: dt.date) -> Any:
        if path[0] == "habits":
            return cells.mark(text, self.collector.is_counted(path[1], day), self.comma)
        field = _FIELDS.get(path)
        if field is not None:
            return self._field(field, text)
        read: dict[tuple[str, ...], Callable[[str], Any]] = {
            ("gratitude",): cells.lines,
            ("notes",): cells.lines,
            ("memory",): cells.words,
        }
        return read.get(path, cells.yes_or_no)(text)

    def _field(self, field: Field, text: str) -> float | str:
        if field.scale:
            return cells.rating(text, getattr(self.collector.settings, field.scale), self.comma)
        if field.is_number:
            return cells.number(text, self.comma)
        return self._place(text) if field.keys else cells.words(text)

    def _place(self, text: str) -> str:
        """Return the key of a place from its key or name."""
        plain = cells.words(text)
        for place in self.collector.settings.places:
            if plain.casefold() in (place.key.casefold(), place.name.casefold()):
                return place.key
        return plain
