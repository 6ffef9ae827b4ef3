"""A definition of a habit in words: how often it is due, and how much of it."""

from __future__ import annotations

from journal.language.catalogue import _
from journal.settings import Habit
from journal.wording import numbers, rules


def due(habit: Habit) -> str:
    """How often a habit is due.

    >>> import datetime as dt
    >>> due(Habit(key="swim", name="Swim", start=dt.date(2025, 5, 1), times=3, per="week"))
    '3 times a week'
    """
    return (
        rules.quota(habit.times or 1, habit.per or "week")
        if habit.every is None
        else rules.words(habit.every, habit.start)
    )


def words(habit: Habit) -> str:
    """How often a habit is due, and its amount.

    >>> import datetime as dt
    >>> screen = {"key": "screen", "name": "Screen", "start": dt.date(2025, 1, 1), "every": "FREQ=DAILY"}
    >>> words(Habit(**screen, target=30, unit="minutes", aim="at most")), words(Habit(**screen, target=2))
    ('every day, at most 30 minutes', 'every day, 2')
    """
    if habit.target is None:
        return due(habit)
    amount = f"{numbers.number(habit.target)} {habit.unit}".strip()
    if habit.aim == "at most":
        amount = _("at most {amount}", amount=amount)
    return f"{due(habit)}, {amount}"
