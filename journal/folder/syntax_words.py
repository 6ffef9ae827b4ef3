"""The parser's messages in plain words: what was expected, what stands there, and how to mend it."""

from __future__ import annotations

import re
from datetime import date

import msgspec
from msgspec import inspect

from journal.entry import Entry, Review, Undated
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME
from journal.folder.faults import quoted
from journal.settings import Settings

_NUMBER_WITH_COMMA = re.compile(r"=\s*[+-]?\d+,\d+\s*(#.*)?$")
_WRITTEN_DATE = re.compile(r"(?<![\d.])(\d{1,2})\s*([./])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})(?![\d.])")
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019\u201a]")
_PAIR = ("key = value", "write it so, or put a # before a remark")
_IN_BRACES = ("key = value between { and }", "write each part of the table so, with commas between them")
_BACKSLASH = ('"\\\\" for each backslash', 'double each "\\", or put the text in single quotes')
_NUMBER = ("a number", "write it like 7 or 3.5, or put text in quotes")
_TIME_OF_DAY = re.compile(r"\d?\d:\d\d")

# The start of the parser's message, the expectation, and the remedy. The list has all messages that the parser has.
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
    ("ValueError: ", "a valid date or time", "write it like 2025-03-14"),
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
    ("invalid hexadecimal", *_NUMBER),
    ("invalid octal", *_NUMBER),
    ("invalid binary", *_NUMBER),
    ("redundant", *_NUMBER),
    ("integers with a radix", *_NUMBER),
    ("radix must", *_NUMBER),
    ("unexpected sign", *_NUMBER),
    ("unexpected `=` in array", 'a closing "]"', "close the list"),
    ("extra comma in array", "a part of the list", "take the comma out"),
    ("missing array opening", "a value", 'put a "[" at the start of the list, or take the bracket out'),
    ("missing inline table opening", "a value", 'put a "{" at the start of the table, or take the bracket out'),
    ("missing opening quote", "a quote at the start of the text too", "put one there, or take this one out"),
    ("missing table open", "a table's name in brackets", 'write it like [hours], or take the bracket out'),
    ("missing assignment", *_IN_BRACES),
    ("missing key for inline", *_IN_BRACES),
    ("missing value for key", *_IN_BRACES),
    ("extra comma in inline", *_IN_BRACES),
    ("invalid inline table", *_IN_BRACES),
    ("keys cannot be multi-line", "a key in one pair of quotes", "write it so, or without quotes"),
    ("missing comment start", 'a "#" before a remark', "put one there"),
    ("unexpected content between", "the end of the line", "put the rest on a line of its own"),
    ("unexpected content", *_PAIR),
    ("invalid key-value pair", *_PAIR),
    ("missing value", *_PAIR),
    ("invalid table", "a table's name in brackets", "write it like [hours]"),
)  # fmt: skip

_OTHERS = (
    "versions",
    "string values must",
    "unexpected key or value",
    "invalid time",
    "duplicate key",
    "cannot extend",
)


def is_known(message: str) -> bool:
    """Return whether `explain` has words for a parser's message.

    >>> is_known("invalid boolean"), is_known("boolean expected")
    (True, False)
    """
    return "recurs" in message or message.startswith((*_OTHERS, *(start for start, _, _ in _MEANINGS)))


def explain(  # noqa: PLR0911 (one kind of mistake at a time)
    message: str, source: str, line: int, column: int, *, path: str = ""
) -> tuple[str, str, str]:
    """Return expectation, actual text and remedy for a parser's message at a position (from 1; 0: none).

    `path` is the file's path: it decides which tables are lists.

    >>> explain("string values must be quoted, expected literal string", "mood = good", 1, 8)
    ('a value', '"good"', 'put text in quotes: "good"')
    """
    lines = source.rstrip("\n").split("\n")
    source_line = lines[line - 1] if 0 < line <= len(lines) else ""
    rest = source_line[column - 1 :].strip()
    got = quoted(rest) if rest else ("the end of the line" if line < len(lines) else "the end of the file")
    if "recurs" in message:
        return "at most 80 tables and lists within each other", "more", "take some out of the others"
    if source_line.startswith(("<<<<<<<", "=======", ">>>>>>>")):
        remedy = "keep one of the two, and take the lines with <<<<<<<, ======= and >>>>>>> out"
        return "one version of the page", "two that were put together", remedy
    if "\0" in source_line:
        return "text", "a NUL byte", "take it out, or bring back a copy of the file from before"
    if (written_date := _date_at(source_line, column)) is not None:
        return "a date with the year first", quoted(written_date[0]), _year_first_remedy(written_date)
    if message.startswith("string values must be quoted"):
        return _explain_missing_value(rest, got)
    if message.startswith("unexpected key or value"):
        return _explain_extra_text(source_line, rest, got)
    if message.startswith("invalid time"):
        return "a time in quotes", got, 'write it like "08:30"'
    if message.startswith(("duplicate key", "cannot extend")):
        name = re.match(r"[^\]=#]*", rest)
        repeated = quoted(name[0].strip()) if name else got
        if source_line.startswith("[") and name and name[0].strip() in _lists_of_tables(path):
            remedy = "write it with double brackets, also where it stands first"
            return f"[[{name[0].strip()}]] each time", f"{repeated} a second time", remedy
        return "each key and table once", f"{repeated} a second time", "bring the two together, or take one out"
    for start, expected, remedy in _MEANINGS:
        if message.startswith(start):
            return expected, got, remedy
    return _PAIR[0], got, _PAIR[1]


def _date_at(written: str, column: int) -> re.Match[str] | None:
    """Return the date with the year last, e.g. 28.11.2026, at a column of a line, or None."""
    return next((match for match in _WRITTEN_DATE.finditer(written) if match.start() < column <= match.end() + 1), None)


def _year_first_remedy(written: re.Match[str]) -> str:
    """Return the remedy for such a date: with points the day comes first, with slashes the day or the month."""
    first, second, year = (int(part) for part in written.group(1, 3, 4))
    orders = [(first, second)] if written[2] == "." else [(first, second), (second, first)]
    readings = set()
    for day, month in orders:
        try:
            readings.add(date(year, month, day))
        except ValueError:
            continue
    return f"write {readings.pop()}" if len(readings) == 1 and year > 99 else "write it like 2025-03-14"


def _lists_of_tables(path: str) -> set[str]:
    """Return the keys of a file that are lists of tables, written in double brackets."""
    of_file: dict[str, tuple[type[msgspec.Struct], ...]] = {SETTINGS_NAME: (Settings,), UNDATED_NAME: (Undated,)}
    keys = set()
    for page in of_file.get(path, (Entry, Review)):
        for field in msgspec.structs.fields(page):
            type_ = inspect.type_info(field.type)
            if isinstance(type_, inspect.VarTupleType) and isinstance(type_.item_type, inspect.StructType):
                keys.add(field.encode_name)
    return keys


def _explain_missing_value(rest: str, got: str) -> tuple[str, str, str]:
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


def _explain_extra_text(source_line: str, rest: str, got: str) -> tuple[str, str, str]:
    if _NUMBER_WITH_COMMA.search(source_line):
        return "the end of the line", got, "write a number with a point, like 3.5"
    if rest.endswith("'") and "= '" in source_line:
        return "the end of the line", got, "put text that has a ' in it between double quotes"
    if _TIME_OF_DAY.search(source_line.partition("=")[2].split('"')[0]):
        return "the end of the line", got, 'write a time in quotes, like "08:30"'
    return "the end of the line", got, "put text in quotes, and each key on a line of its own"
