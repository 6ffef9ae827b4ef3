"""What is wrong with a value of a file, before it is known where in the text that value stands."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable
from typing import Any

import msgspec

Key = tuple[str | int, ...]
"""The way to a value of a file: names of tables and keys, and positions in lists from 0."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LONGEST = 40  # characters of a value that a message repeats


class Fault(msgspec.Struct, frozen=True, kw_only=True):
    """One thing wrong with a value: what was expected, what was met, and how to mend it.

    `drop` is what is left out of what is read on account of it: the value itself where nothing else is said, and
    nothing at all where it is empty. `at_key` where the key is at fault rather than its value.
    """

    where: Key
    expected: str
    got: str
    remedy: str
    at_key: bool = False
    drop: Key | None = None

    @property
    def dropped(self) -> Key:
        return self.where if self.drop is None else self.drop


def key_text(where: Key) -> str:
    """
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


def quoted(text: str) -> str:
    """Any text as one short line between quotes.

    >>> print(quoted("7ish"), quoted("a\\n" * 40))
    "7ish" "a\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\na\\n..."
    """
    short = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    return "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in json.dumps(short, ensure_ascii=False))


def value_text(value: Any) -> str:  # noqa: PLR0911 (one line a type)
    """A value as a file would have it, on one short line.

    >>> value_text(True), value_text("on"), value_text(2.5), value_text([]), value_text({})
    ('true', '"on"', '2.5', 'an empty list', 'a table')
    """
    match value:
        case str():
            return quoted(value)
        case bool():
            return "true" if value else "false"
        case int() | float():
            return repr(value).removesuffix(".0")
        case dict():
            return "a table"
        case list() if not value:
            return "an empty list"
        case list():
            return "a list of tables" if isinstance(value[0], dict) else "a list"
        case _:
            return str(value)


def listed(names: Iterable[str]) -> str:
    """
    >>> listed(["a", "b", "c"])
    '"a", "b" or "c"'
    """
    *most, last = map(quoted, names)
    return f"{', '.join(most)} or {last}" if most else last


def nearest(name: str, known: Iterable[str], similarity: float = 0.6) -> str | None:
    """The known name that a misspelt one most likely means; `similarity` (0 to 1) is difflib's, at the least.

    >>> nearest("gratitud", ["mood", "gratitude"]), nearest("doen", ["open", "done"]), nearest("zebra", ["mood"])
    ('gratitude', 'done', None)
    """
    by_small = {other.lower(): other for other in reversed(list(known))}
    same_letters = [small for small in by_small if sorted(small) == sorted(name.lower())]
    if same_letters:  # two letters swapped, which a measure of similarity does not tell from two others
        return by_small[same_letters[-1]]
    close = difflib.get_close_matches(name.lower(), by_small, n=1, cutoff=similarity)
    return by_small[close[0]] if close else None


def choose(name: str, known: Iterable[str], else_say: str) -> str:
    """The remedy for a name that is not known: the nearest, or all of a few, or `else_say`.

    >>> choose("wlak", ["walk", "read"], ""), choose("zebra", ["walk", "read"], ""), choose("zebra", [], "leave it out")
    ('write "walk"', 'write "walk" or "read"', 'leave it out')
    """
    known = list(dict.fromkeys(known))
    if near := nearest(name, known):
        return f"write {quoted(near)}"
    return f"write {listed(known)}" if 0 < len(known) <= 8 else else_say


def missing_list(key: str, parts: list[str]) -> Fault:
    """The fault of a page without any of the tables of a list, of which it needs one."""
    remedy = f"add a [[{key}]] with {', '.join(parts[:-1])} and {parts[-1]}"
    return Fault(where=(key,), expected=f"at least one [[{key}]]", got="none", remedy=remedy, drop=())
