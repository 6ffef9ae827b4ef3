"""The JSON Schema (draft 2020-12) of a file, from the type of its page.

JSON has no dates: an editor hands a date of TOML on as a text like "2025-03-14", so a date is such a text here. The key
"default" has what a missing key means, where that is a single value.
"""

from __future__ import annotations

from typing import Any

import msgspec
from msgspec import inspect

from journal.entry import Clock, Span, clock_text
from journal.fields import Field, fields_of
from journal.schemas import key_descriptions, key_limits
from journal.schemas.key_limits import CLOCK, JsonSchema

DRAFT = "https://json-schema.org/draft/2020-12/schema"
"""The name of the draft. Nothing is fetched from it."""

_DAY_END = f"({CLOCK}|24:00)"
_LEAVES: dict[type[inspect.Type], JsonSchema] = {
    inspect.BoolType: {"type": "boolean"},
    inspect.IntType: {"type": "integer"},
    inspect.FloatType: {"type": "number"},
    inspect.StrType: {"type": "string"},
    inspect.DateType: {"type": "string", "format": "date", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
}
_CUSTOM: dict[type[Any], JsonSchema] = {
    Clock: {"type": "string", "pattern": f"^{_DAY_END}$", "examples": ["08:30"]},
    Span: {"type": "string", "pattern": f"^{CLOCK}-{_DAY_END}$", "examples": ["09:00-12:30"]},
}


def of_page(page: type[msgspec.Struct]) -> JsonSchema:
    """Return the schema of a page, complete in itself.

    >>> from journal.entry import Undated
    >>> schema = of_page(Undated)
    >>> schema["properties"]["tasks"]["items"], schema["$defs"]["UndatedTask"]["properties"]["estimate"]["type"]
    ({'$ref': '#/$defs/UndatedTask'}, 'number')
    """
    tables: dict[str, JsonSchema] = {}
    described = inspect.type_info(page)
    assert isinstance(described, inspect.StructType)
    schema = _table(described, tables)
    return {"$schema": DRAFT, **schema, "$defs": tables} if tables else {"$schema": DRAFT, **schema}


def _table(type_: inspect.StructType, tables: dict[str, JsonSchema]) -> JsonSchema:
    """Return the schema of a table of keys. Those of tables inside of it are added to `tables`, by their types."""
    words, limits = key_descriptions.of_keys(type_.cls), key_limits.OF_KEYS.get(type_.cls, {})
    of_day = {field.path: field for field in fields_of(type_.cls)}
    properties = {}
    for field in type_.fields:
        key = field.encode_name
        schema = _value(field.type, tables) | _bounds(of_day.get((field.name,)))
        schema |= limits.get(key, {})
        if key in words:
            schema = {"description": words[key], **schema}
        if (default := _default(field)) is not None:
            schema["default"] = number(default) if isinstance(default, float) else default
        properties[key] = schema
    required = [field.encode_name for field in type_.fields if field.required]
    return {
        "description": key_descriptions.of_table(type_.cls),
        "type": "object",
        "properties": properties,
        **({"required": required} if required else {}),
        "additionalProperties": False,
        **key_limits.OF_TABLES.get(type_.cls, {}),
    }


def _value(  # noqa: PLR0911 (one line a type)
    type_: inspect.Type, tables: dict[str, JsonSchema]
) -> JsonSchema:
    match type_:
        case inspect.StructType():
            name = type_.cls.__name__
            if name not in tables:
                tables[name] = {}  # holds its place in the order
                tables[name] = _table(type_, tables)
            return {"$ref": f"#/$defs/{name}"}
        case inspect.DictType():
            return {"type": "object", "additionalProperties": _value(type_.value_type, tables)}
        case inspect.VarTupleType():
            return {"type": "array", "items": _value(type_.item_type, tables)}
        case inspect.UnionType():
            # A file has no null: an absent key says so.
            parts = [_value(part, tables) for part in type_.types if not isinstance(part, inspect.NoneType)]
            unlike = [part for part in parts if part != {"type": "integer"} or {"type": "number"} not in parts]
            return dict(unlike[0]) if len(unlike) == 1 else {"anyOf": unlike}
        case inspect.LiteralType():
            return {"enum": list(type_.values)}
        case inspect.CustomType():
            return dict(_CUSTOM[type_.cls])
        case _:
            return dict(_LEAVES[type(type_)])


def _bounds(field: Field | None) -> JsonSchema:
    """Return the bounds of a field of a day, both included."""
    if field is None:
        return {}
    return {name: number(end) for name, end in (("minimum", field.low), ("maximum", field.high)) if end is not None}


def number(value: float) -> float:
    """Return a number as a person writes it, since editors quote it: 5 rather than 5.0.

    >>> number(5.0), number(2.5)
    (5, 2.5)
    """
    return int(value) if float(value).is_integer() else value


def _default(field: inspect.Field) -> object:
    """Return what a missing key means, None if that is not recorded or more than one value."""
    if isinstance(field.default, Clock):
        return clock_text(field.default)
    return field.default if isinstance(field.default, bool | int | float | str) and field.default != "" else None
