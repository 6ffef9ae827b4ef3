"""The files of a journal: one page for each period, and a problem for each misnamed file.

One walk over the folder. A page may be at any depth; its name alone gives its period.
"""

from __future__ import annotations

import datetime as dt
import os
import stat
from collections.abc import Iterable, Sequence
from operator import attrgetter
from pathlib import Path

import msgspec

from journal import periods
from journal.errors import Problem
from journal.folder import file_names, kept_listings, live_folder, name_states, stray_files
from journal.folder.cache import CACHE_NAME
from journal.folder.file_names import EARLIEST_YEAR, LATEST_YEAR, SETTINGS_NAME, UNDATED_NAME
from journal.folder.folder_listing import FolderListing, JournalFile
from journal.folder.folder_walk import FolderWalk, KnownFolder, is_outside, shown, unreadable_words
from journal.folder.kept_listings import Listings
from journal.folder.live_folder import LiveFolder
from journal.folder.plain_file import irregular_kind
from journal.folder.stray_files import FIXED_KEYS, PageCopy, StrayFile
from journal.language.lazy_text import L_
from journal.periods import PeriodKind

__all__ = [
    "CACHE_NAME", "EARLIEST_YEAR", "LATEST_YEAR", "SETTINGS_NAME", "SIZE_LIMIT", "TICK_NS", "UNDATED_NAME",
    "Discovery", "JournalFile", "far_ahead", "find", "path_of",
]  # fmt: skip

SIZE_LIMIT = 250_000
"""Bytes. A full page of a day has about 1,500. A file of more than forty thousand words is not a page. Reporting its
problems, whatever its content, may take a few seconds at most."""

TICK_NS = 2_000_000_000
"""FAT keeps times to two seconds, the coarsest resolution still in use."""

FAR = dt.timedelta(days=2 * 366)
"""How far ahead of today a page may be: people plan a year or two ahead, and a page in ten years is a slip."""


_KEY, _PATH = attrgetter("key"), attrgetter("path")


class Discovery(msgspec.Struct, frozen=True):
    """The pages of a journal, one for each period, sorted by path; and the problems of all other files.

    `copies` are the files that are most likely copies of a page, of journal.toml or of undated.toml. They are not read.
    `newest_content_ns` and `newest_state_ns` are when the content and the inode state of one of them, or of a second
    file of a period, last changed. `calendars` are the paths of the calendar files.
    """

    pages: list[JournalFile]
    problems: list[Problem]
    copies: tuple[PageCopy, ...] = ()
    newest_content_ns: int = 0
    newest_state_ns: int = 0
    calendars: tuple[str, ...] = ()


def find(folder: Path, *, keeps: bool = False) -> Discovery:
    """Return every page below the folder. With `keeps`, what its folders have is kept in `.cache` for the next walk.

    Folders whose name starts with a dot are skipped, and so are files whose name has nothing of a page. A link to a
    page is followed, and is a problem if it leads out of the journal; a link to a folder is not (`folder_walk`). If
    several files have one period, the one in the folder of its year is read, otherwise the first by path. The others
    become problems.
    """
    live = live_folder.of(folder)
    if live is None:
        return _discovery(_walked(folder, None, keeps))
    with live.lock:
        live.look()
        if not isinstance(live.whole, Discovery):
            walk = _walked(folder, live, keeps)
            found = _discovery(walk)
            live.whole = found if walk.is_kept else None
            return found
        return live.whole


def _walked(folder: Path, live: LiveFolder[FolderListing] | None, keeps: bool) -> _PageWalk:
    walk = _PageWalk(str(folder), live, kept_listings.load(folder) if keeps else None)
    if walk.read_anew > kept_listings.LEAST:
        kept_listings.save(folder, walk.listings)
    return walk


def _discovery(walk: _PageWalk) -> Discovery:
    copies = []
    for key, files in walk.duplicates.items():
        kept, *duplicates = sorted([walk.pages[key], *files], key=lambda file: (not _under_its_year(file), file.path))
        walk.pages[key] = kept
        copies += [PageCopy(duplicate.path, key, kept.path) for duplicate in duplicates]
    problems = [stray_files.beside(copy.path, copy.key, copy.page) for copy in copies]
    pages = sorted(walk.pages.values(), key=_PATH)
    if walk.strays:
        told, strays = stray_files.told(walk.strays, walk.fixed | {file.key: file.path for file in pages})
        problems, copies = problems + told, copies + strays
    if not all(map(attrgetter("size"), pages)):
        problems += [stray_files.empty(file.path) for file in pages if not file.size]
    all_problems, calendars = walk.problems + problems, tuple(sorted(walk.calendars))
    return Discovery(pages, all_problems, tuple(sorted(copies)), *walk.newest_ns, calendars)


def calendars(folder: Path) -> tuple[str, ...] | None:
    """Return the paths of the journal's calendar files as the last walk found them, if signals tell that this is so."""
    live = live_folder.of(folder)
    if live is None:
        return None
    with live.lock:
        found = find(folder)
        return found.calendars if live.whole is found else None


def path_of(folder: Path, key: str) -> str | None:
    """Return the path of a period's page, or None if there is no such page.

    For a page that does not exist this reads names only, in a tenth of the time that `find` takes.
    """
    name = f"{key}.toml"
    for _, entries in FolderWalk(str(folder)).folders():
        if any(entry.name == name for entry in entries):
            return next((file.path for file in find(folder).pages if file.key == key), None)
    return None


def far_ahead(pages: Sequence[JournalFile], today: dt.date) -> list[Problem]:
    """Return a problem for each page that is far in the future, which is most likely a mistyped year.

    Far means more than `FAR` after today and after every earlier page. So a journal that is opened as of an early day
    has no such problem: its later pages follow one another.
    """
    latest, far = today, False
    problems: list[Problem] = []
    if max(map(_KEY, pages), default="")[:4] < f"{today.year + 2:04}":
        return problems  # no page is more than `FAR` after today
    year = f"{today.year:04}"
    for day, _, file in sorted((_inside(file), file.path, file) for file in pages if file.key[:4] >= year):
        far = far or day > latest + FAR
        latest = max(latest, day)
        if far:
            expected, got = L_("a page of at most two years ahead"), L_("one of {year}", year=file.key[:4])
            remedy = L_("give it the year it is for")
            problems.append(Problem(path=shown(file.path), expected=expected, got=got, remedy=remedy))
    return problems


def _inside(file: JournalFile) -> dt.date:
    """Return a day in the period of a page. Which one does not matter beside `FAR`."""
    return dt.date.fromisoformat(file.key) if file.kind == "day" else periods.parse_name(file.key, file.kind).inside


class _PageWalk:
    """The state of one walk: the pages and problems so far."""

    def __init__(self, top: str, live: LiveFolder[FolderListing] | None, kept: Listings | None) -> None:
        """`kept` are listings of an earlier walk, None if no walk is to be kept."""
        self.walk = FolderWalk(top)
        self.listings: dict[str, FolderListing] = {}
        """What is to be kept of the folders that can be told by their names."""
        self.read_anew = 0
        """The number of names that were read without a listing that was kept."""
        self.is_kept = True
        """Whether the next walk need not look at any folder that does not change."""
        self.pages: dict[str, JournalFile] = {}  # by key, the first file of the walk
        self.duplicates: dict[str, list[JournalFile]] = {}  # by key, further files of the same period
        self.fixed: dict[str, str] = {}  # by key, journal.toml and undated.toml
        self.strays: list[StrayFile] = []
        self.calendars: list[str] = []
        self.newest_ns = (0, 0)
        self.problems = self.walk.problems
        listing: FolderListing | None = None
        problems = 0

        def known(below: str) -> KnownFolder | None:
            nonlocal listing, problems
            problems, listing = len(self.problems), None if live is None else live.kept(below)
            if listing is None and kept and (before := kept.get(below)) is not None:
                listing = before if before.seen == name_states.names_now(top, below) else None
                if listing is not None:
                    self.is_kept &= live is not None and live.keep(below, listing)
            return None if listing is None else listing.known

        for prefix, entries, folder in self.walk.steps(known):
            if listing is None:
                listing = FolderListing(folder)
                self._take_all(entries or (), prefix, listing)
                listing.newest_ns = _newest(listing.pages)
                is_whole = listing.is_plain and len(self.problems) == problems
                if kept is not None and entries is not None:
                    self.read_anew += len(entries)
                    listing.seen = name_states.of_entries(entries) if is_whole else None
                self.is_kept &= live is not None and is_whole and live.keep(prefix[:-1], listing)
            if kept is not None and listing.seen is not None:
                self.listings[prefix[:-1]] = listing
            self._add(listing)
        self.is_kept &= not self.problems

    def _add(self, listing: FolderListing) -> None:
        self.fixed |= listing.fixed
        self.strays += listing.strays
        self.calendars += listing.calendars
        self.newest_ns = max(self.newest_ns[0], listing.newest_ns[0]), max(self.newest_ns[1], listing.newest_ns[1])
        by_key = dict(zip(map(_KEY, listing.pages), listing.pages, strict=True))
        if len(by_key) == len(listing.pages) and self.pages.keys().isdisjoint(by_key):
            self.pages |= by_key
            return
        for file in listing.pages:
            if self.pages.setdefault(file.key, file) is not file:
                self.duplicates.setdefault(file.key, []).append(file)

    def _take_all(self, entries: Iterable[os.DirEntry[str]], prefix: str, listing: FolderListing) -> None:
        """Take the entries of a folder. Fifty years have 21,000 in each walk, so that of a page costs little here."""
        period_of, pages, regular = file_names.period, listing.pages, stat.S_ISREG
        for entry in entries:
            name = entry.name
            period = period_of(name[:-5]) if name[-5:] == ".toml" else None
            if entry.is_symlink():
                listing.is_plain = False
            elif period is not None:
                try:
                    status = entry.stat()
                except OSError:
                    pass  # told below
                else:
                    if regular(status.st_mode) and status.st_nlink == 1:
                        size, content_ns, state_ns = status.st_size, status.st_mtime_ns, status.st_ctime_ns
                        pages.append(JournalFile(prefix + name, *period, size, content_ns, state_ns))
                        continue
            self._take(entry, prefix, period, listing)

    def _take(
        self, entry: os.DirEntry[str], prefix: str, period: tuple[PeriodKind, str] | None, listing: FolderListing
    ) -> None:
        name = entry.name
        if is_calendar(entry):
            listing.calendars.append(prefix + name)
        if period is not None:
            self._take_page(entry, prefix + name, *period, listing)
        elif name in FIXED_KEYS and not prefix:
            listing.fixed[FIXED_KEYS[name]] = name
            self._report_outside(entry, name)
        elif name[-5:].lower() == ".toml" and name[0] != ".":
            listing.strays.append(StrayFile(prefix + name, name, stray_files.meaning(entry)))
        elif (meant := stray_files.meaning(entry)) is not None:
            listing.strays.append(StrayFile(prefix + name, name, meant))

    def _take_page(
        self, entry: os.DirEntry[str], path: str, kind: PeriodKind, key: str, listing: FolderListing
    ) -> None:
        try:
            status = entry.stat()
        except OSError as error:
            self.walk.report(path, L_("a file that can be read"), *unreadable_words(error))
            return
        if not stat.S_ISREG(status.st_mode):
            remedy = L_("give it another name, or move it away")
            self.walk.report(path, L_("a file"), irregular_kind(status.st_mode), remedy)
            return
        self._report_outside(entry, path)
        listing.is_plain &= status.st_nlink == 1
        listing.pages.append(JournalFile(path, kind, key, status.st_size, status.st_mtime_ns, status.st_ctime_ns))

    def _report_outside(self, entry: os.DirEntry[str], path: str) -> None:
        if entry.is_symlink() and is_outside(self.walk.top, path):
            got = L_("a link that leads out of it")
            remedy = L_("it is read and never written; move its file into the journal")
            self.walk.report(path, L_("a file in the journal's folder"), got, remedy)


def _newest(pages: Sequence[JournalFile]) -> tuple[int, int]:
    content_ns, state_ns = (max(map(attrgetter(name), pages), default=0) for name in ("content_ns", "state_ns"))
    return content_ns, state_ns


def is_calendar(entry: os.DirEntry[str]) -> bool:
    """Return whether an entry of a folder is a calendar file, by its name."""
    return entry.name[-4:].lower() == ".ics" and entry.name[0] != "." and not _is_folder(entry)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link to itself
        return False


def _under_its_year(file: JournalFile) -> bool:
    return file.key[:4] in file.path.split("/")[:-1]
