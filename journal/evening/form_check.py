"""Validation of a submitted evening: both days are checked as pages, and each fault is reported at its field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec
from msgspec import UNSET, UnsetType

from journal.entry import Appointment, Entry, Hours, Span, Task
from journal.evening.entered import AppointmentEntered, Entered
from journal.fields import nested
from journal.folder import check_day
from journal.folder.faults import Fault, Key
from journal.folder.page_names import Known
from journal.saving.form_values import EnteredFields, FormStrip, FormValues, fault_message


def check(entered: Entered, fields: FormValues, known: Known) -> None:
    """Validate both days as pages, and report each fault at its field of the form."""
    done = [task for task in entered.tasks if task.took is not UNSET or task.estimate is not UNSET]
    today = Entry(
        **_entry_values(entered.fields),
        habits={key: mark for key, mark in entered.habits.items() if mark is not None},
        challenges={key: tick for key, tick in entered.challenges.items() if tick is not None},
        appointments=_typed(entered.appointments),
        hours=Hours(actual=_spans(entered.actual)),
        tasks=tuple(
            Task(title=t.title, took=_number_or_none(t.took), estimate=_number_or_none(t.estimate)) for t in done
        ),
    )
    positions = {
        "actual": entered.actual,
        "tasks": [task.position for task in done],
        "appointments": _positions(entered.appointments),
    }
    _report(check_day.entry(today, entered.day, known), positions, fields)
    if entered.tomorrow is None:
        return
    next_day = entered.tomorrow
    tasks = [] if next_day.tasks is UNSET else next_day.tasks
    tomorrow = Entry(
        **_entry_values(next_day.fields),
        appointments=_typed(next_day.appointments),
        hours=Hours(planned=_spans(next_day.planned)),
        tasks=tuple(Task(title=t.title, rank=t.rank, estimate=t.estimate) for t in tasks),
    )
    positions = {
        "planned": next_day.planned,
        "tasks": [task.position for task in tasks],
        "appointments": _positions(next_day.appointments),
    }
    faults = check_day.entry(tomorrow, entered.next_day, known)
    _report(faults, positions, fields, prefix="tomorrow.")
    for task in next_day.set_aside:
        place = ("set_aside", task.position, "estimate")
        _report(check_day.minutes(task.estimate, place), {}, fields, prefix="tomorrow.")


def _report(faults: Iterable[Fault], positions: Mapping[str, Any], fields: FormValues, *, prefix: str = "") -> None:
    for fault in faults:
        field = prefix + _field_of(fault.where, positions)
        if not any(trouble.field == field for trouble in fields.troubles):  # already reported, e.g. an invalid end
            fields.report(field, fault_message(fault))


def _typed(entered: list[AppointmentEntered] | UnsetType) -> tuple[Appointment, ...]:
    appointments = [] if entered is UNSET else entered
    return tuple(Appointment(title=a.title, start=a.start, end=a.end) for a in appointments)


def _positions(entered: list[AppointmentEntered] | UnsetType) -> list[int]:
    return [] if entered is UNSET else [appointment.position for appointment in entered]


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
