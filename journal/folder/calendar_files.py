"""The calendar files of a journal and their bytes. Nothing is ever fetched.

A calendar file is any file that ends in ".ics", at any depth of the journal, and any file or folder that the setting
`calendars` names. `journal.calendars.appointments` parses them.
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
"""Bytes. Ten years of a full calendar have about 5 million. Larger files are skipped: a page must open soon."""

_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+://")


class CalendarFile(msgspec.Struct, frozen=True):
    """A calendar file that is not parsed yet: its path and its bytes.

    The path is relative to the journal for a file in it, otherwise as named in the settings.
    """

    path: str
    data: bytes


class Calendars(msgspec.Struct, frozen=True):
    """The readable calendar files, and the problems of the others.

    Files in the journal come first, by path, then the named ones.
    """

    files: list[CalendarFile]
    problems: list[Problem]


def read(folder: Path, named: Sequence[str] = ()) -> Calendars:
    """Read the calendar files below the folder and those that `Settings.calendars` names, each file once.

    A relative name is relative to the folder. "~" is the user's home. A named folder stands for all ".ics" files below
    it. Folders and files whose name starts with a dot are skipped. Nothing is raised: a file that is missing,
    irregular, unreadable or larger than `SIZE_LIMIT` becomes a problem with a remedy.

    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> _ = (folder / "work.ics").write_text("BEGIN:VCALENDAR")
    >>> calendars = read(folder, ["https://example.org/calendar.ics"])
    >>> [file.path for file in calendars.files]
    ['work.ics']
    >>> calendars.problems[0].remedy
    'Duskbook fetches nothing: save the calendar as a file and name that'
    """
    reader = _Reader(folder)
    for path, error in _below(folder):
        reader.take(path, path.relative_to(folder).as_posix(), error)
    for position, name in enumerate(named):
        reader.take_named(name, f"calendars[{position}]")
    return Calendars(reader.files, reader.problems)


def _below(folder: Path) -> Iterator[tuple[Path, OSError | None]]:
    """Yield every ".ics" file below a folder, by path, and each folder that cannot be walked.

    No folder is walked twice.
    """
    walked, waiting = set[tuple[int, int]](), [folder]
    while waiting:
        current = waiting.pop()
        try:
            status = current.stat()
            if (status.st_dev, status.st_ino) in walked:
                continue
            walked.add((status.st_dev, status.st_ino))
            with os.scandir(current) as entries:
                visible = sorted((e for e in entries if not e.name.startswith(".")), key=lambda e: e.name)
        except OSError as error:
            yield current, error
            continue
        for entry in visible:
            if entry.is_dir():
                continue
            if entry.name.lower().endswith(".ics"):
                yield current / entry.name, None
        waiting += [current / entry.name for entry in reversed(visible) if entry.is_dir()]


class _Reader:
    """The state of one read: the files so far, the problems, and the inodes already seen."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files: list[CalendarFile] = []
        self.problems: list[Problem] = []
        self.seen = set[tuple[int, int]]()

    def take_named(self, name: str, setting: str) -> None:
        if _ADDRESS.match(name):
            remedy = "Duskbook fetches nothing: save the calendar as a file and name that"
            self._problem(SETTINGS_NAME, "a file", "an address", remedy, setting)
            return
        try:
            path = self.folder / Path(name).expanduser()
            is_folder = path.is_dir()
        except (OSError, ValueError, RuntimeError):  # a NUL in the name; no home for "~"
            self._problem(SETTINGS_NAME, "the name of a file", _quoted(name), "name a file", setting)
            return
        if not name or not (is_folder or path.exists()):
            remedy = "see how it is spelt, or take it out"
            self._problem(SETTINGS_NAME, "an existing calendar file", _quoted(name), remedy, setting)
        elif is_folder:
            for inner_path, error in _below(path):
                self.take(inner_path, f"{name.rstrip('/')}/{inner_path.relative_to(path).as_posix()}", error)
        else:
            self.take(path, name, None)

    def take(self, path: Path, display_path: str, error: OSError | None) -> None:
        try:
            if error is not None:
                raise error
            status = path.stat()
            if (status.st_dev, status.st_ino) in self.seen:
                return
            self.seen.add((status.st_dev, status.st_ino))
            if not stat.S_ISREG(status.st_mode):
                self._problem(display_path, "a calendar file", irregular(status.st_mode), "move it away")
                return
            data = b""
            if status.st_size <= SIZE_LIMIT:
                with path.open("rb") as file:
                    data = file.read(SIZE_LIMIT + 1)  # it may have grown
            if max(status.st_size, len(data)) > SIZE_LIMIT:
                size = f"{max(status.st_size, len(data)) / 1e6:,.0f} MB"
                remedy = "export the last year or two only, or move it away"
                self._problem(display_path, f"a calendar of at most {SIZE_LIMIT / 1e6:.0f} MB", size, remedy)
                return
        except OSError as read_error:
            self._problem(display_path, "a calendar file that can be read", *unreadable(read_error))
        else:
            self.files.append(CalendarFile(shown(display_path), data))

    def _problem(self, path: str, expected: str, got: str, remedy: str, where: str = "") -> None:
        self.problems.append(Problem(path=shown(path), where=where, expected=expected, got=got, remedy=remedy))


def _quoted(name: str) -> str:
    """Return a name in quotes, shortened to one line."""
    short = name if len(name) <= 80 else f"{name[:79]}…"
    return '"' + "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in short) + '"'
