"""A table as text (RFC 4180, Shafranovich 2005) cut into cells by the standard library's csv.

Beyond the RFC, cells may be separated by semicolons or tabs, and lines may end in any of the ways that there are. A row
that cannot be read costs itself only: reading goes on with the next line.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator

import msgspec

from journal.errors import Problem, UsageError
from journal.importing.model import SourceCell

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}

CELLS_LIMIT = 2_000_000
"""In a table: some seconds and a few hundred MB. Our own marks of ten habits over fifty years are 1.8 million."""

COLUMNS_LIMIT = 500
"""In a table. Whoever has more of them has a file that is no table, or one that was turned on its side."""

_MOST_BROKEN = 100
"""Rows with broken quotes, after which a table is not read as what it is."""


class CsvRow(msgspec.Struct, frozen=True):
    """A row: the line of the file on which it begins, and its cells."""

    line: int
    cells: list[str]


class CsvTable(msgspec.Struct, frozen=True):
    """A table: its file's name, what separates its cells, its headings, and its rows, none of them longer."""

    name: str
    separator: str
    headings: list[str]
    rows: list[CsvRow]
    problems: list[Problem]


def read(name: str, text: str, is_known: Callable[[str], bool]) -> CsvTable:
    r"""Cut a table. The separator is the one that makes most known headings of the first row, and then most cells.

    >>> table = read("days.csv", 'date,memory\r\n2025-03-14,"First frost,\r\nearly."\r\n2025-03-15,\r\n', bool)
    >>> table.rows
    [CsvRow(line=2, cells=['2025-03-14', 'First frost,\r\nearly.']), CsvRow(line=4, cells=['2025-03-15', ''])]

    A short row gets empty cells, and one without any text is passed over. A longer one is a problem: a separator within
    its text would have shifted the cells behind it.

    Raises UsageError where there are no headings, or too many columns, cells or broken rows.
    """
    lines = io.StringIO(text, newline="").readlines()
    separator, headings = _first_row(name, lines, is_known)
    table = CsvTable(name, separator, headings, [], [])
    cells = broken = 0
    for line, row in _records(lines, separator):
        if isinstance(row, csv.Error):
            expected, got, remedy = _explained(row)
            table.problems.append(SourceCell(line, 1).problem(name, expected, remedy, got))
            broken += 1
            if broken > _MOST_BROKEN:
                raise UsageError(
                    f'"{name}" has more than {_MOST_BROKEN} rows with broken quotes; export it again as CSV'
                )
            continue
        cells += len(row)
        if cells > CELLS_LIMIT:
            raise UsageError(f'"{name}" has more than {CELLS_LIMIT:,} cells; divide it into several files')
        extra = [cell for cell in row[len(headings) :] if cell.strip()]
        if line == 1 or not any(cell.strip() for cell in row):
            continue
        if extra:
            expected = f"{len(headings)} cells, as many as headings"
            remedy = "put a cell that has the separator in its text in quotes; the row is left out"
            table.problems.append(SourceCell(line, len(headings) + 1).problem(name, expected, remedy, f"{len(row)}"))
        else:
            table.rows.append(CsvRow(line, (row + [""] * len(headings))[: len(headings)]))
    return table


def _first_row(name: str, lines: list[str], is_known: Callable[[str], bool]) -> tuple[str, list[str]]:
    best: tuple[tuple[int, int], str, list[str]] | None = None
    for separator in SEPARATORS:
        line, row = next(_records(lines, separator))
        if isinstance(row, csv.Error) or line != 1:
            continue
        score = (sum(map(is_known, row)), len(row))
        if best is None or score > best[0]:
            best = (score, separator, [cell.strip() for cell in row])
    if best is not None and len(best[2]) > COLUMNS_LIMIT:
        raise UsageError(f'"{name}" has more than {COLUMNS_LIMIT} columns; write one row a day, and divide it')
    if best is None or not any(best[2]):
        raise UsageError(f'"{name}" has no headings in its first line; write e.g. "date,mood" there')
    return best[1], best[2]


def _records(lines: list[str], separator: str) -> Iterator[tuple[int, list[str] | csv.Error]]:
    """Each row with the line on which it begins, or what is wrong with it; then it goes on with the line after that.

    A quote that is never closed would otherwise take all that follows along. How far it can reach is bounded by the
    csv module's limit on a cell.
    """
    done = 0  # lines before those that the reader has
    reader = csv.reader(lines, delimiter=separator, strict=True)
    while True:
        line = done + reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield line, error
            done = line
            reader = csv.reader((lines[i] for i in range(line, len(lines))), delimiter=separator, strict=True)
        else:
            yield line, row


def _explained(error: csv.Error) -> tuple[str, str, str]:
    """What the csv module says of a row, in this project's words."""
    said = str(error)
    if "end of data" in said:
        return "a closing quote", "none up to the end of the file", "close it, or write a quote of the text twice"
    if "field limit" in said:
        limit = csv.field_size_limit()
        return f"cells of at most {limit:,} characters", "a longer one", "shorten it, or see that its quote is closed"
    if "expected after" in said:
        return "a separator behind a closing quote", "more text", "write a quote of the text twice"
    return "a row of cells", f'"{said}"', "see how it is quoted"
