"""The values that a file has for the pages of a journal, and the file's problems."""

from __future__ import annotations

from typing import Any

import msgspec

from journal.errors import Problem
from journal.folder.faults import Fault, quoted
from journal.language.catalogue import _


class SourceCell(msgspec.Struct, frozen=True):
    """A position in a file: the line, the column of the cell from 1, its heading, and its text."""

    line: int = 0
    column: int = 0
    heading: str = ""
    text: str = ""

    def problem(self, name: str, expected: str, remedy: str, got: str = "") -> Problem:
        """Return a problem at this position, in a file of that name.

        >>> print(SourceCell(12, 2, "mood", "so so").problem("days.csv", "a number", "write e.g. 4"))
        days.csv:12:2: mood: expected a number, got "so so"; write e.g. 4
        """
        got = got or (quoted(self.text) if self.text.strip() else _("nothing"))
        return Problem(
            path=name, line=self.line, column=self.column, where=self.heading, expected=expected, got=got, remedy=remedy
        )


CLOSED = ("habits",)
"""The path of a value, an empty table, that marks a day as closed by an evening, which asked for its habits."""


PICTURES = "pictures"
"""The first name of the path of a picture. The second is its place on the page, from 00: exports have other names."""


class ImportedValue(msgspec.Struct, frozen=True, kw_only=True):
    """One value for one page, with its position in the file.

    `key` is the page ("2025-03-14", "2025-W11"). `path` is a key path of the page. If that holds a list (`gratitude`,
    `notes`, `tasks`, `appointments`, `reflection`, and the spans of `hours.planned.sleep`), `value` is one item. A path
    such as ("tasks", "t7k2", "status") leads to a value of an entry that the page has, by its identity. Two
    are special: an empty table at `habits` marks the day as closed, and the value at `share` is the memory that may be
    shared. `parts` are the cells that the value is made of, by its keys. `after` is the key of a page that has to be
    written before: that of the day to which a task goes, so that it is never on none.
    """

    key: str
    path: tuple[str, ...]
    value: Any
    cell: SourceCell = SourceCell()
    parts: dict[str, SourceCell] = {}
    after: str = ""

    def at(self, fault: Fault) -> SourceCell:
        """Return the cell of a fault: that of a name, of a table's key, or of the start of a span of hours."""
        last = fault.where[-1]
        names = _NAMES if fault.at_key else ("start",) if isinstance(last, int) else (last,)
        return next((self.parts[name] for name in names if name in self.parts), self.cell)


_NAMES = ("habit", "challenge", "category")


class ImportedValues(msgspec.Struct, frozen=True):
    """All values of a file called `name`. `columns` are its headings, each with the field it was mapped to."""

    name: str
    values: list[ImportedValue]
    problems: list[Problem]
    columns: list[tuple[str, str]] = []
    rows: int = 0


class Unfit(Exception):
    """A cell that cannot be read: the expectation and the remedy. Caught where the cell's position is known."""

    def __init__(self, expected: str, remedy: str) -> None:
        super().__init__(expected)
        self.expected, self.remedy = expected, remedy
