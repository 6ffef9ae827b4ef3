"""What a file has for the pages of a journal, value by value, and what is wrong in the file."""

from __future__ import annotations

from typing import Any

import msgspec

from journal.errors import Problem
from journal.folder.faults import Fault, quoted


class SourceCell(msgspec.Struct, frozen=True):
    """Where in a file something stands: the line, the place in its row from 1, what heads its column; and its text."""

    line: int = 0
    column: int = 0
    heading: str = ""
    text: str = ""

    def problem(self, name: str, expected: str, remedy: str, got: str = "") -> Problem:
        """What is wrong with it, in a file of that name.

        >>> print(SourceCell(12, 2, "mood", "so so").problem("days.csv", "a number", "write e.g. 4"))
        days.csv:12:2: mood: expected a number, got "so so"; write e.g. 4
        """
        got = got or (quoted(self.text) if self.text.strip() else "nothing")
        return Problem(
            path=name, line=self.line, column=self.column, where=self.heading, expected=expected, got=got, remedy=remedy
        )


class ImportedValue(msgspec.Struct, frozen=True, kw_only=True):
    """One value for one page, and where in the file it stands.

    `key` is the page ("2025-03-14", "2025-W11"). `path` is a key path of the page; where that holds a list
    (`gratitude`, `notes`, `tasks`, `appointments`, `reflection`, and the stretches of `hours.planned.sleep`), `value`
    is one item of it. Two are particular: an empty table at `habits` says that the day was closed, and at `share`
    stands the memory that a friend may read. `parts` are the cells of what the value is made of, by its keys.
    """

    key: str
    path: tuple[str, ...]
    value: Any
    cell: SourceCell = SourceCell()
    parts: dict[str, SourceCell] = {}

    def at(self, fault: Fault) -> SourceCell:
        """The cell that a fault is of: that of a name, of a key of a table, or where a stretch of hours starts."""
        last = fault.where[-1]
        names = _NAMES if fault.at_key else ("start",) if isinstance(last, int) else (last,)
        return next((self.parts[name] for name in names if name in self.parts), self.cell)


_NAMES = ("habit", "challenge", "category")


class ImportedValues(msgspec.Struct, frozen=True):
    """All that was found in a file called `name`. `columns` are its headings with what each was taken for."""

    name: str
    values: list[ImportedValue]
    problems: list[Problem]
    columns: list[tuple[str, str]] = []
    rows: int = 0


class Unfit(Exception):
    """A cell that says nothing the journal knows: what was expected, and how to mend it. Caught where its place is
    known."""

    def __init__(self, expected: str, remedy: str) -> None:
        super().__init__(expected)
        self.expected, self.remedy = expected, remedy
