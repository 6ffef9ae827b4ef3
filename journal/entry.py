"""The typed pages of a journal: a day, a week's, month's or year's review, and the undated tasks.

These are values only. Reading them from files is `journal.folder`'s work, and so is telling where a file is
wrong. Every key of a page is optional; ``None`` or an empty collection means *not recorded*, never zero.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Literal, Self

import msgspec

from journal.fields import DEGREES, ON_SCALE, Field, fields_of

Mark = bool | int | float | Literal["rest"]
"""What an entry says of a habit on a day: done, not done, a number for a counted habit, or excused."""

Tick = bool | dt.date
"""What an entry says of a challenge on a day: done, not done, or the later day on which it was done for this one."""

Status = Literal["open", "done", "carried", "dropped"]
Decision = Literal["keep", "change", "rest", "drop"]

MINUTES_A_DAY = 24 * 60
_CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d)|24:00")


def minute_of_day(clock: str) -> int:
    """Minutes since midnight of an ISO 8601 clock time "HH:MM"; "24:00" is the end of the day.

    >>> minute_of_day("06:15"), minute_of_day("24:00")
    (375, 1440)

    Raises ValueError for anything else.
    """
    match = _CLOCK.fullmatch(clock)
    if match is None:
        raise ValueError(f'"{clock}" is no time of day; write e.g. "06:15"')
    return MINUTES_A_DAY if clock == "24:00" else int(match[1]) * 60 + int(match[2])


def clock_text(minute: int) -> str:
    """The inverse of `minute_of_day`.

    >>> clock_text(375), clock_text(1440)
    ('06:15', '24:00')
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


# Clock and Span are written as text in a file. msgspec reads its own structs from tables only and asks a hook for any
# other class, so these two are a number and a pair: as small, and ordered, hashed and unchanging of themselves.


class Clock(int):
    """A time of day, in minutes since midnight (0 to 1440).

    >>> Clock(510), Clock(510).minute
    (Clock(510), 510)
    """

    __slots__ = ()

    @property
    def minute(self) -> int:
        return int(self)

    def __repr__(self) -> str:
        return f"Clock({int(self)})"

    @classmethod
    def parse(cls, text: str) -> Clock:
        """
        >>> Clock.parse("08:30").minute
        510
        """
        return cls(minute_of_day(text))


class Span(tuple[int, int]):
    """A stretch of a day, in minutes since midnight; the end is not part of it. Nothing crosses midnight."""

    __slots__ = ()

    def __new__(cls, start_minute: int, end_minute: int) -> Self:
        return super().__new__(cls, (start_minute, end_minute))

    @property
    def start_minute(self) -> int:
        return self[0]

    @property
    def end_minute(self) -> int:
        return self[1]

    def __repr__(self) -> str:
        return f"Span(start_minute={self[0]}, end_minute={self[1]})"

    @classmethod
    def parse(cls, text: str) -> Span:
        """
        >>> Span.parse("22:30-24:00")
        Span(start_minute=1350, end_minute=1440)

        Raises ValueError where the text is no "HH:MM-HH:MM" or ends before it starts.
        """
        start, dash, end = text.partition("-")
        if not dash:
            raise ValueError(f'"{text}" is no stretch of a day; write e.g. "23:00-24:00"')
        span = cls(minute_of_day(start), minute_of_day(end))
        if span.end_minute <= span.start_minute:
            raise ValueError(
                f'"{text}" ends before it starts; past midnight write "{start}-24:00" here '
                f'and "00:00-{end}" on the next day'
            )
        return span


class Weather(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Sky in the writer's words; high and low in the journal's unit of temperature."""

    sky: Annotated[
        str | None,
        Field(
            label="Sky", question="Weather", example="partly cloudy", meaning="The weather in the writer's words.",
            asked="tomorrow", log=False,
        ),
    ] = None  # fmt: skip
    high: Annotated[
        float | None,
        Field(
            label="High", meaning="The highest temperature.", unit=DEGREES, asked="tomorrow", log=False,
            driver="The day's high",
        ),
    ] = None  # fmt: skip
    low: Annotated[
        float | None, Field(label="Low", meaning="The lowest temperature.", unit=DEGREES, asked="tomorrow", log=False)
    ] = None


class Hours(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The 24-hour strip, by category key: as planned, and as it went."""

    planned: dict[str, tuple[Span, ...]] = {}
    actual: dict[str, tuple[Span, ...]] = {}


class Appointment(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something at a set time; without a start it holds for the whole day."""

    title: str
    start: Clock | None = None
    end: Clock | None = None


class Task(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One task as one day's page has it. Estimate and took are minutes; `since` is the day it first stood on."""

    title: str
    status: Status = "open"
    rank: int | None = None
    estimate: float | None = None
    took: float | None = None
    since: dt.date | None = None
    id: str | None = None


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The page of a day.

    `habits` is None where the page has no such table, which is not the same as an empty one: a day is *logged*
    when its entry has a mood or a habits table, so a page that was only planned is not. `share` is of the memory alone:
    a friend to whom a year is given may read it. Without a memory it says nothing.

    >>> Entry(memory="First guest book sewn.").logged, Entry(habits={}).logged, Entry(mood=3).logged
    (False, True, True)
    """

    mood: Annotated[
        float | None,
        Field(
            label="Mood", question="How was it?", meaning="How the day was.", unit=ON_SCALE, missing="not rated",
            scale="mood", reader="anyone",
        ),
    ] = None  # fmt: skip
    energy: Annotated[
        float | None,
        Field(
            label="Energy", question="How much strength was there?", meaning="How much strength there was.",
            unit=ON_SCALE, missing="not rated", scale="energy", reader="anyone", driver="Energy",
        ),
    ] = None  # fmt: skip
    gratitude: tuple[str, ...] = ()
    memory: str | None = None
    share: bool = False
    notes: tuple[str, ...] = ()
    place: Annotated[
        str | None,
        Field(
            label="Place", meaning="Where the day was spent; `places` has the name.", unit="key",
            missing="at home, or no page", keys="places", asked=None, log=False,
        ),
    ] = None  # fmt: skip
    weather: Weather | None = None
    habits: dict[str, Mark] | None = None
    challenges: dict[str, Tick] = {}
    hours: Hours = Hours()
    appointments: tuple[Appointment, ...] = ()
    tasks: tuple[Task, ...] = ()

    @property
    def logged(self) -> bool:
        return self.mood is not None or self.habits is not None

    @property
    def shares(self) -> bool:
        """Whether there is a memory that a friend may read."""
        return self.share and bool((self.memory or "").strip())


DAY_FIELDS = fields_of(Entry)
"""The fields of a day's page, in the order in which the page has them."""


class Answer(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One prompt of a reflection, with what was written to it."""

    prompt: str
    answer: str = ""


class Review(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The page of a week, month or year: a reflection, and (for a month) what becomes of each habit."""

    reflection: tuple[Answer, ...] = ()
    decisions: dict[str, Decision] = {}
    notes: tuple[str, ...] = ()


class UndatedTask(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task with no day yet. Estimate is minutes; `since` is the day it was written down."""

    title: str
    estimate: float | None = None
    since: dt.date | None = None
    id: str | None = None


class Undated(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The page undated.toml."""

    tasks: tuple[UndatedTask, ...] = ()


class Page(msgspec.Struct, frozen=True, kw_only=True):
    """A page as it lies in the folder: its path there, and the ISO 8601 period that its name says."""

    path: str
    kind: Literal["day", "week", "month", "year"]
    key: str
    content: Entry | Review
