"""What an evening page is given to show: everything known of the day and the next before anything is typed.

Plain values all the way, so that `msgspec.to_builtins` makes JSON of it: minutes are numbers, times "HH:MM", stretches
"HH:MM-HH:MM", days ISO 8601, and null is what nobody said. `ref` names something that is on a page already.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from journal.entry import Tick

Strip = dict[str, list[str]]
"""Category to stretches of a day, "HH:MM-HH:MM"."""

MarkValue = bool | float | Literal["rest"] | None


class _Plain(msgspec.Struct, frozen=True, kw_only=True):
    pass


class ScaleStep(_Plain, frozen=True, kw_only=True):
    """One step of a scale, with its word where it has one."""

    value: float
    word: str


class FieldOffer(_Plain, frozen=True, kw_only=True):
    """A field of a page and what the page has for it. `path` is its way in the page and in what is sent.

    On a scale, `low` and `high` are its ends, between which fractions are allowed too, and `steps` its whole values;
    elsewhere they are the bounds of a number, null where there are none.
    """

    path: list[str]
    label: str
    question: str
    unit: str
    example: str
    control: Literal["scale", "number", "text"]
    steps: list[ScaleStep]
    value: float | str | None
    low: float | None
    high: float | None


class HabitOffer(_Plain, frozen=True, kw_only=True):
    """A habit in force on the day. `said` has what each mark would make of it, by "none", "done", "not", "rest" and
    (counted, under an "at least" target) "partial". `due` is true of a quota habit on every day."""

    key: str
    name: str
    kind: Literal["plain", "counted", "quota"]
    target: float | None
    unit: str
    aim: Literal["at least", "at most"]
    mark: MarkValue
    due: bool
    said: dict[str, str]


class ChallengeOffer(_Plain, frozen=True, kw_only=True):
    """A challenge on a day of its span. `said` is its count as the page has it, `said_ticked` and `said_not` as it
    would be; `number` counts the days of the span from 1 to `days`. A later day in `ticked` is the one on which it was
    caught up on."""

    key: str
    name: str
    prompt: str | None
    ticked: Tick | None
    said: str
    said_ticked: str
    said_not: str
    number: int
    days: int


class CategoryOffer(_Plain, frozen=True, kw_only=True):
    """What hours go to."""

    key: str
    name: str
    colour: str
    sleep: bool
    work: bool


class TaskOffer(_Plain, frozen=True, kw_only=True):
    """A task that stands on the day, or was left open on an earlier one (`page` is the day whose page has it)."""

    ref: str
    title: str
    status: Literal["open", "done", "carried", "dropped"]
    rank: int | None
    estimate: float | None
    took: float | None
    since: str | None
    id: str | None
    said: str
    page: str


class PlannedTask(_Plain, frozen=True, kw_only=True):
    """A task on the next day's page. `source_ref` is the ref of the day's own task that it continues, where it does:
    taken off here, that one is open again."""

    ref: str
    title: str
    status: Literal["open", "done", "carried", "dropped"]
    rank: int | None
    estimate: float | None
    since: str | None
    id: str | None
    said: str
    source_ref: str | None


class RoutineOffer(_Plain, frozen=True, kw_only=True):
    """A routine that falls on the next day and is not on its page yet."""

    title: str
    estimate: float | None
    said: str


class UndatedOffer(_Plain, frozen=True, kw_only=True):
    """A task without a day."""

    ref: str
    title: str
    estimate: float | None
    since: str | None
    said: str


class AppointmentOffer(_Plain, frozen=True, kw_only=True):
    """Something at a set time, typed ("page", has a ref) or from a calendar file; without a start the whole day."""

    ref: str | None
    title: str
    start: str | None
    end: str | None
    from_: Literal["calendar", "page"] = msgspec.field(name="from")


class FitOffer(_Plain, frozen=True, kw_only=True):
    """Whether the next day holds its tasks. Numbers are minutes; `expected`, `low` and `high` are null while too few
    tasks were timed. `open` are hours without plan or appointment, `work` planned work hours without an appointment,
    `room` both; `overlaps` says what is planned over something else."""

    sentence: str
    detail: str
    planned: float
    expected: float | None
    low: float | None
    high: float | None
    open: float
    work: float
    room: float
    overlaps: list[str]


class TomorrowOffer(_Plain, frozen=True, kw_only=True):
    """The next day. `planned_from` says where its strip comes from: its own page, the weekday's or the usual hours.
    `daylight` are the minutes of the day from sunrise to sunset, null where the sun does not rise or no place is known.
    """

    day: str
    title: str
    sun: str
    daylight: list[int] | None
    fields: list[FieldOffer]
    appointments: list[AppointmentOffer]
    planned: Strip
    planned_from: Literal["page", "weekday", "usual", "nothing"]
    tasks: list[PlannedTask]
    routines: list[RoutineOffer]
    undated: list[UndatedOffer]
    ranked: int


class LateOffer(_Plain, frozen=True, kw_only=True):
    """One of the last days, to be closed late."""

    day: str
    title: str
    logged: bool


class Offer(_Plain, frozen=True, kw_only=True):
    """All of an evening. `base` comes back with what was entered. `problems` are those of the pages and
    calendars, as text: a page that cannot be read cannot be saved to before it is mended."""

    day: str
    title: str
    files: list[str]
    clock: Literal[12, 24]
    base: str
    fields: list[FieldOffer]
    habits: list[HabitOffer]
    challenges: list[ChallengeOffer]
    gratitude: list[str]
    gratitude_lines: int
    memory: str
    share: bool
    notes: list[str]
    categories: list[CategoryOffer]
    planned: Strip
    actual: Strip
    actual_from_plan: bool
    tasks: list[TaskOffer]
    tomorrow: TomorrowOffer
    fit: FitOffer
    late: list[LateOffer]
    problems: list[str]
