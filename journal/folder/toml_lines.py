"""Insertion and removal of lines in a page's text: the position of a new key, and the blank lines around it.

No comment is ever removed. A comment within removed lines stays, on a line of its own.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.toml_format import Rank
from journal.folder.toml_spans import Outline, Pair, Section, outline

BLANK_END = re.compile(r"(?:\A|\n)[ \t]*\r?\n\Z")
_BLANK_LINE = re.compile(r"[ \t]*\r?\n")
_TAIL = re.compile(r"(?:[ \t]*\r?\n[ \t]*)*\Z")  # line ends and blank lines at the end of a text
_GAP = re.compile(r"(?:\r?\n[ \t]*)?\r?\n\Z")  # the line end before a block at the end, with one blank line


class TomlText:
    """The text of a page between two edits."""

    def __init__(self, text: str, rank: Rank = toml_format.rank, line_end: str = "") -> None:
        self.text = text
        self.rank = rank
        # New lines get the prevailing line end. A last line without a line end stays so.
        self.line_end = line_end or ("\r\n" if text.count("\r\n") * 2 > text.count("\n") else "\n")

    def outline(self) -> Outline:
        return outline(self.text)

    def put(self, start: int, end: int, text: str) -> None:
        """Replace a range of the text, without any adjustment."""
        self.text = self.text[:start] + text + self.text[end:]

    # --- inserting ------------------------------------------------------------------------------------------------

    def insert_pair(self, at: Key, value: Any) -> None:
        """Insert a missing key in its table, with the table's header if there is none."""
        spans = self.outline()
        section = spans.section(at[:-1])
        neighbour = None
        if section is None:
            section, neighbour = dotted_home(spans, at)
        if section is None:
            self._insert_table_for(spans, at, value)
            return
        names = [str(name) for name in at[len(section.at) :]]
        line = f"{toml_format.key(*names)} = {toml_format.value(value, self.line_end)}"
        neighbour = neighbour or _before(section, at, self.rank)
        if neighbour is not None:
            self._below(neighbour.value.span.end, self._indent(neighbour.start) + line)
        elif section.pairs:
            first = _first_later(section, at, self.rank)
            self._above(self.lead(first.start, spans), self._indent(first.start) + line)
        elif section.kind == "root":
            after = spans.sections[1:2]
            self.block(self.lead(after[0].header.start, spans) if after else len(self.text), line, at)
        else:
            self._below(section.header.end, self._indent(section.header.start) + line)

    def _insert_table_for(self, spans: Outline, at: Key, value: Any) -> None:
        if all(isinstance(part, str) for part in at):
            self.insert_section(at[:-1], {str(at[-1]): value})
            return
        # Within a table of a list, a header of its own is easily mistaken for one of the page.
        depth = next(i for i in range(len(at) - 1, 0, -1) if spans.section(at[:i]))
        for name in reversed(at[depth + 1 :]):
            value = {name: value}
        self.insert_pair(at[: depth + 1], value)

    def insert_section(self, at: Key, table: Mapping[str, Any]) -> None:
        """Insert a table with its header, at its position in the order of a page."""
        spans = self.outline()
        self.block(self.by_order(spans, at), self.section_text(f"[{toml_format.key(*map(str, at))}]", at, table), at)

    def section_text(self, header: str, at: Key, table: Mapping[str, Any]) -> str:
        last = len(toml_format.ORDER)
        of_list = at[:2] if isinstance(at[-1], int) else at[:1]
        ranks = {name: self.rank((*of_list, name)) for name in table}
        ranked = sorted(table, key=lambda name: last if ranks[name] is None else ranks[name] or 0)
        lines = [f"{toml_format.key(name)} = {toml_format.value(table[name], self.line_end)}" for name in ranked]
        return self.line_end.join([header, *lines])

    def block(self, position: int, block: str, at: Key, in_list: bool = False) -> None:
        """Insert lines, set off by blank lines from other text.

        There is none between the two strips of [hours], nor between tables of a list that stand without. So removing
        the lines again restores the text. Blank lines at the end of the text stay there.
        """
        before, after = self.text[:position], self.text[position:]
        beside_hours = at[0] == "hours" and outline(before).sections[-1].at[:1] == ("hours",)
        if not after and before.strip():
            tail = _TAIL.search(before)
            content = before[: tail.start()] if tail else before
            gap = self.line_end if beside_hours else 2 * self.line_end
            self.text = content + gap + block + before[len(content) :]
            return
        has_gap = not before.strip() or BLANK_END.search(before) is not None
        is_close = beside_hours or (in_list and not has_gap)
        before += "" if has_gap or is_close else self.line_end
        next_table = next((s.at[:1] for s in outline(after).sections[1:]), ())
        is_close = is_close if in_list else at[0] == "hours" and next_table == ("hours",)
        block += self.line_end if is_close or not after or _BLANK_LINE.match(after) else 2 * self.line_end
        self.text = before + block + after

    def _below(self, position: int, line: str) -> None:
        """Insert a line below the line of a position."""
        end = self.text.find("\n", position)
        if end < 0:
            self.text += self.line_end + line
        else:
            self.put(end + 1, end + 1, line + self.line_end)

    def _above(self, line_start: int, line: str) -> None:
        self.put(line_start, line_start, line + self.line_end)

    # --- removing -------------------------------------------------------------------------------------------------

    def remove(self, at: Key) -> None:
        """Remove the lines of a key or table, with everything in it."""
        spans = self.outline()
        sections = spans.within(at)
        dotted = [pair for section, pair in spans.pairs(at) if section not in sections]
        cuts = [(pair.start, pair.value.span.end, False) for pair in dotted]
        cuts += [(section.header.start, section.end, True) for section in sections]
        for start, end, is_block in sorted(cuts, reverse=True):
            self.cut(start, end, is_block, spans)
        parent = at[:-1]
        if parent and dotted and spans.section(parent) is None:
            remaining = self.outline()
            if not remaining.within(parent) and not any(True for _ in remaining.pairs(parent)):
                # The table existed by its dotted keys only. It stays, as an empty table.
                self.insert_pair(parent, {})

    def cut(self, start: int, end: int, is_block: bool, spans: Outline) -> None:
        text = self.text
        start = text.rfind("\n", 0, start) + 1
        line_end = text.find("\n", end)
        end = len(text) if line_end < 0 else line_end + 1
        comments = [text[c.start : c.end] for c in spans.comments if start <= c.start < end]
        kept = "".join(comment + self.line_end for comment in comments)
        if start and is_block and not kept and not text[end:].strip():
            before = text[:start]
            tail = _TAIL.search(text)
            gap = _GAP.search(before)
            self.text = (before[: gap.start()] if gap else before) + (text[tail.start() :] if tail else "")
            return
        if line_end < 0:
            kept = kept[: -len(self.line_end)] if kept else kept
            start -= 0 if kept or not start else 1 + text.endswith("\r\n", 0, start)
        elif not kept and start == 0:
            end += len(blank[0]) if (blank := _BLANK_LINE.match(text, end)) else 0
        elif not kept and is_block and self._is_between_blanks(start, end):
            start = text.rfind("\n", 0, start - 1) + 1
        self.put(start, end, kept)

    def _is_between_blanks(self, start: int, end: int) -> bool:
        """Return whether removing a range would leave two blank lines instead of one, or one at the end."""
        blank_after = end == len(self.text) or _BLANK_LINE.match(self.text, end) is not None
        return blank_after and BLANK_END.search(self.text[:start]) is not None

    def replace(self, at: Key, text: str) -> None:
        """Replace a value. Comments within the value move above the key."""
        spans = self.outline()
        value = spans.value(at)
        assert value is not None, "the caller names an existing value"
        comments = [self.text[c.start : c.end] for c in spans.comments if value.span.start <= c.start < value.span.end]
        self.put(value.span.start, value.span.end, text)
        if comments:
            outer_pair = next(
                p for s in spans.sections for p in s.pairs if p.start <= value.span.start < p.value.span.end
            )
            line = self.text.rfind("\n", 0, outer_pair.start) + 1
            self._above(line, self.line_end.join(comments))

    # --- positions ------------------------------------------------------------------------------------------------

    def by_order(self, spans: Outline, at: Key) -> int:
        """Return the position of a new table. `at` has a number for a table of a list."""
        later = _later_section(spans, at, self.rank)
        siblings = [section.at for section in spans.sections if len(at) > 1 and section.at[:1] == at[:1]]
        if siblings and (later is None or later.at not in siblings):
            return self.end_of_block(spans, siblings[-1])
        return len(self.text) if later is None else self.lead(later.header.start, spans)

    def _indent(self, position: int) -> str:
        return self.text[self.text.rfind("\n", 0, position) + 1 : position]

    def lead(self, position: int, spans: Outline, commented: Collection[int] | None = None) -> int:
        """Return the start of a position's line, or of the comments directly above it. `commented` are their lines."""
        start = self.text.rfind("\n", 0, position) + 1
        lines = self.commented(spans) if commented is None else commented
        while start and (above := self.text.rfind("\n", 0, start - 1) + 1) in lines:
            start = above
        return start

    def commented(self, spans: Outline) -> Collection[int]:
        """Return the starts of the lines that have only a comment."""
        return {self.text.rfind("\n", 0, c.start) + 1 for c in spans.comments if not self._indent(c.start).strip()}

    def end_of_block(self, spans: Outline, at: Key) -> int:
        """Return the end of a table and its subtables."""
        last = spans.within(at)[-1]
        after = next((s for s in spans.sections if s.header.start > last.header.start), None)
        return len(self.text) if after is None else self.lead(after.header.start, spans)


def dotted_home(spans: Outline, at: Key) -> tuple[Section | None, Pair | None]:
    """Return the section that writes a key's table by dotted keys, and the last such pair in it."""
    for depth in range(len(at) - 1, 0, -1):
        if spans.section(at[:depth]) is not None:
            break
        if pairs := [(section, pair) for section, pair in spans.pairs(at[:depth]) if len(section.at) < depth]:
            return pairs[-1]
    return None, None


def _before(section: Section, at: Key, rank: Rank) -> Pair | None:
    """Return the pair that a new key follows in a section, or None if the key comes first."""
    own = rank(at)
    ranks = [rank((*section.at, pair.key[0])) for pair in section.pairs]
    if own is None or all(of_pair is None for of_pair in ranks):
        return section.pairs[-1] if section.pairs else None
    before = [pair for pair, other in zip(section.pairs, ranks, strict=True) if other is not None and other <= own]
    return before[-1] if before else None


def _first_later(section: Section, at: Key, rank: Rank) -> Pair:
    own = rank(at) or 0
    ranked = ((rank((*section.at, pair.key[0])), pair) for pair in section.pairs)
    return next((pair for of_pair, pair in ranked if of_pair is not None and of_pair > own), section.pairs[0])


def _later_section(spans: Outline, at: Key, rank: Rank) -> Section | None:
    """Return the first section that comes after a table in the order of a page, or None."""
    own = _section_rank(at, rank)
    later = ((_section_rank(section.at, rank), section) for section in spans.sections[1:])
    return next((section for of_section, section in later if own and of_section and of_section > own), None)


def _section_rank(at: Key, rank: Rank) -> tuple[int, int] | None:
    own = rank(at[:1])
    within = rank(at[:2]) if at[0] == "hours" and len(at) > 1 else None
    return None if own is None else (own, -1 if within is None else within)
