"""The character spans of tables, keys and values in a TOML text, for edits that leave all else unchanged.

The text must have been parsed already (by `toml_read.values`): this scan only looks for the ends of tokens and does not
validate, so it covers TOML 1.0 and 1.1 alike. No library offers both: tomlkit keeps no positions,
and the grammars of syntax trees know TOML 1.0 only.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from typing import Literal

import msgspec
import rtoml

from journal.folder.faults import Key


class TextSpan(msgspec.Struct, frozen=True):
    """A range of the text: its first character, and the one after its last."""

    start: int
    end: int


class TomlValue(msgspec.Struct, frozen=True):
    """A value: `items` are those of an array, `pairs` those of an inline table."""

    span: TextSpan
    kind: Literal["plain", "array", "inline"] = "plain"
    items: tuple[TomlValue, ...] = ()
    pairs: tuple[Pair, ...] = ()


class Pair(msgspec.Struct, frozen=True):
    """A key (several names if it is dotted) with its value. `start` is where the key starts."""

    key: tuple[str, ...]
    start: int
    value: TomlValue


class Section(msgspec.Struct, frozen=True):
    """A header with the pairs below it. `at` includes the position in each list of tables on the path."""

    kind: Literal["root", "table", "list"]
    at: Key
    header: TextSpan
    pairs: list[Pair]

    @property
    def end(self) -> int:
        """The end of its last value, or of its header if it has no pairs."""
        return self.pairs[-1].value.span.end if self.pairs else self.header.end


class Outline(msgspec.Struct, frozen=True):
    """The sections in the order of the text, and all comments. The first section is the text before any header."""

    sections: list[Section]
    comments: list[TextSpan]

    def section(self, at: Key) -> Section | None:
        """Return the section whose header has exactly this path."""
        return next((s for s in self.sections if s.at == at), None)

    def within(self, at: Key) -> list[Section]:
        """Return the sections of a table and of its subtables."""
        return [s for s in self.sections if s.at[: len(at)] == at and s.kind != "root"]

    def pairs(self, at: Key) -> Iterator[tuple[Section, Pair]]:
        """Yield the pairs at or below a path, outside inline tables."""
        for section in self.sections:
            for pair in section.pairs:
                if (section.at + pair.key)[: len(at)] == at:
                    yield section, pair

    def value(self, at: Key) -> TomlValue | None:
        """Return the value at a path, however deep in arrays and inline tables, or None if it is missing or a table."""
        for section in self.sections:
            rest = at[len(section.at) :]
            if section.at == at[: len(section.at)] and (found := _among(tuple(section.pairs), rest)):
                return found
        return None


def _among(pairs: tuple[Pair, ...], rest: Key) -> TomlValue | None:
    for pair in pairs:
        if rest and rest[: len(pair.key)] == pair.key:
            return _descend(pair.value, rest[len(pair.key) :])
    return None


def _descend(value: TomlValue, rest: Key) -> TomlValue | None:
    if not rest:
        return value
    part = rest[0]
    if isinstance(part, int):
        return _descend(value.items[part], rest[1:]) if part < len(value.items) else None
    return _among(value.pairs, rest)


@functools.lru_cache(maxsize=8)  # a save asks for each text again: at its rehearsal, and for each change
def outline(text: str) -> Outline:
    """Return the outline of a TOML text without a byte order mark.

    >>> spans = outline('mood = 4  # bright\\n[[tasks]]\\n[[tasks]]\\ntags = ["a", "b"]\\n')
    >>> [section.at for section in spans.sections]
    [(), ('tasks', 0), ('tasks', 1)]
    >>> spans.value(("tasks", 1, "tags", 1)).span, spans.comments
    (TextSpan(start=52, end=55), [TextSpan(start=10, end=18)])
    """
    return _Scan(text).sections()


_BLANK = re.compile(r"[ \t]*+")
_BARE = re.compile(r"[^\s.=\[\]{}\"'#,]++")
_PLAIN = re.compile(r"[^,\]}#\r\n]++")
STRINGS = {
    '"""': re.compile(r'"""(?:[^"\\]++|\\.|"{1,2}(?!"))*+"{3,5}', re.DOTALL),
    "'''": re.compile(r"'''(?:[^']++|'{1,2}(?!'))*+'{3,5}"),
    '"': re.compile(r'"(?:[^"\\]++|\\.)*+"'),
    "'": re.compile(r"'[^']*+'"),
}


class _Scan:
    """One pass over the text, from its start to its end."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.comments: list[TextSpan] = []
        self.counts: dict[Key, int] = {}  # by list, its number of tables so far

    def sections(self) -> Outline:
        section = Section("root", (), TextSpan(0, 0), [])
        sections = [section]
        while self._skip() < len(self.text):
            if self.text[self.at] == "[":
                section = self._header()
                sections.append(section)
            else:
                section.pairs.append(self._pair())
        return Outline(sections, self.comments)

    def _skip(self) -> int:
        """Skip blanks, line ends and comments."""
        while True:
            blank = _BLANK.match(self.text, self.at)
            self.at = blank.end() if blank else self.at
            if self.text.startswith("#", self.at):
                end = self.text.find("\n", self.at)
                end = len(self.text) if end < 0 else end - (self.text[end - 1] == "\r")
                self.comments.append(TextSpan(self.at, end))
                self.at = end
            elif self.text.startswith(("\n", "\r\n"), self.at):
                self.at = self.text.index("\n", self.at) + 1
            else:
                return self.at

    def _header(self) -> Section:
        start, kind = self.at, "list" if self.text.startswith("[[", self.at) else "table"
        self.at += 2 if kind == "list" else 1
        *path, last = self._key()
        self.at += 2 if kind == "list" else 1
        table = (*self._in_last(tuple(path)), last)
        if kind == "list":
            number = self.counts.get(table, 0)
            self.counts[table] = number + 1
            return Section("list", (*table, number), TextSpan(start, self.at), [])
        return Section("table", table, TextSpan(start, self.at), [])

    def _in_last(self, names: tuple[str, ...]) -> Key:
        """Return the path that a header's names mean: into the last table of each list of tables."""
        path: Key = ()
        for name in names:
            path = (*path, name)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def _key(self) -> tuple[str, ...]:
        names = []
        while True:
            self._skip()
            if self.text[self.at] in "\"'":
                span = self._string()
                names.append(next(iter(rtoml.loads(f"{self.text[span.start : span.end]} = 0"))))
            else:
                match = _BARE.match(self.text, self.at)
                assert match is not None, "the text is valid TOML, so a key starts here"
                names.append(match[0])
                self.at = match.end()
            if self.text[self._skip()] != ".":
                return tuple(names)
            self.at += 1

    def _pair(self) -> Pair:
        start = self.at
        key = self._key()
        self.at += 1  # the equals sign
        self._skip()
        return Pair(key, start, self._value())

    def _value(self) -> TomlValue:
        sign = self.text[self.at]
        if sign in "\"'":
            return TomlValue(self._string())
        if sign not in "[{":
            match = _PLAIN.match(self.text, self.at)
            assert match is not None, "the text is valid TOML, so a value starts here"
            start, self.at = self.at, self.at + len(match[0].rstrip(" \t"))
            return TomlValue(TextSpan(start, self.at))
        start, close = self.at, "]" if sign == "[" else "}"
        items: list[TomlValue] = []
        pairs: list[Pair] = []
        self.at += 1
        while self.text[self._skip()] != close:
            if sign == "[":
                items.append(self._value())
            else:
                pairs.append(self._pair())
            if self.text[self._skip()] == ",":
                self.at += 1
        self.at += 1
        return TomlValue(TextSpan(start, self.at), "array" if sign == "[" else "inline", tuple(items), tuple(pairs))

    def _string(self) -> TextSpan:
        start = self.at
        opening = next(quotes for quotes in STRINGS if self.text.startswith(quotes, start))
        match = STRINGS[opening].match(self.text, start)
        assert match is not None, "the text is valid TOML, so the string ends"
        self.at = match.end()
        return TextSpan(start, self.at)
