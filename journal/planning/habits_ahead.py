"""The habits of days to come, from their rules: the tables of a journal end with the current month."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Literal

import msgspec

from journal import schedule
from journal.entry import Entry
from journal.settings import Habit, Settings
from journal.wording import rules

_MOST = 4  # of seven days: from here on a habit is named once with its rule and not on each day

HabitState = Literal["due", "rest", "marked"]


class HabitAhead(msgspec.Struct, frozen=True, kw_only=True):
    """A habit on a day to come: due by its rule, rest, or marked in advance. A quota habit is on a day only as rest.

    `lot` is what a trial has drawn for it, in words; a habit that is drawn is on its day whether or not it is due.
    """

    name: str
    state: HabitState
    lot: str = ""


class RegularHabits(msgspec.Struct, frozen=True, kw_only=True):
    """Habits of one rule or quota, `when` in words: "Every day", "3 times a week"."""

    when: str
    names: list[str]


def of_day(settings: Settings, entry: Entry, date: dt.date, lots: Mapping[str, str] = {}) -> list[HabitAhead]:
    """Return the habits of a day, given the entry of its page, in the order of journal.toml.

    `lots` is what is drawn for the day in words, by the key of a habit.

    >>> call = Habit(key="call", name="Call home", start=dt.date(2025, 3, 1), every="FREQ=WEEKLY;BYDAY=SU")
    >>> settings = Settings(title="Small", places=(), habits=(call,))
    >>> of_day(settings, Entry(), dt.date(2025, 3, 15)), of_day(settings, Entry(), dt.date(2025, 3, 16))
    ([], [HabitAhead(name='Call home', state='due', lot='')])
    """
    habits = []
    for key in settings.habit_keys:
        definition = settings.habit_on(key, date)
        if definition is None:
            continue
        state, lot = _state(definition, entry, date, settings), lots.get(key, "")
        if state is not None or lot:
            habits.append(HabitAhead(name=settings.habit_name(key), state=state or "due", lot=lot))
    return habits


def _state(habit: Habit, entry: Entry, date: dt.date, settings: Settings) -> HabitState | None:
    """Return what a day has of a habit in force, None if it is not due. A quota habit is due on no day of its own."""
    mark = (entry.habits or {}).get(habit.key)
    is_due = habit.every is not None and bool(schedule.due(habit.every, habit.start, date, date).item())
    if mark == "rest":
        return "rest"
    if mark is not None:
        return "marked"
    if not is_due and habit.per is None:
        return None
    if settings.is_off(habit.key, date):
        return "rest"
    return "due" if is_due else None


def regular(settings: Settings, days: Sequence[dt.date], habits: Sequence[Sequence[HabitAhead]]) -> list[RegularHabits]:
    """Return the habits that come on most of some days, and the quota habits, by rule or quota.

    `habits` are those of each day, from `of_day`. The order is that of journal.toml.
    """
    names: dict[str, list[str]] = {}
    for key in settings.habit_keys:
        name = settings.habit_name(key)
        definitions = [habit for day in days if (habit := settings.habit_on(key, day))]
        if len({(habit.every, habit.times, habit.per) for habit in definitions}) != 1:
            continue  # not in force, or its rule changes within the days
        states = [habit.state for of_day in habits for habit in of_day if habit.name == name]
        if definitions[-1].per is not None or (len(states) >= _MOST and "due" in states):
            words = _rule_words(definitions[-1])
            names.setdefault(f"{words[0].upper()}{words[1:]}", []).append(name)
    return [RegularHabits(when=when, names=grouped) for when, grouped in names.items()]


def _rule_words(habit: Habit) -> str:
    if habit.per is not None:
        return rules.quota(habit.times or 0, habit.per)
    return rules.words(habit.every or "", habit.start)
