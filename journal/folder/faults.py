"""Faults: problems of a file's values that have no line and column yet."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterable
from typing import Any

import msgspec

from journal.language.lazy_text import L_, L_p, Phrase, all_of, any_of, said

Key = tuple[str | int, ...]
"""The path to a value of a file: names of tables and keys, and list positions from 0."""

ABOVE = L_("move it above the first [table], since a key below one belongs to that table")
"""The remedy for a top-level key that was added at the end of a file, and so became part of its last table."""

NOTHING = L_p("in place of what was expected", "none")
"""What is found in place of a required key or table that is not there."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LONGEST = 40  # characters of a value that a message quotes
_LONGEST_PLACE = 200  # characters of a key's path in a message
_COMPARED = 50  # known names that an unknown one is compared with; a journal has fewer


class Fault(msgspec.Struct, frozen=True, kw_only=True):
    """One problem of a value: the expectation, the actual value and the remedy, not looked up in a language yet.

    `drop` is the path of the value that is dropped because of it. None means the value at `where`. An empty path drops
    nothing. `at_key` means that the key is wrong, not its value.
    """

    where: Key
    expected: Phrase
    got: Phrase
    remedy: Phrase
    at_key: bool = False
    drop: Key | None = None

    @property
    def dropped(self) -> Key:
        return self.where if self.drop is None else self.drop


def key_text(where: Key) -> str:
    """Return a path as a dotted key.

    >>> key_text(("hours", "actual", "deep sleep", 0))
    'hours.actual."deep sleep"[0]'
    """
    text = ""
    for part in where:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            name = part if _BARE.fullmatch(part) else quoted(part)
            text += f".{name}" if text else name
    return text


def place_text(where: Key) -> str:
    """Return a path as a dotted key, shortened: a key may be as long as its file.

    >>> len(place_text(("k" * 249_000,)))
    203
    """
    text = key_text(where)
    return text if len(text) <= _LONGEST_PLACE else text[:_LONGEST_PLACE] + "..."


def quoted(text: str) -> str:
    """Return a text in quotes, shortened to one line.

    >>> print(quoted("7ish"), quoted("a\\n" * 40))
    "7ish" "a\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\n..."
    """
    short = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    return "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in json.dumps(short, ensure_ascii=False))


def value_text(value: Any) -> str:
    """Return a value as a file would have it, shortened to one line.

    >>> value_text(True), value_text("on"), value_text(2.5), value_text([]), value_text({})
    ('true', '"on"', '2.5', 'an empty list', 'a table')
    """
    return said(value_words(value))


def value_words(value: Any) -> Phrase:  # noqa: PLR0911 (one line a type)
    """Return a value as `value_text` does, not looked up yet."""
    match value:
        case str():
            return quoted(value)
        case bool():
            return "true" if value else "false"
        case int() | float():
            return repr(value).removesuffix(".0")
        case dict():
            return L_("a table")
        case list() if not value:
            return L_("an empty list")
        case list():
            return L_("a list of tables") if isinstance(value[0], dict) else L_("a list")
        case dt.time() if not (value.second or value.microsecond):
            return f"{value:%H:%M}"
        case _:
            return str(value)


def listed(names: Iterable[str]) -> str:
    """Join names in quotes, with "or" before the last.

    >>> listed(["a", "b", "c"])
    '"a", "b" or "c"'
    """
    return said(any_of(map(quoted, names)))


def nearest(name: str, known: Iterable[str], similarity: float = 0.6) -> str | None:
    """Return the known name closest to a misspelt one, or None.

    `similarity` is difflib's minimum ratio (0 to 1). Of many known names, only those of a similar length and with
    the same first letter are compared, so that a page of a thousand unknown keys is read in seconds.

    >>> nearest("gratitud", ["mood", "gratitude"]), nearest("doen", ["open", "done"]), nearest("zebra", ["mood"])
    ('gratitude', 'done', None)
    """
    by_lowercase = {known_name.lower(): known_name for known_name in reversed(list(known))}
    letters = sorted(name.lower())
    same_letters = [other for other in by_lowercase if len(other) == len(name) and sorted(other) == letters]
    if same_letters:  # swapped letters: difflib's ratio does not prefer them to other misspellings
        return by_lowercase[same_letters[-1]]
    compared: Iterable[str] = by_lowercase
    if len(by_lowercase) > _COMPARED:
        first, length = name[:1].lower(), len(name)
        compared = sorted(by_lowercase, key=lambda other: (other[:1] != first, abs(len(other) - length)))[:_COMPARED]
    import difflib  # noqa: PLC0415 (for mistakes only)

    close = difflib.get_close_matches(name.lower(), compared, n=1, cutoff=similarity)
    return by_lowercase[close[0]] if close else None


def choose(name: str, known: Iterable[str], else_say: str) -> str:
    """Return the remedy for an unknown name: the nearest name, or all names if there are at most 8, or `else_say`.

    >>> choose("wlak", ["walk", "read"], ""), choose("zebra", ["walk", "read"], ""), choose("zebra", [], "leave it out")
    ('write "walk"', 'write "walk" or "read"', 'leave it out')
    """
    return said(chosen(name, known, else_say))


def chosen(name: str, known: Iterable[str], else_say: Phrase) -> Phrase:
    """Return the remedy as `choose` does, not looked up yet."""
    known = list(dict.fromkeys(known))
    if near := nearest(name, known):
        return L_("write {name}", name=quoted(near))
    return L_("write {name}", name=any_of(map(quoted, known))) if 0 < len(known) <= 8 else else_say


def missing_list(key: str, parts: list[str]) -> Fault:
    """Return the fault of a file that lacks a required list of tables."""
    remedy = L_("add a [[{key}]] with {parts}", key=key, parts=all_of(parts))
    return Fault(where=(key,), expected=L_("at least one [[{key}]]", key=key), got=NOTHING, remedy=remedy, drop=())
