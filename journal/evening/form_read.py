"""Conversion of a submitted evening form from JSON to typed values. All problems are collected and returned at once.

Each problem has the name of its field in the form ("actual.sleep.0", "tomorrow.tasks.2.rank") and a remedy.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Mapping
from typing import Any

import msgspec
from msgspec import UNSET, UnsetType

from journal.errors import UsageError
from journal.evening import form_check, page_changes
from journal.evening.entered import (
    ACTIONS,
    ORIGINS,
    AppointmentEntered,
    Entered,
    PlannedEntered,
    SetAsideEntered,
    TaskEntered,
    TomorrowEntered,
)
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_names import Known
from journal.folder.page_versions import Base
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.form_values import FormStrip, FormValues, Trouble


def read(raw: object, files: OpenedFiles) -> tuple[Entered | None, list[Trouble]]:
    """Return the entered values and the problems. The values are None if there are problems.

    Raises UsageError for input that no evening page sends: not an object, no base, or the base of another day.
    """
    if not isinstance(raw, Mapping):
        raise UsageError(_("what was entered is no evening; open the evening page anew"))
    bases = base_pages.submitted(raw.get("base"), files.pages)
    settings, known = files.basis.settings, files.basis.known
    day, next_day = _days(raw.get("day"), bases)
    fields = FormValues()
    entered = Entered(
        bases=bases,
        day=day,
        next_day=next_day,
        fields=fields.day_fields(raw, "today"),
        habits=fields.marks(raw.get("habits"), "habits"),
        challenges=fields.ticks(raw.get("challenges"), "challenges"),
        gratitude=fields.lines(raw, "gratitude"),
        memory=fields.text(raw, "memory"),
        share=fields.flag(raw, "share"),
        notes=fields.lines(raw, "notes"),
        appointments=_appointments(raw, "", fields),
        actual=_actual(raw, fields),
        tasks=_tasks(raw.get("tasks"), day, fields),
        tomorrow=_tomorrow(raw.get("tomorrow"), fields),
    )
    ranks = max(settings.day.ranked_tasks, _highest_rank(bases, known))
    form_check.check(entered, fields, msgspec.structs.replace(known, ranks=ranks))
    return (None if fields.troubles else entered), fields.troubles


def _actual(raw: Mapping[str, Any], fields: FormValues) -> FormStrip | UnsetType:
    """Return the hours as they went, UNSET if they still are as the form offered them and nothing confirms them.

    The usual hours of journal.toml may have changed since, so they do not say what was offered.
    """
    if raw.get("actual_as_planned") is not True and _is_as_offered(raw, "actual"):
        return UNSET
    return fields.strip(raw, "actual")


def _is_as_offered(table: Mapping[str, Any], name: str) -> bool:
    """Return whether hours are those that the form offered, which it sends along as `name` with "_offered"."""
    reader = FormValues()
    entered, offered = reader.strip(table, name), reader.strip(table, f"{name}_offered")
    if entered is UNSET or offered is UNSET or reader.troubles:
        return False
    return page_changes.spans(entered) == page_changes.spans(offered)


def _days(text: object, bases: tuple[Base, ...]) -> tuple[dt.date, dt.date]:
    """Return the day, and the day that it opens, which the form does not name but has a page of."""
    try:
        day = dt.date.fromisoformat(str(text))
    except ValueError:
        raise UsageError(_('there is no day "{typed}"; open the evening page anew', typed=text)) from None
    keys = tuple(base.key for base in bases[:3])
    with contextlib.suppress(ValueError, IndexError):
        next_day = dt.date.fromisoformat(keys[1])
        if next_day > day and keys == base_pages.evening_keys(day, next_day):
            return day, next_day
    raise UsageError(_("what was entered is of another day than the page it was begun from; open the page anew"))


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
            fields.report(
                f"{field}.to", _("Expected a day after {day}, got {typed}; give a later one.", day=day, typed=to)
            )
        elif action == "move" and table.get("to") is None:
            fields.report(
                f"{field}.to",
                _("Expected the day to move it to, got none; write e.g. {day}.", day=day + 7 * base_pages.DAY),
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
        appointments=_appointments(raw, "tomorrow.", fields),
        planned=fields.strip(raw, "planned", "tomorrow"),
        is_planned_touched=not _is_as_offered(raw, "planned"),
        tasks=UNSET if "tasks" not in raw else _planned(raw["tasks"], fields),
        set_aside=_set_aside(raw.get("set_aside"), fields),
    )


def _appointments(raw: Mapping[str, Any], prefix: str, fields: FormValues) -> list[AppointmentEntered] | UnsetType:
    """Return the typed appointments of a day, UNSET if they were not sent."""
    if "appointments" not in raw:
        return UNSET
    appointments = []
    for i, table in fields.tables(raw["appointments"], f"{prefix}appointments"):
        field = f"{prefix}appointments.{i}"
        if table.get("from") == "calendar":  # stored in the calendar file
            continue
        title = fields.title(table, field, "appointment", also=("start", "end"))
        if title is not None:
            start, end = (fields.clock(table.get(name), f"{field}.{name}") for name in ("start", "end"))
            ref = fields.name(table.get("ref"), f"{field}.ref")
            appointments.append(AppointmentEntered(position=i, ref=ref, title=title, start=start, end=end))
    return appointments


def _set_aside(raw: object, fields: FormValues) -> list[SetAsideEntered]:
    tasks = []
    for i, table in fields.tables(raw, "tomorrow.set_aside"):
        field = f"tomorrow.set_aside.{i}"
        title, estimate = fields.title(table, field, "task"), fields.number(table, "estimate", field)
        if title is not None:
            tasks.append(SetAsideEntered(position=i, title=title, estimate=None if estimate is UNSET else estimate))
    return tasks


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
