"""The files of a journal: the pages by the period each is for, and the names that say nothing.

One walk over the folder. A page may lie at any depth; its name alone says what it is for.
"""

from __future__ import annotations

import datetime as dt
import os
import re
import stat
from collections.abc import Iterator
from operator import attrgetter
from pathlib import Path

import msgspec

from journal import periods
from journal.errors import Problem, UsageError
from journal.periods import PeriodKind

SETTINGS_NAME, UNDATED_NAME, CACHE_NAME = "journal.toml", "undated.toml", ".cache"
SIZE_LIMIT = 250_000
"""Bytes. A full page of a day has about 1,500. What is larger than forty thousand words is no page, and whatever is in
it, to say so may not take longer than a few seconds."""

TICK_NS = 2_000_000_000
"""FAT keeps times to two seconds, and is the coarsest still in use."""

# ISO 8601 counts in the Gregorian calendar, which begins in 1582. A slip of the finger such as 9999 for 1999 would
# lay out a calendar of millions of days.
EARLIEST_YEAR, LATEST_YEAR = 1583, 2999

_SHAPES: tuple[tuple[PeriodKind, re.Pattern[str]], ...] = (
    ("day", re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")),
    ("week", re.compile(r"[0-9]{4}-W[0-9]{2}")),
    ("month", re.compile(r"[0-9]{4}-[0-9]{2}")),
    ("year", re.compile(r"[0-9]{4}")),
)
_PAGE_THEN_MORE = re.compile(r"([0-9]{4}(?:-W[0-9]{2}|-[0-9]{2}(?:-[0-9]{2})?)?)[^0-9].*", re.DOTALL)
_LOOSE_DAY = re.compile(r"([0-9]{4})[-_. ]?([0-9]{1,2})[-_. ]?([0-9]{1,2})")


class JournalFile(msgspec.Struct, frozen=True, array_like=True):
    """A page before it is read: where it is, relative to the journal and with forward slashes; what it is for; and what
    the file system says of it: bytes, and when its content and its state were last changed, in ns."""

    path: str
    kind: PeriodKind
    key: str
    size: int
    content_ns: int
    state_ns: int


class Discovery(msgspec.Struct, frozen=True):
    """The pages of a journal, one for each period, in the order of their paths; and what was no page."""

    pages: list[JournalFile]
    problems: list[Problem]


def find(folder: Path) -> Discovery:
    """Every page below the folder.

    Folders and files whose name starts with a dot are left alone, and so are files that do not end in ".toml".
    A link is followed, but no folder is walked twice, so a link to a folder above it adds nothing.
    """
    found = _FolderWalk(str(folder))
    found.walk()
    for key, others in found.others.items():
        first, *rest = sorted([found.pages[key], *others], key=lambda file: (not _under_its_year(file), file.path))
        found.pages[key] = first
        found.problems += [_second_of(first, other) for other in rest]
    return Discovery(sorted(found.pages.values(), key=attrgetter("path")), found.problems)


def path_of(folder: Path, key: str) -> str | None:
    """Where the page of a period lies, None where there is none.

    For a page that is not there yet this asks the file system for names alone, a tenth of the time that `find` takes.
    """
    for top, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if name[0] != "."]
        if f"{key}.toml" in names or any(Path(top, name).is_symlink() for name in folders):
            return next((file.path for file in find(folder).pages if file.key == key), None)
    return None


class _FolderWalk:
    """The state of one walk: what is still to be walked, and what was found."""

    def __init__(self, top: str) -> None:
        self.top = top
        self.pages: dict[str, JournalFile] = {}  # by key, the first that was met
        self.others: dict[str, list[JournalFile]] = {}  # and those that were met later
        self.problems: list[Problem] = []

    def walk(self) -> None:
        folders, links = [""], list[str]()
        walked = set[tuple[int, int]]()
        while folders or links:
            # Links come last, so that a page that is reached in two ways goes by its own folder.
            below = folders.pop() if folders else links.pop(0)
            path = f"{self.top}/{below}"
            try:
                status = os.stat(path)  # noqa: PTH116 (a hot loop)
                if (status.st_dev, status.st_ino) in walked:
                    continue
                walked.add((status.st_dev, status.st_ino))
                with os.scandir(path) as entries:
                    for entry in entries:
                        self._take(entry, f"{below}/" if below else "", folders, links)
            except OSError as error:
                self._unreadable(below, "a folder", error)

    def _take(self, entry: os.DirEntry[str], prefix: str, folders: list[str], links: list[str]) -> None:
        name = entry.name
        if name.endswith(".toml") and (period := _period(name[:-5])) is not None:
            self._take_page(entry, prefix + name, *period)
        elif name[0] == "." or (not prefix and name in (SETTINGS_NAME, UNDATED_NAME)):
            pass
        elif name[-5:].lower() == ".toml":
            self.problems.append(_misnamed(prefix + name, name))
        elif _is_folder(entry):
            if _is_text(name):
                (links if entry.is_symlink() else folders).append(prefix + name)
            else:
                self._problem(prefix + name, "a folder named in UTF-8", f'"{shown(name)}"', "give it another name")

    def _take_page(self, entry: os.DirEntry[str], path: str, kind: PeriodKind, key: str) -> None:
        try:
            status = entry.stat()
        except OSError as error:
            self._unreadable(path, "a file", error)
            return
        if not stat.S_ISREG(status.st_mode):
            self._problem(path, "a file", irregular(status.st_mode), "give it another name, or move it away")
            return
        file = JournalFile(path, kind, key, status.st_size, status.st_mtime_ns, status.st_ctime_ns)
        if self.pages.setdefault(key, file) is not file:
            self.others.setdefault(key, []).append(file)

    def _unreadable(self, path: str, expected: str, error: OSError) -> None:
        self._problem(path or ".", f"{expected} that can be read", *unreadable(error))

    def _problem(self, path: str, expected: str, got: str, remedy: str) -> None:
        self.problems.append(Problem(path=shown(path), expected=expected, got=got, remedy=remedy))


def unreadable(error: OSError) -> tuple[str, str]:
    """What was met in place of a file or folder that can be read, and how to mend it."""
    if isinstance(error, PermissionError):
        return "no permission", "let your user read it"
    if isinstance(error, FileNotFoundError):
        return "a link to nothing", "take the link away, or bring back what it links to"
    return f'"{error.strerror or error}"', "see to its place, or move it away"


def irregular(mode: int) -> str:
    """What a path is that is no file."""
    kinds = {stat.S_IFDIR: "a folder", stat.S_IFIFO: "a pipe", stat.S_IFSOCK: "a socket"}
    return kinds.get(stat.S_IFMT(mode), "a device")


def shown(path: str) -> str:
    """A path as text that can be written anywhere: bytes that are no UTF-8 as escapes."""
    return path if _is_text(path) else os.fsencode(path).decode("utf-8", "backslashreplace")


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link to itself
        return False


def _is_text(name: str) -> bool:
    if not name.isascii():
        try:
            name.encode()
        except UnicodeEncodeError:
            return False
    return True


def _period(stem: str) -> tuple[PeriodKind, str] | None:
    """The kind of page and its period, or None where the name is not that of a page."""
    # The quick way for days, of which there are most.
    if len(stem) == 10 and stem[4] == stem[7] == "-":
        try:
            day = dt.date.fromisoformat(stem)
        except ValueError:
            return None
        return ("day", stem) if EARLIEST_YEAR <= day.year <= LATEST_YEAR else None
    for kind, shape in _SHAPES:
        if shape.fullmatch(stem):
            try:
                periods.parse_name(stem, kind)
            except UsageError:
                return None
            return (kind, stem) if EARLIEST_YEAR <= int(stem[:4]) <= LATEST_YEAR else None
    return None


def _under_its_year(file: JournalFile) -> bool:
    return file.key[:4] in file.path.split("/")[:-1]


def _second_of(first: JournalFile, other: JournalFile) -> Problem:
    return Problem(
        path=shown(other.path),
        expected=f"one page for {first.key}",
        got=f'a second beside "{shown(first.path)}", which is the one that is read',
        remedy="bring their lines together in that one, then delete this one",
    )


def _misnamed(path: str, name: str) -> Problem:
    shape = next((kind for kind, shape in _SHAPES if shape.fullmatch(name[:-5]) and name.endswith(".toml")), None)
    named = f'"{shown(name)}"'
    if shape is not None:
        expected, remedy = _no_such(shape, name[:-5])
    elif name in (SETTINGS_NAME, UNDATED_NAME):
        expected, remedy = f"{name} at the top of the journal only", "move it there, or out of the journal"
        named = "another one here"
    elif (better := next(_better_names(name), None)) is not None:
        expected = "a page named by its period alone"
        remedy = f'name it "{better}", or bring what is new in it into the page of that name and delete it'
    else:
        expected = 'a page named by its period, e.g. "2025-03-14.toml"'
        remedy = "name it so, give it another ending, or move it out of the journal"
    return Problem(path=shown(path), expected=expected, got=named, remedy=remedy)


def _no_such(kind: PeriodKind, stem: str) -> tuple[str, str]:
    """What to say to a name in the shape of a period that there is not."""
    year, rest = int(stem[:4]), stem[5:]
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        span = f"{EARLIEST_YEAR} to {LATEST_YEAR}"
        return f"a year from {span}", "give it the year it is for"
    if kind == "week":
        last = dt.date(year, 12, 28).isocalendar().week  # 28 December is always in the last ISO week of its year
        return "a week that there is", f"{year} has weeks W01 to W{last}: give it the one it is for"
    if kind == "month" or not 1 <= int(rest[:2]) <= 12:
        return f"a {kind} that there is", "months go from 01 to 12: give it the one it is for"
    last = periods.month(dt.date(year, int(rest[:2]), 1)).last.day
    return "a day that there is", f"{stem[:7]} has days 01 to {last}: give it the one it is for"


def _better_names(name: str) -> Iterator[str]:
    """Names of pages that a name nearly is."""
    stem = name[:-5]
    if _period(stem.upper()):
        yield f"{stem.upper()}.toml"
    if loose := _LOOSE_DAY.fullmatch(stem):
        day = f"{loose[1]}-{int(loose[2]):02d}-{int(loose[3]):02d}"
        if _period(day):
            yield f"{day}.toml"
    if (more := _PAGE_THEN_MORE.fullmatch(stem)) and _period(more[1]):
        yield f"{more[1]}.toml"
