"""The statements of a TOML text that may be broken: headers, and keys with their values, as ranges of rows.

A statement that is valid has exactly its own rows, however many. One that is broken ends where the next one certainly
begins: at a header, or at a line "key = ...". So a bracket or a quote that was never closed does not take the rest of
the file along. One pass; no row is looked at more than a few times, whatever the text is.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Literal

import msgspec

from journal.folder.toml_spans import STRINGS

_NAME = r"(?:[A-Za-z0-9_-]++|\"[^\"\n]*+\"|'[^'\n]*+')"
KEY_START = re.compile(rf"[ \t]*+(?P<key>{_NAME}(?:[ \t]*+\.[ \t]*+{_NAME})*+)[ \t]*+=")
"""The start of a line that can only be a key with its value, except within an inline table or a long text."""

# No value of an array: it would be a list of a bare word.
_HEADER = re.compile(
    rf"[ \t]*+\[\[?[ \t]*+(?!(?:true|false|inf|nan)\b)[A-Za-z_][A-Za-z0-9_-]*+(?:[ \t]*+\.[ \t]*+{_NAME})*+[ \t]*+\]\]?"
    r"[ \t]*+(?:#|\r?$)"
)
_HEADER_FIRST = re.compile(rf"\[\[?[ \t]*+[A-Za-z_][A-Za-z0-9_-]*+(?:[ \t]*+\.[ \t]*+{_NAME})*+[ \t]*+\]")
_SWALLOWED = re.compile(r"[^=,\[\s]\s*\[{1,2}[A-Za-z_][\w.\-]*\]{1,2}\s*$")
_TOKEN = re.compile(
    r"""(?P<blank>[ \t\r]++)|(?P<comment>\#[^\n]*+)|(?P<line>\n)|(?P<open>[\[{])|(?P<close>[\]}])|(?P<comma>,)
    |(?P<text>"(?:[^"\\\n]|\\[^\n])*+"|'[^'\n]*+')|(?P<word>[^\s"'\#\[\]{},]++|[^\S\n])""",
    re.VERBOSE,
)
_CONTROL = re.compile(r"[\x00-\x08\x0a-\x1f\x7f]")  # not even in a comment
_AFTER_LONG_TEXT = re.compile(r"[ \t]*+(?:[\]},#\r\n]|\Z)")
OURS, BASE, THEIRS, END = "<<<<<<<", "|||||||", "=======", ">>>>>>>"  # two versions put together by a version control
_MARKERS = (OURS, BASE, THEIRS, END)


class Statement(msgspec.Struct, frozen=True):
    """A statement by its first and last row, from 0, both included.

    A line that is neither a header nor a key is "other". "ours" and "theirs" are what one version control leaves of
    two versions: the line above the first, and all of the second, with its markers.
    """

    first: int
    last: int
    kind: Literal["header", "pair", "other", "ours", "theirs"]


def statements(text: str) -> list[Statement]:
    """Return the statements of a text, in order. Blank lines and comments between them belong to none.

    >>> [(s.first, s.last, s.kind) for s in statements('words = ["low",\\n"high"]\\ntitle = "Spine\\n[day]\\nturns')]
    [(0, 1, 'pair'), (2, 2, 'pair'), (3, 3, 'header'), (4, 4, 'other')]
    >>> [(s.first, s.last) for s in statements('week = ["What carried?",\\n\\n[mood]\\nlow = 1')]
    [(0, 0), (2, 2), (3, 3)]
    """
    return _StatementScan(text).read()


def unclosed(text: str) -> tuple[int, str] | None:
    """Return the position and the signs of what is open at the end of one statement; None if nothing is.

    A quote that is not closed in its line is left to the parser, which stops there.

    >>> unclosed('words = [["low"], "high"'), unclosed("clock = 12")
    ((8, '['), None)
    """
    key, opened = KEY_START.match(text), list[int]()
    at = len(text) if key is None else key.end()
    while at < len(text):
        if text.startswith(('"""', "'''"), at):
            quotes = text[at : at + 3]
            match = STRINGS[quotes].match(text, at)
            if match is None:
                return at, quotes
            at = match.end()
            continue
        token = _TOKEN.match(text, at)
        if token is None:
            return None
        if token.lastgroup == "open":
            opened.append(at)
        elif token.lastgroup == "close":
            opened = opened[:-1]
        at = token.end()
    return (opened[-1], text[opened[-1]]) if opened else None


def swallows_header(line: str) -> bool:
    """Return whether the end of a broken line reads like the header of the next table.

    >>> swallows_header("from = 2025-01-01[[habits]]"), swallows_header("words = [heavy]")
    (True, False)
    """
    return _SWALLOWED.search(line.partition("#")[0]) is not None


class _StatementScan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.rows = text.split("\n")
        self.starts = [0]  # of each row, in the text
        for line in self.rows[:-1]:
            self.starts.append(self.starts[-1] + len(line) + 1)
        self.endless = False  # a long text that is not closed was seen: none after it is closed either
        self.unclosed_to = 0  # the row to which an inline table was scanned in vain
        self.markers = {m: [r for r, line in enumerate(self.rows) if line.startswith(m)] for m in _MARKERS}

    def read(self) -> list[Statement]:
        found: list[Statement] = []
        row = 0
        while row < len(self.rows):
            is_end = row == len(self.rows) - 1
            line = self.rows[row].removesuffix("" if is_end else "\r").strip(" \t")
            if line and (line[0] != "#" or _CONTROL.search(line)):
                found.append(self._statement(row, line))
                row = found[-1].last
            row += 1
        return found

    def _statement(self, row: int, line: str) -> Statement:
        if line.startswith(_MARKERS):
            return self._version(row, line)
        if (key := KEY_START.match(self.text, self.starts[row])) is not None:
            return Statement(row, self._end_of_pair(row, key.end()), "pair")
        return Statement(row, row, "header" if _reads_like_header(line) else "other")

    def _version(self, row: int, line: str) -> Statement:
        """Return the statement of a marker: the second version is left out whole, so that the first can apply."""
        end = self._next_marker(END, row)
        if line.startswith(OURS):
            return Statement(row, row, "other" if end is None else "ours")
        return Statement(row, row, "other") if end is None or line.startswith(END) else Statement(row, end, "theirs")

    def _next_marker(self, marker: str, row: int) -> int | None:
        """Return the next row with a marker, if it comes before that of another pair of versions."""
        rows, others = self.markers[marker], self.markers[OURS]
        at, other = bisect_right(rows, row), bisect_right(others, row)
        if at == len(rows) or (other < len(others) and others[other] < rows[at]):
            return None
        return rows[at]

    def _end_of_pair(self, first: int, at: int) -> int:
        """Return the last row of a pair whose value starts at a position."""
        row, opened, before = first, list[str](), "="
        while at < len(self.text):
            if self.text.startswith(('"""', "'''"), at):
                end = self._end_of_long_text(at)
                if end is None:
                    return self._cut_short(first, len(self.rows))
                row, at, before = row + self.text.count("\n", at, end), end, '"'
                continue
            token = _TOKEN.match(self.text, at)
            if token is None:  # a quote that is not closed in its line
                at, before = self._end_of_row(row), '"'
                continue
            kind, at = token.lastgroup, token.end()
            if kind == "line":
                if not opened:
                    return row
                if self._is_anew(row + 1, opened[-1], before):
                    return self._cut_short(first, row + 1)
                if opened[-1] == "{" and first < self.unclosed_to:
                    return first
                row += 1
            elif kind == "close":
                opened = opened[:-1]
                before = token[0]
            elif kind not in ("blank", "comment"):
                opened += [token[0]] if kind == "open" else []
                before = token[0]
        return self._cut_short(first, len(self.rows)) if opened else row

    def _end_of_row(self, row: int) -> int:
        return self.starts[row] + len(self.rows[row])

    def _is_anew(self, row: int, bracket: str, before: str) -> bool:
        """Return whether a row certainly begins a statement, although a bracket is still open."""
        line = self.rows[row]
        if _HEADER.match(line) or line.startswith(_MARKERS):
            return True
        return KEY_START.match(line) is not None and (bracket == "[" or before not in ("{", ","))

    def _cut_short(self, first: int, end: int) -> int:
        """Return the last row of a broken statement that was scanned up to the row `end`."""
        self.unclosed_to = max(self.unclosed_to, end)
        row = first + 1
        while row < end and not (KEY_START.match(self.rows[row]) or _HEADER.match(self.rows[row])):
            row += 1
        while not (line := self.rows[row - 1].strip()) or line[0] == "#":
            row -= 1
        return row - 1

    def _end_of_long_text(self, at: int) -> int | None:
        """Return the end of a text in three quotes; None if it has none, or has run into the start of the next."""
        if self.endless:
            return None
        match = STRINGS[self.text[at : at + 3]].match(self.text, at)
        if match is None:
            self.endless = True
            return None
        # A text that ends in "key =" has taken the opening quotes of that key's text for its own closing ones.
        _, is_long, last_row = match[0][3:-3].rpartition("\n")
        runs_over = is_long and (key := KEY_START.match(last_row)) and not last_row[key.end() :].strip()
        return None if runs_over or not _AFTER_LONG_TEXT.match(self.text, match.end()) else match.end()


def _reads_like_header(line: str) -> bool:
    """Return whether a line that is no key is a header, or was meant as one: a name in brackets, or in one of them."""
    if _HEADER_FIRST.match(line.removeprefix('"""').lstrip(",.=:;")):  # also with the next line run into it
        return True
    code = line.partition("#")[0]
    is_in_brackets = "[" in code or "]" in code
    return is_in_brackets and "," not in code and code.count('"') + code.count("'") < 2 and any(map(str.isalpha, code))
