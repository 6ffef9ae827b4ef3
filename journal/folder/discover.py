"""The files of a journal: one page for each period, and a problem for each misnamed file.

One walk over the folder. A page may be at any depth; its name alone gives its period.
"""

from __future__ import annotations

import datetime as dt
import os
import re
import stat
from collections.abc import Iterable, Iterator
from operator import attrgetter
from pathlib import Path

import msgspec

from journal import periods
from journal.errors import Problem, UsageError
from journal.folder.folder_walk import FolderWalk, is_outside, shown, unreadable
from journal.folder.plain_file import irregular
from journal.periods import PeriodKind

SETTINGS_NAME, UNDATED_NAME, CACHE_NAME = "journal.toml", "undated.toml", ".cache"
SIZE_LIMIT = 250_000
"""Bytes. A full page of a day has about 1,500. A file of more than forty thousand words is not a page. Reporting its
problems, whatever its content, may take a few seconds at most."""

TICK_NS = 2_000_000_000
"""FAT keeps times to two seconds, the coarsest resolution still in use."""

# ISO 8601 uses the Gregorian calendar, which begins in 1582. A typing error such as 9999 for 1999 would make a
# calendar of millions of days.
EARLIEST_YEAR, LATEST_YEAR = 1583, 2999

FAR = dt.timedelta(days=2 * 366)
"""How far ahead of today a page may be: people plan a year or two ahead, and a page in ten years is a slip."""

_SHAPES: tuple[tuple[PeriodKind, re.Pattern[str]], ...] = (
    ("day", re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")),
    ("week", re.compile(r"[0-9]{4}-W[0-9]{2}")),
    ("month", re.compile(r"[0-9]{4}-[0-9]{2}")),
    ("year", re.compile(r"[0-9]{4}")),
)
_PAGE_THEN_MORE = re.compile(r"([0-9]{4}(?:-W[0-9]{2}|-[0-9]{2}(?:-[0-9]{2})?)?)[^0-9].*", re.DOTALL)
_LOOSE_DAY = re.compile(r"([0-9]{4})[-_. ]?([0-9]{1,2})[-_. ]?([0-9]{1,2})")


class JournalFile(msgspec.Struct, frozen=True, array_like=True):
    """A page that is not read yet.

    `path` is relative to the journal, with forward slashes. `kind` and `key` give its period. `size` is in bytes.
    `content_ns` and `state_ns` are when its content and its inode state last changed, in ns.
    """

    path: str
    kind: PeriodKind
    key: str
    size: int
    content_ns: int
    state_ns: int


class Discovery(msgspec.Struct, frozen=True):
    """The pages of a journal, one for each period, sorted by path; and the problems of all other TOML files."""

    pages: list[JournalFile]
    problems: list[Problem]


def find(folder: Path) -> Discovery:
    """Return every page below the folder.

    Folders and files whose name starts with a dot are skipped, and so are files that do not end in ".toml". A link to a
    page is followed, and is a problem if it leads out of the journal; a link to a folder is not (`folder_walk`). If
    several files have one period, the one in the folder of its year is read, otherwise the first by path. The others
    become problems.
    """
    walk = _PageWalk(str(folder))
    for key, files in walk.duplicates.items():
        kept, *duplicates = sorted([walk.pages[key], *files], key=lambda file: (not _under_its_year(file), file.path))
        walk.pages[key] = kept
        walk.problems += [_duplicate_problem(kept, duplicate) for duplicate in duplicates]
    return Discovery(sorted(walk.pages.values(), key=attrgetter("path")), walk.problems)


def path_of(folder: Path, key: str) -> str | None:
    """Return the path of a period's page, or None if there is no such page.

    For a page that does not exist this reads names only, in a tenth of the time that `find` takes.
    """
    name = f"{key}.toml"
    for _, entries in FolderWalk(str(folder)).folders():
        if any(entry.name == name for entry in entries):
            return next((file.path for file in find(folder).pages if file.key == key), None)
    return None


def far_ahead(pages: Iterable[JournalFile], today: dt.date) -> list[Problem]:
    """Return a problem for each page that is far in the future, which is most likely a mistyped year.

    Far means more than `FAR` after today and after every earlier page. So a journal that is opened as of an early day
    has no such problem: its later pages follow one another.
    """
    latest, far = today, False
    problems = []
    for day, _, file in sorted((_inside(file), file.path, file) for file in pages if int(file.key[:4]) >= today.year):
        far = far or day > latest + FAR
        latest = max(latest, day)
        if far:
            expected, got = "a page of at most two years ahead", f"one of {file.key[:4]}"
            remedy = "give it the year it is for"
            problems.append(Problem(path=shown(file.path), expected=expected, got=got, remedy=remedy))
    return problems


def _inside(file: JournalFile) -> dt.date:
    """Return a day in the period of a page. Which one does not matter beside `FAR`."""
    return dt.date.fromisoformat(file.key) if file.kind == "day" else periods.parse_name(file.key, file.kind).inside


class _PageWalk:
    """The state of one walk: the pages and problems so far."""

    def __init__(self, top: str) -> None:
        self.walk = FolderWalk(top)
        self.pages: dict[str, JournalFile] = {}  # by key, the first file of the walk
        self.duplicates: dict[str, list[JournalFile]] = {}  # by key, further files of the same period
        self.problems = self.walk.problems
        for prefix, entries in self.walk.folders():
            for entry in entries:
                self._take(entry, prefix)

    def _take(self, entry: os.DirEntry[str], prefix: str) -> None:
        name = entry.name
        if name.endswith(".toml") and (period := _period(name[:-5])) is not None:
            self._take_page(entry, prefix + name, *period)
        elif name[0] == ".":
            pass
        elif not prefix and name in (SETTINGS_NAME, UNDATED_NAME):
            self._report_outside(entry, name)
        elif name[-5:].lower() == ".toml":
            self.problems.append(_misnamed(prefix + name, name))

    def _take_page(self, entry: os.DirEntry[str], path: str, kind: PeriodKind, key: str) -> None:
        try:
            status = entry.stat()
        except OSError as error:
            self.walk.report(path, "a file that can be read", *unreadable(error))
            return
        if not stat.S_ISREG(status.st_mode):
            self.walk.report(path, "a file", irregular(status.st_mode), "give it another name, or move it away")
            return
        self._report_outside(entry, path)
        file = JournalFile(path, kind, key, status.st_size, status.st_mtime_ns, status.st_ctime_ns)
        if self.pages.setdefault(key, file) is not file:
            self.duplicates.setdefault(key, []).append(file)

    def _report_outside(self, entry: os.DirEntry[str], path: str) -> None:
        if entry.is_symlink() and is_outside(self.walk.top, path):
            got, remedy = "a link that leads out of it", "it is read and never written; move its file into the journal"
            self.walk.report(path, "a file in the journal's folder", got, remedy)


def _period(stem: str) -> tuple[PeriodKind, str] | None:
    """Return the kind and key of a page's name without ending, or None if it is not a page's name."""
    # Fast path for days, the most frequent kind.
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


def _duplicate_problem(first: JournalFile, duplicate: JournalFile) -> Problem:
    return Problem(
        path=shown(duplicate.path),
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
    """Return expectation and remedy for a name in the form of a period that does not exist."""
    year, rest = int(stem[:4]), stem[5:]
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        span = f"{EARLIEST_YEAR} to {LATEST_YEAR}"
        return f"a year from {span}", "name it by its year"
    if kind == "week":
        last = dt.date(year, 12, 28).isocalendar().week  # 28 December is always in the last ISO week of its year
        return "an existing week", f"{year} has weeks W01 to W{last}: name it by its week"
    if kind == "month" or not 1 <= int(rest[:2]) <= 12:
        return f"an existing {kind}", f"months go from 01 to 12: name it by its {kind}"
    last = periods.month(dt.date(year, int(rest[:2]), 1)).last.day
    return "an existing day", f"{stem[:7]} has days 01 to {last}: name it by its day"


def _better_names(name: str) -> Iterator[str]:
    """Yield page names that resemble a misspelt name."""
    stem = name[:-5]
    if _period(stem.upper()):
        yield f"{stem.upper()}.toml"
    if loose := _LOOSE_DAY.fullmatch(stem):
        day = f"{loose[1]}-{int(loose[2]):02d}-{int(loose[3]):02d}"
        if _period(day):
            yield f"{day}.toml"
    if (more := _PAGE_THEN_MORE.fullmatch(stem)) and _period(more[1]):
        yield f"{more[1]}.toml"
