"""Changes to lists of tables, such as `[[tasks]]`: tables inserted, removed, moved, or changed in a text of their own.

The outline of a page is computed a few times for a list, not for each of its tables: a page may have hundreds of tasks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.toml_lines import BLANK_END, TomlText


def insert(sheet: TomlText, at: Key, number: int, tables: Sequence[Mapping[str, Any]]) -> None:
    """Insert tables in a list, one after the other from a position.

    >>> sheet = TomlText('[[tasks]]\\ntitle = "Sew"\\n')
    >>> insert(sheet, ("tasks",), 1, [{"title": "Fold"}, {"title": "Press"}])
    >>> sheet.text.count("\\n\\n[[tasks]]")
    2
    """
    header = f"[[{toml_format.key(*map(str, at))}]]"
    texts = [sheet.section_text(header, (*at, number + i), table) for i, table in enumerate(tables)]
    position, in_list = _position(sheet, at, number)
    sheet.block(position, texts[0], at, in_list)
    if len(texts) == 1:
        return
    # The others stand as far apart as the second would stand from the first.
    position, _ = _position(sheet, at, number + 1)
    before, after = sheet.text[:position], sheet.text[position:]
    is_close = bool(after) and BLANK_END.search(before) is None
    gap = sheet.line_end * (1 if is_close else 2)
    sheet.block(position, gap.join(texts[1:]), at, in_list=True)


def _position(sheet: TomlText, at: Key, number: int) -> tuple[int, bool]:
    """Return the position of a new table in a list, and whether it stands beside others."""
    spans = sheet.outline()
    if (existing := spans.section((*at, number))) is not None:
        return sheet.lead(existing.header.start, spans), True
    if number > 0:
        return sheet.end_of_block(spans, (*at, number - 1)), True
    return sheet.by_order(spans, (*at, number)), at[0] in toml_format.SETTINGS_LISTS


def remove(sheet: TomlText, at: Key, numbers: Sequence[int]) -> None:
    """Remove tables of a list by their positions, with everything in them."""
    spans = sheet.outline()  # stays valid above a cut
    for number in sorted(numbers, reverse=True):
        for section in reversed(spans.within((*at, number))):
            sheet.cut(section.header.start, section.end, True, spans)


def reorder(sheet: TomlText, at: Key, order: Sequence[int]) -> None:
    """Reorder the tables of a list, each with the comments above it. The first one is the table at `order[0]`."""
    spans = sheet.outline()
    ranges = []
    for i in range(len(order)):
        section = spans.section((*at, i))
        assert section is not None, "`order` has one index for each table"
        start = sheet.lead(section.header.start, spans)
        ranges.append((start, sheet.end_of_block(spans, (*at, i))))
    bodies = [sheet.text[start:end].rstrip() for start, end in ranges]
    for (start, _), body, i in reversed(list(zip(ranges, bodies, order, strict=True))):
        sheet.put(start, start + len(body), bodies[i])


def blocks(sheet: TomlText, at: Key) -> list[tuple[int, int]]:
    """Return start and end of each table of a list, without the comments above it, up to the next table or header."""
    spans = sheet.outline()
    commented = sheet.commented(spans)
    return [
        (
            sheet.text.rfind("\n", 0, section.header.start) + 1,
            len(sheet.text) if following is None else sheet.lead(following.header.start, spans, commented),
        )
        for section, following in zip(spans.sections, [*spans.sections[1:], None], strict=True)
        if section.kind == "list" and section.at[:-1] == at
    ]
