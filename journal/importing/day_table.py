"""A table of a row a day: its date, and in the other cells how the day was, its marks and its lines."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from journal.entry import DAY_FIELDS
from journal.fields import Field
from journal.folder.page_names import Known
from journal.importing import cells
from journal.importing.csv_rows import CsvRow, CsvTable
from journal.importing.dates import Order, order_of
from journal.importing.headings import DATE, LEFT_OUT, LOGGED, MappedColumn
from journal.importing.model import ImportedValue, ImportedValues, SourceCell
from journal.importing.row_reader import Gathering
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
) -> ImportedValues:
    """What the rows of such a table say, each cell to be read by its column.

    An empty cell says nothing. Of two rows of one date the first counts. A day to come has no mood, marks or memory
    yet; where it stays and what rests may be known. A cell that cannot be read is a problem and costs itself only.

    Raises UsageError where the order of day and month cannot be told.
    """
    date = next(column for column in columns if column.path == DATE)
    order = order_of(table.name, (row.cells[date.position] for row in table.rows), asked)
    reader = _DayRows(Gathering(table.name, order, settings, known, today), columns, table.separator != ",")
    seen: dict[dt.date, int] = {}
    for row in table.rows:
        cell = date.cell(row)
        day = reader.to.date(cell)
        if day is None:
            continue
        if (first := seen.setdefault(day, row.line)) != row.line:
            reader.to.problem(
                cell, f"one row for {day} (line {first} has it)", "bring the two together; the first counts"
            )
        else:
            reader.row(row, day, cell)
    said = [(column.heading, column.said) for column in columns]
    return ImportedValues(table.name, reader.to.values, reader.to.problems, said, len(table.rows))


class _DayRows:
    def __init__(self, to: Gathering, columns: Iterable[MappedColumn], comma: bool) -> None:
        self.to, self.comma = to, comma
        self.columns = [column for column in columns if column.path not in (DATE, LEFT_OUT)]

    def row(self, row: CsvRow, day: dt.date, date: SourceCell) -> None:
        is_early = False
        for column in self.columns:
            cell = column.cell(row)
            if not cell.text.strip():
                continue
            for path, value in self._values(column.path, cell, day):
                if self.to.is_early(day, path, value):
                    is_early = True
                else:
                    self.to.values.append(ImportedValue(key=day.isoformat(), path=path, value=value, cell=cell))
        if is_early:
            self.to.say_early(date)

    def _values(self, path: tuple[str, ...], cell: SourceCell, day: dt.date) -> Iterator[tuple[tuple[str, ...], Any]]:
        """What a cell says; several lines where it has a list's."""
        found = self.to.reading(lambda: self._read(path, cell.text, day), cell)
        if path == LOGGED:
            yield from [(("habits",), {})] if found else []
        elif isinstance(found, list):
            yield from ((path, line) for line in found)
        elif found is not None:
            yield path, found

    def _read(self, path: tuple[str, ...], text: str, day: dt.date) -> Any:
        if path[0] == "habits":
            return cells.mark(text, self.to.is_counted(path[1], day), self.comma)
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
            return cells.rating(text, getattr(self.to.settings, field.scale), self.comma)
        if field.is_number:
            return cells.number(text, self.comma)
        return self._place(text) if field.keys else cells.words(text)

    def _place(self, text: str) -> str:
        """The key of a place that was called by its key or name."""
        plain = cells.words(text)
        for place in self.to.settings.places:
            if plain.casefold() in (place.key.casefold(), place.name.casefold()):
                return place.key
        return plain
