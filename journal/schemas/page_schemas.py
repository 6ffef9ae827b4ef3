"""The schemas of a journal's files by name: one for any journal, or narrowed to the names that one journal has."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from typing import Any

from journal.entry import Entry, Review, Undated
from journal.folder.reading import Basis
from journal.schemas import type_schema
from journal.schemas.key_limits import JsonSchema
from journal.settings import Settings

TITLES = {
    "day": "The page of a day",
    "week": "The page of a week",
    "month": "The page of a month",
    "year": "The page of a year",
    "undated": "Tasks without a day (undated.toml)",
    "journal": "The settings of a journal (journal.toml)",
}
"""The schemas by name, each with its title."""

FOLDER_NAME = ".schema"
"""Where `duskbook start` puts them in a new journal. Folders with a dot are not looked at for pages."""

_TYPES: dict[str, Any] = {"day": Entry, "undated": Undated, "journal": Settings}
_DECIDED = ("decisions", "decision_dates")  # on the page of a month alone


def schemas(own: Basis | None = None) -> dict[str, JsonSchema]:
    """Return the schema of each kind of file, by the names of `TITLES`.

    With `own`, a journal's settings as read, no other habit, challenge, category or place is valid on a page, and no
    mood, energy or rank outside of that journal's.

    >>> list(schemas()["week"]["properties"])
    ['reflection', 'notes']
    """
    found = {}
    for name, title in TITLES.items():
        schema = type_schema.of_page(_TYPES.get(name, Review))
        if name in ("week", "year"):
            schema["properties"] = {key: value for key, value in schema["properties"].items() if key not in _DECIDED}
            del schema["$defs"]["DecisionDates"]
        if own is not None and name == "day":
            _narrow_day(schema, own)
        if own is not None and name == "month":
            for decided in _DECIDED:
                _allow_only(schema["properties"][decided], own.known.habits, own.settings.habit_name)
        found[name] = {"$schema": schema.pop("$schema"), "title": title, **schema}
    return found


def _narrow_day(schema: JsonSchema, own: Basis) -> None:
    keys, known, settings = schema["properties"], own.known, own.settings
    challenges = {challenge.key: challenge.name for challenge in settings.challenges}
    categories = {category.key: category.name for category in settings.categories}
    _allow_only(keys["challenges"], known.challenges, challenges.get)
    for strip in schema["$defs"]["Hours"]["properties"].values():
        _allow_only(strip, known.categories, categories.get)
    if known.places is not None:
        keys["place"]["enum"] = list(known.places)
    for scaled, scale in known.scales.items():
        keys[scaled] |= {"minimum": type_schema.number(scale.low), "maximum": type_schema.number(scale.high)}
    schema["$defs"]["Task"]["properties"]["rank"]["maximum"] = known.ranks
    _allow_only(keys["habits"], known.habits, settings.habit_name)
    for key, spans in (known.habits or {}).items():
        if spans and not any(span.counted for span in spans):
            mark = keys["habits"]["properties"][key]
            mark["anyOf"] = [part for part in mark["anyOf"] if part.get("type") != "number"]


def _allow_only(table: JsonSchema, names: Iterable[str] | None, title: Callable[[str], str | None]) -> None:
    """Let a table have these keys alone, each with its title. None means that any may be there."""
    if names is not None:
        value = table["additionalProperties"]
        table["properties"] = {name: {"title": title(name) or name, **value} for name in sorted(names)}
        table["additionalProperties"] = False


def file_name(name: str) -> str:
    """Return the file of a schema.

    >>> file_name("day")
    'day.schema.json'
    """
    return f"{name}.schema.json"


def text(schema: JsonSchema) -> str:
    """Return a schema as the text of a file. Its keys stay in the order of the types."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def files(own: Basis | None = None) -> dict[str, bytes]:
    """Return all schemas as files, by name. `own` as in `schemas`."""
    return {file_name(name): text(schema).encode() for name, schema in schemas(own).items()}
