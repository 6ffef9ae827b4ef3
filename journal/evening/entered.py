"""A submitted evening as typed values: the day, its tasks, and the day that the evening opens.

A part that was not sent is UNSET, not null: an untouched part changes nothing, an emptied one is removed from the page.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

import msgspec
from msgspec import UnsetType

from journal.entry import Clock, Mark, Tick
from journal.folder.page_versions import Base
from journal.saving.form_values import EnteredFields, FormStrip

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


class SetAsideEntered(msgspec.Struct, frozen=True, kw_only=True):
    """A task that was typed for the next day and taken off again: it goes to the tasks without a day."""

    position: int
    title: str
    estimate: float | None


class AppointmentEntered(msgspec.Struct, frozen=True, kw_only=True):
    """One typed appointment."""

    position: int
    ref: str | None
    title: str
    start: Clock | None
    end: Clock | None


class TomorrowEntered(msgspec.Struct, frozen=True, kw_only=True):
    """The day that the evening opens. Parts that were not sent are UNSET.

    `is_planned_touched` is false for hours that still are as the form offered them.
    """

    fields: EnteredFields
    appointments: list[AppointmentEntered] | UnsetType
    planned: FormStrip | UnsetType
    is_planned_touched: bool = True
    tasks: list[PlannedEntered] | UnsetType
    set_aside: list[SetAsideEntered] = []


class Entered(msgspec.Struct, frozen=True, kw_only=True):
    """A submitted evening. `next_day` is the day that it opens: the day after, or a later one if that was over.

    `actual` is UNSET for hours that still are as the form offered them, unless a tick confirms that they went as
    planned, although nobody drew them.
    """

    bases: tuple[Base, ...]
    day: dt.date
    next_day: dt.date
    fields: EnteredFields
    habits: dict[str, Mark | None]
    challenges: dict[str, Tick | None]
    gratitude: list[str] | UnsetType
    memory: str | UnsetType
    share: bool | UnsetType
    notes: list[str] | UnsetType
    appointments: list[AppointmentEntered] | UnsetType
    actual: FormStrip | UnsetType
    tasks: list[TaskEntered]
    tomorrow: TomorrowEntered | None
