"""The values that the settings page shows: every field of journal.toml, the rows of its lists, and the usual strips."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import msgspec

from journal.errors import JournalError, Problem
from journal.folder.identity import identities
from journal.folder.page_versions import Base
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.form_values import Trouble, fault_message
from journal.setup import field_values, file_values, mend_settings, row_facts, row_schedules, what_hangs
from journal.setup.field_values import ControlValue
from journal.setup.mend_settings import BrokenLines
from journal.setup.row_facts import RowFact
from journal.setup.schedule_fields import ScheduleFields
from journal.setup.setting_fields import SINGLE_FIELDS, SettingField
from journal.setup.setting_lists import ROW_KINDS, RowKind
from journal.setup.setting_sections import SECTIONS, STRIPS, SettingsSection
from journal.setup.what_hangs import DaysByKey

if TYPE_CHECKING:
    from journal import Journal


class SettingRow(msgspec.Struct, frozen=True, kw_only=True):
    """A table of a list. The form sends `ref` back. `hangs` says what pages lose with it, empty if they lose nothing.

    `schedule` has the fields of a schedule, and `due` the text of its next days; `rule_words` is the text of a rule
    that has no fields. All are empty for a list without schedules. `facts` are the values of a table that is only
    shown.
    """

    ref: str
    values: dict[str, ControlValue]
    schedule: ScheduleFields | None
    due: str
    rule_words: str
    hangs: str
    facts: list[RowFact]


class SettingRows(msgspec.Struct, frozen=True, kw_only=True):
    """A list of tables: its fields, its rows, and the reason if it cannot be changed here.

    `add`, `unnamed`, `made_on` and `about` are those of `RowKind`.
    """

    noun: str
    add: str
    unnamed: str
    name_key: str
    fields: tuple[SettingField, ...]
    blank: dict[str, ControlValue]
    blank_schedule: ScheduleFields | None
    rows: list[SettingRow]
    closed: str
    made_on: str
    about: str


class SettingsOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The settings, from journal.toml at `path`.

    `closed` is the reason why they cannot be changed, normally empty. `strips` has the spans by category of "usual" and
    of each weekday that has its own, else null. `colours` are those of the categories in use, by key. `broken` are the
    lines of a file that is no valid TOML, to be mended first. `problems` are those of single values, at their fields.
    """

    path: str
    base: str
    closed: str
    today: str
    clock: int
    sections: tuple[SettingsSection, ...]
    controls: dict[str, SettingField]
    singles: dict[str, ControlValue]
    lists: dict[str, SettingRows]
    strips: dict[str, dict[str, list[str]] | None]
    colours: dict[str, str]
    broken: list[BrokenLines]
    problems: list[Trouble]


def offer(book: Journal) -> SettingsOffer:
    """Return the settings of a journal.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> page = offer(journal.open(folder.name, today=dt.date(2025, 3, 13)))
    >>> page.singles["title"], page.singles["day.turns"], len(page.lists["categories"].rows)
    ('Spine and thread', '04:00', 4)
    >>> folder.cleanup()
    """
    base = book.files.basis.base
    values, closed = _values(base)
    broken = mend_settings.broken(book, base)
    days = what_hangs.days_of(book)
    return SettingsOffer(
        path=base.path,
        base=base_pages.packed((base,)),
        closed=closed,
        today=book.today.isoformat(),
        clock=book.settings.clock,
        sections=tuple(msgspec.structs.replace(section, title=_(section.title)) for section in SECTIONS),
        controls={".".join(path): field.in_words() for path, field in SINGLE_FIELDS.items()},
        singles=singles(values),
        lists={name: _rows(name, kind, values, book, days) for name, kind in ROW_KINDS.items()},
        strips={day: file_values.strips_of(values).get(day) for day in STRIPS},
        colours={category.key: book.settings.colour(category.key) for category in book.settings.categories},
        broken=broken,
        problems=[] if closed else [problem_at(problem) for problem in book.files.basis.problems],
    )


def problem_at(problem: Problem) -> Trouble:
    """Return a problem of journal.toml at its form field.

    >>> problem = Problem(path="journal.toml", where='hours.usual."deep sleep"[0]', expected="a", got="b", remedy="c")
    >>> problem_at(problem)
    Trouble(field='hours.usual.deep sleep.0', message='Expected a, got b; c.')
    """
    field = problem.where.replace("[", ".").replace("]", "").replace('"', "")
    return Trouble(field, fault_message(problem))


def singles(values: Mapping[str, Any]) -> dict[str, ControlValue]:
    """The controls of the fields outside of lists, by name."""
    return {
        ".".join(path): field_values.shown(field, file_values.single(values, path))
        for path, field in SINGLE_FIELDS.items()
    }


def row(kind: RowKind, table: Mapping[str, Any]) -> dict[str, ControlValue]:
    """The controls of a table."""
    return {field.key: field_values.shown(field, table.get(field.key, field.default)) for field in kind.fields}


def _values(base: Base) -> tuple[dict[str, Any], str]:
    try:
        return base.values, ""
    except JournalError as error:
        return {}, f"{error}."


def _rows(name: str, kind: RowKind, values: Mapping[str, Any], book: Journal, days: DaysByKey) -> SettingRows:
    closed = ""
    tables: list[dict[str, Any]] = []
    try:
        tables = file_values.tables_of(values, name)
    except JournalError as error:
        closed = f"{error}."
    blank = row(kind, {})
    return SettingRows(
        noun=_(kind.noun),
        add=kind.add and _(kind.add),
        unnamed=_(kind.unnamed),
        name_key=kind.name_key,
        fields=tuple(field.in_words() for field in kind.fields),
        blank=blank | ({"from": book.today.isoformat()} if "from" in blank else {}),
        blank_schedule=row_schedules.of({}, book.settings.week_starts) if kind.has_schedule else None,
        rows=[
            SettingRow(
                ref=ref,
                values=shown,
                schedule=row_schedules.of(table, book.settings.week_starts) if kind.has_schedule else None,
                due=row_schedules.coming(table, book.today) if kind.has_schedule else "",
                rule_words=row_schedules.rule_words(table) if kind.has_schedule else "",
                hangs=what_hangs.sentence(name, str(table.get("key", "")), days),
                facts=row_facts.of(kind, shown, book.settings),
            )
            for ref, table in zip(identities(name, tables), tables, strict=True)
            for shown in [row(kind, table)]
        ],
        closed=closed,
        made_on=kind.made_on,
        about=kind.about and _(kind.about),
    )
