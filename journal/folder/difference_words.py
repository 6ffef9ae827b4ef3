"""The words of a change between two states of a page: the names of its places, and its values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from journal.entry import DAY_FIELDS
from journal.folder.faults import key_text
from journal.folder.identity import TomlTable
from journal.language.catalogue import N_, _, _n, _p
from journal.wording import numbers

NameOf = Callable[[str], str]
"""The name of a habit by its key."""

LINES = {"gratitude": N_("good thing"), "notes": N_("note"), "pictures": N_("picture")}
"""What one line of a list is called."""
TABLES = {
    "tasks": N_("task"), "appointments": N_("appointment"), "reflection": N_("answer"), "habits": N_("habit"),
    "challenges": N_("challenge"), "places": N_("place"), "categories": N_("category"), "routines": N_("routine"),
    "rests": N_("time off"), "trials": N_("trial"),
}  # fmt: skip
"""What one table of a list is called."""
ORDERS = {
    "gratitude": N_("good things in another order"),
    "notes": N_("notes in another order"),
    "pictures": N_("pictures in another order"),
    "tasks": N_("tasks in another order"),
    "appointments": N_("appointments in another order"),
    "reflection": N_("answers in another order"),
    "habits": N_("habits in another order"),
    "challenges": N_("challenges in another order"),
    "places": N_("places in another order"),
    "categories": N_("categories in another order"),
    "routines": N_("routines in another order"),
    "rests": N_("time off in another order"),
    "trials": N_("trials in another order"),
}
HIDDEN = ("id", "since")
"""The keys that Duskbook keeps. Their values say nothing to a person."""

_FIELD_LABELS = {field.path: field.label for field in DAY_FIELDS}
_TITLE_KEYS = ("title", "name", "question", "prompt", "key", "from")
_MINUTES = ("estimate", "took")


def line_noun(name: str) -> str:
    """What one line of a list of a page is called, e.g. "note"."""
    return numbers.in_sentence(_(LINES[name]))


def table_noun(name: str) -> str:
    """What one table of a list is called, e.g. "task"; the key itself if it has no name."""
    return _(TABLES[name]) if name in TABLES else name


def label(at: tuple[str, ...], name_of: NameOf) -> str:  # noqa: PLR0911 (one line a place)
    """The name of a place in a page."""
    match at:
        case ("habits", key):
            return name_of(key)
        case ("captions", name):
            return _("caption of {name}", name=name)
        case ("challenges", key):
            return _("challenge {name}", name=key)
        case ("hours", "planned", key):
            return _("planned {name}", name=key)
        case ("hours", "actual", key):
            return _("actual {name}", name=key)
        case ("decisions", key):
            return _("decision on {name}", name=name_of(key))
        case ("decision_dates", key, name):
            return _("decision on {name}, {key}", name=name_of(key), key=key_word(name))
        case ("memory",):
            return _("memory")
        case _:
            return numbers.in_sentence(_(_FIELD_LABELS[at])) if at in _FIELD_LABELS else key_text(at)


def text(at: tuple[str, ...], value: Any) -> str | None:  # noqa: PLR0911 (one line a type)
    """A value at a place in words, None for no value."""
    match value:
        case None:
            return None
        case bool():
            return _yes_no(at[0], value)
        case int() | float():
            if at[-1] in _MINUTES:
                return _n("{count} minute", "{count} minutes", value)
            return numbers.number(value, 2)
        case list():
            return ", ".join(filter(None, (text(at, part) for part in value))) or _("nothing")
        case Mapping():
            return whole(value)
        case str():
            return _code(at, value)
        case _:
            return value.isoformat() if isinstance(value, dt.date | dt.time) else str(value)


def whole(table: TomlTable) -> str:
    """A table that came or went: its title, with its other values in brackets."""
    rest = [
        f"{key_word(name)} {text((str(name),), value)}"
        if name not in ("status", "answer")
        else str(text((str(name),), value))
        for name, value in table.items()
        if name not in HIDDEN and value not in (title(table), "open", "")
    ]
    return f"{title(table)} ({', '.join(rest)})" if rest else title(table)


def title(table: TomlTable) -> str:
    """The name of a table of a list: the first of its keys that names it."""
    return next((str(table[name]) for name in _TITLE_KEYS if table.get(name)), _("untitled"))


def key_word(name: object) -> str:
    """The word for a key of a table, as it stands before its value. A key without one is its own."""
    words = {
        "rank": _p("before its value", "rank"),
        "estimate": _p("before its value", "estimate"),
        "took": _p("before its value", "took"),
        "start": _p("before its value", "start"),
        "end": _p("before its value", "end"),
        "from": _p("before its value", "from"),
        "until": _p("before its value", "until"),
        "until_before": _p("before its value", "until_before"),
        "every": _p("before its value", "every"),
        "times": _p("before its value", "times"),
        "per": _p("before its value", "per"),
        "target": _p("before its value", "target"),
        "unit": _p("before its value", "unit"),
        "aim": _p("before its value", "aim"),
        "name": _p("before its value", "name"),
        "reason": _p("before its value", "reason"),
        "habits": _p("before its value", "habits"),
        "prompts": _p("before its value", "prompts"),
        "colour": _p("before its value", "colour"),
        "timezone": _p("before its value", "timezone"),
        "latitude": _p("before its value", "latitude"),
        "longitude": _p("before its value", "longitude"),
    }
    return words.get(str(name), str(name))


def _yes_no(name: str, value: bool) -> str:
    if name == "habits":
        return _("done") if value else _("not done")
    if name == "challenges":
        return _("ticked") if value else _("not ticked")
    return _("yes") if value else _("no")


def _code(at: tuple[str, ...], value: str) -> str:
    """The word for a value of a fixed set. Any other text is the person's own."""
    codes: dict[str, str] = {}
    if at[-1] == "status":
        codes = {
            "open": _p("of a task", "open"),
            "done": _p("of a task", "done"),
            "carried": _p("of a task", "carried"),
            "dropped": _p("of a task", "dropped"),
        }
    elif at[0] == "decisions":
        codes = {
            "keep": _p("a decision on a habit", "keep"),
            "change": _p("a decision on a habit", "change"),
            "rest": _p("a decision on a habit", "rest"),
            "drop": _p("a decision on a habit", "drop"),
        }
    elif at[0] == "habits":
        codes = {"rest": _p("of a habit on a day", "rest")}
    elif at[-1] == "per":
        codes = {"week": _("week"), "month": _("month")}
    elif at[-1] == "aim":
        codes = {"at least": _("at least"), "at most": _("at most")}
    return codes.get(value, value)
