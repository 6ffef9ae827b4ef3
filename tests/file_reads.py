"""What a piece of work reads of a journal: every opening of a file, and every parsing of TOML, whoever asks for it."""

from __future__ import annotations

import contextlib
import os
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import rtoml

A_MINUTE_NS = 60_000_000_000


class FileReads:
    """`opened` counts the openings for reading by name, of journal.toml, undated.toml and pages; `parsed` the texts."""

    def __init__(self, folder: Path) -> None:
        self.folder = str(folder)
        self.opened: Counter[str] = Counter()
        self.parsed: Counter[str] = Counter()

    def take(self, path: str, flags: int) -> None:
        """One opening of a file. What is in `.cache`, or is written aside, is no page."""
        name = Path(path).name
        is_page = name.endswith(".toml") and not name.startswith(".") and "/.cache/" not in path
        if is_page and path.startswith(self.folder) and flags & os.O_ACCMODE == os.O_RDONLY:
            self.opened[name] += 1


_counting: list[FileReads] = []


def _heard(event: str, arguments: tuple[Any, ...]) -> None:
    # Python raises this for `open`, `os.open` and all that is built on them, so that no way of reading is left out.
    if event == "open" and _counting and isinstance(arguments[0], str):
        for reads in _counting:
            reads.take(arguments[0], arguments[2])


sys.addaudithook(_heard)


@contextlib.contextmanager
def counted(folder: Path) -> Iterator[FileReads]:
    """Count what is read of a journal meanwhile."""
    reads = FileReads(folder)
    loads = rtoml.loads

    def counting(text: str) -> dict[str, Any]:
        reads.parsed[text] += 1
        return loads(text)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rtoml, "loads", counting)
        _counting.append(reads)
        try:
            yield reads
        finally:
            _counting.remove(reads)


def rested(folder: Path) -> Path:
    """The journal as if its files had been written a minute ago: of what was written within the last two seconds, size
    and time do not tell whether it has changed since, so that it is read again."""
    for path in folder.rglob("*.toml"):
        state = path.stat()
        os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns - A_MINUTE_NS))
    return folder
