"""The values of the day's page. They are plain values, like those of the evening form (`evening.form_schema`)."""

from __future__ import annotations

from typing import Literal

import msgspec

from journal.evening.form_schema import (
    AppointmentOffer,
    CategoryOffer,
    ChallengeOffer,
    FieldOffer,
    FitOffer,
    HabitOffer,
    RoutineOffer,
    Strip,
    TaskOffer,
    UndatedOffer,
)

DayKind = Literal["past", "today", "coming"]


class PlaceOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A place of the journal. The first one is home."""

    key: str
    name: str


class ComingHabit(msgspec.Struct, frozen=True, kw_only=True):
    """A habit that is due or drawn by lot on a coming day. `said` is its lot, and its rule, target or rest in words."""

    name: str
    said: str


class DayOffer(msgspec.Struct, frozen=True, kw_only=True):
    """All values of a day's page. `base` is sent back with each edit.

    - kind: past, today or coming; before, after: the days beside it, ISO 8601
    - now: the minute of the day by the clock of the day's place, 1440 or more after midnight; null unless it is today.
      turns: the minute after midnight until which it stays today
    - closes: the minute from which closing the day is due: after the last planned hour, at 17:00 at the latest
    - closed: whether an evening has asked for the day's habits
    - planned_from: the source of the planned strip, as in `TomorrowOffer`; actual: the hours as they went, if recorded
    - tasks: ranked ones first, then in the order of the page; left: tasks that earlier days left open, of today only
    - habits, challenges: those in force, of a past day and of today; coming_habits: those due on a coming day
    - fit: whether a coming day has time for its tasks, else null
    """

    day: str
    title: str
    kind: DayKind
    today: str
    before: str
    after: str
    before_title: str
    after_title: str
    file: str
    base: str
    clock: Literal[12, 24]
    now: int | None
    turns: int
    closes: int
    closed: bool
    sun: str
    daylight: list[int] | None
    fields: list[FieldOffer]
    place: str
    places: list[PlaceOffer]
    categories: list[CategoryOffer]
    planned: Strip
    planned_from: Literal["page", "weekday", "usual", "nothing"]
    actual: Strip
    appointments: list[AppointmentOffer]
    tasks: list[TaskOffer]
    ranked: int
    routines: list[RoutineOffer]
    left: list[TaskOffer]
    undated: list[UndatedOffer]
    habits: list[HabitOffer]
    coming_habits: list[ComingHabit]
    challenges: list[ChallengeOffer]
    gratitude: list[str]
    notes: list[str]
    fit: FitOffer | None
    problems: list[str]
