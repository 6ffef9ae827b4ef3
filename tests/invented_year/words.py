"""Hand-written lines, each placed on a day that fits it.

lines/01.txt to 12.txt have a month each. A heading "== gratitude work" opens a section. It has the kind (gratitude,
memory, note), then the conditions of all its lines. A line may add its own conditions in brackets at its start:

    [14]            that day of the month             [5-9]           one of those days
    [sun]           a weekday, mon to sun             [work] [free]   at the bench, or not
    [walk]          a habit that was done that day, by its key; [late] the screen was on too long
    [rain] [snow] [fog] [sunny] [storm] [hot] [cold]  the weather
    [good] [low]    the mood                          [flu] [trip]    those days; they take no other lines
    [share]         any day: a memory that a friend may read
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from tests.invented_year.marks import READ_TARGET, SCREEN_LIMIT
from tests.invented_year.story import IN_PERSON, LATE, TRAVEL, Day, stream

LINES = Path(__file__).parent / "lines"
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def _number(day: Day, habit: str) -> int:
    value = day.marks.get(habit)
    return value if isinstance(value, int) else 0


_CONDITIONS: dict[str, Callable[[Day], bool]] = {
    "share": lambda d: True,
    "work": lambda d: d.works,
    "free": lambda d: d.kind != "work",
    "flu": lambda d: d.flu,
    "trip": lambda d: d.trip,
    "late": lambda d: _number(d, "screen") > SCREEN_LIMIT,
    "read": lambda d: _number(d, "read") >= READ_TARGET,
    "rain": lambda d: d.sky in {"rain", "showers", "drizzle", "thunderstorm"},
    "dry": lambda d: d.sky in {"clear", "partly cloudy", "cloudy", "fog"},
    "snow": lambda d: d.sky == "snow",
    "fog": lambda d: d.sky == "fog",
    "sunny": lambda d: d.sky in {"clear", "partly cloudy"},
    "storm": lambda d: d.sky == "thunderstorm",
    "hot": lambda d: d.high >= 29,
    "cold": lambda d: d.low <= -2,
    "good": lambda d: d.mood is not None and d.mood >= 4,
    "low": lambda d: d.mood is not None and d.mood <= 2,
    "nogo": lambda d: d.marks.get("walk") is not True,
    "quartet": lambda d: any(title == "Quartet" for title, _, _ in d.appointments),
    "lesson": lambda d: any(title == "Accordion lesson" for title, _, _ in d.appointments),
    "call": lambda d: d.marks.get("call") is True and d.date not in IN_PERSON,
    **{
        habit: (lambda d, habit=habit: d.marks.get(habit) is True)  # type: ignore[misc]
        for habit in ("walk", "stretch", "practise", "bench", "stock", "swim", "exhibition")
    },
}


class Line:
    """A line and the conditions that its day must meet."""

    def __init__(self, kind: str, conditions: list[str], text: str) -> None:
        self.kind, self.conditions, self.text = kind, conditions, text
        self.pinned = any(token.isdigit() for token in conditions)

    def fits(self, day: Day) -> bool:
        if not self.pinned and (
            (day.flu and "flu" not in self.conditions)
            or (day.trip and "trip" not in self.conditions)
            or day.date == TRAVEL
        ):
            return False
        return all(_meets(day, token) for token in self.conditions)


def _meets(day: Day, token: str) -> bool:
    if token.isdigit():
        return day.date.day == int(token)
    if re.fullmatch(r"\d+-\d+", token):
        first, last = map(int, token.split("-"))
        return first <= day.date.day <= last
    if token in _WEEKDAYS:
        return day.date.weekday() == _WEEKDAYS.index(token)
    return _CONDITIONS[token](day)


def read_month(month: int) -> list[Line]:
    """All lines of a month, in the order of the file."""
    kind, shared, lines = "", list[str](), list[Line]()
    for raw in (LINES / f"{month:02d}.txt").read_text(encoding="utf-8").splitlines():
        if raw.startswith("=="):
            kind, *shared = raw[2:].split()
        elif raw.strip():
            match = re.fullmatch(r"(?:\[([^\]]*)\] )?(.*)", raw)
            assert match is not None
            lines.append(Line(kind, shared + (match[1] or "").split(), match[2]))
    return lines


def _room(day: Day, line: Line) -> int:
    """How many more lines of its kind a day may take. A page written late takes fewer, except lines with a date."""
    brief = day.date in LATE and not line.pinned
    if line.kind == "gratitude":
        return (1 if brief else 2) - len(day.gratitude)
    if line.kind == "memory":
        return 0 if day.memory else 1
    return (0 if brief else 2) - len(day.notes)


def add_words(days: list[Day]) -> list[Line]:
    """Place every line of every month on a day; return the lines that fit no day.

    Lines with the fewest fitting days come first. The day is drawn from the fitting days with the fewest lines of the
    kind.
    """
    rng, unplaced = stream("words"), []
    for month in range(1, 13):
        own = [d for d in days if d.date.month == month and not d.blank]
        lines = read_month(month)
        order = sorted(range(len(lines)), key=lambda i: (sum(map(lines[i].fits, own)), i))
        for line in (lines[i] for i in order):
            able = [d for d in own if line.fits(d) and _room(d, line) > 0]
            if not able:
                unplaced.append(line)
                continue
            most = max(_room(d, line) for d in able)
            day = rng.choice([d for d in able if _room(d, line) == most])
            if line.kind == "gratitude":
                day.gratitude.append(line.text)
            elif line.kind == "memory":
                day.memory, day.share = line.text, "share" in line.conditions
            else:
                day.notes.append(line.text)
    return unplaced
