"""The values of a page with changes applied, and the rows of its lists that are changed in place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.errors import UsageError
from journal.folder import toml_format
from journal.folder.faults import Key, key_text
from journal.folder.identity import TomlTable, identities
from journal.folder.three_way_merge import REMOVE, Changes
from journal.language.catalogue import N_, _


def changed(base: TomlTable, changes: Changes) -> dict[str, Any]:
    """Return the values of a page with changes applied.

    In a path into tasks, appointments or reflection, the second name is the identity of an entry in `base`
    (`identity.identities`), or a new name to add one.

    >>> base = {"mood": 3, "tasks": [{"title": "Fold"}, {"title": "Sew"}]}
    >>> changed(base, {("mood",): REMOVE, ("habits", "walk"): True, ("tasks", "Sew", "status"): "done"})
    {'tasks': [{'title': 'Fold'}, {'title': 'Sew', 'status': 'done'}], 'habits': {'walk': True}}

    Raises UsageError if a path leads through a value that is not a table.
    """
    values = dict(base)
    tables_by_name = {name: _IdentifiedTables(name, base.get(name)) for name in toml_format.LISTS}
    for path, value in changes.items():
        name = str(path[0]) if path else ""
        if name in tables_by_name and len(path) == 1:
            tables_by_name[name] = _IdentifiedTables(name, value)
        elif name in tables_by_name:
            tables_by_name[name].set(path, value)
        else:
            values = _set(values, path, value, path)
    for name in dict.fromkeys(str(path[0]) for path in changes):
        if name in tables_by_name:
            values = _set(values, (name,), tables_by_name[name].value, (name,))
    return values


def rows_kept(base: TomlTable, changes: Changes) -> dict[str, dict[int, int]]:
    """Return which rows are changed in place: by list, the position after the changes to that in `base`.

    A reworded task without an id is still that task, which its values alone do not tell.

    >>> base = {"tasks": [{"title": "Fold"}, {"title": "Sew"}]}
    >>> rows_kept(base, {("tasks", "Fold"): REMOVE, ("tasks", "Sew", "title"): "Sew two"})
    {'tasks': {0: 1}}
    """
    kept = {}
    for name in toml_format.LISTS:
        paths = [path for path in changes if path[0] == name]
        rows = _IdentifiedTables(name, base.get(name))
        places = {own: i for i, (own, _table) in enumerate(rows.tables)}
        if not paths or any(len(path) == 1 for path in paths):  # a list that is given whole has no rows of its own
            continue
        for path in paths:
            rows.set(path, changes[path])
        kept[name] = {j: places[own] for j, (own, _table) in enumerate(rows.tables) if own in places}
    return kept


class _IdentifiedTables:
    """A list of tables with the identity each had at first, or the value that a page has in its place."""

    def __init__(self, name: str, value: Any) -> None:
        self.name, self.whole = name, value
        is_list = isinstance(value, list) and all(isinstance(table, Mapping) for table in value)
        self.tables = list(zip(identities(name, value), value, strict=True)) if is_list else []

    @property
    def value(self) -> Any:
        return [table for _name, table in self.tables] if self.tables or isinstance(self.whole, list) else self.whole

    def set(self, path: Key, value: Any) -> None:
        identity = str(path[1])
        index = next((i for i, (name, _table) in enumerate(self.tables) if name == identity), None)
        if len(path) == 2 and value is REMOVE:
            self.tables = [entry for entry in self.tables if entry[0] != identity]
        elif len(path) == 2 and index is None:
            self.tables.append((identity, value))
        elif index is None:
            text = N_('there is no "{name}" in {table}; name one by its id, or by its title and day')
            raise UsageError(_(text, name=identity, table=self.name))
        else:
            table = self.tables[index][1]
            self.tables[index] = (identity, value if len(path) == 2 else _set(table, path[2:], value, path))


def _set(table: Any, path: Key, value: Any, full_path: Key) -> dict[str, Any]:
    if not path or not isinstance(table, Mapping):
        raise UsageError(_('"{key}" is no key of a page; name a key within a table', key=key_text(full_path)))
    copy = dict(table)
    if len(path) > 1:
        if value is REMOVE and path[0] not in copy:
            return copy
        copy[str(path[0])] = _set(copy.get(str(path[0]), {}), path[1:], value, full_path)
    elif value is REMOVE:
        copy.pop(str(path[0]), None)
    else:
        copy[str(path[0])] = value
    return copy
