"""The lists of tables of journal.toml while they are edited: definitions of habits, time off, and trials.

The tables are as the file has them, so an edit keeps keys that it does not know. Tables with an invalid key or day are
kept and never matched.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from journal.errors import UsageError
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.saving.save_pages import ChangeSet

_LISTS = ("habits", "rests", "trials")


class SettingsTables:
    """The tables of `[[habits]]`, `[[rests]]` and `[[trials]]` from the values of a version of journal.toml.

    >>> first, april = dt.date(2025, 1, 1), dt.date(2025, 4, 1)
    >>> tables = SettingsTables({"habits": [{"key": "walk", "name": "Walk", "from": first}]})
    >>> tables.add_definition({"key": "walk", "name": "Walk", "from": april})
    >>> list(tables.changes), [str(table["from"]) for table in tables.definitions("walk")]
    ([('habits',)], ['2025-01-01', '2025-04-01'])

    Raises UsageError if the values have one of the lists in another form.
    """

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._before = {name: values.get(name, []) for name in _LISTS}
        for name, tables in self._before.items():
            if not (isinstance(tables, list) and all(isinstance(table, Mapping) for table in tables)):
                raise UsageError(
                    _('"{name}" in journal.toml is no list of tables; write each under [[{name}]]', name=name)
                )
        self.habits: list[dict[str, Any]] = [dict(table) for table in self._before["habits"]]
        self.rests: list[dict[str, Any]] = [dict(table) for table in self._before["rests"]]
        self.trials: list[dict[str, Any]] = [dict(table) for table in self._before["trials"]]

    @property
    def changes(self) -> ChangeSet:
        """The changes of journal.toml so far."""
        now = {"habits": self.habits, "rests": self.rests, "trials": self.trials}
        changed = {name: tables for name, tables in now.items() if tables != self._before[name]}
        return {(name,): [dict(table) for table in tables] or REMOVE for name, tables in changed.items()}

    def definitions(self, key: str) -> list[dict[str, Any]]:
        """The definitions of a habit, oldest first."""
        own = [table for table in self.habits if table.get("key") == key and _has_days(table)]
        return sorted(own, key=lambda table: table["from"])

    def definition_on(self, key: str, day: dt.date) -> dict[str, Any] | None:
        """The definition of a habit that holds on a day, or the last one that held before it. None before the first."""
        return next((table for table in reversed(self.definitions(key)) if table["from"] <= day), None)

    def add_definition(self, table: dict[str, Any]) -> None:
        """Add a definition, right after the one before it in time."""
        before = self.definition_on(table["key"], table["from"])
        place = len(self.habits) if before is None else _place(self.habits, before) + 1
        self.habits.insert(place, table)

    def remove(self, table: dict[str, Any]) -> None:
        """Remove a definition, time off or a trial."""
        lists = (self.habits, self.rests, self.trials)
        tables = next(tables for tables in lists if any(one is table for one in tables))
        del tables[_place(tables, table)]


def _place(tables: list[dict[str, Any]], table: dict[str, Any]) -> int:
    return next(i for i, one in enumerate(tables) if one is table)


def _has_days(table: Mapping[str, Any]) -> bool:
    days = [table.get("from"), *([table["until"]] if "until" in table else [])]
    return all(isinstance(day, dt.date) and not isinstance(day, dt.datetime) for day in days)
