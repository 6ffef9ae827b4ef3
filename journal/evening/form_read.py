"""Conversion of a submitted evening form from JSON to typed values. All problems are collected and returned at once.

Each problem has the name of its field in the form ("actual.sleep.0", "tomorrow.tasks.2.rank") and a remedy. A field
that was not sent is UNSET, not null: an untouched field changes nothing, an emptied one is removed from the page.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Literal

import msgspec
from msgspec import UNSET, UnsetType

from journal.entry import Appointment, Clock, Entry, Hours, Mark, Span, Task, Tick
from journal.errors import UsageError
from journal.fields import nested
from journal.folder import check_day
from journal.folder.faults import Key
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.page_versions import Base
from journal.saving import base_pages
from journal.saving.form_values import EnteredFields, FormStrip, FormValues, Trouble, fault_message

TaskAction = Literal["open", "done", "carry", "move", "undated", "drop"]
Origin = Literal["page", "carried", "routine", "undated", "new"]
ACTIONS: tuple[TaskAction, ...] = ("open", "done", "carry", "move", "undated", "drop")
ORIGINS: tuple[Origin, ...] = ("page", "carried", "routine", "undated", "new")


class TaskEntered(msgspec.Struct, frozen=True, kw_only=True):
    """The action for one task of the day.

    `ref` is None for a new task. `position` is its row in the form, for messages.
    """

    position: int
    ref: str | None
    title: str
    what: TaskAction
    to: dt.date | None
    took: float | UnsetType | None
    estimate: float | UnsetType | None


class PlannedEntered(msgspec.Struct, frozen=True, kw_only=True):
    """One task of the next day. `source_ref` is the ref of the task it comes from, if that is on a page."""

    position: int
    ref: str | None
    title: str
    rank: int | None
    estimate: float | None
    origin: Origin
    source_ref: str | None


class AppointmentEntered(msgspec.Struct, frozen=True, kw_only=True):
    """One typed appointment of the next day."""

    position: int
    ref: str | None
    title: str
    start: Clock | None
    end: Clock | None


class TomorrowEntered(msgspec.Struct, frozen=True, kw_only=True):
    """The next day. Parts that were not sent are UNSET."""

    fields: EnteredFields
    appointments: list[AppointmentEntered] | UnsetType
    planned: FormStrip | UnsetType
    tasks: list[PlannedEntered] | UnsetType


class Entered(msgspec.Struct, frozen=True, kw_only=True):
    """A submitted evening. `as_planned` confirms that the hours went as planned, although nobody drew them."""

    bases: tuple[Base, ...]
    day: dt.date
    fields: EnteredFields
    habits: dict[str, Mark | None]
    challenges: dict[str, Tick | None]
    gratitude: list[str] | UnsetType
    memory: str | UnsetType
    share: bool | UnsetType
    notes: list[str] | UnsetType
    actual: FormStrip | UnsetType
    as_planned: bool
    tasks: list[TaskEntered]
    tomorrow: TomorrowEntered | None


def read(raw: object, files: OpenedFiles) -> tuple[Entered | None, list[Trouble]]:
    """Return the entered values and the problems. The values are None if there are problems.

    Raises UsageError for input that no evening page sends: not an object, no base, or the base of another day.
    """
    if not isinstance(raw, Mapping):
        raise UsageError("what was entered is no evening; open the evening page anew")
    bases = base_pages.submitted(raw.get("base"), files.pages)
    settings, known = files.basis.settings, files.basis.known
    day = _day(raw.get("day"), bases)
    fields = FormValues()
    entered = Entered(
        bases=bases,
        day=day,
        fields=fields.day_fields(raw, "today"),
        habits=fields.marks(raw.get("habits"), "habits"),
        challenges=fields.ticks(raw.get("challenges"), "challenges"),
        gratitude=fields.lines(raw, "gratitude"),
        memory=fields.text(raw, "memory"),
        share=fields.flag(raw, "share"),
        notes=fields.lines(raw, "notes"),
        actual=fields.strip(raw, "actual"),
        as_planned=raw.get("actual_as_planned") is True,
        tasks=_tasks(raw.get("tasks"), day, fields),
        tomorrow=_tomorrow(raw.get("tomorrow"), fields),
    )
    ranks = max(settings.day.ranked_tasks, _highest_rank(bases, known))
    _check(entered, fields, msgspec.structs.replace(known, ranks=ranks))
    return (None if fields.troubles else entered), fields.troubles


def _day(text: object, bases: tuple[Base, ...]) -> dt.date:
    try:
        day = dt.date.fromisoformat(str(text))
    except ValueError:
        raise UsageError(f'there is no day "{text}"; open the evening page anew') from None
    if tuple(base.key for base in bases[:3]) != base_pages.evening_keys(day):
        raise UsageError("what was entered is of another day than the page it was begun from; open the page anew")
    return day


def _highest_rank(bases: tuple[Base, ...], known: Known) -> int:
    """Return the highest rank on the next page, which stays valid when `ranked_tasks` is lowered."""
    return max((task.rank or 0 for task in base_pages.entry(bases[1], known)[0].tasks), default=0)


def _tasks(raw: object, day: dt.date, fields: FormValues) -> list[TaskEntered]:
    tasks = []
    for i, table in fields.tables(raw, "tasks"):
        field = f"tasks.{i}"
        title = fields.title(table, field, "task")
        if title is None:
            continue
        action = fields.word(table.get("what", "open"), f"{field}.what", ACTIONS)
        to = fields.date(table.get("to"), f"{field}.to") if action == "move" else None
        if action == "move" and to is not None and to <= day:
            fields.report(f"{field}.to", f"Expected a day after {day}, got {to}; give a later one.")
        elif action == "move" and table.get("to") is None:
            fields.report(
                f"{field}.to", f"Expected the day to move it to, got none; write e.g. {day + 7 * base_pages.DAY}."
            )
        tasks.append(
            TaskEntered(
                position=i,
                ref=fields.name(table.get("ref"), f"{field}.ref"),
                title=title,
                what=action,
                to=to,
                took=fields.number(table, "took", field),
                estimate=fields.number(table, "estimate", field),
            )
        )
    return tasks


def _tomorrow(raw: object, fields: FormValues) -> TomorrowEntered | None:
    if not isinstance(raw, Mapping):
        return None
    return TomorrowEntered(
        fields=fields.day_fields(raw, "tomorrow"),
        appointments=UNSET if "appointments" not in raw else _appointments(raw["appointments"], fields),
        planned=fields.strip(raw, "planned", "tomorrow"),
        tasks=UNSET if "tasks" not in raw else _planned(raw["tasks"], fields),
    )


def _appointments(raw: object, fields: FormValues) -> list[AppointmentEntered]:
    appointments = []
    for i, table in fields.tables(raw, "tomorrow.appointments"):
        field = f"tomorrow.appointments.{i}"
        if table.get("from") == "calendar":  # stored in the calendar file
            continue
        title = fields.title(table, field, "appointment", also=("start", "end"))
        if title is not None:
            start, end = (fields.clock(table.get(name), f"{field}.{name}") for name in ("start", "end"))
            ref = fields.name(table.get("ref"), f"{field}.ref")
            appointments.append(AppointmentEntered(position=i, ref=ref, title=title, start=start, end=end))
    return appointments


def _planned(raw: object, fields: FormValues) -> list[PlannedEntered]:
    tasks = []
    for i, table in fields.tables(raw, "tomorrow.tasks"):
        field = f"tomorrow.tasks.{i}"
        title = fields.title(table, field, "task")
        if title is None:
            continue
        estimate = fields.number(table, "estimate", field)
        ref = fields.name(table.get("ref"), f"{field}.ref")
        tasks.append(
            PlannedEntered(
                position=i,
                ref=ref,
                title=title,
                rank=fields.whole(table.get("rank"), f"{field}.rank"),
                estimate=None if estimate is UNSET else estimate,
                origin=fields.word(table.get("from", "page" if ref else "new"), f"{field}.from", ORIGINS),
                source_ref=fields.name(table.get("source_ref"), f"{field}.source_ref"),
            )
        )
    return tasks


def _check(entered: Entered, fields: FormValues, known: Known) -> None:
    """Validate both days as pages, and assign each fault to its field of the form."""
    done = [task for task in entered.tasks if task.took is not UNSET or task.estimate is not UNSET]
    today = Entry(
        **_entry_values(entered.fields),
        habits={key: mark for key, mark in entered.habits.items() if mark is not None},
        challenges={key: tick for key, tick in entered.challenges.items() if tick is not None},
        hours=Hours(actual=_spans(entered.actual)),
        tasks=tuple(
            Task(title=t.title, took=_number_or_none(t.took), estimate=_number_or_none(t.estimate)) for t in done
        ),
    )
    positions = {"actual": entered.actual, "tasks": [task.position for task in done]}
    for fault in check_day.entry(today, entered.day, known):
        fields.report(_field_of(fault.where, positions), fault_message(fault))
    if entered.tomorrow is None:
        return
    next_day = entered.tomorrow
    appointments = [] if next_day.appointments is UNSET else next_day.appointments
    tasks = [] if next_day.tasks is UNSET else next_day.tasks
    tomorrow = Entry(
        **_entry_values(next_day.fields),
        appointments=tuple(Appointment(title=a.title, start=a.start, end=a.end) for a in appointments),
        hours=Hours(planned=_spans(next_day.planned)),
        tasks=tuple(Task(title=t.title, rank=t.rank, estimate=t.estimate) for t in tasks),
    )
    positions = {
        "planned": next_day.planned,
        "tasks": [task.position for task in tasks],
        "appointments": [appointment.position for appointment in appointments],
    }
    for fault in check_day.entry(tomorrow, entered.day + base_pages.DAY, known):
        field = f"tomorrow.{_field_of(fault.where, positions)}"
        if not any(trouble.field == field for trouble in fields.troubles):  # already reported, e.g. an invalid end
            fields.report(field, fault_message(fault))


def _entry_values(fields: EnteredFields) -> dict[str, Any]:
    """Return the fields as keyword arguments of an entry."""
    entry = msgspec.convert(nested(fields), Entry)
    return {name: getattr(entry, name) for name in {path[0] for path in fields}}


def _number_or_none(value: float | UnsetType | None) -> float | None:
    return None if isinstance(value, UnsetType) else value


def _spans(spans: FormStrip | UnsetType) -> dict[str, tuple[Span, ...]]:
    return {} if spans is UNSET else {key: tuple(span for _, span in key_spans) for key, key_spans in spans.items()}


def _field_of(path: Key, positions: Mapping[str, Any]) -> str:
    """Return the form field for a path in the page: hours without their table, rows by position in the form."""
    parts = list(path)
    if parts[0] == "hours":
        parts = parts[1:]
        if len(parts) == 3:
            parts[2] = positions[str(parts[0])][parts[1]][parts[2]][0]
    elif parts[0] in ("tasks", "appointments") and len(parts) > 1:
        parts[1] = positions[str(parts[0])][parts[1]]
    return ".".join(str(part) for part in parts)
