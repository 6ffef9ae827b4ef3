"""Bytes of a file to plain values, or the one problem that stops the whole file: unreadable, no text, no TOML."""

from __future__ import annotations

import codecs
import os
import re
import stat
from pathlib import Path
from typing import Any

import rtoml

from journal.errors import Problem
from journal.folder import syntax
from journal.folder.files import SIZE_LIMIT, irregular, shown, unreadable

_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_PLACE = re.compile(r" at line (\d+) column (\d+)$")


class NotReadError(Exception):
    """Carries the problem that stops a file; never leaves `journal.folder`."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem


def content(folder: str, path: str, size: int) -> bytes:
    """The bytes of a file whose size was `size` a moment ago. Raises NotReadError."""
    if size > SIZE_LIMIT:
        raise NotReadError(_too_large(path, size))
    try:
        # Three system calls; `open` makes eight, and that is felt over fifty years of pages. A pipe that took the
        # file's name since does not block.
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


def stated(folder: Path, path: str) -> os.stat_result | None:
    """What the file system says of a file at a fixed place, None where there is nothing. Raises NotReadError."""
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
    """The text of a file, without a byte order mark. Raises NotReadError."""
    try:
        decoded = data.decode()
    except UnicodeDecodeError as error:
        raise NotReadError(_no_utf8(path, data, error)) from None
    return decoded[1:] if decoded.startswith("\ufeff") else decoded


def values(path: str, source: str) -> dict[str, Any]:
    """The values of a TOML text. Raises NotReadError.

    The dialect is rtoml's, TOML 1.1. It bounds the depth of nesting (about 80) and refuses what i128 cannot hold.
    """
    try:
        return rtoml.loads(source)
    except rtoml.TomlParsingError as error:
        message = str(error)
        place = _PLACE.search(message)
        if place is None:
            line = column = 0
        else:
            line, column, message = int(place[1]), int(place[2]), message[: place.start()]
        if (nul := source.find("\0")) >= 0:  # the parser stops somewhere after it
            line, column = source.count("\n", 0, nul) + 1, nul - source.rfind("\n", 0, nul)
        expected, got, remedy = syntax.explain(message, source, line, column)
        raise NotReadError(
            Problem(path=path, line=line, column=column, expected=expected, got=got, remedy=remedy)
        ) from None


def _too_large(path: str, size: int) -> Problem:
    return Problem(
        path=shown(path),
        expected=f"at most {SIZE_LIMIT:,} bytes",
        got=f"{size:,} bytes, left unread",
        remedy="move what is no page out of it",
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
