"""Which values are the same, and which table of one list is which of another: by who they are, not where they stand."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from typing import Any

TomlTable = Mapping[str, Any]

_TOGETHER = {"tasks": "since", "appointments": "start"}  # what tells two of one title apart


def is_torn(base: TomlTable, theirs: TomlTable, mine: TomlTable) -> bool:
    """Whether a merge would put the memory of one side beside the mark of the other, so that other words were shared.

    >>> is_torn({"memory": "Mine."}, {"memory": "Other words."}, {"memory": "Mine.", "share": True})
    True
    """
    of_base, of_theirs, of_mine = ((page.get("memory"), page.get("share") is True) for page in (base, theirs, mine))
    both_changed = of_base not in (of_theirs, of_mine)
    return both_changed and of_theirs[0] != of_mine[0] and of_theirs[1] != of_mine[1]


def is_same(one: Any, other: Any) -> bool:
    """Whether two values of a page say the same, to their type: 1 is neither true nor 1.0.

    >>> is_same({"a": [1, "x"]}, {"a": [1, "x"]}), is_same(1, True), is_same(4, 4.0)
    (True, False, False)
    """
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(is_same(value, other[name]) for name, value in one.items())
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(is_same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        both_nan = math.isnan(one) and math.isnan(other)
        return both_nan or (one == other and math.copysign(1, one) == math.copysign(1, other))
    if isinstance(one, dt.time | dt.datetime) and type(one) is type(other):
        return bool(one.isoformat() == other.isoformat())
    return type(one) is type(other) and bool(one == other)


def identity(name: str, table: TomlTable) -> str:
    """What a task, appointment or answer goes by: its id, else its title with the day or time it is of.

    >>> identity("tasks", {"title": "Quote", "since": dt.date(2025, 3, 11), "id": "t7k2"})
    't7k2'
    >>> identity("tasks", {"title": "Quote", "since": dt.date(2025, 3, 11)})
    'Quote 2025-03-11'
    """
    if isinstance(own := table.get("id"), str) and own:
        return own
    named = table.get("prompt" if name == "reflection" else "title", "")
    return " ".join(str(part) for part in (named, table.get(_TOGETHER.get(name, ""))) if part not in (None, ""))


def identities(name: str, tables: Sequence[TomlTable]) -> list[str]:
    """The identity of each table of a list; the second of one identity has " (2)" behind it, and so on.

    >>> identities("tasks", [{"title": "Fold"}, {"title": "Sew"}, {"title": "Fold"}])
    ['Fold', 'Sew', 'Fold (2)']
    """
    found: list[str] = []
    for table in tables:
        own = identity(name, table)
        number, text = 1, own
        while text in found:
            number += 1
            text = f"{own} ({number})"
        found.append(text)
    return found


def matched(name: str, old: Sequence[TomlTable], new: Sequence[TomlTable], by_position: bool = False) -> dict[int, int]:
    """For the position of a table of `new`, the position in `old` of the same one.

    The same are, in this order: those with one id; those that are equal; those of one title with one day or time;
    those of a title that no other left in either list has, unless they have two different ids. `by_position` also
    takes what is left at the same place, which tells where to write, not who is who.

    >>> matched("tasks", [{"title": "Fold"}, {"title": "Sew"}], [{"title": "Sew", "id": "k2"}, {"title": "Cut"}])
    {0: 1}
    """
    partner: dict[int, int] = {}

    def pair_off(key: Any, once: bool = False) -> None:
        left = [i for i in range(len(old)) if i not in partner.values()]
        open_ = [j for j in range(len(new)) if j not in partner]
        for j in open_:
            wanted = key(new[j])
            alike = [i for i in left if wanted is not None and is_same(key(old[i]), wanted)]
            rivals = sum(is_same(key(new[other]), wanted) for other in open_) if once else 1
            alike = [i for i in alike if not _are_two(old[i], new[j])]
            if alike and (not once or len(alike) == rivals == 1):
                partner[j] = alike[0]
                left.remove(alike[0])

    title = "prompt" if name == "reflection" else "title"
    pair_off(lambda table: table.get("id"))
    pair_off(lambda table: table)
    pair_off(lambda table: (table.get(title), table.get(_TOGETHER.get(name, ""))) if title in table else None)
    pair_off(lambda table: table.get(title), once=True)
    if by_position:
        for j in range(min(len(old), len(new))):
            if j not in partner and j not in partner.values():
                partner[j] = j
    return dict(sorted(partner.items()))


def _are_two(one: TomlTable, other: TomlTable) -> bool:
    return "id" in one and "id" in other and not is_same(one["id"], other["id"])
