"""The typed pages of a journal: a day, a week's, month's or year's review, and the undated tasks.

These types hold values only. `journal.folder` reads them from files and reports errors with their place. Every key of a
page is optional; ``None`` or an empty collection means *not recorded*, never zero.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Literal, Self

import msgspec

from journal.fields import DEGREES, ON_SCALE, Field, fields_of
from journal.language.lazy_text import L_, LazyText

Mark = bool | int | float | Literal["rest"]
"""A habit's mark in an entry: done, not done, a number for a counted habit, or a rest day."""

Tick = bool | dt.date
"""A challenge's tick in an entry: done, not done, or the later date on which it was caught up."""

Status = Literal["open", "done", "carried", "dropped"]
Decision = Literal["keep", "change", "rest", "drop"]

MINUTES_A_DAY = 24 * 60
_CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d)|24:00")


class ClockError(ValueError):
    """A text that is no time or stretch of a day. `is_order`: it ends before it starts, or at once."""

    def __init__(self, reason: LazyText, remedy: LazyText, *, is_order: bool = False) -> None:
        super().__init__(f"{reason}; {remedy}")
        self.remedy, self.is_order = remedy, is_order


def minute_of_day(clock: str) -> int:
    """Minutes since midnight of an ISO 8601 clock time "HH:MM"; "24:00" is the end of the day.

    >>> minute_of_day("06:15"), minute_of_day("24:00")
    (375, 1440)

    Raises ValueError for anything else.
    """
    match = _CLOCK.fullmatch(clock)
    if match is None:
        raise ClockError(L_('"{typed}" is no time of day', typed=clock), L_("write e.g. {example}", example='"06:15"'))
    return MINUTES_A_DAY if clock == "24:00" else int(match[1]) * 60 + int(match[2])


def clock_text(minute: int) -> str:
    """The inverse of `minute_of_day`.

    >>> clock_text(375), clock_text(1440)
    ('06:15', '24:00')
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


# Clock and Span are text in a file. msgspec decodes its own structs from tables only and calls a hook for any other
# class, so these two extend int and tuple: as small as structs, and ordered, hashable and immutable.


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
        """Parse "HH:MM". Raises ValueError for anything else.

        >>> Clock.parse("08:30").minute
        510
        """
        return cls(minute_of_day(text))


class Span(tuple[int, int]):
    """A time span of a day, in minutes since midnight, without its end. No span crosses midnight."""

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
        """Parse "HH:MM-HH:MM".

        >>> Span.parse("22:30-24:00")
        Span(start_minute=1350, end_minute=1440)

        Raises ValueError if the text has another form or ends before it starts.
        """
        start, dash, end = text.partition("-")
        if not dash:
            remedy = L_("write e.g. {example}", example='"23:00-24:00"')
            raise ClockError(L_('"{typed}" is no stretch of a day', typed=text), remedy)
        span = cls(minute_of_day(start), minute_of_day(end))
        if span.end_minute <= span.start_minute:
            reason = L_('"{typed}" ends before it starts', typed=text)
            remedy = L_(
                'past midnight write "{start}-24:00" here and "00:00-{end}" on the next day', start=start, end=end
            )
            if end == "00:00":
                remedy = L_('the end of the day is 24:00, so write "{start}-24:00"', start=start)
            elif span.end_minute == span.start_minute:
                reason = L_('"{typed}" ends when it starts', typed=text)
                remedy = L_('give it a later end, at most "24:00"')
            raise ClockError(reason, remedy, is_order=True)
        return span


class Weather(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Sky in the writer's own words; high and low in the journal's unit of temperature."""

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
    """Hours of a day by category key: planned, and actual."""

    planned: dict[str, tuple[Span, ...]] = {}
    actual: dict[str, tuple[Span, ...]] = {}


class Appointment(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An appointment. Without a start it lasts the whole day."""

    title: str
    start: Clock | None = None
    end: Clock | None = None


class Task(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task on the page of one day. `estimate` and `took` are minutes; `since` is its first day."""

    title: str
    status: Status = "open"
    rank: int | None = None
    estimate: float | None = None
    took: float | None = None
    since: dt.date | None = None
    id: str | None = None


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The page of a day.

    `habits` is None if the page has no such table, which differs from an empty table: a day is *logged* if its entry
    has a mood or a habits table, so a page with only a plan is not logged. `share` applies to the memory alone: it may
    be in a year exported for a friend. Without a memory it has no effect. `asked` is false if no evening asked for the
    habits (marks from an import, for example): then a due habit without a mark is blank, not missed. `pictures` are
    names of files beside the page; `captions` has their texts by the same names.

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
    pictures: tuple[str, ...] = ()
    captions: dict[str, str] = {}
    place: Annotated[
        str | None,
        Field(
            label="Place", meaning="Where the day was spent; `places` has the name.", unit="key",
            missing="at home, or no page", keys="places", asked=None, log=False,
        ),
    ] = None  # fmt: skip
    weather: Weather | None = None
    habits: dict[str, Mark] | None = None
    asked: bool = True
    challenges: dict[str, Tick] = {}
    hours: Hours = Hours()
    appointments: tuple[Appointment, ...] = ()
    tasks: tuple[Task, ...] = ()

    @property
    def logged(self) -> bool:
        return self.mood is not None or self.habits is not None

    @property
    def shares(self) -> bool:
        """Whether the entry has a memory that a friend may read."""
        return self.share and bool((self.memory or "").strip())


DAY_FIELDS = fields_of(Entry)
"""The fields of a day's page, in the order of the page."""


class Answer(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One prompt of a reflection with its answer."""

    prompt: str
    answer: str = ""


class DecisionDates(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a decision wrote to journal.toml, so that it can be taken back.

    A change has the first day of its definition as `start`. A rest has its first day and, as `until`, its last. A drop
    has the last day, and in `until_before` the end that was set before, if there was one.
    """

    start: dt.date | None = msgspec.field(name="from", default=None)
    until: dt.date | None = None
    until_before: dt.date | None = None


class Review(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The page of a week, month or year: a reflection and, for a month, a decision on each habit with its days."""

    reflection: tuple[Answer, ...] = ()
    decisions: dict[str, Decision] = {}
    decision_dates: dict[str, DecisionDates] = {}
    notes: tuple[str, ...] = ()


class UndatedTask(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task without a day. `estimate` is in minutes; `since` is the day it was written down."""

    title: str
    estimate: float | None = None
    since: dt.date | None = None
    id: str | None = None


class Undated(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The content of undated.toml."""

    tasks: tuple[UndatedTask, ...] = ()


class Page(msgspec.Struct, frozen=True, kw_only=True):
    """A page in the folder: its path, the ISO 8601 period of its file name, and its content."""

    path: str
    kind: Literal["day", "week", "month", "year"]
    key: str
    content: Entry | Review
