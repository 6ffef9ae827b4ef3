"""The values of the evening form: the day and the next day, before anything is entered.

All are plain values, which `msgspec.to_builtins` converts to JSON. Durations are numbers of minutes, times "HH:MM",
spans "HH:MM-HH:MM", days ISO 8601; null is a missing value. `ref` names something that is on a page already. `said` is
a text to show.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from journal.entry import Tick

Strip = dict[str, list[str]]
"""Category to spans of a day, "HH:MM-HH:MM"."""

MarkValue = bool | float | Literal["rest"] | None


class _Plain(msgspec.Struct, frozen=True, kw_only=True):
    pass


class ScaleStep(_Plain, frozen=True, kw_only=True):
    """One step of a scale, with its word, which may be empty."""

    value: float
    word: str


class FieldOffer(_Plain, frozen=True, kw_only=True):
    """A field of a page and its value there. `path` is its path in the page and in the submitted form.

    On a scale, `low` and `high` are its ends, fractions are allowed, and `steps` are its whole values. Otherwise they
    are the bounds of a number, null if there are none.
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


class LotOffer(_Plain, frozen=True, kw_only=True):
    """What a trial has drawn for a day: the habit on or off. An empty `arm` draws nothing, and `said` is why.

    `otherwise` is said as well where the mark is not as drawn.
    """

    habit: str
    name: str
    arm: Literal["on", "off", ""]
    said: str
    otherwise: str


class HabitOffer(_Plain, frozen=True, kw_only=True):
    """A habit in force on the day.

    `said` has the text for each possible mark, by "none", "done", "not", "rest" and, for a counted habit with an "at
    least" target, "partial". `due` is true of a quota habit on every day. `off` says whether the day is time off from
    the habit. `lot` is what a trial has drawn for it.

    In a month, mood and challenges are rows of kind "scale" and "tick".
    """

    key: str
    name: str
    kind: Literal["plain", "counted", "quota", "scale", "tick"]
    target: float | None
    unit: str
    aim: Literal["at least", "at most"]
    mark: MarkValue
    due: bool
    off: bool = False
    said: dict[str, str]
    lot: LotOffer | None = None


class ChallengeOffer(_Plain, frozen=True, kw_only=True):
    """A challenge on a day of its span.

    `said` is its count as on the page, `said_ticked` and `said_not` the counts with and without a tick. `number` counts
    the days of the span from 1 to `days`. A later day in `ticked` is the day on which it was caught up on.
    """

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
    """A category of hours."""

    key: str
    name: str
    colour: str
    sleep: bool
    work: bool


class TaskOffer(_Plain, frozen=True, kw_only=True):
    """A task of the day, or one left open on an earlier day. `page` is the day whose page has it."""

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
    """A task on the next day's page.

    `source_ref` is the ref of the day's own task that it continues, if any. If the planned task is taken off, that one
    is open again. One that `comes_round` by a routine leaves nothing then, any other goes to the tasks without a day.
    """

    ref: str
    title: str
    status: Literal["open", "done", "carried", "dropped"]
    rank: int | None
    estimate: float | None
    since: str | None
    id: str | None
    said: str
    source_ref: str | None
    comes_round: bool = False


class RoutineOffer(_Plain, frozen=True, kw_only=True):
    """A routine that is due on the next day and not on its page yet."""

    title: str
    estimate: float | None
    said: str


class UndatedOffer(_Plain, frozen=True, kw_only=True):
    """An undated task."""

    ref: str
    title: str
    estimate: float | None
    since: str | None
    said: str


class AppointmentOffer(_Plain, frozen=True, kw_only=True):
    """An appointment, typed ("page", with a ref) or from the calendar file `source`. All day without a start."""

    ref: str | None
    title: str
    start: str | None
    end: str | None
    from_: Literal["calendar", "page"] = msgspec.field(name="from")
    source: str = ""


class FitOffer(_Plain, frozen=True, kw_only=True):
    """Whether the next day has time for its tasks. Numbers are minutes.

    `expected`, `low` and `high` are null while too few tasks were timed. `open` is time without plan or appointment,
    `work` is planned work time without an appointment, `room` their sum. `overlaps` are sentences about overlapping
    plans.
    """

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
    """The next day. For a day that is closed late it is today, if the day after is over.

    `asks` is "plan", or "carry" if only tasks can go there: the day after is over, or has a plan and has begun. `said`
    tells of a day that is closed late what is asked, and why.
    `planned_from` is the source of its strip: its own page, the weekday's hours or the usual hours. `daylight` has the
    minutes of the day of sunrise and sunset, null if the sun does not rise or no place is known. `lots` is what trials
    have drawn for it.
    """

    day: str
    title: str
    asks: Literal["plan", "carry"]
    said: str
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
    lots: list[LotOffer] = []


class BrokenFile(_Plain, frozen=True, kw_only=True):
    """A file that cannot be read: its path, its problem with line and remedy, and the part of the form that it affects.

    `said` is what that means here. Nothing of that part can be saved before the file is mended. All else can.
    """

    path: str
    part: Literal["today", "tomorrow", "undated", "settings", "lines"]
    problem: str
    said: str


class LateOffer(_Plain, frozen=True, kw_only=True):
    """One of the last days, which can be closed late."""

    day: str
    title: str
    logged: bool


class Offer(_Plain, frozen=True, kw_only=True):
    """All values of an evening form. `base` is sent back with the entered values.

    `planned_fields` are fields that were asked on the evening before, `appointments` those of the day itself; both can
    be corrected. `problems` are those of the pages and calendars, as text. `broken` are the files that cannot be read.
    """

    day: str
    title: str
    files: list[str]
    clock: Literal[12, 24]
    base: str
    fields: list[FieldOffer]
    planned_fields: list[FieldOffer]
    appointments: list[AppointmentOffer]
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
    broken: list[BrokenFile]
