"""The lists of tables of a version of journal.toml, and the names that a form gives to their rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from journal.entry import clock_text
from journal.errors import UsageError
from journal.folder.identity import TomlTable
from journal.language.catalogue import _
from journal.settings import Settings


def tables_of(values: TomlTable, name: str) -> list[dict[str, Any]]:
    """The tables of a list, or those that apply without it.

    >>> tables_of({"routines": [{"title": "Stock count"}]}, "routines"), len(tables_of({}, "categories"))
    ([{'title': 'Stock count'}], 4)

    Raises UsageError if the value is not a list of tables.
    """
    tables = values.get(name, _DEFAULTS.get(name, []))
    if isinstance(tables, list) and all(isinstance(table, Mapping) for table in tables):
        return tables
    raise UsageError(
        _("{name} is not written as a list of [[{name}]] tables; mend it in the text of the file", name=name)
    )


def single(values: TomlTable, path: tuple[str, ...]) -> Any:
    """The value at a path, or the one that applies without it. None without either.

    >>> single({}, ("clock",)), single({}, ("day", "turns")), single({}, ("mood", "words"))[0]
    (24, '04:00', 'heavy')
    >>> single({"mood": {"low": 0}}, ("mood", "words"))
    []
    """
    if len(path) == 1:
        return values.get(path[0], _DEFAULTS.get(path[0]))
    table = values.get(path[0])
    if path[0] not in values:
        return _DEFAULTS[path[0]][path[1]]
    return table.get(path[1], _WITHIN[path[0]][path[1]]) if isinstance(table, Mapping) else None


def is_default_within(path: tuple[str, ...]) -> bool:
    """Whether a file without the table has the value that applies to a table without the key.

    >>> is_default_within(("day", "turns")), is_default_within(("mood", "words"))
    (True, False)
    """
    return bool(_DEFAULTS[path[0]][path[1]] == _WITHIN[path[0]][path[1]])


def strips_of(values: TomlTable) -> dict[str, dict[str, list[str]]]:
    """The strips of [hours]: category to spans, by "usual" or weekday. Parts that are no such thing are left out."""
    hours = values.get("hours")
    return {
        day: {
            key: [span for span in spans if isinstance(span, str)]
            for key, spans in strip.items()
            if isinstance(spans, list)
        }
        for day, strip in (hours.items() if isinstance(hours, Mapping) else ())
        if isinstance(strip, Mapping)
    }


def _plain(value: Any) -> Any:
    """A default as a file writes it."""
    return msgspec.json.decode(msgspec.json.encode(value, enc_hook=clock_text))


_SETTINGS = Settings(title="", places=())
_DEFAULTS: dict[str, Any] = {
    name: value for name, value in _plain(_SETTINGS).items() if name not in ("title", "places")
}
_DEFAULTS["categories"] = [{key: value for key, value in one.items() if value} for one in _DEFAULTS["categories"]]
_WITHIN: dict[str, Any] = {
    name: _plain(type(value)())
    for name, value in msgspec.structs.asdict(_SETTINGS).items()
    if isinstance(value, msgspec.Struct)
}
