"""Splitting of a table's text (RFC 4180, Shafranovich 2005) into cells, with the csv module of the standard library.

Beyond the RFC, cells may be separated by semicolons or tabs, and any line ends are accepted. A broken row affects only
itself: reading continues with the next line.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator

import msgspec

from journal.errors import Problem, UsageError
from journal.importing.model import SourceCell
from journal.language import digits
from journal.language.catalogue import _

SEPARATORS = (",", ";", "\t")

CELLS_LIMIT = 2_000_000
"""Cells of a table: some seconds and a few hundred MB. Our own marks of ten habits over fifty years have 1.8 million.
"""

COLUMNS_LIMIT = 500
"""Columns of a table. A file with more is not such a table, or is transposed."""

_MOST_BROKEN = 100
"""Rows with broken quotes; with more, the file is not such a table."""


class CsvRow(msgspec.Struct, frozen=True):
    """A row: the file line it begins on, and its cells."""

    line: int
    cells: list[str]


class CsvTable(msgspec.Struct, frozen=True):
    """A table: its file's name, its separator, its headings, and its rows. Every row has one cell for each heading."""

    name: str
    separator: str
    headings: list[str]
    rows: list[CsvRow]
    problems: list[Problem]


def read(name: str, text: str, is_known: Callable[[str], bool]) -> CsvTable:
    r"""Split a table into rows.

    The separator is the one that gives most known headings in the first row, then most cells.

    >>> table = read("days.csv", 'date,memory\r\n2025-03-14,"First frost,\r\nearly."\r\n2025-03-15,\r\n', bool)
    >>> table.rows
    [CsvRow(line=2, cells=['2025-03-14', 'First frost,\r\nearly.']), CsvRow(line=4, cells=['2025-03-15', ''])]

    A short row gets empty cells. A row without text is skipped. A longer row is a problem: a separator within its text
    would have shifted the cells after it.

    Raises UsageError if there are no headings, or too many columns, cells or broken rows.
    """
    lines = io.StringIO(text, newline="").readlines()
    separator, headings = _first_row(name, lines, is_known)
    table = CsvTable(name, separator, headings, [], [])
    cells = broken = 0
    for line, row in _records(lines, separator):
        if isinstance(row, csv.Error):
            expected, got, remedy = _explain(row)
            table.problems.append(SourceCell(line, 1).problem(name, expected, remedy, got))
            broken += 1
            if broken > _MOST_BROKEN:
                raise UsageError(
                    _(
                        '"{name}" has more than {count} rows with broken quotes; export it again as CSV',
                        name=name,
                        count=digits.number(_MOST_BROKEN),
                    )
                )
            continue
        cells += len(row)
        if cells > CELLS_LIMIT:
            raise UsageError(
                _(
                    '"{name}" has more than {count} cells; divide it into several files',
                    name=name,
                    count=digits.number(CELLS_LIMIT),
                )
            )
        extra = [cell for cell in row[len(headings) :] if cell.strip()]
        if line == 1 or not any(cell.strip() for cell in row):
            continue
        if extra:
            expected = _("{count} cells, as many as headings", count=digits.number(len(headings)))
            remedy = _("put a cell that has the separator in its text in quotes; the row is left out")
            table.problems.append(
                SourceCell(line, len(headings) + 1).problem(name, expected, remedy, digits.number(len(row)))
            )
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
        raise UsageError(
            _(
                '"{name}" has more than {count} columns; write one row a day, and divide it',
                name=name,
                count=digits.number(COLUMNS_LIMIT),
            )
        )
    if best is None or not any(best[2]):
        raise UsageError(_('"{name}" has no headings in its first line; write e.g. "date,mood" there', name=name))
    return best[1], best[2]


def _records(lines: list[str], separator: str) -> Iterator[tuple[int, list[str] | csv.Error]]:
    """Yield each row, or its error, with the line it begins on. After an error, reading continues on the next line.

    Otherwise an unclosed quote would swallow the following rows. The csv module's limit on a cell bounds how far it can
    reach.
    """
    done = 0  # lines before the reader's first
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


def _explain(error: csv.Error) -> tuple[str, str, str]:
    """Return expectation, actual text and remedy for an error of the csv module."""
    message = str(error)
    if "end of data" in message:
        return (
            _("a closing quote"), _("none up to the end of the file"),
            _("close it, or write a quote of the text twice"),
        )  # fmt: skip
    if "field limit" in message:
        expected = _("cells of at most {count} characters", count=digits.number(csv.field_size_limit()))
        return expected, _("a longer one"), _("shorten it, or see that its quote is closed")
    if "expected after" in message:
        return _("a separator behind a closing quote"), _("more text"), _("write a quote of the text twice")
    return _("a row of cells"), f'"{message}"', _("see how it is quoted")
