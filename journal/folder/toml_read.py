"""Parsing of a file's bytes to plain values, or the one problem that stops it: unreadable, not text, not TOML."""

from __future__ import annotations

import codecs
import os
import stat
from pathlib import Path
from typing import Any

import rtoml

from journal.errors import Problem
from journal.folder.discover import SIZE_LIMIT
from journal.folder.folder_walk import shown, unreadable_words
from journal.folder.plain_file import irregular_kind
from journal.language.lazy_text import L_, Phrase

_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


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
        got, remedy = irregular_kind(status.st_mode), L_("move it away and put a file in its place")
        raise NotReadError(Problem(path=path, expected=L_("a file"), got=got, remedy=remedy))
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
        from journal.folder import syntax_problem  # noqa: PLC0415 (most journals never need it)

        raise NotReadError(syntax_problem.of_text(path, source, error)) from None


def _too_large(path: str, size: int) -> Problem:
    return Problem(
        path=shown(path),
        expected=L_("at most {count} bytes", count=SIZE_LIMIT),
        got=L_("{count} bytes, left unread", count=size),
        remedy=L_("move the longest texts elsewhere"),
    )


def _unreadable(path: str, error: OSError) -> Problem:
    got, remedy = unreadable_words(error)
    return Problem(path=shown(path), expected=L_("a file that can be read"), got=got, remedy=remedy)


def _no_utf8(path: str, data: bytes, error: UnicodeDecodeError) -> Problem:
    line_start = data.rfind(b"\n", 0, error.start) + 1
    line, column = data.count(b"\n", 0, error.start) + 1, len(data[line_start : error.start].decode()) + 1
    got: Phrase = L_("the byte {byte}", byte=f"0x{data[error.start]:02X}")
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        line, column, got = 0, 0, "UTF-16"
    return Problem(
        path=path,
        line=line,
        column=column,
        expected=L_("text in UTF-8"),
        got=got,
        remedy=L_('save the file as "UTF-8" in your editor'),
    )
