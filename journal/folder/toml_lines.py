"""Lines of a page's text put in and taken out: where a new key goes, what blank line it gets, what its leaving leaves.

No comment is ever taken out. One that stood in what goes stays, as a line of its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.toml_spans import Outline, Pair, Section, outline

_BLANK_END = re.compile(r"(?:\A|\n)[ \t]*\r?\n\Z")
_BLANK_LINE = re.compile(r"[ \t]*\r?\n")


class TomlText:
    """The text of a page between two steps of changing it."""

    def __init__(self, text: str) -> None:
        self.text = text
        # New lines end as most do here. A text whose last line has no end keeps it so.
        self.line_end = "\r\n" if text.count("\r\n") * 2 > text.count("\n") else "\n"

    def outline(self) -> Outline:
        return outline(self.text)

    def put(self, start: int, end: int, text: str) -> None:
        """Put a text in place of a stretch. Nothing is looked after."""
        self.text = self.text[:start] + text + self.text[end:]

    # --- putting in -----------------------------------------------------------------------------------------------

    def insert_pair(self, at: Key, value: Any) -> None:
        """Put in a key that is missing, in the table it is of; the table's header too where there is none."""
        found = self.outline()
        section = found.section(at[:-1])
        beside = None
        if section is None:
            section, beside = dotted_home(found, at)
        if section is None:
            self._insert_table_for(found, at, value)
            return
        names = [str(name) for name in at[len(section.at) :]]
        written = f"{toml_format.key(*names)} = {toml_format.value(value, self.line_end)}"
        beside = beside or _before(section, at)
        if beside is not None:
            self._below(beside.value.span.end, self._indent(beside.start) + written)
        elif section.pairs:
            first = _first_later(section, at)
            self._above(self._lead(first.start, found), self._indent(first.start) + written)
        elif section.kind == "root":
            after = found.sections[1:2]
            self._block(self._lead(after[0].header.start, found) if after else len(self.text), written, at)
        else:
            self._below(section.header.end, self._indent(section.header.start) + written)

    def _insert_table_for(self, found: Outline, at: Key, value: Any) -> None:
        if all(isinstance(part, str) for part in at):
            self.insert_section(at[:-1], {str(at[-1]): value})
            return
        # Within one table of a list a header of its own would be easy to take for one of the page.
        depth = next(i for i in range(len(at) - 1, 0, -1) if found.section(at[:i]))
        for name in reversed(at[depth + 1 :]):
            value = {name: value}
        self.insert_pair(at[: depth + 1], value)

    def insert_section(self, at: Key, table: Mapping[str, Any]) -> None:
        """Put in a table with its header, at its place in the order of a page."""
        found = self.outline()
        self._block(self._by_order(found, at), self._section_text(f"[{toml_format.key(*map(str, at))}]", at, table), at)

    def insert_table(self, at: Key, number: int, table: Mapping[str, Any]) -> None:
        """Put one more table in a list of them, at a position."""
        found = self.outline()
        header = f"[[{toml_format.key(*map(str, at))}]]"
        if (here := found.section((*at, number))) is not None:
            place = self._lead(here.header.start, found)
        elif number > 0:
            place = self._end_of_block(found, (*at, number - 1))
        else:
            place = self._by_order(found, at)
        self._block(place, self._section_text(header, at, table), at)

    def reorder(self, at: Key, order: list[int]) -> None:
        """Let the tables of a list change places, each with the comments above it: first what was at `order[0]`."""
        found = self.outline()
        spans = []
        for i in range(len(order)):
            section = found.section((*at, i))
            assert section is not None, "there are as many tables as places"
            start = self._lead(section.header.start, found)
            spans.append((start, self._end_of_block(found, (*at, i))))
        bodies = [self.text[start:end].rstrip() for start, end in spans]
        for (start, _), body, i in reversed(list(zip(spans, bodies, order, strict=True))):
            self.put(start, start + len(body), bodies[i])

    def _section_text(self, header: str, at: Key, table: Mapping[str, Any]) -> str:
        last = len(toml_format.ORDER)
        ranks = {name: toml_format.rank((*at[:1], name)) for name in table}
        ranked = sorted(table, key=lambda name: last if ranks[name] is None else ranks[name] or 0)
        lines = [f"{toml_format.key(name)} = {toml_format.value(table[name], self.line_end)}" for name in ranked]
        return self.line_end.join([header, *lines])

    def _block(self, place: int, block: str, at: Key) -> None:
        """Put in lines with a blank line before and after, where other things stand; none between the two hours."""
        before, after = self.text[:place], self.text[place:]
        unended = bool(before) and not before.endswith("\n")
        before += self.line_end if unended else ""
        found = outline(before)
        beside_hours = at[0] == "hours" and found.sections[-1].at[:1] == ("hours",)
        if before.strip() and not _BLANK_END.search(before) and not beside_hours:
            before += self.line_end
        if after:
            follows = next((s.at[:1] for s in outline(after).sections[1:]), ())
            is_hours = at[0] == "hours" and follows == ("hours",)
            block += self.line_end if is_hours or _BLANK_LINE.match(after) else 2 * self.line_end
        elif not unended:
            block += self.line_end
        self.text = before + block + after

    def _below(self, place: int, line: str) -> None:
        """Put in a line below that of a place."""
        end = self.text.find("\n", place)
        if end < 0:
            self.text += self.line_end + line
        else:
            self.put(end + 1, end + 1, line + self.line_end)

    def _above(self, line_start: int, line: str) -> None:
        self.put(line_start, line_start, line + self.line_end)

    # --- taking out -----------------------------------------------------------------------------------------------

    def remove(self, at: Key) -> None:
        """Take out the lines of a key or table and of all that is in it."""
        found = self.outline()
        sections = found.within(at)
        dotted = [pair for section, pair in found.pairs(at) if section not in sections]
        cuts = [(pair.start, pair.value.span.end, False) for pair in dotted]
        cuts += [(section.header.start, section.end, True) for section in sections]
        for start, end, is_block in sorted(cuts, reverse=True):
            self._cut(start, end, is_block, found)
        parent = at[:-1]
        if parent and dotted and found.section(parent) is None:
            left = self.outline()
            if not left.within(parent) and not any(True for _ in left.pairs(parent)):
                # It was there by its dotted keys alone; it still is when the last has gone, though empty.
                self.insert_pair(parent, {})

    def _cut(self, start: int, end: int, is_block: bool, found: Outline) -> None:
        text = self.text
        start = text.rfind("\n", 0, start) + 1
        line_end = text.find("\n", end)
        end = len(text) if line_end < 0 else line_end + 1
        comments = [text[c.start : c.end] for c in found.comments if start <= c.start < end]
        left = "".join(comment + self.line_end for comment in comments)
        if line_end < 0:
            left = left[: -len(self.line_end)] if left else left
            start -= 0 if left or not start else 1 + text.endswith("\r\n", 0, start)
        elif not left and start == 0:
            end += len(blank[0]) if (blank := _BLANK_LINE.match(text, end)) else 0
        elif not left and is_block and self._is_between_blanks(start, end):
            start = text.rfind("\n", 0, start - 1) + 1
        self.put(start, end, left)

    def _is_between_blanks(self, start: int, end: int) -> bool:
        """Whether taking a stretch out would leave two blank lines where one was, or one at the end."""
        follows = end == len(self.text) or _BLANK_LINE.match(self.text, end) is not None
        return follows and _BLANK_END.search(self.text[:start]) is not None

    def replace(self, at: Key, text: str) -> None:
        """Put a text in place of a value; comments within the value go above the key."""
        found = self.outline()
        value = found.value(at)
        assert value is not None, "there is a value to replace"
        inside = [self.text[c.start : c.end] for c in found.comments if value.span.start <= c.start < value.span.end]
        self.put(value.span.start, value.span.end, text)
        if inside:
            top = next(p for s in found.sections for p in s.pairs if p.start <= value.span.start < p.value.span.end)
            line = self.text.rfind("\n", 0, top.start) + 1
            self._above(line, self.line_end.join(inside))

    # --- places ---------------------------------------------------------------------------------------------------

    def _by_order(self, found: Outline, at: Key) -> int:
        """Where a new table's lines go."""
        later = _later_section(found, at)
        return len(self.text) if later is None else self._lead(later.header.start, found)

    def _indent(self, place: int) -> str:
        return self.text[self.text.rfind("\n", 0, place) + 1 : place]

    def _lead(self, place: int, found: Outline) -> int:
        """Where the line of a place starts, or the first of the comments that stand right above it."""
        start = self.text.rfind("\n", 0, place) + 1
        lines = {self.text.rfind("\n", 0, c.start) + 1 for c in found.comments if not self._indent(c.start).strip()}
        while start and (above := self.text.rfind("\n", 0, start - 1) + 1) in lines:
            start = above
        return start

    def _end_of_block(self, found: Outline, at: Key) -> int:
        """Where what follows a table and the tables in it begins."""
        last = found.within(at)[-1]
        after = next((s for s in found.sections if s.header.start > last.header.start), None)
        return len(self.text) if after is None else self._lead(after.header.start, found)


def dotted_home(found: Outline, at: Key) -> tuple[Section | None, Pair | None]:
    """Where a table that a key is of is written by dotted keys: the section, and the last such pair in it."""
    for depth in range(len(at) - 1, 0, -1):
        if found.section(at[:depth]) is not None:
            break
        if pairs := [(section, pair) for section, pair in found.pairs(at[:depth]) if len(section.at) < depth]:
            return pairs[-1]
    return None, None


def _before(section: Section, at: Key) -> Pair | None:
    """The pair of a section below which a new key goes; None where it comes before them all."""
    own = toml_format.rank(at)
    ranks = [toml_format.rank((*section.at, pair.key[0])) for pair in section.pairs]
    if own is None or all(rank is None for rank in ranks):
        return section.pairs[-1] if section.pairs else None
    before = [pair for pair, rank in zip(section.pairs, ranks, strict=True) if rank is not None and rank <= own]
    return before[-1] if before else None


def _first_later(section: Section, at: Key) -> Pair:
    own = toml_format.rank(at) or 0
    ranked = ((toml_format.rank((*section.at, pair.key[0])), pair) for pair in section.pairs)
    return next((pair for rank, pair in ranked if rank is not None and rank > own), section.pairs[0])


def _later_section(found: Outline, at: Key) -> Section | None:
    """The first section that comes after a table by the order of a page; None where there is none such."""
    own = _section_rank(at)
    later = ((_section_rank(section.at), section) for section in found.sections[1:])
    return next((section for rank, section in later if own and rank and rank > own), None)


def _section_rank(at: Key) -> tuple[int, int] | None:
    own = toml_format.rank(at[:1])
    within = toml_format.rank(at[:2]) if at[0] == "hours" and len(at) > 1 else None
    return None if own is None else (own, -1 if within is None else within)
