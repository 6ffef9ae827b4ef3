"""Descriptions of the exported tables and their columns: their type, and columns that several tables have."""

from __future__ import annotations

from typing import NamedTuple

NEVER = "never"


class ColumnDoc(NamedTuple):
    """The unit of a column (or "none"), the meaning of null, and the meaning of its values."""

    unit: str
    null: str
    meaning: str


class TableDoc(NamedTuple):
    """A description of a row, and of the columns by name."""

    row: str
    columns: dict[str, ColumnDoc]


def key_of(what: str, table: str) -> ColumnDoc:
    """The column with the key of something whose name is in another table.

    >>> key_of("The habit", "habits").meaning
    'The habit, by its key in journal.toml; `habits` has its name.'
    """
    return ColumnDoc("key", NEVER, f"{what}, by its key in journal.toml; `{table}` has its name.")


DATE = ColumnDoc("day", NEVER, "The calendar day.")
HABIT = key_of("The habit", "habits")
FIRST = ColumnDoc("day", NEVER, "The first day of the period.")
LAST = ColumnDoc("day", NEVER, "The last day of the period, inclusive.")
MARK = ColumnDoc("none", "no mark on the page", 'The mark on the page: "done", "not done", "number" or "rest".')
VALUE = ColumnDoc("unit of the habit", "no number on the page", "The number on the page for a counted habit.")
TARGET = ColumnDoc("unit of the habit", "the habit is not counted", "The target of the number.")
