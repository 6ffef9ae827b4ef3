"""Changes to the parts of an array or inline table, with their commas and comments."""

from __future__ import annotations

from typing import Any

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.toml_lines import TomlText
from journal.folder.toml_spans import TextSpan, TomlValue


def insert_item(sheet: TomlText, at: Key, number: int, item: Any) -> None:
    """Insert an item in an array at a position, on a line of its own if the others have one.

    >>> sheet = TomlText('gratitude = [\\n  "Bread.", # warm\\n]\\n')
    >>> insert_item(sheet, ("gratitude",), 1, "Rain.")
    >>> print(sheet.text)
    gratitude = [
      "Bread.", # warm
      "Rain.",
    ]
    <BLANKLINE>
    """
    array = _value(sheet, at)
    _insert(sheet, array, [part.span for part in array.items], number, toml_format.value(item))


def remove_item(sheet: TomlText, at: Key, number: int) -> None:
    """Remove an item from an array, with its comma."""
    array = _value(sheet, at)
    _remove(sheet, array, [part.span for part in array.items], number)


def insert_pair(sheet: TomlText, at: Key, names: Key, value: Any) -> None:
    """Insert a key in an inline table, after the others."""
    table = _value(sheet, at)
    text = f"{toml_format.key(*map(str, names))} = {toml_format.value(value)}"
    _insert(sheet, table, _pairs(table), len(table.pairs), text)


def remove_pair(sheet: TomlText, at: Key, names: Key) -> None:
    """Remove a key from an inline table, with everything in it."""
    table = _value(sheet, at)
    for number in reversed(range(len(table.pairs))):
        if table.pairs[number].key[: len(names)] == names:
            table = _value(sheet, at)
            _remove(sheet, table, _pairs(table), number)


def _value(sheet: TomlText, at: Key) -> TomlValue:
    value = sheet.outline().value(at)
    assert value is not None, "the caller names an existing value"
    return value


def _pairs(table: TomlValue) -> list[TextSpan]:
    return [TextSpan(pair.start, pair.value.span.end) for pair in table.pairs]


def _insert(sheet: TomlText, whole: TomlValue, parts: list[TextSpan], number: int, new: str) -> None:
    text = sheet.text
    if not parts:
        sheet.put(whole.span.start + 1, whole.span.start + 1, new)
        return
    line = text.rfind("\n", 0, parts[max(number - 1, 0)].start) + 1
    indent = text[line : parts[max(number - 1, 0)].start]
    own_line = line > whole.span.start and not indent.strip()
    between = f",{sheet.line_end}{indent}" if own_line else ", "
    if number == 0:
        sheet.put(parts[0].start, parts[0].start, new + between)
        return
    end = parts[number - 1].end
    comma = _comma(sheet, end, parts[number].start if number < len(parts) else whole.span.end)
    line_end = text.find("\n", end if comma is None else comma)
    line_end -= text.endswith("\r\n", 0, line_end + 1)
    following = parts[number].start if number < len(parts) else whole.span.end - 1
    if not own_line or not end <= line_end <= following:
        sheet.put(end, end, between + new)
        return
    # After a comment at the end of the line, which belongs to the previous part.
    sheet.put(line_end, line_end, f"{sheet.line_end}{indent}{new}" + ("," if comma is not None else ""))
    if comma is None:
        sheet.put(end, end, ",")


def _remove(sheet: TomlText, whole: TomlValue, parts: list[TextSpan], number: int) -> None:
    text, (start, end) = sheet.text, (parts[number].start, parts[number].end)
    is_last = number == len(parts) - 1
    comma = _comma(sheet, end, whole.span.end - 1 if is_last else parts[number + 1].start)
    if not is_last:
        assert comma is not None, "a comma follows every part but the last"
        rest = text[end:comma] + text[comma + 1 : parts[number + 1].start]
        sheet.put(start, parts[number + 1].start, rest.lstrip(" \t\r\n") if "#" in rest else "")
        return
    if comma is not None and number:
        sheet.put(comma, comma + 1, "")  # the comma of the previous part becomes the last one
    elif comma is not None:
        sheet.put(start, comma + 1, text[end:comma])
        return
    before = parts[number - 1].end if number else start
    kept = text[before:start]
    after = text[end : whole.span.end]
    if "#" in kept:
        has_comment_behind = after.lstrip(" \t,").startswith("#")
        sheet.put(before, end, kept if has_comment_behind else kept.rstrip(" \t\r\n") + _line_end(sheet, after))
    else:
        sheet.put(before, end, "," if comma is not None and number else "")


def _line_end(sheet: TomlText, after: str) -> str:
    """Return the line end that a preceding comment needs, or an empty text if there is one."""
    return "" if after.lstrip(" \t,").startswith(("\n", "\r\n")) else sheet.line_end


def _comma(sheet: TomlText, start: int, end: int) -> int | None:
    """Return the position of the comma between two positions, outside comments."""
    comments = [c for c in sheet.outline().comments if start <= c.start < end]
    place = sheet.text.find(",", start, end)
    while place >= 0 and (inside := [c for c in comments if c.start <= place < c.end]):
        place = sheet.text.find(",", inside[0].end, end)
    return place if place >= 0 else None
