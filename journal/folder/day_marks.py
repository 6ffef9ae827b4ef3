"""What the pages of single days say of habits, read one by one. For one habit's run that is quicker than opening a
journal: it ends after a few days, and needs no frames."""

from __future__ import annotations

import datetime as dt
import functools
import os
import stat
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from journal.entry import Entry
from journal.errors import FolderError
from journal.folder import check_day, discover, toml_read
from journal.folder.folder_walk import FolderWalk
from journal.folder.page_versions import PageVersions
from journal.folder.toml_read import NotReadError
from journal.folder.typed_values import TomlSource, read_source

if TYPE_CHECKING:
    from pathlib import Path

    from journal.entry import Mark
    from journal.folder.page_names import Known

_READ = ("mood", "habits", "asked")
"""The keys of a page that say which habits were kept, and whether the day was logged and asked."""


class DayMarks(NamedTuple):
    """The valid marks of a day by habit, whether it was logged and an evening asked for its habits, and its mood."""

    marks: Mapping[str, Mark]
    is_asked: bool
    mood: float | None = None


NO_PAGE = DayMarks({}, False)


class TooManyDaysError(Exception):
    """More days are needed than are quickly read one by one. Never leaves the command that asked for them."""


class MarkReader:
    """Reads the marks of days as `reading.read_pages` does. A day without a readable page has no marks.

    >>> import tempfile
    >>> from pathlib import Path
    >>> from journal.folder import reading
    >>> with tempfile.TemporaryDirectory() as directory:
    ...     _ = Path(directory, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nfrom = 2025-03-01\\nevery = "FREQ=DAILY"')
    ...     _ = Path(directory, "2025-03-14.toml").write_text("habits.walk = true")
    ...     reader = MarkReader(Path(directory), reading.read_settings(Path(directory)).known, most=10)
    ...     reader.on(dt.date(2025, 3, 14)), reader.on(dt.date(2025, 3, 13)).marks
    (DayMarks(marks={'walk': True}, is_asked=True, mood=None), {})
    """

    def __init__(self, folder: Path, names: Known, *, most: int, versions: PageVersions | None = None) -> None:
        self._folder, self._top, self._names, self._left = folder, str(folder), names, most
        self._versions = PageVersions(folder) if versions is None else versions
        self._read: dict[dt.date, DayMarks] = {}

    def on(self, day: dt.date) -> DayMarks:
        """Return the marks of a day. Raises TooManyDaysError for one more page than `most`."""
        marks = self._read.get(day)
        if marks is None:
            marks = self._read[day] = self._of_page(day)
        return marks

    def _of_page(self, day: dt.date) -> DayMarks:
        key = day.isoformat()
        try:
            if self._versions.has_read(key):  # it is parsed already
                base = self._versions.look(key)
                path, (text, values) = base.path, base.toml
            else:
                path = f"{key[:4]}/{key}.toml"
                size = self._size(path)
                if size is None:
                    path = (discover.path_of(self._folder, key) if key in self._elsewhere else None) or ""
                    size = self._size(path) if path else None
                if size is None:
                    return NO_PAGE
                text = toml_read.text(path, toml_read.content(self._top, path, size))
                values = toml_read.values(path, text)
        except (OSError, NotReadError, FolderError):
            return NO_PAGE
        source = TomlSource(path, text, {name: values[name] for name in _READ if name in values})
        entry, _ = read_source(source, Entry, lambda page: check_day.entry(page, day, self._names))
        return DayMarks(entry.habits or {}, entry.logged and entry.asked, entry.mood)

    def _size(self, path: str) -> int | None:
        """Return the size of a page to read, or None if there is no such file. Raises TooManyDaysError and OSError."""
        try:
            status = os.stat(f"{self._top}/{path}")  # noqa: PTH116 (a third of the time; there may be thousands)
        except FileNotFoundError:
            return None
        if not stat.S_ISREG(status.st_mode):
            return None
        if not self._left:
            raise TooManyDaysError
        self._left -= 1
        return status.st_size

    @functools.cached_property
    def _elsewhere(self) -> set[str]:
        """The names of all files outside of the folder of their year, without the suffix. Read once, when a page is
        missing there."""
        return {
            entry.name[:-5]
            for prefix, entries in FolderWalk(self._top).folders()
            for entry in entries
            if entry.name.endswith(".toml") and prefix != f"{entry.name[:4]}/"
        }
