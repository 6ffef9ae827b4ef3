"""Comparison of a file's values with the pages: new values, values that stay different, and problems.

Existing values on a page stay. Missing values are added, missing lines are appended, and every other difference is
reported. Each resulting page is validated, so an import adds no problems: a value that would cause one is left out and
reported.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec

from journal.entry import Entry, Review
from journal.errors import Problem, WriteError
from journal.folder import check_day, type_errors, typed_values, writing
from journal.folder.faults import Key
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.writing import Base, Changes
from journal.importing.merge_values import Added, add, changes
from journal.importing.model import ImportedValue, ImportedValues
from journal.language.catalogue import _
from journal.language.lazy_text import said


class PagePlan(msgspec.Struct, frozen=True):
    """One page to write: its current version, its changes, and the keys of the pages to be written before."""

    base: Base
    changes: Changes
    after: frozenset[str] = frozenset()

    @property
    def is_new(self) -> bool:
        """Whether the page does not exist yet."""
        return self.base.data is None


class Plan(msgspec.Struct, frozen=True):
    """The result of an import before it is written.

    `pages` are the pages to write, in order; `left` the keys of pages without new values; `kept` texts about values
    that stay different from the file; `problems` all problems, including those of the file.
    """

    pages: list[PagePlan]
    left: list[str]
    kept: list[str]
    problems: list[Problem]


def plan(
    folder: Path, imported: ImportedValues, known: Known, *, now: dt.datetime, files: OpenedFiles | None = None
) -> Plan:
    """Compare imported values with the pages of a journal at the moment `now`. Nothing is written.

    `files` are the files that the command has read already.

    >>> import tempfile
    >>> from journal.folder import reading
    >>> directory = tempfile.TemporaryDirectory()
    >>> folder = Path(directory.name)
    >>> _ = (folder / "journal.toml").write_text('title = "Spine"')
    >>> _ = (folder / "2025-03-14.toml").write_text("mood = 4")
    >>> days = {"2025-03-14": 3, "2025-03-15": 2}
    >>> values = [ImportedValue(key=day, path=("mood",), value=mood) for day, mood in days.items()]
    >>> now, known = dt.datetime(2025, 3, 16, tzinfo=dt.UTC), reading.read_settings(folder).known
    >>> result = plan(folder, ImportedValues("days.csv", values, []), known, now=now)
    >>> [page.base.path for page in result.pages], result.kept
    (['2025/2025-03-15.toml'], ['2025-03-14: mood stays 4, the file has 3'])
    >>> directory.cleanup()

    Raises FolderError if a page cannot be read.
    """
    result = Plan([], [], [], list(imported.problems))
    by_page: dict[str, list[ImportedValue]] = {}
    for value in imported.values:
        by_page.setdefault(value.key, []).append(value)
    files = OpenedFiles(folder) if files is None else files
    incomplete = set[str]()  # pages that do not get all of their values
    for key, base in files.pages.look_at_all(_order(by_page)).items():
        page = _Page(base, imported.name, known, result)
        try:
            page.take(files, [value for value in by_page[key] if value.after not in incomplete], now)
        except WriteError as error:
            result.problems.extend(error.problems or [_unwritable(base.path, error)])
            result.left.append(key)
            incomplete.add(key)
        if page.faulty:
            incomplete.add(key)
    result.problems.sort()
    return result


def _order(by_page: Mapping[str, list[ImportedValue]]) -> list[str]:
    """The pages by date, but those that others wait for first, from the latest: a task goes to a later day."""
    first = {value.after for values in by_page.values() for value in values if value.after} & by_page.keys()
    return [*sorted(first, reverse=True), *sorted(by_page.keys() - first)]


class _Page:
    """The planning of one page."""

    def __init__(self, base: Base, name: str, known: Known, plan: Plan) -> None:
        self.base, self.name, self.known, self.plan = base, name, known, plan
        self.faulty: list[ImportedValue] = []

    def take(self, files: OpenedFiles, values: list[ImportedValue], now: dt.datetime) -> None:
        present = self.base.values
        kind = writing.file_of(self.base.key, self.base.path).kind
        page = Entry if kind == "day" else Review
        # Invalid values on the page are ignored by the reader, so the check ignores them too.
        valid_values = present if _is_sound(present, page) else type_errors.fitting(present, page).values
        added, kept = add(present, values)
        while faults := self._faults(valid_values, added, page, kind):
            added = added.without(faults)
            self.faulty += faults
        self.plan.kept.extend(f"{self.base.key}: {text}" for text in kept)
        if not added.values:
            self.plan.left.append(self.base.key)
            return
        after = frozenset(value.after for value in added.values if value.after)
        planned = PagePlan(self.base, changes(present, added), after)
        if not planned.is_new:  # a new page can always be written
            writing.save(files.folder, self.base.key, self.base, planned.changes, now=now, rehearse=True, files=files)
        self.plan.pages.append(planned)

    def _faults(
        self, valid_values: Mapping[str, Any], added: Added, page: type[Entry | Review], kind: str
    ) -> list[ImportedValue]:
        """Return the values that cause faults on the page. Each fault is reported at its position in the file."""
        after, added_at = added.on(valid_values)
        typed = typed_values.typed(after, page)
        if isinstance(typed, Entry):
            faults = check_day.entry(typed, dt.date.fromisoformat(self.base.key), self.known)
        else:
            faults = check_day.review(typed, kind, self.known)
        faulty: list[ImportedValue] = []
        for fault in faults:
            for value in _faulty_values(fault.where, added_at):
                if value not in faulty:
                    faulty.append(value)
                    cell = value.at(fault)
                    self.plan.problems.append(
                        cell.problem(self.name, *map(said, (fault.expected, fault.remedy, fault.got)))
                    )
        return faulty


def _faulty_values(where: Key, added_at: Mapping[Key, ImportedValue]) -> list[ImportedValue]:
    """Return the values that cause a fault: the one at or around its path, or all below it.

    The weather's values are checked against one another, so a fault there can be caused by all of them.
    """
    for depth in range(len(where), 0, -1):
        if where[:depth] in added_at:
            return [added_at[where[:depth]]]
    below = [value for path, value in added_at.items() if path[: len(where)] == where]
    return below or [value for path, value in added_at.items() if path[0] == where[0] == "weather"]


def _is_sound(values: dict[str, Any], page: type[Entry | Review]) -> bool:
    try:
        typed_values.typed(values, page)
    except (msgspec.ValidationError, ValueError):
        return False
    return True


def _unwritable(path: str, error: WriteError) -> Problem:
    return Problem(path=path, expected=_("a page that can be written"), got=f'"{error}"', remedy=_("it stays as it is"))
