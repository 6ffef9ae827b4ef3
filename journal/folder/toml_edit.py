"""Edits of a page's text that change only the values that differ.

Everything else keeps its bytes: comments, order, blanks, notation, line ends. No comment is ever removed; if the value
beside it is removed, the comment stays on a line of its own. Each step parses the text again, so no step depends on
positions that another has moved: that of the page, or of one table of a list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from journal.folder import toml_arrays, toml_format, toml_tables
from journal.folder.faults import Key
from journal.folder.identity import TomlTable, is_same, matched
from journal.folder.toml_format import Rank
from journal.folder.toml_lines import TomlText, dotted_home
from journal.folder.toml_spans import Outline


def rewritten(text: str, old: TomlTable, new: TomlTable, rank: Rank = toml_format.rank) -> str:
    r"""Return the text, whose values are `old`, edited to have the values `new`. The text has no byte order mark.

    `rank` gives the order of the keys that are added. If nothing is left of a text, a line end is: a file of no bytes
    is one that was cut off.

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
    sheet = TomlText(text, rank)
    if not text.strip("\r\n"):
        sheet.text = ""  # its line end is kept
    _match(sheet, (), old, new)
    return sheet.text or sheet.line_end * bool(text)


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
    spans = sheet.outline()
    present = spans.value(at)
    if present is None and spans.section((*at, 0)) and _is_tables(new):
        _match_tables(sheet, at, old, new)
    elif present is None:
        _remove(sheet, at)
        _add(sheet, at, new)
    elif present.kind == "array" and isinstance(new, list) and new and old:
        _match_items(sheet, at, old, new)
    else:
        has_own_line = any((section.at + pair.key) == at for section, pair in spans.pairs(at))
        sheet.replace(at, toml_format.value(new, sheet.line_end if has_own_line else None))


def _match_items(sheet: TomlText, at: Key, old: list[Any], new: list[Any]) -> None:
    """Change, insert and remove items of an array. The common start and end stay as they are."""
    shorter = min(len(old), len(new))
    prefix = next((i for i in range(shorter) if not is_same(old[i], new[i])), shorter)
    suffix = next((i for i in range(shorter - prefix) if not is_same(old[-1 - i], new[-1 - i])), shorter - prefix)
    old_end, new_end = len(old) - suffix, len(new) - suffix
    common_end = min(old_end, new_end)
    for i in range(prefix, common_end):
        if not is_same(old[i], new[i]):
            _change(sheet, (*at, i), old[i], new[i])
    for i in reversed(range(common_end, old_end)):
        toml_arrays.remove_item(sheet, at, i)
    for i in range(common_end, new_end):
        toml_arrays.insert_item(sheet, at, i, new[i])


def _match_tables(sheet: TomlText, at: Key, old: list[TomlTable], new: list[TomlTable]) -> None:
    """Change, insert, remove and move the tables of a list, matched by identity."""
    partners = matched(str(at[-1]), old, new, by_position=True)
    kept = sorted(partners.values())
    places = {i: place for place, i in enumerate(kept)}
    toml_tables.remove(sheet, at, [i for i in range(len(old)) if i not in places])
    order = [places[partners[j]] for j in range(len(new)) if j in partners]
    if order != sorted(order):
        toml_tables.reorder(sheet, at, order)
    pairs = [(old[partners[j]], new[j]) for j in range(len(new)) if j in partners]
    if len(at) == 1:
        _match_flat_tables(sheet, at, pairs)
    for place, (before, after) in enumerate(pairs):
        if len(at) > 1 or not _is_flat(before, after):
            _match(sheet, (*at, place), before, after)
    for first, added in _runs([j for j in range(len(new)) if j not in partners]):
        toml_tables.insert(sheet, at, first, new[first : first + added])


def _match_flat_tables(sheet: TomlText, at: Key, pairs: list[tuple[TomlTable, TomlTable]]) -> None:
    """Change the tables of a list that have no tables in them, each in a text of its own.

    Each step parses its text again. For hundreds of tasks in the text of the whole page, that took minutes.
    """
    blocks = toml_tables.blocks(sheet, at)
    for place in reversed(range(len(pairs))):
        before, after = pairs[place]
        if _is_flat(before, after) and not is_same(before, after):
            start, end = blocks[place]
            block = TomlText(sheet.text[start:end], sheet.rank, sheet.line_end)
            _match(block, (*at, 0), before, after)
            sheet.put(start, end, block.text)


def _is_flat(before: TomlTable, after: TomlTable) -> bool:
    return not any(_has_tables(value) for table in (before, after) for value in table.values())


def _has_tables(value: Any) -> bool:
    return isinstance(value, Mapping) or (isinstance(value, list) and any(map(_has_tables, value)))


def _runs(numbers: list[int]) -> Iterator[tuple[int, int]]:
    """Yield the first number and the length of each run of consecutive numbers.

    >>> list(_runs([0, 1, 4]))
    [(0, 2), (4, 1)]
    """
    for place, number in enumerate(numbers):
        if not place or numbers[place - 1] != number - 1:
            length = next((n for n in range(1, len(numbers) - place) if numbers[place + n] != number + n), None)
            yield number, length or len(numbers) - place


def _add(sheet: TomlText, at: Key, value: Any) -> None:
    """Write a missing value, in the notation of its surroundings."""
    spans = sheet.outline()
    inline_table = _inline_around(spans, at)
    if inline_table is not None and not (len(inline_table) == 1 and _is_empty(spans, inline_table)):
        toml_arrays.insert_pair(sheet, inline_table, at[len(inline_table) :], value)
        return
    if inline_table is not None:  # an empty inline table: its keys can get lines of their own
        sheet.remove(inline_table)
        if not isinstance(value, Mapping):
            sheet.insert_section(inline_table, {})
        spans = sheet.outline()
    in_list = any(isinstance(part, int) for part in at)
    if isinstance(value, Mapping) and not in_list:
        _add_table(sheet, spans, at, value)
    elif _is_tables(value) and len(at) == 1:
        toml_tables.insert(sheet, at, 0, value)
    elif not (value == [] and at[-1] in (*toml_format.LISTS, *toml_format.SETTINGS_LISTS)):
        sheet.insert_pair(at, value)


def _add_table(sheet: TomlText, spans: Outline, at: Key, table: TomlTable) -> None:
    nested = {name: value for name, value in table.items() if isinstance(value, Mapping)}
    if dotted_home(spans, (*at, ""))[0] is not None:
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
    inline_table = _inline_around(sheet.outline(), at)
    if inline_table is None:
        sheet.remove(at)
    else:
        toml_arrays.remove_pair(sheet, inline_table, at[len(inline_table) :])


def _inline_around(spans: Outline, at: Key) -> Key | None:
    """Return the innermost inline table that a key is in, or would be in."""
    for depth in range(len(at) - 1, 0, -1):
        if (value := spans.value(at[:depth])) is not None and value.kind == "inline":
            return at[:depth]
    return None


def _is_empty(spans: Outline, at: Key) -> bool:
    value = spans.value(at)
    return value is not None and not value.pairs


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(part, Mapping) for part in value)
