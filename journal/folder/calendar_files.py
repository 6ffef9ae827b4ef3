"""The calendar files of a journal and their bytes. Nothing is ever fetched.

A calendar file is any file that ends in ".ics", at any depth of the journal, and any file or folder that the setting
`calendars` names. `journal.calendars.appointments` parses them.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Sequence
from pathlib import Path

import msgspec

from journal.errors import Problem
from journal.folder import discover, plain_file
from journal.folder.discover import SETTINGS_NAME
from journal.folder.folder_walk import FolderWalk, shown, unreadable_words
from journal.language.lazy_text import L_, Phrase

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
    reader.take_folder(folder, "")
    for position, name in enumerate(named):
        reader.take_named(name, f"calendars[{position}]")
    return Calendars(reader.files, reader.problems)


class _Reader:
    """The state of one read: the files so far, the problems, and the inodes already seen."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files: list[CalendarFile] = []
        self.problems: list[Problem] = []
        self.seen = set[tuple[int, int]]()

    def take_named(self, name: str, setting: str) -> None:
        if _ADDRESS.match(name):
            remedy = L_("Duskbook fetches nothing: save the calendar as a file and name that")
            self._problem(SETTINGS_NAME, L_("a file"), L_("an address"), remedy, setting)
            return
        try:
            path = self.folder / Path(name).expanduser()
            is_folder = path.is_dir()
        except (OSError, ValueError, RuntimeError):  # a NUL in the name; no home for "~"
            self._problem(SETTINGS_NAME, L_("the name of a file"), _quoted(name), L_("name a file"), setting)
            return
        if not name or not (is_folder or path.exists()):
            remedy = L_("see how it is spelt, or take it out")
            self._problem(SETTINGS_NAME, L_("an existing calendar file"), _quoted(name), remedy, setting)
        elif is_folder:
            self.take_folder(path, f"{name.rstrip('/')}/")
        else:
            self.take(path, name)

    def take_folder(self, folder: Path, start: str) -> None:
        """Take every ".ics" file below a folder. `start` is the beginning of the paths to show."""
        walk = FolderWalk(str(folder))
        names = discover.calendars(folder)
        if names is None:
            names = tuple(
                prefix + entry.name
                for prefix, entries in walk.folders()
                for entry in entries
                if discover.is_calendar(entry)
            )
        for name in sorted(names, key=lambda name: (name.split("/")[:-1], name)):
            self.take(folder / name, start + name)
        self.problems += [each.but(path=shown(start) + each.path) for each in walk.problems]

    def take(self, path: Path, display_path: str) -> None:
        try:
            status = path.stat()
            if (status.st_dev, status.st_ino) in self.seen:
                return
            self.seen.add((status.st_dev, status.st_ino))
            if not stat.S_ISREG(status.st_mode):
                kind = plain_file.irregular_kind(status.st_mode)
                self._problem(display_path, L_("a calendar file"), kind, L_("move it away"))
            elif status.st_size > SIZE_LIMIT:
                size = L_("{number} MB", number=round(status.st_size / 1e6))
                expected = L_("a calendar of at most {number} MB", number=round(SIZE_LIMIT / 1e6))
                remedy = L_("export the last year or two only, or move it away")
                self._problem(display_path, expected, size, remedy)
            else:
                self.files.append(CalendarFile(shown(display_path), plain_file.read(path, SIZE_LIMIT)))
        except OSError as error:
            self._problem(display_path, L_("a calendar file that can be read"), *unreadable_words(error))

    def _problem(self, path: str, expected: Phrase, got: Phrase, remedy: Phrase, where: str = "") -> None:
        self.problems.append(Problem(path=shown(path), where=where, expected=expected, got=got, remedy=remedy))


def _quoted(name: str) -> str:
    """Return a name in quotes, shortened to one line."""
    short = name if len(name) <= 80 else f"{name[:79]}…"
    return '"' + "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in short) + '"'
