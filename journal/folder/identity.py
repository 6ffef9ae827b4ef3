"""Equality of TOML values, and matching of a list's tables by identity rather than position."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any

TomlTable = Mapping[str, Any]

_NAMES = {
    "reflection": "prompt",
    "habits": "key",
    "challenges": "key",
    "places": "key",
    "categories": "key",
    "rests": "from",
    "trials": "key",
}  # the key that names a table, where it is not its title
_SECOND_KEY = {"tasks": "since", "appointments": "start", "habits": "from", "routines": "from", "rests": "habits"}
# The second key distinguishes tables of the same name.


def is_torn(base: TomlTable, theirs: TomlTable, mine: TomlTable) -> bool:
    """Return whether a merge would combine one side's `memory` with the other side's `share`.

    `share` would then apply to a text that it was not set for.

    >>> is_torn({"memory": "Mine."}, {"memory": "Other words."}, {"memory": "Mine.", "share": True})
    True
    """
    of_base, of_theirs, of_mine = ((page.get("memory"), page.get("share") is True) for page in (base, theirs, mine))
    both_changed = of_base not in (of_theirs, of_mine)
    return both_changed and of_theirs[0] != of_mine[0] and of_theirs[1] != of_mine[1]


_EXACT = frozenset((str, int, bool, dt.date))
"""The usual types of values, whose values are the same where they are equal."""


def is_same(a: Any, b: Any) -> bool:
    """Return whether two TOML values are equal, types included: 1 equals neither true nor 1.0.

    >>> is_same({"a": [1, "x"]}, {"a": [1, "x"]}), is_same(1, True), is_same(4, 4.0)
    (True, False, False)
    """
    if a is b:
        return True
    kind = type(a)
    return kind is type(b) and bool(a == b) if kind in _EXACT else _is_same_inside(a, b)


def _is_same_inside(a: Any, b: Any) -> bool:
    if isinstance(a, Mapping) and isinstance(b, Mapping):
        return a.keys() == b.keys() and all(is_same(value, b[name]) for name, value in a.items())
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(map(is_same, a, b))
    if isinstance(a, float) and isinstance(b, float):
        both_nan = math.isnan(a) and math.isnan(b)
        return both_nan or (a == b and math.copysign(1, a) == math.copysign(1, b))
    if isinstance(a, dt.time | dt.datetime) and type(a) is type(b):
        return bool(a.isoformat() == b.isoformat())
    return type(a) is type(b) and bool(a == b)


def identity(name: str, table: TomlTable) -> str:
    """Return the identity of a table of a list: its id, or its title with its day or time.

    In journal.toml, a habit's definition is identified by its key and first day, time off by its first day and habits.

    >>> identity("tasks", {"title": "Quote", "since": dt.date(2025, 3, 11), "id": "t7k2"})
    't7k2'
    >>> identity("tasks", {"title": "Quote", "since": dt.date(2025, 3, 11)})
    'Quote 2025-03-11'
    >>> identity("habits", {"key": "walk", "name": "Walk by the river", "from": dt.date(2025, 1, 1)})
    'walk 2025-01-01'
    """
    if isinstance(own_id := table.get("id"), str) and own_id:
        return own_id
    parts = table.get(_NAMES.get(name, "title"), ""), table.get(_SECOND_KEY.get(name, ""))
    texts = (" ".join(map(str, part)) if isinstance(part, list) else str(part) for part in parts if part is not None)
    return " ".join(text for text in texts if text)


def identities(name: str, tables: Sequence[TomlTable]) -> list[str]:
    """Return the identity of each table of a list. Duplicates get " (2)", " (3)" and so on.

    >>> identities("tasks", [{"title": "Fold"}, {"title": "Sew"}, {"title": "Fold"}])
    ['Fold', 'Sew', 'Fold (2)']
    """
    texts: dict[str, None] = {}
    numbers: dict[str, int] = {}
    for table in tables:
        own = text = identity(name, table)
        while text in texts:
            numbers[own] = numbers.get(own, 1) + 1
            text = f"{own} ({numbers[own]})"
        texts[text] = None
    return list(texts)


def matched(name: str, old: Sequence[TomlTable], new: Sequence[TomlTable], by_position: bool = False) -> dict[int, int]:
    """Map the position of each table of `new` to the position of the same table in `old`.

    Tables match in this order: by the same id; by equality; by the same title and day or time; by a title that is
    unique among the unmatched tables of both lists, unless their ids differ. `by_position` also pairs unmatched tables
    at the same position. That says where to write, not which tables are the same.

    >>> matched("tasks", [{"title": "Fold"}, {"title": "Sew"}], [{"title": "Sew", "id": "k2"}, {"title": "Cut"}])
    {0: 1}
    """
    partners: dict[int, int] = {}
    paired: set[int] = set()  # the positions in `old`

    def pair_off(key: Callable[[TomlTable], Any], once: bool = False) -> None:
        # By a comparable form of the key: pages with hundreds of tasks are compared several times in a save.
        waiting: dict[Hashable, list[int]] = {}
        for i in range(len(old)):
            if i not in paired:
                waiting.setdefault(_comparable(key(old[i])), []).append(i)
        wanted = {j: own for j in range(len(new)) if j not in partners and (own := key(new[j])) is not None}
        comparable = {j: _comparable(own) for j, own in wanted.items()}
        rivals = Counter(comparable.values())
        for j, own in comparable.items():
            candidates = [i for i in waiting.get(own, ()) if not _ids_differ(old[i], new[j])]
            if candidates and (not once or len(candidates) == rivals[own] == 1):
                partners[j] = candidates[0]
                paired.add(candidates[0])
                waiting[own].remove(candidates[0])

    title = _NAMES.get(name, "title")
    pair_off(lambda table: table.get("id"))
    pair_off(lambda table: table)
    pair_off(lambda table: (table.get(title), table.get(_SECOND_KEY.get(name, ""))) if title in table else None)
    pair_off(lambda table: table.get(title), once=True)
    if by_position:
        for j in range(min(len(old), len(new))):
            if j not in partners and j not in paired:
                partners[j] = j
    return dict(sorted(partners.items()))


def _comparable(value: Any) -> Hashable:
    """Return a form that is equal for values that are the same (`is_same`), and for no others."""
    if isinstance(value, Mapping):
        return Mapping, frozenset((name, _comparable(part)) for name, part in value.items())
    if isinstance(value, list | tuple):
        return list, tuple(map(_comparable, value))
    if isinstance(value, float):
        return float, "nan" if math.isnan(value) else (value, math.copysign(1, value))
    if isinstance(value, dt.time | dt.datetime):
        return type(value), value.isoformat()
    return type(value), value


def _ids_differ(a: TomlTable, b: TomlTable) -> bool:
    return "id" in a and "id" in b and not is_same(a["id"], b["id"])
