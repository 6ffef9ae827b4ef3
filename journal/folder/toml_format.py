"""Formatting of values as TOML text, and the order of a page's keys."""

from __future__ import annotations

import datetime as dt
import json
import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from journal.entry import Answer, Appointment, Entry, Hours, Task, Weather
from journal.folder.faults import Key
from journal.language.catalogue import _

Rank = Callable[[Key], int | None]
"""The position of a key among its siblings, from 0, or None if it has no fixed position."""

LISTS = ("appointments", "tasks", "reflection")
"""The keys of a page that hold lists of tables, each table under its own [[header]]."""

SETTINGS_LISTS = ("places", "categories", "habits", "challenges", "routines", "rests", "trials")
"""The keys of journal.toml that hold lists of tables, in the order of a new journal."""

_TABLES = ("captions", "weather", "habits", "challenges", "hours", "decisions", "decision_dates")

ORDER = (*(name for name in Entry.__struct_fields__ if name not in (*_TABLES, *LISTS)), *_TABLES, *LISTS)
"""The keys of a page, single-line keys first. A review has notes, decisions and reflection only."""

_ORDERS_WITHIN: dict[str, tuple[str, ...]] = {
    "": ORDER,
    "weather": Weather.__struct_fields__,
    "hours": Hours.__struct_fields__,
    "appointments": Appointment.__struct_fields__,
    "tasks": Task.__struct_fields__,
    "reflection": Answer.__struct_fields__,
    "decision_dates": ("from", "until", "until_before"),
}
_TRIAL = (
    "key", "question", "habit", "outcome", "lag", "from", "days", "block", "washout", "seed", "plan", "looked",
    "stopped", "interrupted",
)  # fmt: skip
_ORDERS_IN_SETTINGS: dict[str, tuple[str, ...]] = {
    "habits": ("key", "name", "every", "times", "per", "from", "until", "target", "unit", "aim"),
    "challenges": ("key", "name", "from", "until", "prompts"),
    "routines": ("title", "every", "from", "until", "estimate"),
    "rests": ("from", "until", "habits", "reason"),
    "trials": _TRIAL,
}
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def rank(at: Key) -> int | None:
    """Return the position of a key among its siblings, from 0, or None if it has no fixed position.

    >>> rank(("energy",)), rank(("tasks", 3, "status")), rank(("habits", "walk")), rank(("pages_sewn",))
    (1, 1, None, None)
    >>> rank(("habits", 3, "until"))  # of journal.toml
    6
    """
    names = [part for part in at if isinstance(part, str)]
    if not 1 <= len(names) <= 2:
        return None
    in_list = len(names) == 2 and len(at) == 3
    orders = _ORDERS_WITHIN | _ORDERS_IN_SETTINGS if in_list else _ORDERS_WITHIN
    order = orders.get("" if len(names) == 1 else names[0], ())
    return order.index(names[-1]) if names[-1] in order else None


def key(*names: str) -> str:
    """Return a key, dotted if it has several names.

    >>> key("hours", "deep sleep")
    'hours."deep sleep"'
    """
    return ".".join(name if _BARE.fullmatch(name) else _string(name) for name in names)


def value(value: Any, line_end: str | None = None) -> str:  # noqa: PLR0911 (one line a type)
    r"""Return a value as TOML. With `line_end`, a text of several lines gets three quotes and lines of its own.

    >>> print(value(["Bread, \"still\" warm.", 7, True]), value({"sky": "grey", "high": 11.0}))
    ["Bread, \"still\" warm.", 7, true] {sky = "grey", high = 11.0}
    >>> print(value("Rain.\nThen none.", "\n"))
    '''
    Rain.
    Then none.'''

    Raises TypeError for a type that TOML cannot express, None included.
    """
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return _lines(value, line_end) if line_end and "\n" in value else _string(value)
        case int():
            return str(value)
        case float():
            return repr(value) if math.isfinite(value) else ("nan" if math.isnan(value) else f"{value:f}")
        case dt.datetime() | dt.date() | dt.time():
            return value.isoformat()
        case Mapping():
            return "{" + ", ".join(f"{key(name)} = {_inner(part)}" for name, part in value.items()) + "}"
        case list() | tuple():
            return "[" + ", ".join(map(_inner, value)) + "]"
    raise TypeError(_("{kind} cannot be written in a page", kind=type(value).__name__))


def _inner(part: Any) -> str:
    return value(part)


def _string(text: str) -> str:
    # TOML has the escapes of JSON, and requires one more character to be escaped.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _lines(text: str, line_end: str) -> str:
    if line_end == "\n" and "'''" not in text and not text.endswith("'") and text.replace("\n", " ").isprintable():
        return f"'''\n{text}'''"
    # In a file with CRLF line ends, the parsed text would have CRLF in it.
    return _string(text)
