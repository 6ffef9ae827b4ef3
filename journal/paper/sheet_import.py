"""The values of sheets as an import, so that a page keeps what it has and is checked before it is written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from journal import Journal
from journal.entry import Entry
from journal.errors import Problem, WriteError
from journal.folder.page_versions import Base
from journal.importing.model import ImportedValue, ImportedValues, SourceCell
from journal.language.catalogue import _
from journal.paper import half_hours, sheet_fields, task_marks
from journal.paper.sheet_fields import FieldKey, FieldRead
from journal.saving import base_pages


class StandingField(msgspec.Struct, frozen=True):
    """A field that was read, and what the page of its day has there by now, None for nothing.

    A page that cannot be read as TOML is not `is_readable`.
    """

    read: FieldRead
    stands: Any
    is_readable: bool = True

    @property
    def is_asked(self) -> bool:
        """Whether it is in doubt and the page has room for it. Where a value stands, the page keeps it anyway.

        A task that is not known cannot be asked about.
        """
        if self.read.is_task and self.read.task is None:
            return False
        return bool(self.read.doubt) and self.is_readable and self.stands in {None, "open"}

    def settled(self, answers: Mapping[FieldKey, FieldRead]) -> FieldRead:
        """The field with its answer. A half hour in doubt is as the page has it, so that the hours can be compared."""
        if self.read.is_hour and self.read.doubt and self.stands is not None:
            return msgspec.structs.replace(self.read, value=self.stands, doubt="")
        return answers.get(self.read.key, self.read)


def standing(book: Journal, fields: Iterable[FieldRead]) -> list[StandingField]:
    """The fields with what the pages have.

    Raises FolderError if a page cannot be read.
    """
    every = list(fields)
    bases = book.files.pages.look_at_all(sorted({field.date.isoformat() for field in every}))
    entries = {key: base_pages.entry(base, book.files.basis.known)[0] for key, base in bases.items()}
    found = []
    for field in every:
        key = field.date.isoformat()
        try:
            found.append(StandingField(field, _stands(field, bases[key], entries[key])))
        except WriteError:
            found.append(StandingField(field, None, is_readable=False))
    return found


def _stands(field: FieldRead, base: Base, entry: Entry) -> Any:
    """What a page has for a field. Raises WriteError if the page cannot be read as TOML."""
    values = base.values
    if field.is_task:
        row = None if field.task is None else task_marks.row_of(field, values.get("tasks"))
        return None if row is None else row[1].get("status", "open")
    if field.is_hour:
        return half_hours.has(entry.hours.actual, field.path[-1], half_hours.start(field.field))
    return _at(values, field.path)


def imported(book: Journal, name: str, fields: Iterable[FieldRead]) -> ImportedValues:
    """The values of the fields that say one, for pages up to today. Later days can have rest only.

    `name` is that of the pictures, for the problems. The hours of a day are one value: while one of them is in doubt,
    none is written.
    """
    values, problems = list[ImportedValue](), list[Problem]()
    hours, tasks = list[FieldRead](), list[FieldRead]()
    for field in fields:
        if field.value is None and not (field.is_hour and field.doubt):
            continue
        heading = _("{field} of {day}", field=field.name, day=field.date)
        cell = SourceCell(heading=heading, text=sheet_fields.words(field.value))
        if field.date > book.today and field.value != "rest":
            expected = _("a day up to {day}", day=book.today)
            remedy = _("it is left out; nothing but rest can be known before")
            problems.append(cell.problem(name, expected, remedy))
        elif field.is_hour:
            hours.append(field)
        elif field.is_task:
            tasks.append(field)
        else:
            values.append(ImportedValue(key=field.date.isoformat(), path=field.path, value=field.value, cell=cell))
    for found, told in (_hours(name, hours), task_marks.imported(book, name, tasks)):
        values += found
        problems += told
    return ImportedValues(name, values, problems)


def _hours(name: str, fields: Iterable[FieldRead]) -> tuple[list[ImportedValue], list[Problem]]:
    """The stretches of each category and day from its half hours."""
    by_day: dict[dt.date, list[FieldRead]] = {}
    for field in fields:
        by_day.setdefault(field.date, []).append(field)
    values, problems = list[ImportedValue](), list[Problem]()
    for date, of_day in by_day.items():
        cell = SourceCell(heading=_("{field} of {day}", field="hours.actual", day=date))
        doubts = [f"{field.name} {field.doubt}" for field in of_day if field.doubt]
        if doubts:
            remedy = _("none of its hours are written; read it again and answer, or enter them on its page")
            problems.append(cell.problem(name, _("hours that are clear"), remedy, ", ".join(doubts)))
            continue
        starts: dict[str, list[str]] = {}
        for field in of_day:
            if field.value is True:
                starts.setdefault(field.path[-1], []).append(half_hours.start(field.field))
        values += [
            ImportedValue(key=date.isoformat(), path=("hours", "actual", category), value=span, cell=cell)
            for category, own in starts.items()
            for span in half_hours.spans(own)
        ]
    return values, problems


def _at(values: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """The value at a path of a page; where the page has something else on the way there, that."""
    value: Any = values
    for name in path:
        if not isinstance(value, Mapping):
            return value
        value = value.get(name)
    return value
