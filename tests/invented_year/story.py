"""The outline of the year: work days, free days and special events."""

from __future__ import annotations

import dataclasses
import datetime as dt
import random
from typing import Literal

SEED = 447  # chosen so that the year shows the effects planted in `mood`, near their planted sizes, and few others
YEAR = 2025

Kind = Literal["work", "saturday", "sunday"]
Mark = bool | int | Literal["rest"]
Spans = dict[str, list[tuple[int, int]]]


def date(month: int, day: int) -> dt.date:
    return dt.date(YEAR, month, day)


def stream(name: str) -> random.Random:
    """The random generator of one subject. A text seed is hashed with SHA-512, the same in every Python."""
    return random.Random(f"{SEED} {name}")


def dates(first: dt.date, last: dt.date) -> list[dt.date]:
    return [first + dt.timedelta(days=i) for i in range((last - first).days + 1)]


FLU = dates(date(2, 11), date(2, 16))
TRAVEL = date(9, 22)  # wakes at home, sleeps in Edinburgh; its page uses the time of home
TRIP = dates(date(9, 23), date(9, 28))  # pages that use the time of Edinburgh
BLANK = dates(date(8, 11), date(8, 17))
PLANNED_ONLY = {date(8, 11), date(8, 12)}  # planned the evening before, never logged
ANKLE = dates(date(11, 24), date(11, 28))  # walks excused in advance
IN_PERSON = {date(4, 13), date(4, 20), date(7, 20), date(9, 21)}  # Sundays spent with the family, which count as a call

# Work-free days in Slovenia, and the two her own workshop adds (24 and 31 December).
HOLIDAYS = {
    date(1, 1), date(1, 2), date(2, 8), date(4, 20), date(4, 21), date(4, 27), date(5, 1), date(5, 2),
    date(6, 25), date(8, 15), date(10, 31), date(11, 1), date(12, 24), date(12, 25), date(12, 26), date(12, 31),
}  # fmt: skip

# Pages written a day or more later: date of the page -> date of writing.
LATE = {
    date(1, 18): date(1, 20), date(1, 19): date(1, 20), date(2, 17): date(2, 19), date(2, 18): date(2, 19),
    date(3, 23): date(3, 24), date(4, 20): date(4, 22), date(4, 21): date(4, 22), date(5, 10): date(5, 12),
    date(5, 11): date(5, 12), date(6, 21): date(6, 22), date(7, 12): date(7, 14), date(7, 13): date(7, 14),
    date(9, 28): date(9, 30), date(9, 29): date(9, 30), date(11, 8): date(11, 9), date(12, 20): date(12, 22),
    date(12, 21): date(12, 22), date(12, 25): date(12, 27), date(12, 26): date(12, 27),
}  # fmt: skip


@dataclasses.dataclass
class Task:
    """One task on one page."""

    title: str
    status: str
    rank: int | None = None
    estimate: int | None = None
    took: int | None = None
    since: dt.date | None = None
    id: str | None = None


@dataclasses.dataclass
class Day:
    """A day; each stage fills in its part."""

    date: dt.date
    kind: Kind
    sky: str = ""
    high: int = 0
    low: int = 0
    marks: dict[str, Mark] = dataclasses.field(default_factory=dict)
    ticks: dict[str, bool | dt.date] = dataclasses.field(default_factory=dict)
    mood: int | None = None
    energy: int | None = None
    appointments: list[tuple[str, str, str]] = dataclasses.field(default_factory=list)
    planned: Spans = dataclasses.field(default_factory=dict)
    actual: Spans = dataclasses.field(default_factory=dict)
    tasks: list[Task] = dataclasses.field(default_factory=list)
    gratitude: list[str] = dataclasses.field(default_factory=list)
    memory: str = ""
    share: bool = False
    notes: list[str] = dataclasses.field(default_factory=list)
    pictures: dict[str, str] = dataclasses.field(default_factory=dict)  # name of a file -> caption
    remarks: dict[str, str] = dataclasses.field(default_factory=dict)  # key of a mark or tick -> a comment

    @property
    def flu(self) -> bool:
        return self.date in FLU

    @property
    def trip(self) -> bool:
        return self.date in TRIP

    @property
    def blank(self) -> bool:
        return self.date in BLANK

    @property
    def written(self) -> bool:
        """Whether the day has a page."""
        return not self.blank or self.date in PLANNED_ONLY

    @property
    def works(self) -> bool:
        """Whether it is a day at the bench."""
        return self.kind == "work" and not (self.flu or self.trip or self.blank) and self.date != TRAVEL


def outline() -> list[Day]:
    """Every day of the year with its kind; a holiday has the kind of a Sunday."""
    days = []
    for day in dates(date(1, 1), date(12, 31)):
        weekday = day.weekday()
        kind: Kind = "sunday" if weekday == 6 or day in HOLIDAYS else "saturday" if weekday == 5 else "work"
        days.append(Day(date=day, kind=kind))
    return days
