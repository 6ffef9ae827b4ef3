"""The parser's messages in plain words: what was expected, what stands there, and how to mend it."""

from __future__ import annotations

import re
from datetime import date

import msgspec
from msgspec import inspect

from journal.entry import Entry, Review, Undated
from journal.folder.discover import SETTINGS_NAME, UNDATED_NAME
from journal.folder.faults import quoted
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, L_p, LazyText, Phrase
from journal.settings import Settings

_NUMBER_WITH_COMMA = re.compile(r"=\s*[+-]?\d+,\d+\s*(#.*)?$")
_WRITTEN_DATE = re.compile(r"(?<![\d.])(\d{1,2})\s*([./])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})(?![\d.])")
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019\u201a]")
_PAIR = (L_("key = value"), L_("write it so, or put a # before a remark"))
_IN_BRACES = (
    L_("key = value between { and }"),
    L_("write each part of the table so, with commas between them"),
)
_BACKSLASH = (L_('"\\\\" for each backslash'), L_('double each "\\", or put the text in single quotes'))
_NUMBER = (L_("a number"), L_("write it like 7 or 3.5, or put text in quotes"))
_CLOSING_QUOTE = L_("a closing quote")
_THREE_QUOTES = L_("three closing quotes")
_QUOTE_AT_END = N_("put a {quote} at the end of the text")
_QUOTES_AT_END = N_("put {quotes} at the end of the text")
_UNSEEN = (L_("letters, digits and signs"), L_("take the unseen character out"))
_SMALLER = (L_("a smaller number"), L_("write one that a journal can mean"))
_CLOSING = N_('a closing "{sign}"')
_BETWEEN = N_('a comma, or a closing "{sign}"')
_COMMA = L_("put a comma between its parts")
_COMMA_OR_CLOSE = L_("put a comma between its parts, or close it")
_CLOSE_LIST = L_("close the list")
_DATE_LIKE = L_("write it like 2025-03-14")
_TABLE_NAME = L_("a table's name in brackets")
_VALUE = L_("a value")
_LINE_END = L_("the end of the line")
_TIME_OF_DAY = re.compile(r"\d?\d:\d\d")

# The start of the parser's message, the expectation, and the remedy. The list has all messages that the parser has.
_MEANINGS: tuple[tuple[str, LazyText, LazyText], ...] = (
    ("invalid basic string, expected `\"`", _CLOSING_QUOTE, L_(_QUOTE_AT_END, quote='"')),
    ("invalid multi-line basic string, expected `\"`", _THREE_QUOTES, L_(_QUOTES_AT_END, quotes='"""')),
    ("invalid literal string, expected `'`", _CLOSING_QUOTE, L_(_QUOTE_AT_END, quote="'")),
    ("invalid multi-line literal string, expected `'`", _THREE_QUOTES, L_(_QUOTES_AT_END, quotes="'''")),
    ("missing escaped value", *_BACKSLASH),
    ("too few unicode value digits", *_BACKSLASH),
    ("invalid value, expected unicode", *_BACKSLASH),
    ("invalid basic string", *_UNSEEN),
    ("invalid multi-line basic string", *_UNSEEN),
    ("invalid literal string", *_UNSEEN),
    ("invalid multi-line literal string", *_UNSEEN),
    ("invalid comment character", *_UNSEEN),
    ("carriage return", L_("a line that ends as lines do"), L_('save the file with line ends "LF" or "CRLF"')),
    ("key with no value", L_('"=" after the key'), L_("write key = value, or a # before a remark")),
    ("extra `=`", L_('one "="'), L_("take the second one out")),
    ("unclosed table", L_(_CLOSING, sign="]"), L_("close the name of the table")),
    ("unclosed array table", L_(_CLOSING, sign="]]"), L_("close the name of the table with two brackets")),
    ("missing comma between array", L_(_BETWEEN, sign="]"), _COMMA_OR_CLOSE),
    ("unclosed array", L_(_CLOSING, sign="]"), _CLOSE_LIST),
    ("extra assignment between", L_("a comma"), _COMMA),
    ("missing comma between", L_(_BETWEEN, sign="}"), _COMMA_OR_CLOSE),
    ("unclosed inline table", L_(_CLOSING, sign="}"), L_("close the table")),
    ("unquoted keys cannot be empty", L_("a name"), L_("write the name of a key or table")),
    ("invalid unquoted key", L_('a key of letters, digits, "-" and "_"'), L_("put any other key in quotes")),
    ("invalid date", L_("a date of the calendar"), _DATE_LIKE),
    ("ValueError: ", L_("a valid date or time"), _DATE_LIKE),
    ("invalid offset", L_("a date"), _DATE_LIKE),
    ("invalid boolean", L_p("in a file", "true or false"), L_("write it in small letters")),
    ("unexpected leading zero", *_NUMBER),
    ("invalid float", *_NUMBER),
    ("invalid integer", *_NUMBER),
    ("invalid mantissa", *_NUMBER),
    ("invalid fraction", *_NUMBER),
    ("invalid exponent", *_NUMBER),
    ("integer number overflowed", *_SMALLER),
    ("floating-point number overflowed", *_SMALLER),
    ("`_` may only", *_NUMBER),
    ("invalid hexadecimal", *_NUMBER),
    ("invalid octal", *_NUMBER),
    ("invalid binary", *_NUMBER),
    ("redundant", *_NUMBER),
    ("integers with a radix", *_NUMBER),
    ("radix must", *_NUMBER),
    ("unexpected sign", *_NUMBER),
    ("unexpected `=` in array", L_(_CLOSING, sign="]"), _CLOSE_LIST),
    ("extra comma in array", L_("a part of the list"), L_("take the comma out")),
    ("missing array opening", _VALUE, L_('put a "[" at the start of the list, or take the bracket out')),
    ("missing inline table opening", _VALUE, L_('put a "{" at the start of the table, or take the bracket out')),
    ("missing opening quote", L_("a quote at the start of the text too"), L_("put one there, or take this one out")),
    ("missing table open", _TABLE_NAME, L_("write it like [hours], or take the bracket out")),
    ("missing assignment", *_IN_BRACES),
    ("missing key for inline", *_IN_BRACES),
    ("missing value for key", *_IN_BRACES),
    ("extra comma in inline", *_IN_BRACES),
    ("invalid inline table", *_IN_BRACES),
    ("keys cannot be multi-line", L_("a key in one pair of quotes"), L_("write it so, or without quotes")),
    ("missing comment start", L_('a "#" before a remark'), L_p("a sign", "put one there")),
    ("unexpected content between", _LINE_END, L_("put the rest on a line of its own")),
    ("unexpected content", *_PAIR),
    ("invalid key-value pair", *_PAIR),
    ("missing value", *_PAIR),
    ("invalid table", _TABLE_NAME, L_("write it like [hours]")),
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
) -> tuple[Phrase, Phrase, Phrase]:
    """Return expectation, actual text and remedy for a parser's message at a position (from 1; 0: none).

    `path` is the file's path: it decides which tables are lists.

    >>> print(*explain("string values must be quoted, expected literal string", "mood = good", 1, 8), sep="; ")
    a value; "good"; put text in quotes: "good"
    """
    lines = source.rstrip("\n").split("\n")
    source_line = lines[line - 1] if 0 < line <= len(lines) else ""
    rest = source_line[column - 1 :].strip()
    got: Phrase = quoted(rest) if rest else _LINE_END if line < len(lines) else L_("the end of the file")
    if "recurs" in message:
        remedy = L_("take some out of the others")
        return L_("at most {number} tables and lists within each other", number=80), L_("more"), remedy
    if source_line.startswith(("<<<<<<<", "=======", ">>>>>>>")):
        remedy = L_("keep one of the two, and take the lines with <<<<<<<, ======= and >>>>>>> out")
        return L_("one version of the page"), L_("two that were put together"), remedy
    if "\0" in source_line:
        remedy = L_("take it out, or bring back a copy of the file from before")
        return L_p("in a file", "text"), L_("a NUL byte"), remedy
    if (written_date := _date_at(source_line, column)) is not None:
        return L_("a date with the year first"), quoted(written_date[0]), _year_first_remedy(written_date)
    if message.startswith("string values must be quoted"):
        return _explain_missing_value(rest, got)
    if message.startswith("unexpected key or value"):
        return _explain_extra_text(source_line, rest, got)
    if message.startswith("invalid time"):
        return L_("a time in quotes"), got, L_('write it like "08:30"')
    if message.startswith(("duplicate key", "cannot extend")):
        name = re.match(r"[^\]=#]*", rest)
        twice = L_("{name} a second time", name=quoted(name[0].strip()) if name else got)
        if source_line.startswith("[") and name and name[0].strip() in _lists_of_tables(path):
            remedy = L_("write it with double brackets, also where it stands first")
            return L_("[[{name}]] each time", name=name[0].strip()), twice, remedy
        return L_("each key and table once"), twice, L_("bring the two together, or take one out")
    for start, expected, remedy in _MEANINGS:
        if message.startswith(start):
            return expected, got, remedy
    return _PAIR[0], got, _PAIR[1]


def _date_at(written: str, column: int) -> re.Match[str] | None:
    """Return the date with the year last, e.g. 28.11.2026, at a column of a line, or None."""
    return next((match for match in _WRITTEN_DATE.finditer(written) if match.start() < column <= match.end() + 1), None)


def _year_first_remedy(written: re.Match[str]) -> Phrase:
    """Return the remedy for such a date: with points the day comes first, with slashes the day or the month."""
    first, second, year = (int(part) for part in written.group(1, 3, 4))
    orders = [(first, second)] if written[2] == "." else [(first, second), (second, first)]
    readings = set()
    for day, month in orders:
        try:
            readings.add(date(year, month, day))
        except ValueError:
            continue
    return L_("write {name}", name=str(readings.pop())) if len(readings) == 1 and year > 99 else _DATE_LIKE


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


def _explain_missing_value(rest: str, got: Phrase) -> tuple[Phrase, Phrase, Phrase]:
    word = re.match(r"[^\s#,\]}]+", rest)
    if word is None:
        return _VALUE, got, L_('write one after "=", or take the line out')
    if _CURLY.search(rest[0]):
        return _VALUE, got, L_('use straight quotes: "')
    if word[0].lower() in ("true", "false"):
        return _VALUE, got, L_("write {value} in small letters", value=word[0].lower())
    if word[0].lower() in ("yes", "no", "on", "off"):
        return _VALUE, got, L_("write true or false")
    text = re.split(r" *[#,\]}]", rest)[0]
    return _VALUE, got, L_("put text in quotes: {example}", example=quoted(text))


def _explain_extra_text(source_line: str, rest: str, got: Phrase) -> tuple[Phrase, Phrase, Phrase]:
    if _NUMBER_WITH_COMMA.search(source_line):
        return _LINE_END, got, L_("write a number with a point, like 3.5")
    if rest.endswith("'") and "= '" in source_line:
        return _LINE_END, got, L_("put text that has a ' in it between double quotes")
    if _TIME_OF_DAY.search(source_line.partition("=")[2].split('"')[0]):
        return _LINE_END, got, L_('write a time in quotes, like "08:30"')
    return _LINE_END, got, L_("put text in quotes, and each key on a line of its own")
