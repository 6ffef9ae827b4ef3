"""Collection of a table's values, cell by cell, each with its position, and of a problem for each invalid cell."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from journal.entry import DAY_FIELDS
from journal.errors import Problem, UsageError
from journal.folder.page_names import Known
from journal.importing.dates import ColumnDates
from journal.importing.model import ImportedValue, SourceCell, Unfit
from journal.language import digits
from journal.language.catalogue import _
from journal.settings import Settings

_AHEAD = {field.path[0] for field in DAY_FIELDS if field.asked != "today"} | {"asked", "notes", "tasks", "appointments"}
"""The keys that a future day's page may already have, besides planned hours and rest marks."""


_MOST_WRONG = 20_000
"""Invalid cells; with more, a column is probably mapped wrongly, or the file is not such a table."""


class ValueCollector:
    """The values and problems of one table so far, and the settings used to read it."""

    def __init__(self, name: str, dates: ColumnDates, settings: Settings, known: Known, today: dt.date) -> None:
        self.name, self.dates, self.settings, self.known, self.today = name, dates, settings, known, today
        self.values: list[ImportedValue] = []
        self.problems: list[Problem] = []

    def date(self, cell: SourceCell) -> dt.date | None:
        """Return the date in a cell. Any other text is a problem."""
        date = self.dates.read(cell.text)
        if date is None:
            self.problem(
                cell,
                self.dates.expected(cell.text, _("a date ({order})", order=self.dates.order)),
                _("write e.g. 2025-03-14; nothing of the row is taken"),
            )
        return date

    def reading(self, read: Callable[[], Any], cell: SourceCell) -> Any:
        """Return the result of reading a cell, or None if it is invalid, which is a problem."""
        try:
            return read()
        except Unfit as unfit:
            self.problem(cell, unfit.expected, unfit.remedy)
            return None

    def problem(self, cell: SourceCell, expected: str, remedy: str) -> None:
        """Add a problem of a cell. Raises UsageError if there are too many."""
        if len(self.problems) == _MOST_WRONG:
            raise UsageError(
                _(
                    '"{name}" has more than {count} cells that cannot be read, the last on line {line}; see what its '
                    "columns are named, or leave one out with --column",
                    name=self.name,
                    count=digits.number(_MOST_WRONG),
                    line=cell.line,
                )
            )
        self.problems.append(cell.problem(self.name, expected, remedy))

    def is_counted(self, habit: str, day: dt.date) -> bool:
        """Return whether a habit is counted on a day. On a day out of force: whether it ever is."""
        spans = (self.known.habits or {}).get(habit, ())
        in_force = [span.counted for span in spans if span.first <= day <= span.last]
        return in_force[0] if in_force else any(span.counted for span in spans)

    def is_future(self, day: dt.date, path: tuple[str, ...], value: Any) -> bool:
        """Return whether a value cannot have been recorded yet, because its day is in the future."""
        is_allowed = path[0] in _AHEAD or path[:2] == ("hours", "planned") or value in ("rest", {})
        return day > self.today and not is_allowed

    def report_future(self, cell: SourceCell) -> None:
        """Report the date cell of a row with values of a future day."""
        self.problem(
            cell,
            _("a day up to {day}", day=self.today),
            _("see to the date; what cannot be known yet is left out"),
        )
