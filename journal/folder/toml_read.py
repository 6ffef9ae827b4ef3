"""Parsing of a file's bytes to plain values, or the one problem that stops it: unreadable, not text, not TOML."""

from __future__ import annotations

import codecs
import os
import re
import stat
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import rtoml
from msgspec import inspect

from journal.entry import Entry, Review, Undated
from journal.errors import Problem
from journal.folder.discover import SETTINGS_NAME, SIZE_LIMIT, UNDATED_NAME
from journal.folder.faults import quoted
from journal.folder.folder_walk import shown, unreadable
from journal.folder.plain_file import irregular
from journal.settings import Settings

_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_PLACE = re.compile(r" at line (\d+) column (\d+)$")


class NotReadError(Exception):
    """Carries the problem that makes a file unreadable. Never leaves `journal.folder`."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem


def content(folder: str, path: str, size: int) -> bytes:
    """Return the bytes of a file whose size was `size` a moment ago. Raises NotReadError."""
    if size > SIZE_LIMIT:
        raise NotReadError(_too_large(path, size))
    try:
        # Three system calls. `open` makes eight, which is noticeable over fifty years of pages. With O_NONBLOCK, a
        # pipe that has replaced the file meanwhile does not block.
        handle = os.open(f"{folder}/{path}", _OPEN)
        try:
            data = os.read(handle, size + 1)
            while len(data) > size:  # it grew meanwhile
                size = len(data) + SIZE_LIMIT
                data += os.read(handle, SIZE_LIMIT)
        finally:
            os.close(handle)
    except OSError as error:
        raise NotReadError(_unreadable(path, error)) from None
    if len(data) > SIZE_LIMIT:
        raise NotReadError(_too_large(path, len(data)))
    return data


def file_status(folder: Path, path: str) -> os.stat_result | None:
    """Return the status of a file at a fixed path, or None if it does not exist. Raises NotReadError."""
    try:
        status = (folder / path).stat()
    except OSError as error:
        if isinstance(error, FileNotFoundError) and not os.path.lexists(folder / path):
            return None
        raise NotReadError(_unreadable(path, error)) from None
    if not stat.S_ISREG(status.st_mode):
        got, remedy = irregular(status.st_mode), "move it away and put a file in its place"
        raise NotReadError(Problem(path=path, expected="a file", got=got, remedy=remedy))
    return status


def text(path: str, data: bytes) -> str:
    """Return the text of a file, without a byte order mark. Raises NotReadError."""
    try:
        decoded = data.decode()
    except UnicodeDecodeError as error:
        raise NotReadError(_no_utf8(path, data, error)) from None
    return decoded[1:] if decoded.startswith("\ufeff") else decoded


def values(path: str, source: str) -> dict[str, Any]:
    """Return the values of a TOML text. Raises NotReadError.

    The dialect is rtoml's, TOML 1.1. It limits nesting to about 80 levels, and rejects integers outside i128.
    """
    try:
        return rtoml.loads(source)
    except rtoml.TomlParsingError as error:
        raise NotReadError(problem_of(path, source, error)) from None


def problem_of(path: str, source: str, error: rtoml.TomlParsingError) -> Problem:
    """Return the problem of a text that the parser rejects."""
    line, column, message = place_of(error)
    if (nul := source.find("\0")) >= 0:  # the parser's position is somewhere after the NUL
        line, column = source.count("\n", 0, nul) + 1, nul - source.rfind("\n", 0, nul)
    expected, got, remedy = explain(message, source, line, column, path=path)
    return Problem(path=path, line=line, column=column, expected=expected, got=got, remedy=remedy)


def place_of(error: rtoml.TomlParsingError) -> tuple[int, int, str]:
    """Return line and column, from 1 and 0 if there is none, and the parser's message without them."""
    message = str(error)
    place = _PLACE.search(message)
    return (0, 0, message) if place is None else (int(place[1]), int(place[2]), message[: place.start()])


def _too_large(path: str, size: int) -> Problem:
    return Problem(
        path=shown(path),
        expected=f"at most {SIZE_LIMIT:,} bytes",
        got=f"{size:,} bytes, left unread",
        remedy="move the longest texts elsewhere",
    )


def _unreadable(path: str, error: OSError) -> Problem:
    got, remedy = unreadable(error)
    return Problem(path=shown(path), expected="a file that can be read", got=got, remedy=remedy)


def _no_utf8(path: str, data: bytes, error: UnicodeDecodeError) -> Problem:
    line_start = data.rfind(b"\n", 0, error.start) + 1
    line, column = data.count(b"\n", 0, error.start) + 1, len(data[line_start : error.start].decode()) + 1
    got = f"the byte 0x{data[error.start]:02X}"
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        line, column, got = 0, 0, "UTF-16"
    return Problem(
        path=path,
        line=line,
        column=column,
        expected="text in UTF-8",
        got=got,
        remedy='save the file as "UTF-8" in your editor',
    )


_NUMBER_WITH_COMMA = re.compile(r"=\s*[+-]?\d+,\d+\s*(#.*)?$")
_WRITTEN_DATE = re.compile(r"(?<![\d.])(\d{1,2})\s*([./])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})(?![\d.])")
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019\u201a]")
_BACKSLASH = ('"\\\\" for each backslash', 'double each "\\", or put the text in single quotes')
_NUMBER = ("a number", "write it like 7 or 3.5, or put text in quotes")
_TIME_OF_DAY = re.compile(r"\d?\d:\d\d")

# The start of the parser's message, the expectation, and the remedy.
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
)  # fmt: skip


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
    return "TOML", f"{got} ({message})", "mend this line"


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
