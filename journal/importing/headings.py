"""Mapping of a table's headings to fields of a day's page, habits and challenges."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache

import msgspec

from journal.entry import DAY_FIELDS
from journal.errors import Problem, UsageError
from journal.folder.faults import choose, listed, nearest, quoted
from journal.importing import written_words
from journal.importing.csv_rows import CsvRow
from journal.importing.model import SourceCell
from journal.importing.written_words import Path
from journal.language.catalogue import _
from journal.settings import Settings

DATE: Path = ("date",)
LOGGED: Path = ("logged",)
ASKED: Path = ("asked",)
LEFT_OUT: Path = ()

_DAY_FIELDS: dict[str, Path] = {
    called: field.path for field in DAY_FIELDS for called in (field.name, ".".join(field.path), field.label.casefold())
}
_FIELDS: dict[str, Path] = _DAY_FIELDS | {
    "date": DATE,
    "day": DATE,
    "gratitude": ("gratitude",),
    "memory": ("memory",),
    "note": ("notes",),
    "notes": ("notes",),
    "logged": LOGGED,
    "asked": ASKED,
    "written": LEFT_OUT,  # in our own table of days: it follows from the other columns
}
_MANY = (("gratitude",), ("notes",))
"""Fields that can have several columns."""

_NUMBERED = re.compile(r"(.*[^\W\d_])[ _-]?\d{1,2}")

RECORDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "marks": (
        ("date", "habit", "mark"),
        ("value", "logged", "asked", "due", "times", "per", "target", "aim", "off", "state"),
    ),
    "ticks": (("date", "challenge", "ticked"), ("caught_up",)),
    "lines": (("date", "kind", "text"), ("position", "shared")),
    "pictures": (("date", "position", "picture", "caption"), ("shared",)),
    "hours": (("date", "layer", "category", "start_minute", "end_minute"), ()),
    "appointments": (("date", "title", "start_minute", "end_minute"), ()),
    "tasks": (("date", "title", "status"), ("position", "id", "rank", "estimate", "took", "since")),
    "reflections": (("period", "prompt", "answer"), ("kind", "position")),
    "decisions": (("period", "habit", "decision"), ("from", "until", "until_before")),
}
"""Tables with one row per mark, line or task, as `duskbook export tables` writes them: the columns that identify one,
and its optional columns."""


class MappedColumn(msgspec.Struct, frozen=True):
    """A column that is mapped to a field: its position, its heading, and its key path."""

    position: int
    heading: str
    path: Path

    def cell(self, row: CsvRow) -> SourceCell:
        """Return its cell in a row."""
        return SourceCell(row.line, self.position + 1, self.heading, row.cells[self.position])

    @property
    def field_name(self) -> str:
        """The name of the field."""
        return field_name(self.path)


class HeadingNames:
    """The names that headings can have in one journal.

    >>> from journal.settings import Habit
    >>> import datetime as dt
    >>> walk = Habit(key="walk", name="Walk by the river", start=dt.date(2025, 1, 1), every="FREQ=DAILY")
    >>> fields = HeadingNames(Settings(title="A test", places=(), habits=(walk,)))
    >>> fields.path("WALK BY THE RIVER"), fields.path("habits.walk"), fields.path("Gratitude 2"), fields.path("Wlak")
    (('habits', 'walk'), ('habits', 'walk'), ('gratitude',), None)
    """

    def __init__(self, settings: Settings) -> None:
        parts = [("habits", habit.key, habit.name) for habit in settings.habits]
        parts += [("challenges", challenge.key, challenge.name) for challenge in settings.challenges]
        self.names: dict[str, set[Path]] = {}
        for block, key, name in parts:
            for called in (key, name, f"{block}.{key}"):
                self.names.setdefault(_plain(called), set()).add((block, key))
        self.names |= {name: {path} for name, path in _FIELDS.items()}
        for heading, path in _other_headings().items():
            self.names.setdefault(heading, {path})  # where a habit has that name, it is the habit

    def path(self, heading: str) -> Path | None:
        """Return the key path that a heading means, or None if it is unknown or ambiguous."""
        name = _plain(heading)
        numbered = _NUMBERED.fullmatch(name)
        paths = self.names.get(name, set())
        if not paths and numbered is not None:
            paths = {path for path in self.names.get(numbered[1], ()) if path in _MANY}
        return next(iter(paths)) if len(paths) == 1 else None

    def is_known(self, heading: str) -> bool:
        """Return whether a heading is known, here or in one of our own tables."""
        return self.path(heading) is not None or any(
            _plain(heading) in required for required, _optional in RECORDS.values()
        )


@cache
def _other_headings() -> dict[str, Path]:
    """The headings of the fields of a day in every language of the program."""
    return written_words.headings({field.label: field.path for field in DAY_FIELDS})


def field_name(path: Path) -> str:
    """Return the name of a field as in --column.

    >>> field_name(("habits", "walk")), field_name(("weather", "high")), field_name(LEFT_OUT)
    ('habits.walk', 'high', '-')
    """
    return next((field.name for field in DAY_FIELDS if field.path == path), ".".join(path) or "-")


def assigned(options: Iterable[str], headings: Sequence[str], name: str) -> dict[str, str]:
    """Return the --column options as a mapping of heading to field. Case is ignored.

    >>> assigned(["Laune=mood"], ["Datum", "laune"], "days.csv")
    {'laune': 'mood'}

    Raises UsageError for an option that is not "Heading=field", and for a heading that is not in the table.
    """
    fields: dict[str, str] = {}
    by_plain = {_plain(heading): heading for heading in headings}
    for option in options:
        heading, equals, field = option.rpartition("=")
        if not equals or not field.strip() or not heading.strip():
            raise UsageError(
                _('--column "{option}": write a heading and its field, e.g. --column "Laune=mood"', option=option)
            )
        if _plain(heading) not in by_plain:
            remedy = choose(heading.strip(), [h for h in headings if h], _("see the first line of the file"))
            raise UsageError(
                _(
                    '--column "{option}": "{name}" has no heading "{heading}"; {remedy}',
                    option=option,
                    name=name,
                    heading=heading.strip(),
                    remedy=remedy,
                )
            )
        fields[by_plain[_plain(heading)]] = field.strip()
    return fields


def record_of(headings: Sequence[str], given: Mapping[str, str]) -> tuple[str, dict[str, int]] | None:
    """Return which of our own tables has these headings, and the positions of its columns, or None.

    >>> record_of(["habit", "date", "mark", "value"], {})
    ('marks', {'date': 1, 'habit': 0, 'mark': 2, 'value': 3})
    """
    names = [_plain(given.get(heading, heading)) for heading in headings]
    for kind, (required, optional) in RECORDS.items():
        if set(required) <= set(names):
            return kind, {name: names.index(name) for name in (*required, *optional) if name in names}
    return None


def columns(
    name: str, headings: Sequence[str], fields: HeadingNames, given: Mapping[str, str], is_empty: Sequence[bool]
) -> tuple[list[MappedColumn], list[Problem]]:
    """Return the mapped columns of a table with one row per day, and a problem for each unknown heading.

    `is_empty` says which columns have no values; such a column without a heading is skipped.

    Raises UsageError for an unknown field in --column, and if no column is the date.
    """
    mapped: list[MappedColumn] = []
    problems: list[Problem] = []
    remedies: list[str] = []  # for headings that are not known
    for position in sorted(range(len(headings)), key=lambda i: (headings[i] not in given, i)):  # explicit choices first
        heading = headings[position]
        asked = given.get(heading)
        path = LEFT_OUT if asked == "-" else fields.path(heading if asked is None else asked)
        if path is None and asked is not None:
            instead = choose(asked, sorted(fields.names), _('write e.g. "mood", "habits.walk" or "-"'))
            raise _no_field(heading, asked, instead)
        if path is None:
            if heading or not is_empty[position]:
                expected, remedy = _unknown_heading(heading, fields)
                remedies.append(remedy)
                cell = SourceCell(1, position + 1, "", heading)
                problems.append(cell.problem(name, expected, _("it is left out; {remedy}", remedy=remedy)))
        elif path not in _MANY and any(column.path == path for column in mapped if path):
            first = next(column.heading for column in mapped if column.path == path)
            expected = _("one column of {field} ({heading} is one)", field=field_name(path), heading=quoted(first))
            remedy = _('this one is left out; choose with --column "{heading}=-"', heading=heading)
            problems.append(SourceCell(1, position + 1, "", heading).problem(name, expected, remedy))
        else:
            mapped.append(MappedColumn(position, heading, path))
    if not any(column.path == DATE for column in mapped):
        names = ", ".join(quoted(heading) for heading in headings[:8] if heading)
        raise UsageError(
            _(
                '"{name}" has no column of dates among {names}; call one "date", or write e.g. --column '
                '"{heading}=date"',
                name=name,
                names=names,
                heading=headings[0],
            )
        )
    if all(column.path in (DATE, LOGGED, ASKED, LEFT_OUT) for column in mapped):
        remedy = remedies[0] if remedies else _('call a column e.g. "mood", or by a habit')
        raise UsageError(_('"{name}" has nothing but dates that is known here; {remedy}', name=name, remedy=remedy))
    return sorted(mapped, key=lambda column: column.position), sorted(problems)


def record_problems(
    name: str, headings: Sequence[str], kind: str, positions: Mapping[str, int], given: Mapping[str, str]
) -> list[Problem]:
    """Return a problem for each unknown heading of one of our own tables.

    Raises UsageError for a field in --column that the table does not have.
    """
    known = [name for names in RECORDS[kind] for name in names]
    has = _("the table of {table} has {columns}", table=kind, columns=listed(known))
    problems = []
    for position, heading in enumerate(headings):
        asked = given.get(heading)
        if asked is not None and asked != "-" and _plain(asked) not in known:
            raise _no_field(heading, asked, choose(asked, known, has))
        if position not in positions.values() and heading and asked is None:
            remedy = _("it is left out; {remedy}", remedy=choose(heading, known, has))
            expected = _("a column of {table}", table=kind)
            problems.append(SourceCell(1, position + 1, "", heading).problem(name, expected, remedy))
    return problems


def _no_field(heading: str, asked: str, remedy: str) -> UsageError:
    return UsageError(
        _(
            '--column "{heading}={field}": there is no field "{field}"; {remedy}',
            heading=heading,
            field=asked,
            remedy=remedy,
        )
    )


def _unknown_heading(heading: str, fields: HeadingNames) -> tuple[str, str]:
    """Return what is expected of a heading that is not known, and the remedy."""
    fields_of_name = sorted(map(field_name, fields.names.get(_plain(heading), ())))
    # Stricter than elsewhere: a wrong suggestion, once followed, fills a whole column.
    near = nearest(heading, fields.names, 0.75)
    if fields_of_name:
        expected = _("a heading of one field (this is of {fields})", fields=listed(fields_of_name))
        field = fields_of_name[0]
    else:
        expected = _("a heading that is known")
        field = field_name(next(iter(fields.names[near]))) if near else ""
    if not heading:
        return expected, _("give the column a heading")
    if not field:
        return expected, _('write, with its field, --column "{heading}=..."', heading=heading)
    return expected, _('write --column "{heading}={field}"', heading=heading, field=field)


def _plain(heading: str) -> str:
    return " ".join(heading.split()).casefold()
