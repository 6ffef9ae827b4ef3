"""Merging of imported values into a page: the values that are new there, and the page's values with them."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Any

import msgspec

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.identity import identities, matched
from journal.folder.writing import Changes
from journal.importing import kept_values
from journal.importing.model import CLOSED, PICTURES, ImportedValue
from journal.language.catalogue import _

_LINES = ("gratitude", "notes")
_ASKED = ("asked",)
_OF_THE_DAY = (("share",), CLOSED, _ASKED)
"""Values that are added with others or not at all."""


class Added(msgspec.Struct, frozen=True):
    """Values that are new on a page, in the order of their insertion."""

    values: list[ImportedValue]

    def without(self, faulty: Collection[ImportedValue]) -> Added:
        """Return the rest of the values. Without a mood or a mark among them, `asked = false` has no reason."""
        values = [value for value in self.values if value not in faulty]
        marks_logged = any(value.path[0] in ("mood", "habits") for value in values)
        return Added([value for value in values if marks_logged or value.path != _ASKED])

    def on(self, present: Mapping[str, Any]) -> tuple[dict[str, Any], dict[Key, ImportedValue]]:
        """Return the values of a page with these added, and the key path at which each was added.

        >>> Added([ImportedValue(key="2025-03-14", path=("notes",), value="Ask.")]).on({"notes": ["Tell."]})[0]
        {'notes': ['Tell.', 'Ask.']}
        """
        values = copy.deepcopy(dict(present))
        added_at: dict[Key, ImportedValue] = {}
        for value in self.values:
            *parents, last = value.path
            if is_row_value(value.path):
                names = identities(value.path[0], present.get(value.path[0], []))
                if value.path[1] in names:  # an entry with an invalid value is not among the valid ones
                    nth = names.index(value.path[1])
                    values[value.path[0]][nth][last] = value.value
                    added_at[value.path[0], nth, last] = value
                continue
            table = values
            for name in parents:
                table = table.setdefault(name, {})
            if _is_listed(value.path):
                items = table.setdefault(last, [])
                added_at[*value.path, len(items)] = value
                items.append(value.value)
            elif value.path == CLOSED:
                table.setdefault(last, {})
            else:
                table[last] = value.value
                added_at[value.path] = value
        return values, added_at


def add(present: Mapping[str, Any], values: Iterable[ImportedValue]) -> tuple[Added, list[str]]:
    """Return the values that a page does not have, and a text for each different value that the page keeps.

    >>> mood, energy = (ImportedValue(key="2025-03-14", path=(name,), value=3) for name in ("mood", "energy"))
    >>> added, stays = add({"mood": 4}, [mood, energy])
    >>> [value.path for value in added.values], stays
    ([('energy',)], ['mood stays 4, the file has 3'])

    A day that becomes logged gets `asked = false`, unless the file says that it was closed: an empty cell of a habit
    says nothing.
    """
    by_path: dict[tuple[str, ...], list[ImportedValue]] = {}
    for value in values:
        by_path.setdefault(value.path[:2] if value.path[0] == "hours" else value.path, []).append(value)
    new: list[ImportedValue] = []
    kept: list[str] = []
    for path, path_values in by_path.items():
        if path in _OF_THE_DAY or path[0] == PICTURES:
            continue
        if is_row_value(path):
            added, texts = _row_value(present, path, path_values[0])
            new, kept = [*new, *added], [*kept, *texts]
            continue
        present_value = _at(present, path)
        if present_value is _BLOCKED:
            kept.append(kept_values.has_another_form(".".join(path), key=path[0]))
        elif path[0] == "hours":
            added, texts = _strip(".".join(path), present_value, path_values)
        elif path[0] in toml_format.LISTS:
            added, texts = _tables(path[0], present_value, path_values)
        elif path[0] in _LINES:
            added, texts = _lines(path[0], present_value, path_values)
        else:
            added, texts = _single(".".join(path), present_value, path_values)
        if present_value is not _BLOCKED:
            new += added
            kept += texts
    added, texts = _pictures(present, [by_path[path][0] for path in sorted(by_path) if path[0] == PICTURES])
    new, kept = [*new, *added], [*kept, *texts]
    shared = _shared(new, by_path.get(("share",), []))
    return Added([*new, *shared, *_logged(present, new, by_path)]), kept


def changes(present: Mapping[str, Any], added: Added) -> Changes:
    """Return the changes that add these values to a page, for `writing.save`."""
    after, _added_at = added.on(present)
    result: dict[tuple[str, ...], Any] = {}
    with_edited_rows = {value.path[0] for value in added.values if is_row_value(value.path)}
    for number, value in enumerate(added.values):
        if is_row_value(value.path):
            result[value.path] = value.value
        elif value.path[0] in with_edited_rows:
            result[value.path[0], f"new {number}"] = value.value
        else:
            result[value.path] = _at(after, value.path)
    return result


_BLOCKED = object()  # the path to a value leads through something that is not a table


def _at(values: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """Return the value at a path, None if it is missing, _BLOCKED if it cannot exist there."""
    value: Any = values
    for name in path:
        if not isinstance(value, Mapping):
            return _BLOCKED
        value = value.get(name)
        if value is None:
            return None
    return value


def is_row_value(path: tuple[str, ...]) -> bool:
    """Return whether a path leads to a value of an entry that the page has, by its identity: ("tasks", "t7k2", "took").

    >>> is_row_value(("tasks", "t7k2", "status")), is_row_value(("tasks",)), is_row_value(("hours", "actual", "sleep"))
    (True, False, False)
    """
    return len(path) == 3 and path[0] in toml_format.LISTS


def _row_value(
    present: Mapping[str, Any], path: tuple[str, ...], value: ImportedValue
) -> tuple[list[ImportedValue], list[str]]:
    """Merge a value of an entry of the page. An open task has no status that would stay."""
    name, identity, key = path
    rows = present.get(name)
    row = None
    if isinstance(rows, list) and all(isinstance(one, Mapping) for one in rows):
        row = dict(zip(identities(name, rows), rows, strict=True)).get(identity)
    if row is None:
        return [], [kept_values.is_gone(name, identity)]
    if row.get(key) is None or (path[0], key, row[key]) == ("tasks", "status", "open"):
        return ([value] if value.value != row.get(key) else []), []
    return [], _differences(name, row, {key: value.value})


def _is_listed(path: tuple[str, ...]) -> bool:
    return path[0] in (*_LINES, PICTURES, *toml_format.LISTS) or (path[0] == "hours" and len(path) == 3)


def _single(name: str, present_value: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Merge a value of which a page has one. The first one in the file counts; further ones were reported when read."""
    first = values[0]
    if present_value is None:
        return [first], []
    if _is_same(present_value, first.value):
        return [], []
    return [], [kept_values.stays(name, present_value, first.value)]


def _is_same(a: Any, b: Any) -> bool:
    """Return whether two values are equal: 4 equals 4.0, as files may write numbers in two ways, but not true."""
    return isinstance(a, bool) == isinstance(b, bool) and bool(a == b)


def _lines(name: str, present_value: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Return the lines that the page lacks, as often as the file has them more often."""
    if present_value is not None and not isinstance(present_value, list):
        return [], [kept_values.has_another_form(name)]
    remaining = Counter(line for line in present_value or [] if isinstance(line, str))
    new = []
    for value in values:
        if remaining[value.value] > 0:
            remaining[value.value] -= 1
        else:
            new.append(value)
    return new, []


def _tables(name: str, present_value: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Return the tasks, appointments and answers that the page lacks, matched by identity."""
    if present_value is not None and not (
        isinstance(present_value, list) and all(isinstance(table, Mapping) for table in present_value)
    ):
        return [], [kept_values.have_another_form(name)]
    tables = [value.value for value in values]
    present = present_value or []
    partners = matched(name, present, tables)
    if name == "appointments":  # at another time it is another appointment
        partners = {j: i for j, i in partners.items() if present[i].get("start") == tables[j].get("start")}
    new = [value for j, value in enumerate(values) if j not in partners]
    return new, [text for j, i in partners.items() for text in _differences(name, present[i], tables[j])]


def _differences(name: str, page_table: Mapping[str, Any], file_table: Mapping[str, Any]) -> list[str]:
    """Return a text for each value in which the file differs from an entry on the page."""
    title = page_table.get("prompt" if name == "reflection" else "title", "")
    defaults = {"status": "open"}
    return [
        kept_values.value_stays(name, title, key, page_value, value)
        for key, value in file_table.items()
        if not _is_same(page_value := page_table.get(key, defaults.get(key)), value)
    ]


def _pictures(present: Mapping[str, Any], values: Iterable[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Return the pictures that the page lacks, by their places, and the captions that it lacks."""
    names, captions = _at(present, (PICTURES,)), _at(present, ("captions",))
    if (names is not None and not isinstance(names, list)) or captions is _BLOCKED:
        return [], [kept_values.have_another_form("pictures")]
    found = list(names or [])
    new, kept = list[ImportedValue](), list[str]()
    for value in values:
        place = int(value.path[1])
        if place >= len(found):
            found.append(value.value["picture"])
            new.append(msgspec.structs.replace(value, path=(PICTURES,), value=found[-1]))
            place = len(found) - 1
        if "caption" in value.value:
            path = ("captions", str(found[place]))
            caption = msgspec.structs.replace(value, path=path, value=value.value["caption"])
            added, texts = _single(_("the caption of {name}", name=path[1]), _at(present, path), [caption])
            new, kept = [*new, *added], [*kept, *texts]
    return new, kept


def _strip(name: str, present_value: Any, values: list[ImportedValue]) -> tuple[list[ImportedValue], list[str]]:
    """Return the strip of a day as a whole if the page has none."""
    present = present_value if isinstance(present_value, Mapping) else {}
    if present_value is not None and not isinstance(present_value, Mapping):
        return [], [kept_values.has_another_form(name)]
    if not any(present.values()):
        return values, []
    of_page = {
        (key, text) for key, texts in present.items() for text in (texts if isinstance(texts, list) else [texts])
    }
    of_file = {(value.path[2], value.value) for value in values}
    return [], [] if of_page == of_file else [_("{name} stays as it is, the file has other hours", name=name)]


def _shared(new: Iterable[ImportedValue], shared: Iterable[ImportedValue]) -> list[ImportedValue]:
    """Return the `share` flag only together with the memory it was set for."""
    memory = next((value for value in new if value.path == ("memory",)), None)
    return [msgspec.structs.replace(s, value=True) for s in shared if memory is not None and s.value == memory.value][
        :1
    ]


def _logged(
    present: Mapping[str, Any], new: Iterable[ImportedValue], by_path: Mapping[tuple[str, ...], list[ImportedValue]]
) -> list[ImportedValue]:
    """Return what a day needs that becomes logged by new values: an empty table of habits, if it was closed and nothing
    else makes it logged; and `asked = false`, unless the file has it as closed."""
    if "mood" in present or "habits" in present:
        return []
    closed, unasked = by_path.get(CLOSED, [])[:1], by_path.get(_ASKED, [])[:1]
    values = [value for value in new if value.path[0] in ("mood", "habits")]
    if not closed and not values:
        return []
    added = [] if values else closed
    if closed and not unasked:
        return added
    asked = unasked or [msgspec.structs.replace(values[0], path=_ASKED, value=False, parts={})]
    return [*added, *(asked if "asked" not in present else [])]
