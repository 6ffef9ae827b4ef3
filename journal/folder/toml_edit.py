"""A page's text, changed just where its values are to change.

All else stays to the byte: comments, order, blanks, notation, line ends. No comment is ever taken away; where the value
it stood beside goes, it stays as a line of its own. Each step looks at the text anew, so that no step has to foresee
what another did to the places of things; a page has a few thousand characters.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.folder import toml_arrays, toml_format
from journal.folder.faults import Key
from journal.folder.identity import TomlTable, is_same, matched
from journal.folder.toml_lines import TomlText, dotted_home
from journal.folder.toml_spans import Outline


def rewritten(text: str, old: TomlTable, new: TomlTable) -> str:
    r"""The text with the values `new`, where it has the values `old`. Without a byte order mark.

    >>> old = {"mood": 3, "habits": {"walk": True}}
    >>> new = {"mood": 4, "energy": 3, "habits": {"walk": True, "read": 24}}
    >>> print(rewritten("mood = 3  # so far\n\n[habits]\nwalk = true\n", old, new))
    mood = 4  # so far
    energy = 3
    <BLANKLINE>
    [habits]
    walk = true
    read = 24
    <BLANKLINE>
    """
    sheet = TomlText(text)
    _match(sheet, (), old, new)
    return sheet.text


def _match(sheet: TomlText, at: Key, old: TomlTable, new: TomlTable) -> None:
    for name in old:
        if name not in new:
            _remove(sheet, (*at, name))
    for name, value in new.items():
        if name not in old:
            _add(sheet, (*at, name), value)
        elif not is_same(old[name], value):
            _change(sheet, (*at, name), old[name], value)


def _change(sheet: TomlText, at: Key, old: Any, new: Any) -> None:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        _match(sheet, at, old, new)
        return
    found = sheet.outline()
    here = found.value(at)
    if here is None and found.section((*at, 0)) and _is_tables(new):
        _match_tables(sheet, at, old, new)
    elif here is None:
        _remove(sheet, at)
        _add(sheet, at, new)
    elif here.kind == "array" and isinstance(new, list) and new and old:
        _match_items(sheet, at, old, new)
    else:
        alone = any((section.at + pair.key) == at for section, pair in found.pairs(at))
        sheet.replace(at, toml_format.value(new, sheet.line_end if alone else None))


def _match_items(sheet: TomlText, at: Key, old: list[Any], new: list[Any]) -> None:
    """Change, put in and take out items of an array; those that both ends have in common stay as they are."""
    fewest = min(len(old), len(new))
    first = next((i for i in range(fewest) if not is_same(old[i], new[i])), fewest)
    last = next((i for i in range(fewest - first) if not is_same(old[-1 - i], new[-1 - i])), fewest - first)
    old_end, new_end = len(old) - last, len(new) - last
    both = min(old_end, new_end)
    for i in range(first, both):
        if not is_same(old[i], new[i]):
            _change(sheet, (*at, i), old[i], new[i])
    for i in reversed(range(both, old_end)):
        toml_arrays.remove_item(sheet, at, i)
    for i in range(both, new_end):
        toml_arrays.insert_item(sheet, at, i, new[i])


def _match_tables(sheet: TomlText, at: Key, old: list[TomlTable], new: list[TomlTable]) -> None:
    """Change, put in, take out and move the tables of a list, each recognised by who it is."""
    partner = matched(str(at[-1]), old, new, by_position=True)
    kept = [i for i in range(len(old)) if i in partner.values()]
    for i in reversed(range(len(old))):
        if i not in kept:
            sheet.remove((*at, i))
    order = [kept.index(partner[j]) for j in range(len(new)) if j in partner]
    if order != sorted(order):
        sheet.reorder(at, order)
    for j, table in enumerate(new):
        if j in partner:
            _match(sheet, (*at, j), old[partner[j]], table)
        else:
            sheet.insert_table(at, j, table)


def _add(sheet: TomlText, at: Key, value: Any) -> None:
    """Write a value where there is none, in the notation of what is around it."""
    found = sheet.outline()
    around = _inline_around(found, at)
    if around is not None and not (len(around) == 1 and _is_empty(found, around)):
        toml_arrays.insert_pair(sheet, around, at[len(around) :], value)
        return
    if around is not None:  # an empty table in braces, whose keys can have lines of their own
        sheet.remove(around)
        if not isinstance(value, Mapping):
            sheet.insert_section(around, {})
        found = sheet.outline()
    of_a_list = any(isinstance(part, int) for part in at)
    if isinstance(value, Mapping) and not of_a_list:
        _add_table(sheet, found, at, value)
    elif _is_tables(value) and len(at) == 1:
        for i, table in enumerate(value):
            sheet.insert_table(at, i, table)
    elif not (value == [] and at[-1] in toml_format.LISTS):
        sheet.insert_pair(at, value)


def _add_table(sheet: TomlText, found: Outline, at: Key, table: TomlTable) -> None:
    nested = {name: value for name, value in table.items() if isinstance(value, Mapping)}
    if dotted_home(found, (*at, ""))[0] is not None:
        for name, value in table.items():
            _add(sheet, (*at, name), value)
        if not table:
            sheet.insert_pair(at, {})
        return
    if len(nested) < len(table) or not table:
        sheet.insert_section(at, {name: value for name, value in table.items() if name not in nested})
    for name, value in nested.items():
        _add(sheet, (*at, name), value)


def _remove(sheet: TomlText, at: Key) -> None:
    around = _inline_around(sheet.outline(), at)
    if around is None:
        sheet.remove(at)
    else:
        toml_arrays.remove_pair(sheet, around, at[len(around) :])


def _inline_around(found: Outline, at: Key) -> Key | None:
    """The nearest table in braces that a key is or would be in."""
    for depth in range(len(at) - 1, 0, -1):
        if (value := found.value(at[:depth])) is not None and value.kind == "inline":
            return at[:depth]
    return None


def _is_empty(found: Outline, at: Key) -> bool:
    value = found.value(at)
    return value is not None and not value.pairs


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(part, Mapping) for part in value)
