"""The calendar files of a journal: which there are, and their bytes. Nothing is ever fetched.

A calendar file is any file that ends in ".ics", at any depth of the journal, and any file or folder that the setting
`calendars` names. What they say is read by `journal.calendars.appointments`.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from journal.errors import Problem
from journal.folder.discover import SETTINGS_NAME, irregular, shown, unreadable

SIZE_LIMIT = 10_000_000
"""Bytes. Ten years of a full calendar have about 5 million; what is larger is left unread: a page has to open soon."""

_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+://")


class CalendarFile(msgspec.Struct, frozen=True):
    """A calendar before it is read: its path (relative to the journal where it lies there, else as named) and bytes."""

    path: str
    data: bytes


class Calendars(msgspec.Struct, frozen=True):
    """The calendars that can be read, those of the journal by path, then the named ones; and what could not."""

    files: list[CalendarFile]
    problems: list[Problem]


def read(folder: Path, named: Sequence[str] = ()) -> Calendars:
    """The calendar files below the folder and those that `Settings.calendars` names, each file once.

    A relative name counts from the folder, "~" is the home of the user, and of a named folder all ".ics" files are
    taken. Folders and files whose name starts with a dot are left alone. Nothing raises: a file that is missing, no
    file, unreadable or larger than `SIZE_LIMIT` is a problem, with its remedy.

    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> _ = (folder / "work.ics").write_text("BEGIN:VCALENDAR")
    >>> found = read(folder, ["https://example.org/calendar.ics"])
    >>> [file.path for file in found.files]
    ['work.ics']
    >>> found.problems[0].remedy
    'Duskbook fetches nothing: save the calendar as a file and name that'
    """
    reader = _Reader(folder)
    for path, error in _below(folder):
        reader.take(path, path.relative_to(folder).as_posix(), error)
    for position, name in enumerate(named):
        reader.take_named(name, f"calendars[{position}]")
    return Calendars(reader.files, reader.problems)


def _below(folder: Path) -> Iterator[tuple[Path, OSError | None]]:
    """Every ".ics" below a folder by path, and every folder that cannot be walked. No folder is walked twice."""
    walked, waiting = set[tuple[int, int]](), [folder]
    while waiting:
        here = waiting.pop()
        try:
            status = here.stat()
            if (status.st_dev, status.st_ino) in walked:
                continue
            walked.add((status.st_dev, status.st_ino))
            with os.scandir(here) as entries:
                found = sorted((e for e in entries if not e.name.startswith(".")), key=lambda e: e.name)
        except OSError as error:
            yield here, error
            continue
        for entry in found:
            if entry.is_dir():
                continue
            if entry.name.lower().endswith(".ics"):
                yield here / entry.name, None
        waiting += [here / entry.name for entry in reversed(found) if entry.is_dir()]


class _Reader:
    """The state of one reading: what was read, and which files need not be read again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files: list[CalendarFile] = []
        self.problems: list[Problem] = []
        self.seen = set[tuple[int, int]]()

    def take_named(self, name: str, where: str) -> None:
        if _ADDRESS.match(name):
            remedy = "Duskbook fetches nothing: save the calendar as a file and name that"
            self._problem(SETTINGS_NAME, "a file", "an address", remedy, where)
            return
        try:
            path = self.folder / Path(name).expanduser()
            inside = path.is_dir()
        except (OSError, ValueError, RuntimeError):  # a NUL in the name; no home for "~"
            self._problem(SETTINGS_NAME, "the name of a file", _quoted(name), "name a file", where)
            return
        if not name or not (inside or path.exists()):
            remedy = "see how it is spelt, or take it out"
            self._problem(SETTINGS_NAME, "a calendar file that there is", _quoted(name), remedy, where)
        elif inside:
            for below, error in _below(path):
                self.take(below, f"{name.rstrip('/')}/{below.relative_to(path).as_posix()}", error)
        else:
            self.take(path, name, None)

    def take(self, path: Path, said: str, error: OSError | None) -> None:
        try:
            if error is not None:
                raise error
            status = path.stat()
            if (status.st_dev, status.st_ino) in self.seen:
                return
            self.seen.add((status.st_dev, status.st_ino))
            if not stat.S_ISREG(status.st_mode):
                self._problem(said, "a calendar file", irregular(status.st_mode), "move it away")
                return
            data = b""
            if status.st_size <= SIZE_LIMIT:
                with path.open("rb") as file:
                    data = file.read(SIZE_LIMIT + 1)  # it may have grown
            if max(status.st_size, len(data)) > SIZE_LIMIT:
                size = f"{max(status.st_size, len(data)) / 1e6:,.0f} MB"
                remedy = "export the last year or two only, or move it away"
                self._problem(said, f"a calendar of at most {SIZE_LIMIT / 1e6:.0f} MB", size, remedy)
                return
        except OSError as met:
            self._problem(said, "a calendar file that can be read", *unreadable(met))
        else:
            self.files.append(CalendarFile(shown(said), data))

    def _problem(self, path: str, expected: str, got: str, remedy: str, where: str = "") -> None:
        self.problems.append(Problem(path=shown(path), where=where, expected=expected, got=got, remedy=remedy))


def _quoted(name: str) -> str:
    """A name on one short line."""
    short = name if len(name) <= 80 else f"{name[:79]}…"
    return '"' + "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in short) + '"'
