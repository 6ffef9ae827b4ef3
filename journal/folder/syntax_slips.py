"""What is wrong with a TOML text, read off the text alone: for a parser whose messages are not known.

The parser says in words of its own what it did not expect. A newer one may say it otherwise, or leave the place out.
Then the slip is looked for here, and gets the known message for it (`syntax_words`). A known message of the parser goes
first, since it knows its language better.
"""

from __future__ import annotations

import re

import rtoml

from journal.folder.toml_spans import STRINGS
from journal.folder.toml_statements import KEY_START, Statement, statements

_DEEPEST = 80
_UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_LONE_RETURN = re.compile(r"\r(?!\n|\Z)")
_KEY = re.compile(r"[ \t]*([A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')?")
_BAD_ESCAPE = re.compile(r"\\(?:[^btnfre\"\\uUx\s]|x(?![0-9A-Fa-f]{2})|u(?![0-9A-Fa-f]{4})|U(?![0-9A-Fa-f]{8}))")
_ESCAPED = re.compile(r"\\.", re.DOTALL)
_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BLANK = re.compile(r"[ \t]*")
_WORD = re.compile(r"[^\s#,\[\]{}\"'=]+")
_TEXT = {"\"": "invalid basic string, expected `\"`", "'": "invalid literal string, expected `'`"}  # fmt: skip
_OF_WORDS = (
    (re.compile(r"\d{4}-\d"), "invalid date"),
    (re.compile(r"\d{1,2}:\d\d"), "invalid time"),
    (re.compile(r"(?i:true|false)$"), "invalid boolean"),
    (re.compile(r"[+-]?\d{39,}$"), "integer number overflowed"),
    (re.compile(r"[+-]?\d+(?:\.\d+)?[eE]\+?\d{3,}$"), "floating-point number overflowed"),
    (re.compile(r"[+-]?[\d.]"), "invalid integer"),
)


def slip(source: str) -> tuple[int, str]:
    """Return where one statement that the parser rejects goes wrong, and the known message for it.

    >>> slip("mood = good"), slip('memory = "Sewn.'), slip("mood 4"), slip('notes = ["a" "b"]')[1]
    ((7, 'string values must be quoted'), (15, 'invalid basic string, expected `"`'), (5, 'key with no value'), \
'missing comma between array elements')
    """
    for signs, message in ((_UNSEEN, "invalid comment character"), (_LONE_RETURN, "carriage return")):
        if unseen := signs.search(source):
            return unseen.start() + (message == "carriage return"), message
    start = len(source) - len(source.lstrip(" \t"))
    if source.startswith("[", start):
        return _of_header(source, start)
    key = KEY_START.match(source)
    return _of_key(source, start) if key is None else _SlipScan(source).pair(key.end())


def repeated(source: str) -> tuple[int, str]:
    """Return the first statement that does not go with those above it, where each is valid alone.

    >>> repeated("mood = 4\\nenergy = 3\\nmood = 5\\n")
    (20, 'duplicate key')
    """
    found, rows = statements(source), source.split("\n")
    low, high = 0, len(found) - 1
    while low < high:  # the first so many statements are valid together, one more are not
        middle = (low + high) // 2
        if _is_valid("\n".join(rows[: found[middle].last + 1])):
            low = middle + 1
        else:
            high = middle
    return (_start(rows, found[low]) if found else 0), "duplicate key"


def _start(rows: list[str], statement: Statement) -> int:
    line = rows[statement.first]
    return sum(len(row) + 1 for row in rows[: statement.first]) + len(line) - len(line.lstrip(" \t["))


def _is_valid(text: str) -> bool:
    try:
        rtoml.loads(text)
    except rtoml.TomlParsingError:
        return False
    return True


def _of_header(source: str, start: int) -> tuple[int, str]:
    code = source.partition("\n")[0].partition("#")[0].rstrip()
    brackets = len(code) - len(code.rstrip("]"))
    wanted = 2 if source.startswith("[[", start) else 1
    if brackets < wanted:
        return len(code), "unclosed array table" if wanted == 2 else "unclosed table"
    return start, "invalid table"


def _of_key(source: str, start: int) -> tuple[int, str]:
    line = source.partition("\n")[0]
    if line.startswith("=", start):
        return start, "unquoted keys cannot be empty"
    key = _KEY.match(line)
    if key is None or key[1] is None or (line[key.end() :].strip() and line[key.end()] not in " \t:"):
        return start, "invalid unquoted key" if "=" in line else "unexpected content"
    at = key.end()
    at += len(line) - at - len(line[at:].lstrip(" \t:"))
    return at, "missing table open" if line[at:].startswith("]") else "key with no value"


class _SlipScan:
    """A walk over the value of a key, to where it can no longer go on."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.opened: list[str] = []

    def pair(self, at: int) -> tuple[int, str]:
        """Return the place and the message for the value of a key that starts at a position."""
        at = self._skip(at, _BLANK)
        if self.source.startswith("=", at):
            return at, "extra `=`"
        while True:
            at, message = self._part(at)
            if message:
                return at, message
            at = self._skip(at, _SPACE if self.opened else _BLANK)
            at, message, is_done = self._between(at)
            if message or is_done:
                return at, message or "unexpected content"

    def _skip(self, at: int, what: re.Pattern[str]) -> int:
        match = what.match(self.source, at)
        return at if match is None else match.end()

    def _part(self, at: int) -> tuple[int, str]:
        """Return the end of a value, or of a bracket that opens, or the place and the message of what is wrong."""
        sign = self.source[at : at + 1]
        if sign in "[{" and sign:
            self.opened.append(sign)
            if len(self.opened) > _DEEPEST:
                return at, "cannot recurse"
            return self._opened(at + 1)
        if sign in "\"'" and sign:
            return self._string(at, sign)
        word = _WORD.match(self.source, at)
        if word is None or _is_valid(f"a = {word[0]}"):
            return (at, "string values must be quoted") if word is None else (word.end(), "")
        return at, next((told for what, told in _OF_WORDS if what.match(word[0])), "string values must be quoted")

    def _opened(self, at: int) -> tuple[int, str]:
        at = self._skip(at, _SPACE)
        if self.source[at : at + 1] in ("]", "}"):
            return at, ""
        at, message = self._value_within(at) if self.opened[-1] == "{" else (at, "")
        return (at, message) if message else self._part(at)

    def _value_within(self, at: int) -> tuple[int, str]:
        """Return where the value of a key of an inline table starts, or that there is no key."""
        key = KEY_START.match(self.source, at)
        return (at, "missing key for inline table element") if key is None else (self._skip(key.end(), _SPACE), "")

    def _string(self, at: int, quote: str) -> tuple[int, str]:
        signs = quote * 3 if self.source.startswith(quote * 3, at) else quote
        match = STRINGS[signs].match(self.source, at)
        line_end = self.source.find("\n", at)
        if match and len(signs) == 1 and "\n" in match[0]:  # the quote of another text further down
            match = None
        end = match.end() if match else len(self.source) if line_end < 0 or len(signs) == 3 else line_end
        if quote == '"':
            for escaped in _ESCAPED.finditer(self.source, at, end):
                if _BAD_ESCAPE.match(self.source, escaped.start()):
                    return escaped.end(), "missing escaped value"
        return (end, "") if match else (end, _TEXT[quote])

    def _between(self, at: int) -> tuple[int, str, bool]:
        """Return where the next value starts, or what is wrong between two, and whether the value has ended."""
        while self.opened:
            is_table = self.opened[-1] == "{"
            sign = self.source[at : at + 1]
            if sign in ("]", "}"):
                self.opened.pop()
                at = self._skip(at + 1, _SPACE if self.opened else _BLANK)
                continue
            if sign != ",":
                message = f"missing comma between {'key-value pairs' if is_table else 'array elements'}"
                other = "extra assignment between key-value pairs" if is_table else "unexpected `=` in array"
                return at, other if sign == "=" else message, False
            at = self._skip(at + 1, _SPACE)
            if self.source[at : at + 1] not in ("]", "}"):
                return (*self._value_within(at), False) if is_table else (at, "", False)
        return at, "" if self.source[at : at + 1] in ("", "#", "\n", "\r") else "unexpected key or value", True
