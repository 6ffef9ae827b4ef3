"""The values of sheets as an import, so that a page keeps what it has and is checked before it is written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from journal.errors import WriteError
from journal.folder.opened_files import OpenedFiles
from journal.importing.model import ImportedValue, ImportedValues, SourceCell
from journal.paper import sheet_fields
from journal.paper.sheet_fields import FieldRead


class StandingField(msgspec.Struct, frozen=True):
    """A field that was read, and what the page of its day has there by now, None for nothing.

    A page that cannot be read as TOML is not `is_readable`.
    """

    read: FieldRead
    stands: Any
    is_readable: bool = True

    @property
    def is_asked(self) -> bool:
        """Whether it is in doubt and the page has room for it. Where a value stands, the page keeps it anyway."""
        return bool(self.read.doubt) and self.stands is None and self.is_readable


def standing(files: OpenedFiles, fields: Iterable[FieldRead]) -> list[StandingField]:
    """The fields with what the pages have.

    Raises FolderError if a page cannot be read.
    """
    every = list(fields)
    pages = files.pages.look_at_all(sorted({field.date.isoformat() for field in every}))
    found = []
    for field in every:
        try:
            found.append(StandingField(field, _at(pages[field.date.isoformat()].values, field.path)))
        except WriteError:
            found.append(StandingField(field, None, is_readable=False))
    return found


def imported(name: str, fields: Iterable[FieldRead], *, today: dt.date) -> ImportedValues:
    """The values of the fields that say one, for pages up to `today`. Later days can have rest only.

    `name` is that of the pictures, for the problems.
    """
    values, problems = list[ImportedValue](), []
    for field in fields:
        if field.value is None:
            continue
        words = sheet_fields.words(field.value)
        cell = SourceCell(heading=f"{field.field} of {field.date}", text=words)
        if field.date > today and field.value != "rest":
            problems.append(
                cell.problem(name, f"a day up to {today}", "it is left out; nothing but rest can be known before")
            )
            continue
        values.append(ImportedValue(key=field.date.isoformat(), path=field.path, value=field.value, cell=cell))
    return ImportedValues(name, values, problems)


def _at(values: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """The value at a path of a page; where the page has something else on the way there, that."""
    value: Any = values
    for name in path:
        if not isinstance(value, Mapping):
            return value
        value = value.get(name)
    return value
