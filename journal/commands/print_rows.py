"""Rows as aligned text, JSON or CSV, without frames. `print_frame` prints frames with the same functions."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, NamedTuple

from journal.commands.terminal import json_escaped, one_line

ABSENT = "-"


class TableWords(NamedTuple):
    """How a table in the terminal says its heads, the codes of a column, and true and false. By itself in English."""

    head: Callable[[str], str] = str
    cell: Callable[[str, str], str] = lambda _column, text: text
    yes_or_no: Callable[[bool], str] = lambda value: "yes" if value else "no"


ENGLISH = TableWords()

_PLAIN = re.compile(r"[^\W_][\w -]*")  # nothing that JSON, CSV or a spreadsheet takes for more than text


def as_text(rows: Sequence[Sequence[Any]], form: str, keys: Sequence[str], words: TableWords = ENGLISH) -> str | None:
    """Rows with these keys as `print_frame.as_text` prints them, None for a text that needs more care than here.

    Values are texts, whole numbers, dates, true or false, or None.

    >>> print(as_text([("walk", 7, None)], "csv", ("habit", "current", "from")))
    habit,current,from
    walk,7,
    """
    if not all(_PLAIN.fullmatch(value) for row in rows for value in row if isinstance(value, str)):
        return None
    if form == "json":
        return _as_json(rows, keys)
    if form == "csv":
        return "\n".join(",".join(map(_csv_value, row)) for row in (keys, *rows))
    cells = {key: [cell(row[i], key, words) for row in rows] for i, key in enumerate(keys)}
    numbers = {key for i, key in enumerate(keys) if rows and type(rows[0][i]) is int}
    return aligned(cells, numbers=numbers, words=words)


def _as_json(rows: Sequence[Sequence[Any]], keys: Sequence[str]) -> str:
    objects = (dict(zip(keys, row, strict=True)) for row in rows)
    lines = ",\n".join(json.dumps(row, ensure_ascii=False, separators=(",", ":"), default=str) for row in objects)
    return json_escaped(f"[\n{lines}\n]") if lines else "[]"


def _csv_value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)


def cell(value: Any, column: str = "", words: TableWords = ENGLISH) -> str:
    """A value of a column of a table.

    >>> cell(None), cell(True), cell(12)
    ('-', 'yes', '12')
    """
    if value is None:
        return ABSENT
    if isinstance(value, bool):
        return words.yes_or_no(value)
    return one_line(words.cell(column, str(value)))


def aligned(columns: Mapping[str, Sequence[str]], *, numbers: Collection[str] = (), words: TableWords = ENGLISH) -> str:
    """Columns of texts below their heads, those of numbers right-aligned.

    >>> print(aligned({"habit": ["walk"], "done": ["7"]}, numbers=["done"]))
    habit  done
    walk      7
    """
    padded = []
    for key, texts in columns.items():
        cells = [words.head(key), *texts]
        width = max(map(_width, cells))
        padded.append([_padded(text, width, key not in numbers) for text in cells])
    return "\n".join("  ".join(row).rstrip() for row in zip(*padded, strict=True))


def _width(text: str) -> int:
    """Terminal cells of a text: 0 for a combining mark, 2 for a wide character (Unicode Annex 11)."""
    if text.isascii():
        return len(text)
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) > 0 for c in text)


def _padded(text: str, width: int, left: bool) -> str:
    space = " " * (width - _width(text))
    return text + space if left else space + text
