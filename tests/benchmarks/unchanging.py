"""Journals in which nothing changes, for the rates of findings, and changes that are planted in them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from journal.entry import Entry, Hours, Page, Span, Task
from journal.periods import PeriodKind
from journal.settings import Habit, Place, Settings
from journal.tables import Tables, build, record
from tests.benchmarks.wandering import Dice, Floats, series

FIRST = dt.date(2022, 1, 1)
HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Etc/UTC")
HABITS = tuple(Habit(key=f"habit-{i}", name=f"Habit {i}", start=FIRST, every="FREQ=DAILY") for i in range(8))
SETTINGS = Settings(title="Nothing changes", places=(HOME,), habits=HABITS)
_RATES = (0.5, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9)
_EVENINGS = 0.95
"""The share of evenings that are written."""


class Course(NamedTuple):
    """A journal day by day: mood, energy, minutes of four categories, marks by habit, which evenings are written."""

    mood: Floats
    energy: Floats
    asleep: Floats
    work: Floats
    home: Floats
    people: Floats
    marks: npt.NDArray[np.bool_]
    written: npt.NDArray[np.bool_]


def course(dice: Dice, memory: float, n: int) -> Course:
    """A course without changes. Every series and every habit has the lag-1 correlation `memory`."""
    mood, energy, asleep, work, home, people = (series(dice, memory, n) for _ in range(6))
    return Course(
        mood=3.2 + 0.9 * mood,
        energy=3.2 + 0.9 * energy,
        asleep=450 + 45 * asleep,
        work=300 + 80 * work,
        home=90 + 30 * home,
        people=np.maximum(60 + 45 * people, 0),
        marks=np.array([chain(dice, rate, memory, n) for rate in _RATES]),
        written=dice.random(n) < _EVENINGS,
    )


def chain(dice: Dice, rate: float, memory: float, n: int) -> npt.NDArray[np.bool_]:
    """Marks of a two-state Markov chain with a rate and a lag-1 correlation: a day repeats the one before, or not."""
    fresh, repeats = dice.random(n) < rate, dice.random(n) < memory
    last_fresh = np.maximum.accumulate(np.where(repeats, 0, np.arange(n)))
    marks: npt.NDArray[np.bool_] = fresh[last_fresh]
    return marks


def tables(dice: Dice, lived: Course) -> Tables:
    """The tables of the journal: five steps of mood, five-minute spans, some evenings not written."""
    n = lived.mood.size
    mood, energy = (np.clip(np.rint(felt), 1, 5).astype(int).tolist() for felt in (lived.mood, lived.energy))
    minutes = [
        np.clip(5 * np.rint(spent / 5), 0, most).astype(int).tolist()
        for spent, most in ((lived.asleep, 600), (lived.work, 480), (lived.home, 240), (lived.people, 120))
    ]
    marks = [dict(zip((h.key for h in HABITS), day, strict=True)) for day in lived.marks.T.tolist()]
    statuses = dice.choice(["done", "done", "carried", "dropped"], (n, 4)).tolist()
    pages = []
    for i in range(n):
        if not lived.written[i] and 0 < i < n - 1:
            continue
        day = FIRST + dt.timedelta(days=i)
        asleep, work, home, people = (spent[i] for spent in minutes)
        content = Entry(
            mood=mood[i],
            energy=energy[i],
            habits=marks[i],
            hours=Hours(planned=_strip(450, 300, 90, 60), actual=_strip(asleep, work, home, people)),
            tasks=tuple(Task(title=f"Task {i} {k}", status=status) for k, status in enumerate(statuses[i])),
        )
        pages.append(Page(path=f"{day}.toml", kind="day", key=day.isoformat(), content=content))
    return build(record(pages), SETTINGS, FIRST + dt.timedelta(days=n - 1))


def _strip(asleep: int, work: int, home: int, people: int) -> dict[str, tuple[Span, ...]]:
    lengths = {"sleep": (0, asleep), "work": (600, work), "home": (1080, home), "people": (1320, people)}
    return {name: (Span(start, start + length),) for name, (start, length) in lengths.items() if length}


Plant = Callable[[Course, slice], Course]


def _less(name: str, by: float) -> Plant:
    def planted(lived: Course, days: slice) -> Course:
        values = getattr(lived, name).copy()
        values[days] -= by
        return lived._replace(**{name: values})

    return planted


def _half(lived: Course, days: slice) -> Course:
    """The habit with 80 of 100 has 40: every other done day is not."""
    marks = lived.marks.copy()
    done = np.flatnonzero(marks[5, days]) + days.start
    marks[5, done[::2]] = False
    return lived._replace(marks=marks)


def _run(lived: Course, days: slice) -> Course:
    marks, written = lived.marks.copy(), lived.written.copy()
    marks[3, days], written[days] = True, True
    return lived._replace(marks=marks, written=written)


class Planted(NamedTuple):
    """A change: in words, the page on which it is looked for, its days, what it does, and the findings that tell it."""

    words: str
    kind: PeriodKind
    days: int
    plant: Plant
    subject: str
    measures: tuple[str, ...]
    sure: bool = False
    """Whether it is nearly always told where days are independent."""


PLANTS = (
    Planted("a habit from 80 % to 40 % for a month", "month", 31, _half, "habit-5", ("rates", "changes"), sure=True),
    Planted("31 in a row of a habit at 70 %", "month", 31, _run, "habit-3", ("streaks", "rates", "changes"), sure=True),
    Planted("mood a point lower for a month", "month", 31, _less("mood", 1.0), "level", ("mood",), sure=True),
    Planted("mood a point lower for a week", "week", 7, _less("mood", 1.0), "level", ("mood",)),
    Planted("mood 0.7 lower for a week", "week", 7, _less("mood", 0.7), "level", ("mood",)),
    Planted("mood 0.3 lower for a year", "year", 365, _less("mood", 0.3), "level", ("mood",)),
    Planted("sleep an hour shorter for a month", "month", 31, _less("asleep", 60), "minutes", ("sleep",), sure=True),
    Planted("sleep an hour shorter for a week", "week", 7, _less("asleep", 60), "minutes", ("sleep",)),
    Planted("hours of work up a third for a month", "month", 31, _less("work", -100), "work", ("hours",), sure=True),
    Planted("hours of work up a third for a week", "week", 7, _less("work", -100), "work", ("hours",)),
)
