"""What a parser says of a broken line, in words that a person who writes a journal can use.

The parser names the rule that was broken; the text beside the place tells what was most likely meant.
"""

from __future__ import annotations

import re

from journal.folder.faults import quoted

_NUMBER_WITH_COMMA = re.compile(r"=\s*[+-]?\d+,\d+\s*(#.*)?$")
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019\u201a]")
_BACKSLASH = ('"\\\\" for each backslash', 'double each "\\", or put the text in single quotes')
_NUMBER = ("a number", "write it like 7 or 3.5, or put text in quotes")
_TIME_OF_DAY = re.compile(r"\d?\d:\d\d")

# What the parser's message starts with, what to expect instead, and the remedy.
_MEANINGS: tuple[tuple[str, str, str], ...] = (
    ("invalid basic string, expected `\"`", "a closing quote", 'put a " at the end of the text'),
    ("invalid multi-line basic string, expected `\"`", "three closing quotes", 'put """ at the end of the text'),
    ("invalid literal string, expected `'`", "a closing quote", "put a ' at the end of the text"),
    ("invalid multi-line literal string, expected `'`", "three closing quotes", "put ''' at the end of the text"),
    ("missing escaped value", *_BACKSLASH),
    ("too few unicode value digits", *_BACKSLASH),
    ("invalid value, expected unicode", *_BACKSLASH),
    ("invalid basic string", "letters, digits and signs", "take the unseen character out"),
    ("invalid multi-line basic string", "letters, digits and signs", "take the unseen character out"),
    ("invalid literal string", "letters, digits and signs", "take the unseen character out"),
    ("invalid multi-line literal string", "letters, digits and signs", "take the unseen character out"),
    ("invalid comment character", "letters, digits and signs", "take the unseen character out"),
    ("carriage return", "a line that ends as lines do", 'save the file with line ends "LF" or "CRLF"'),
    ("key with no value", '"=" after the key', "write key = value, or a # before a remark"),
    ("extra `=`", 'one "="', "take the second one out"),
    ("unclosed table", 'a closing "]"', "close the name of the table"),
    ("unclosed array table", 'a closing "]]"', "close the name of the table with two brackets"),
    ("missing comma between array", 'a comma, or a closing "]"', "put a comma between its parts, or close it"),
    ("unclosed array", 'a closing "]"', "close the list"),
    ("extra assignment between", "a comma", "put a comma between its parts"),
    ("missing comma between", 'a comma, or a closing "}"', "put a comma between its parts, or close it"),
    ("unclosed inline table", 'a closing "}"', "close the table"),
    ("unquoted keys cannot be empty", "a name", "write the name of a key or table"),
    ("invalid unquoted key", 'a key of letters, digits, "-" and "_"', "put any other key in quotes"),
    ("invalid date", "a date of the calendar", "write it like 2025-03-14"),
    ("ValueError: ", "a date or time that there is", "write it like 2025-03-14"),
    ("invalid offset", "a date", "write it like 2025-03-14"),
    ("invalid boolean", "true or false", "write it in small letters"),
    ("unexpected leading zero", *_NUMBER),
    ("invalid float", *_NUMBER),
    ("invalid integer", *_NUMBER),
    ("invalid mantissa", *_NUMBER),
    ("invalid fraction", *_NUMBER),
    ("invalid exponent", *_NUMBER),
    ("integer number overflowed", "a smaller number", "write one that a journal can mean"),
    ("floating-point number overflowed", "a smaller number", "write one that a journal can mean"),
    ("`_` may only", *_NUMBER),
)  # fmt: skip


def explain(  # noqa: PLR0911 (one kind of mistake at a time)
    message: str, source: str, line: int, column: int
) -> tuple[str, str, str]:
    """What was expected, what was met and how to mend it, for a parser's message and its place (from 1; 0: none).

    >>> explain("string values must be quoted, expected literal string", "mood = good", 1, 8)
    ('a value', '"good"', 'put text in quotes: "good"')
    """
    lines = source.rstrip("\n").split("\n")
    written = lines[line - 1] if 0 < line <= len(lines) else ""
    rest = written[column - 1 :].strip()
    got = quoted(rest) if rest else ("the end of the line" if line < len(lines) else "the end of the file")
    if "recurs" in message:
        return "at most 80 tables and lists within each other", "more", "take some out of the others"
    if written.startswith(("<<<<<<<", "=======", ">>>>>>>")):
        remedy = "keep one of the two, and take the lines with <<<<<<<, ======= and >>>>>>> out"
        return "one version of the page", "two that were put together", remedy
    if "\0" in written:
        return "text", "a NUL byte", "take it out, or bring back a copy of the file from before"
    if message.startswith("string values must be quoted"):
        return _no_value(rest, got)
    if message.startswith("unexpected key or value"):
        return _too_much(written, rest, got)
    if message.startswith("invalid time"):
        return "a time in quotes", got, 'write it like "08:30"'
    if message.startswith(("duplicate key", "cannot extend")):
        name = re.match(r"[^\]=#]*", rest)
        said = quoted(name[0].strip()) if name else got
        return "each key and table once", f"{said} a second time", "bring the two together, or take one out"
    for start, expected, remedy in _MEANINGS:
        if message.startswith(start):
            return expected, got, remedy
    return "TOML", f"{got} ({message})", "mend this line"


def _no_value(rest: str, got: str) -> tuple[str, str, str]:
    word = re.match(r"[^\s#,\]}]+", rest)
    if word is None:
        return "a value", got, 'write one after "=", or take the line out'
    if _CURLY.search(rest[0]):
        return "a value", got, 'use straight quotes: "'
    if word[0].lower() in ("true", "false"):
        return "a value", got, f"write {word[0].lower()} in small letters"
    if word[0].lower() in ("yes", "no", "on", "off"):
        return "a value", got, "write true or false"
    text = re.split(r" *[#,\]}]", rest)[0]
    return "a value", got, f"put text in quotes: {quoted(text)}"


def _too_much(written: str, rest: str, got: str) -> tuple[str, str, str]:
    if _NUMBER_WITH_COMMA.search(written):
        return "the end of the line", got, "write a number with a point, like 3.5"
    if rest.endswith("'") and "= '" in written:
        return "the end of the line", got, "put text that has a ' in it between double quotes"
    if _TIME_OF_DAY.search(written.partition("=")[2].split('"')[0]):
        return "the end of the line", got, 'write a time in quotes, like "08:30"'
    return "the end of the line", got, "put text in quotes, and each key on a line of its own"
