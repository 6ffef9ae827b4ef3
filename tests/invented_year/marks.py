"""Habits and challenges. Every mark is a random draw, independent of mood, weather and the other habits.

The probabilities of read and practise drift slowly. To a test that assumes independent days, such a drift can look like
a link with mood. The circular shift test handles it.
"""

from __future__ import annotations

import math
import random

from tests.invented_year.story import ANKLE, HOLIDAYS, IN_PERSON, LATE, TRAVEL, Day, Mark, date, stream

SWIM_FROM = date(5, 1)
STRETCH_CHANGES = date(9, 1)
BENCH_CHANGES = date(4, 1)
READ_TARGET = 20
SCREEN_LIMIT = 30
STOCK_FROM = date(1, 3)

_LETTERS_MISSED = {date(3, 6), date(3, 15), date(3, 22), date(3, 23)}
_ENDPAPERS_MISSED = {date(10, 5), date(10, 11), date(10, 19), date(10, 24), date(10, 25)}
_ENDPAPERS_CAUGHT_UP = {date(10, 8): date(10, 9), date(10, 14): date(10, 16), date(10, 15): date(10, 16)}

# Days on which a dated line mentions that the habit was done.
_MENTIONED = {
    "call": IN_PERSON,
    "swim": {date(5, 1), date(7, 12)},
    "walk": {date(9, 1), date(12, 28)},
    "bench": {date(4, 8), date(8, 8)},
    "practise": {date(7, 28)},
    "read": {date(6, 25)},
}


def _chances(days: list[Day], name: str, centre: float, spread: float) -> list[float]:
    """Slowly drifting probabilities: the logistic of an AR(1) with phi 0.95 around `centre`."""
    rng, wander, chances = stream(f"drift {name}"), 0.0, []
    for _ in days:
        wander = 0.95 * wander + rng.gauss(0, spread * math.sqrt(1 - 0.95**2))
        chances.append(1 / (1 + math.exp(-(centre + wander))))
    return chances


def due(day: Day, habit: str) -> bool:
    """Whether a habit with a rule is due. The two quota habits may be marked on any day in force."""
    weekday = day.date.weekday()
    if habit == "stretch":
        return day.date < STRETCH_CHANGES or weekday in {0, 2, 4}
    if habit in {"practise", "bench"}:
        return weekday < 5
    if habit == "call":
        return weekday == 6
    if habit == "stock":
        return weekday == 4 and (day.date - STOCK_FROM).days % 14 == 0
    return habit != "swim" or day.date >= SWIM_FROM


def _stretch_chance(day: Day) -> float:
    """The probability: it falls from 0.75 in January to 0.40 at the end of August; 0.84 with three days a week."""
    if day.date >= STRETCH_CHANGES:
        return 0.84
    return 0.75 - 0.35 * (day.date - date(1, 1)).days / 243


def _excused(day: Day, habit: str, rng: random.Random) -> bool:
    if day.flu:
        return habit in {"walk", "stretch", "practise", "bench", "stock"} or (habit == "read" and rng.random() < 0.5)
    if day.trip or day.date == TRAVEL:
        return habit in {"practise", "bench", "stock"}
    if habit == "bench":
        return day.kind != "work"
    if habit == "practise":
        return day.date in HOLIDAYS and rng.random() < 0.6
    if habit == "walk":
        return day.date in ANKLE
    return habit == "stretch" and rng.random() < 0.02


def _value(habit: str, done: bool, rng: random.Random) -> Mark:
    if habit == "read":
        return (
            READ_TARGET + int(rng.expovariate(1 / 9))
            if done
            else rng.choice([0, 0, 0, 4, 6, 8, 9, 10, 12, 14, 15, 17, 18])
        )
    if habit == "screen":
        return 5 * rng.randrange(7) if done else min(35 + 5 * int(rng.expovariate(1 / 5)), 150)
    return done


def add_marks(days: list[Day]) -> None:
    """Set the marks of every logged day. One missed habit in thirty gets no mark, which counts as not done."""
    read = _chances(days, "read", 0.65, 0.6)
    practise = _chances(days, "practise", 1.0, 0.7)
    for habit in ("walk", "read", "stretch", "practise", "bench", "call", "stock", "swim", "screen"):
        rng = stream(f"marks {habit}")
        for i, day in enumerate(days):
            chance = {
                "walk": 0.68,
                "read": read[i],
                "stretch": _stretch_chance(day),
                "practise": practise[i],
                "bench": 0.42 if day.date < BENCH_CHANGES else 0.87,
                "call": 0.62,
                "stock": 0.85,
                "swim": 0.15 if day.trip or day.date == TRAVEL else 0.43,
                "screen": 0.64,
            }[habit]
            # Every day draws, so a change of rule does not affect the draws of other days.
            excused, done, left_out = _excused(day, habit, rng), rng.random() < chance, rng.random() < 1 / 30
            value: Mark = _value(habit, done, rng)
            if day.date in _MENTIONED.get(habit, ()):
                done, value = True, 64 if habit == "read" else True
            if day.blank or not due(day, habit):
                continue
            if excused:
                day.marks[habit] = "rest"
            elif done or not left_out:
                day.marks[habit] = value
    _add_exhibitions(days)
    _add_challenges(days)
    _add_remarks(days)


def _add_exhibitions(days: list[Day]) -> None:
    """A quota of two a month: one to three visits, on free days or Thursday evenings; only a visit is marked."""
    rng = stream("exhibitions")
    for month in range(1, 13):
        free = [d for d in days if d.date.month == month and not (d.blank or d.flu or d.date in LATE)]
        fit = [d for d in free if d.kind != "work" or d.date.weekday() == 3 or d.trip]
        chosen = rng.sample(fit, rng.choice([1, 2, 2, 2, 3]))
        if month == 2:  # museums are free on 8 February
            chosen = [d for d in free if d.date == date(2, 8)] + chosen[:1]
        for day in chosen:
            day.marks["exhibition"] = True


def _add_challenges(days: list[Day]) -> None:
    for day in days:
        if date(3, 1) <= day.date <= date(3, 30):
            day.ticks["letters"] = day.date not in _LETTERS_MISSED
        if date(10, 1) <= day.date <= date(10, 31):
            day.ticks["endpapers"] = _ENDPAPERS_CAUGHT_UP.get(day.date, day.date not in _ENDPAPERS_MISSED)
            if day.date in _ENDPAPERS_CAUGHT_UP:
                day.remarks["endpapers"] = "caught up on that day"


def _add_remarks(days: list[Day]) -> None:
    for day in days:
        if date(2, 13) <= day.date <= date(2, 15):
            day.remarks["walk"] = "in advance, on the 12th"
        if day.date in IN_PERSON:
            day.remarks["call"] = "in person"
        if date(11, 25) <= day.date <= date(11, 28):
            day.remarks["walk"] = "in advance: the ankle, until Friday"
