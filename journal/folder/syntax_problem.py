"""The one problem of a text that the parser rejects, at the place of the slip.

The parser stops where it can no longer go on, which may be far below. A list without its closing bracket runs into the
lines that follow. So the text is divided into statements (`toml_statements`), and the first that is not valid alone is
told. What is open at its end is told where it begins.

Where the parser says nothing that is known here, or no place, the slip is looked for in the text (`syntax_slips`).
"""

from __future__ import annotations

import re
from collections.abc import Callable

import rtoml

from journal.errors import Problem
from journal.folder import syntax_slips, syntax_words, toml_statements
from journal.folder.faults import NOTHING
from journal.language.lazy_text import L_

_THREE_QUOTES = L_("three quotes at the end of the text that begins here")
_OPEN = {
    "[": (L_('a "]" for the list that begins here'), L_("close the list")),
    "{": (L_('a "}" for the table that begins here'), L_("close the table")),
    '"""': (_THREE_QUOTES, L_("close it with {quotes}", quotes='"""')),
    "'''": (_THREE_QUOTES, L_("close it with {quotes}", quotes="'''")),
}
_PLACE = re.compile(r" at line (\d+) column (\d+)$")


def of_text(path: str, source: str, error: rtoml.TomlParsingError) -> Problem:
    """Return the problem of a whole text.

    >>> source = 'mood = 4\\nnotes = ["Ask."\\nmemory = "Sewn."'
    >>> try: rtoml.loads(source)
    ... except rtoml.TomlParsingError as error: print(of_text("2025.toml", source, error))
    2025.toml:2:9: expected a "]" for the list that begins here, got none; close the list
    """
    if "\0" in source or "recurs" in str(error):
        return of_repeated(path, source, error)
    rows = source.split("\n")
    found = toml_statements.statements(source)
    for statement in found:
        if statement.kind in ("ours", "theirs"):
            break
        part = "\n".join(rows[statement.first : statement.last + 1]).removesuffix("\r")
        try:
            rtoml.loads(part)
        except rtoml.TomlParsingError as alone:
            problem = of_statement(path, part if statement is found[-1] else f"{part}\n#", alone)
            return problem.but(line=statement.first + max(problem.line, 1))
    return of_repeated(path, source, error)


def of_statement(path: str, source: str, error: rtoml.TomlParsingError) -> Problem:
    """Return the problem of a text that is one statement."""
    if "\0" in source or (opened := toml_statements.unclosed(source)) is None:
        return _told(path, source, *_place(error, source, syntax_slips.slip))
    at, signs = opened
    line, column = _line_and_column(source, at)
    expected, remedy = _OPEN[signs]
    return Problem(path=path, line=line, column=column, expected=expected, got=NOTHING, remedy=remedy)


def of_repeated(path: str, source: str, error: rtoml.TomlParsingError) -> Problem:
    """Return the problem of a text whose statements are valid each alone, at the place that the parser names."""
    return _told(path, source, *_place(error, source, syntax_slips.repeated))


def line_of_repeated(source: str, error: rtoml.TomlParsingError) -> int:
    """Return the line of that problem, from 1."""
    return _place(error, source, syntax_slips.repeated)[0]


def _told(path: str, source: str, line: int, column: int, message: str) -> Problem:
    if (nul := source.find("\0")) >= 0:  # the parser's position is somewhere after the NUL
        line, column = _line_and_column(source, nul)
    expected, got, remedy = syntax_words.explain(message, source, line, column, path=path)
    return Problem(path=path, line=line, column=column, expected=expected, got=got, remedy=remedy)


def _place(error: rtoml.TomlParsingError, source: str, slip: Callable[[str], tuple[int, str]]) -> tuple[int, int, str]:
    line, column, message = place_of(error)
    if (line and syntax_words.is_known(message)) or "recurs" in message:
        return line, column, message
    at, message = slip(source)
    return *_line_and_column(source, at), message


def place_of(error: rtoml.TomlParsingError) -> tuple[int, int, str]:
    """Return line and column, from 1 and 0 if there is none, and the parser's message without them."""
    message = str(error)
    place = _PLACE.search(message)
    return (0, 0, message) if place is None else (int(place[1]), int(place[2]), message[: place.start()])


def _line_and_column(source: str, at: int) -> tuple[int, int]:
    return source.count("\n", 0, at) + 1, at - source.rfind("\n", 0, at)
