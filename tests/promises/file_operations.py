"""Every file operation of a piece of work, seen before it happens: to end the process there, to fail, or to let an
editor come in between.

    with file_operations.watched(before):
        ...  # the saving

`before` gets an `Operation`. What it raises is raised in place of the operation.
"""

from __future__ import annotations

import builtins
import contextlib
import functools
import io
import os
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import pytest

from journal.folder import exchanged_names

READING = ("stat", "lstat", "scandir", "read", "fstat", "lseek", "close")
CHANGING = (
    "open", "write", "fsync", "rename", "replace", "link", "unlink", "mkdir", "rmdir", "fchmod", "ftruncate",
)  # fmt: skip
_MAKES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC


class Operation(NamedTuple):
    """One operation: its name, whether it may change what is on disk, and its arguments."""

    name: str
    changes: bool
    arguments: tuple[Any, ...]


Before = Callable[[Operation], None]


@contextlib.contextmanager
def watched(before: Before) -> Iterator[None]:
    """Call `before` ahead of each file operation of this process, whoever makes it."""
    with pytest.MonkeyPatch.context() as patch:
        for name in (*READING, *CHANGING):
            patch.setattr(os, name, _watching(name, getattr(os, name), before))
        for name in ("exchange", "rename_to_free"):
            patch.setattr(exchanged_names, name, _watching(name, getattr(exchanged_names, name), before))
        opening = _opening(before)
        patch.setattr(builtins, "open", opening)
        patch.setattr(io, "open", opening)
        yield


def _watching(name: str, real: Callable[..., Any], before: Before) -> Callable[..., Any]:
    @functools.wraps(real)
    def operation(*arguments: Any, **named: Any) -> Any:
        changes = name not in READING
        if name == "open":
            changes = bool(arguments[1] & _MAKES)
        before(Operation(name, changes, arguments))
        return real(*arguments, **named)

    return operation


def _opening(before: Before) -> Callable[..., Any]:
    """`open` with each writing to the file as an operation of its own. Handles are opened by `os.open` already."""
    real = io.open

    def opening(file: Any, mode: str = "r", *arguments: Any, **named: Any) -> Any:
        writes = any(letter in mode for letter in "wax+")
        if not isinstance(file, int):
            before(Operation("open", writes, (file, mode)))
        opened = real(file, mode, *arguments, **named)
        return _WatchedFile(opened, before) if writes else opened

    return opening


class _WatchedFile:
    """An open file whose writing is seen."""

    def __init__(self, file: Any, before: Before) -> None:
        self._file, self._before = file, before

    def write(self, data: Any) -> Any:
        self._before(Operation("write", True, (self._file.name, data)))
        return self._file.write(data)

    def writelines(self, parts: Any) -> None:
        self._before(Operation("write", True, (self._file.name, b"")))
        self._file.writelines(parts)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)

    def __enter__(self) -> _WatchedFile:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()
