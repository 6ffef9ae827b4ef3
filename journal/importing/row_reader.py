"""Values of a table as they are found, cell by cell, each with its place; and a problem for each that is none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from journal.entry import DAY_FIELDS
from journal.errors import Problem, UsageError
from journal.folder.page_names import Known
from journal.importing.dates import Order, read
from journal.importing.model import ImportedValue, SourceCell, Unfit
from journal.settings import Settings

_AHEAD = {field.path[0] for field in DAY_FIELDS if field.asked != "today"} | {"notes", "tasks", "appointments"}
"""What the page of a day to come may say already; beside these planned hours, and habits that will rest."""


_MOST_WRONG = 20_000
"""Cells that cannot be read, after which a column is taken to be misnamed, or the table to be something else."""


class Gathering:
    """What was found in one table so far, and what it is read by."""

    def __init__(self, name: str, order: Order, settings: Settings, known: Known, today: dt.date) -> None:
        self.name, self.order, self.settings, self.known, self.today = name, order, settings, known, today
        self.values: list[ImportedValue] = []
        self.problems: list[Problem] = []

    def date(self, cell: SourceCell) -> dt.date | None:
        """The day that a cell names; where it names none, that is a problem."""
        found = read(cell.text, self.order)
        if found is None:
            self.problem(cell, f"a date ({self.order})", "write e.g. 2025-03-14; nothing of the row is taken")
        return found

    def reading(self, read: Callable[[], Any], cell: SourceCell) -> Any:
        """What a cell says; None where it says nothing that is known, which is a problem."""
        try:
            return read()
        except Unfit as unfit:
            self.problem(cell, unfit.expected, unfit.remedy)
            return None

    def problem(self, cell: SourceCell, expected: str, remedy: str) -> None:
        """Note what is wrong with a cell. Raises UsageError where nearly nothing can be read."""
        if len(self.problems) == _MOST_WRONG:
            raise UsageError(
                f'"{self.name}" has more than {_MOST_WRONG:,} cells that cannot be read, the last on line {cell.line}; '
                "see what its columns are named, or leave one out with --column"
            )
        self.problems.append(cell.problem(self.name, expected, remedy))

    def is_counted(self, habit: str, day: dt.date) -> bool:
        """Whether a habit has numbers on a day; on one on which it does not hold, whether it ever has."""
        spans = (self.known.habits or {}).get(habit, ())
        held = [span.counted for span in spans if span.first <= day <= span.last]
        return held[0] if held else any(span.counted for span in spans)

    def is_early(self, day: dt.date, path: tuple[str, ...], value: Any) -> bool:
        """Whether a day is still to come on which nothing of the kind can have been recorded."""
        may_be = path[0] in _AHEAD or path[:2] == ("hours", "planned") or value in ("rest", {})
        return day > self.today and not may_be

    def say_early(self, cell: SourceCell) -> None:
        """Note that a row has something of a day to come, by the cell of its date."""
        self.problem(cell, f"a day up to {self.today}", "see to the date; what cannot be known yet is left out")
