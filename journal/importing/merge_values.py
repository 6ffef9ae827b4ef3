"""Values put beside those that a page has: which of them are new there, and the page's values with them."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from journal.folder import toml_format
from journal.folder.faults import Key, value_text
from journal.folder.identity import matched
from journal.folder.writing import Changes
from journal.importing.model import ImportedValue

_LINES = ("gratitude", "notes")


class Added(msgspec.Struct, frozen=True):
    """Values that are new on a page, in the order in which they are put there."""

    values: list[ImportedValue]

    def on(self, present: Mapping[str, Any]) -> tuple[dict[str, Any], dict[Key, ImportedValue]]:
        """The values of a page with these, and where each of these stands among them.

        >>> Added([ImportedValue(key="2025-03-14", path=("notes",), value="Ask.")]).on({"notes": ["Tell."]})[0]
        {'notes': ['Tell.', 'Ask.']}
        """
        found = copy.deepcopy(dict(present))
        places: dict[Key, ImportedValue] = {}
        for value in self.values:
            *way, last = value.path
            table = found
            for name in way:
                table = table.setdefault(name, {})
            if _is_listed(value.path):
                items = table.setdefault(last, [])
                places[*value.path, len(items)] = value
                items.append(value.value)
            elif value.path == ("habits",):
                table.setdefault(last, {})
            else:
                table[last] = value.value
                places[value.path] = value
        return found, places


def add(present: Mapping[str, Any], values: Iterable[ImportedValue]) -> tuple[Added, list[str]]:
    """The values that a page has not got yet, and in words what it has otherwise and keeps.

    >>> mood, energy = (ImportedValue(key="2025-03-14", path=(name,), value=3) for name in ("mood", "energy"))
    >>> added, stays = add({"mood": 4}, [mood, energy])
    >>> [value.path for value in added.values], stays
    ([('energy',)], ['mood stays 4, the file has 3'])
    """
    by_path: dict[tuple[str, ...], list[ImportedValue]] = {}
    for value in values:
        by_path.setdefault(value.path[:2] if value.path[0] == "hours" else value.path, []).append(value)
    new: list[ImportedValue] = []
    stays: list[str] = []
    for path, of_path in by_path.items():
        if path in (("share",), ("habits",)):
            continue
        there = _at(present, path)
        if there is _BLOCKED:
            stays.append(f"{'.'.join(path)} stays as it is, for the page has {path[0]} in another form")
        elif path[0] == "hours":
            taken, said = _strip(".".join(path), there, of_path)
        elif path[0] in toml_format.LISTS:
            taken, said = _tables(path[0], there, of_path)
        elif path[0] in _LINES:
            taken, said = _lines(path[0], there, of_path)
        else:
            taken, said = _single(".".join(path), there, of_path)
        if there is not _BLOCKED:
            new += taken
            stays += said
    return Added([*new, *_shared(new, by_path.get(("share",), [])), *_closed(present, new, by_path)]), stays


def changes(present: Mapping[str, Any], added: Added) -> Changes:
    """The changes that put values on a page, for `writing.save`."""
    after, _ = added.on(present)
    found: dict[tuple[str, ...], Any] = {}
    for value in added.values:
        found[value.path] = _at(after, value.path)
    return found


_BLOCKED = object()  # in the way to a value there is something that is no table


def _at(values: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """The value at a path, None where there is none, _BLOCKED where there can be none."""
    here: Any = values
    for name in path:
        if not isinstance(here, Mapping):
            return _BLOCKED
        here = here.get(name)
        if here is None:
            return None
    return here


def _is_listed(path: tuple[str, ...]) -> bool:
    return path[0] in (*_LINES, *toml_format.LISTS) or (path[0] == "hours" and len(path) == 3)


def _single(name: str, there: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """A value of which a page has one. Of several in the file the first counts; that was told where it was read."""
    first = values[0]
    if there is None:
        return [first], []
    if _is_same(there, first.value):
        return [], []
    return [], [f"{name} stays {value_text(there)}, the file has {value_text(first.value)}"]


def _is_same(one: Any, other: Any) -> bool:
    """4 is 4.0 here, but no true: two files may write one number in two ways."""
    return isinstance(one, bool) == isinstance(other, bool) and bool(one == other)


def _lines(name: str, there: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Lines that the page has not got, each as often as the file has it more often."""
    if there is not None and not isinstance(there, list):
        return [], [f"{name} stays as it is, for the page has it in another form"]
    left = Counter(line for line in there or [] if isinstance(line, str))
    new = []
    for value in values:
        if left[value.value] > 0:
            left[value.value] -= 1
        else:
            new.append(value)
    return new, []


def _tables(name: str, there: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Tasks, appointments and answers that the page has not got; told apart by who they are."""
    if there is not None and not (isinstance(there, list) and all(isinstance(one, Mapping) for one in there)):
        return [], [f"{name} stay as they are, for the page has them in another form"]
    tables = [value.value for value in values]
    present = there or []
    partner = matched(name, present, tables)
    if name == "appointments":  # at another time it is another one
        partner = {j: i for j, i in partner.items() if present[i].get("start") == tables[j].get("start")}
    new = [value for j, value in enumerate(values) if j not in partner]
    return new, [said for j, i in partner.items() for said in _other(name, present[i], tables[j])]


def _other(name: str, there: Mapping[str, Any], here: Mapping[str, Any]) -> list[str]:
    """What the file has otherwise of something that stands on the page."""
    thing = {"tasks": "task", "appointments": "appointment", "reflection": "answer to"}[name]
    called = value_text(there.get("prompt" if name == "reflection" else "title", ""))
    defaults = {"status": "open"}
    return [
        f"{thing} {called}: {key} stays {value_text(was) if was is not None else 'unsaid'}, the file has "
        f"{value_text(value)}"
        for key, value in here.items()
        if not _is_same(was := there.get(key, defaults.get(key)), value)
    ]


def _strip(name: str, there: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """The strip of a day is one thing: it is taken as a whole where the page has none."""
    present = there if isinstance(there, Mapping) else {}
    if there is not None and not isinstance(there, Mapping):
        return [], [f"{name} stays as it is, for the page has it in another form"]
    if not any(present.values()):
        return values, []
    of_page = {(key, text) for key, of in present.items() for text in (of if isinstance(of, list) else [of])}
    of_file = {(value.path[2], value.value) for value in values}
    return [], [] if of_page == of_file else [f"{name} stays as it is, the file has other hours"]


def _shared(new: Iterable[ImportedValue], shared: Iterable[ImportedValue]) -> list[ImportedValue]:
    """That a friend may read a memory is said beside the words that it was said of, and only with them."""
    memory = next((value for value in new if value.path == ("memory",)), None)
    return [msgspec.structs.replace(s, value=True) for s in shared if memory is not None and s.value == memory.value][
        :1
    ]


def _closed(
    present: Mapping[str, Any], new: Iterable[ImportedValue], by_path: Mapping[tuple[str, ...], list[ImportedValue]]
) -> list[ImportedValue]:
    """An empty table of habits, for a day that was closed with nothing else to tell by."""
    told = "mood" in present or "habits" in present or any(value.path[0] in ("mood", "habits") for value in new)
    return [] if told else by_path.get(("habits",), [])[:1]
