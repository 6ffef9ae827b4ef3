"""What a file has, held to what the pages say: what is new on each page, what stays as it is, and what cannot be.

What a page says stays. A value that it has not got is put in, a line of a list that is not there yet is added, and of
all else that the file has otherwise it is told that it stays. Every page that would come of it is checked as it is
read, so that what is put in brings no problem into the journal: a value that would is left out and told.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec

from journal.entry import Entry, Review
from journal.errors import Problem, WriteError
from journal.folder import check_day, reading, type_errors, writing
from journal.folder.faults import Key
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.writing import Base, Changes
from journal.importing.merge_values import Added, add, changes
from journal.importing.model import ImportedValue, ImportedValues


class PagePlan(msgspec.Struct, frozen=True):
    """One page that would be written: as it was looked at, and its changes."""

    base: Base
    changes: Changes

    @property
    def is_new(self) -> bool:
        """Whether there is no such page yet."""
        return self.base.data is None


class Plan(msgspec.Struct, frozen=True):
    """What would become of a journal: pages to be written, by date; pages that say all of it already; what stays
    against the file, in words; and all problems, those of the file among them."""

    pages: list[PagePlan]
    left: list[str]
    kept: list[str]
    problems: list[Problem]


def plan(
    folder: Path, found: ImportedValues, known: Known, *, now: dt.datetime, files: OpenedFiles | None = None
) -> Plan:
    """Hold what was found to the pages of a journal, as of the moment `now`. Nothing is written. `files` are those that
    were read of it in the same command.

    >>> import tempfile
    >>> directory = tempfile.TemporaryDirectory()
    >>> folder = Path(directory.name)
    >>> _ = (folder / "journal.toml").write_text('title = "Spine"')
    >>> _ = (folder / "2025-03-14.toml").write_text("mood = 4")
    >>> days = {"2025-03-14": 3, "2025-03-15": 2}
    >>> values = [ImportedValue(key=day, path=("mood",), value=mood) for day, mood in days.items()]
    >>> now, known = dt.datetime(2025, 3, 16, tzinfo=dt.UTC), reading.read_settings(folder).known
    >>> found = plan(folder, ImportedValues("days.csv", values, []), known, now=now)
    >>> [page.base.path for page in found.pages], found.kept
    (['2025/2025-03-15.toml'], ['2025-03-14: mood stays 4, the file has 3'])
    >>> directory.cleanup()

    Raises FolderError where a page cannot be read.
    """
    made = Plan([], [], [], list(found.problems))
    together: dict[str, list[ImportedValue]] = {}
    for value in found.values:
        together.setdefault(value.key, []).append(value)
    files = OpenedFiles(folder) if files is None else files
    for key, base in files.pages.look_at_all(sorted(together)).items():
        try:
            _Page(base, found.name, known, made).take(files, together[key], now)
        except WriteError as error:
            made.problems.extend(error.problems or [_unwritable(base.path, error)])
            made.left.append(key)
    made.problems.sort()
    return made


class _Page:
    """One page while it is planned."""

    def __init__(self, base: Base, name: str, known: Known, made: Plan) -> None:
        self.base, self.name, self.known, self.made = base, name, known, made

    def take(self, files: OpenedFiles, values: list[ImportedValue], now: dt.datetime) -> None:
        present = self.base.values
        kind = writing.file_of(self.base.key, self.base.path).kind
        page = Entry if kind == "day" else Review
        # What the page has that is no value of a page is not read, and so takes no part in the check.
        sound = present if _is_sound(present, page) else type_errors.fitting(present, page).values
        wanted, stays = add(present, values)
        while faults := self._faults(sound, wanted, page, kind):
            wanted = Added([value for value in wanted.values if value not in faults])
        self.made.kept.extend(f"{self.base.key}: {said}" for said in stays)
        if not wanted.values:
            self.made.left.append(self.base.key)
            return
        planned = PagePlan(self.base, changes(present, wanted))
        if not planned.is_new:  # that one can be written needs no trying
            writing.save(files.folder, self.base.key, self.base, planned.changes, now=now, rehearse=True, files=files)
        self.made.pages.append(planned)

    def _faults(
        self, sound: Mapping[str, Any], wanted: Added, page: type[Entry | Review], kind: str
    ) -> list[ImportedValue]:
        """The values that make faults on the page; each is told with its place in the file."""
        after, places = wanted.on(sound)
        typed = reading.typed(after, page)
        if isinstance(typed, Entry):
            faults = check_day.entry(typed, dt.date.fromisoformat(self.base.key), self.known)
        else:
            faults = check_day.review(typed, kind, self.known)
        blamed: list[ImportedValue] = []
        for fault in faults:
            for value in _culprits(fault.where, places):
                if value not in blamed:
                    blamed.append(value)
                    cell = value.at(fault)
                    self.made.problems.append(cell.problem(self.name, fault.expected, fault.remedy, fault.got))
        return blamed


def _culprits(where: Key, places: Mapping[Key, ImportedValue]) -> list[ImportedValue]:
    """The values that a fault is of: the one around its place, else all within it, and of the weather all, since they
    are held to each other."""
    for depth in range(len(where), 0, -1):
        if where[:depth] in places:
            return [places[where[:depth]]]
    within = [value for path, value in places.items() if path[: len(where)] == where]
    return within or [value for path, value in places.items() if path[0] == where[0] == "weather"]


def _is_sound(values: dict[str, Any], page: type[Entry | Review]) -> bool:
    try:
        reading.typed(values, page)
    except (msgspec.ValidationError, ValueError):
        return False
    return True


def _unwritable(path: str, error: WriteError) -> Problem:
    return Problem(path=path, expected="a page that can be written", got=f'"{error}"', remedy="it stays as it is")
