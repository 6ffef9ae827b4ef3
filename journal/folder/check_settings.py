"""Checks of journal.toml that types cannot make: invalid rules, duplicate keys, impossible coordinates and the like.

A definition that cannot be used is dropped. The rest of journal.toml applies.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import zoneinfo
from collections.abc import Mapping, Sequence
from typing import Any

from journal import recurrence
from journal.errors import RuleError
from journal.folder import check_day
from journal.folder.faults import NOTHING, Fault, Key, chosen, missing_list, nearest, quoted, value_words
from journal.folder.page_names import NAMES_OF
from journal.language.catalogue import N_
from journal.language.lazy_text import L_, L_p, Phrase, each_of
from journal.settings import WEEKDAYS, Category, Challenge, Habit, Place, Rest, Routine, Scale, Settings

FORMAT = 1
COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")
MOST_TIMES = {"week": 7, "month": 28}  # days in the shortest of each
LIMITS = {"gratitude_lines": 20, "ranked_tasks": 20}  # more would make the evening page too long


def settings(page: Settings) -> list[Fault]:
    """Return the faults of journal.toml."""
    faults: list[Fault] = []
    if page.format != FORMAT:
        expected, remedy = L_("format {number}", number=FORMAT), L_("write {name}", name=FORMAT)
        if 1 <= page.format < FORMAT:
            remedy = L_('bring it there with "duskbook upgrade"; nothing is changed until then')
        if page.format > FORMAT:
            remedy = L_(
                "get a newer Duskbook, or write {number} if none wrote this; nothing is changed until then",
                number=FORMAT,
            )
        faults.append(Fault(where=("format",), expected=expected, got=value_words(page.format), remedy=remedy))
    if not page.places:
        faults.append(missing_list("places", list(Place.__struct_fields__)))
    for name, limit in LIMITS.items():
        number = getattr(page.day, name)
        if not 0 <= number <= limit:
            expected, remedy = L_("a number from {low} to {high}", low=0, high=limit), L_("write e.g. 3")
            faults.append(Fault(where=("day", name), expected=expected, got=value_words(number), remedy=remedy))
    for name, scale in (("mood", page.mood), ("energy", page.energy)):
        faults += _scale(name, scale)
    for i, place in enumerate(page.places):
        faults += _place(place, ("places", i))
    for block, parts in (("places", page.places), ("categories", page.categories), ("challenges", page.challenges)):
        faults += _own_keys(block, parts)
    faults += _categories(page.categories)
    faults += _habits(page.habits)
    for i, challenge in enumerate(page.challenges):
        faults += _in_order(challenge, ("challenges", i))
    for i, routine in enumerate(page.routines):
        faults += _routine(routine, ("routines", i))
    for i, rest in enumerate(page.rests):
        faults += _rest(rest, page.habit_keys, ("rests", i))
    return faults + _trials(page) + _usual_hours(page)


def _trials(page: Settings) -> list[Fault]:
    if not page.trials:
        return []
    from journal.folder import check_trials  # noqa: PLC0415 (what draws lots takes as long to import as all of this)

    return check_trials.trials(page)


def other_format(values: Mapping[str, Any]) -> int | None:
    """Return the format of a journal.toml if it is not that of this Duskbook, from its plain values.

    >>> other_format({"format": 2}), other_format({"format": 1}), other_format({}), other_format({"format": 0})
    (2, None, None, None)
    """
    number = values.get("format", 1)
    return number if type(number) is int and number >= 1 and number != FORMAT else None


def _scale(name: str, scale: Scale) -> list[Fault]:
    if not (math.isfinite(scale.low) and math.isfinite(scale.high) and scale.low < scale.high):
        expected = L_("a low that is less than the high")
        got = L_("{several} and {last}", several=scale.low, last=scale.high)
        return [Fault(where=(name,), expected=expected, got=got, remedy=L_("write e.g. low = 1 and high = 5"))]
    steps = scale.high - scale.low + 1
    if scale.words and len(scale.words) != steps:
        expected = L_(
            "{number} words, one for each step from {low} to {high}", number=steps, low=scale.low, high=scale.high
        )
        remedy = L_("write as many words as steps, or leave them out")
        return [Fault(where=(name, "words"), expected=expected, got=str(len(scale.words)), remedy=remedy)]
    return []


def _place(place: Place, where: Key) -> list[Fault]:
    faults = []
    for name, value, limit in (("latitude", place.latitude, 90), ("longitude", place.longitude, 180)):
        if not -limit <= value <= limit:
            expected = L_("degrees from {low} to {high}", low=-limit, high=limit)
            remedy = L_("write e.g. 46.05; below zero is south or west")
            faults.append(
                Fault(where=(*where, name), expected=expected, got=value_words(value), remedy=remedy, drop=where)
            )
    try:
        zoneinfo.ZoneInfo(place.timezone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        # Zone names resemble one another, so the match must be close: at most a slip or two.
        near = nearest(place.timezone, sorted(zoneinfo.available_timezones()), similarity=0.85)
        remedy = L_('write its IANA name, e.g. "Europe/Ljubljana"')
        remedy = L_("write {name}", name=quoted(near)) if near else remedy
        expected, got = L_("a time zone"), quoted(place.timezone)
        faults.append(Fault(where=(*where, "timezone"), expected=expected, got=got, remedy=remedy, drop=where))
    return faults


_OWN_KEY = {
    "places": N_("a key that no other of the places has ({name} has it)"),
    "categories": N_("a key that no other of the categories has ({name} has it)"),
    "challenges": N_("a key that no other of the challenges has ({name} has it)"),
}
_OTHER_KEY = L_p("a key", "give one of the two another")


def _own_keys(block: str, parts: Sequence[Place | Category | Challenge]) -> list[Fault]:
    by_key: dict[str, Place | Category | Challenge] = {}
    return [
        Fault(
            where=(block, i, "key"),
            expected=L_(_OWN_KEY[block], name=quoted(by_key[part.key].name)),
            got=quoted(part.key),
            remedy=_OTHER_KEY,
            drop=(block, i),
        )
        for i, part in enumerate(parts)
        if by_key.setdefault(part.key, part) is not part
    ]


def _categories(categories: Sequence[Category]) -> list[Fault]:
    faults = []
    for i, category in enumerate(categories):
        if category.colour and not COLOUR.fullmatch(category.colour):
            expected, remedy = L_('a colour "#RRGGBB"'), L_('write e.g. "#332288", or leave it out')
            where = ("categories", i, "colour")
            faults.append(Fault(where=where, expected=expected, got=quoted(category.colour), remedy=remedy))
    asleep = [i for i, category in enumerate(categories) if category.sleep]
    if not asleep:
        expected, remedy = L_p("a category", "one that is sleep"), L_('add "sleep = true" to the one that is')
        faults.append(Fault(where=("categories",), expected=expected, got=NOTHING, remedy=remedy, drop=()))
    for i in asleep[1:]:
        expected = L_("one category that is sleep ({name} is)", name=quoted(categories[asleep[0]].name))
        where, got, remedy = ("categories", i, "sleep"), L_p("a category", "another"), L_("take this line out")
        faults.append(Fault(where=where, expected=expected, got=got, remedy=remedy))
    return faults


def _habits(habits: Sequence[Habit]) -> list[Fault]:
    faults: list[Fault] = []
    starts: dict[tuple[str, dt.date], Habit] = {}
    for i, habit in enumerate(habits):
        where: Key = ("habits", i)
        if starts.setdefault((habit.key, habit.start), habit) is not habit:
            expected = L_("a day on which no other {name} starts", name=quoted(habit.key))
            remedy = L_('give it a later "from" if the habit changed, or another key')
            got = str(habit.start)
            faults.append(Fault(where=(*where, "from"), expected=expected, got=got, remedy=remedy, drop=where))
            continue
        faults += _when_due(habit, where) or _in_order(habit, where) or _target(habit, where)
    return faults


def _when_due(habit: Habit, where: Key) -> list[Fault]:
    """Return the faults of a habit's schedule: its rule, or its quota."""
    if habit.every is not None and habit.times is None and habit.per is None:
        return _rule(habit.every, (*where, "every"), where)
    expected: Phrase = L_('either "every" or "times" with "per"')
    if habit.every is not None or habit.times is None or habit.per is None:
        has = [name for name in ("every", "times", "per") if getattr(habit, name) is not None]
        got = each_of(f'"{name}"' for name in has) if has else L_("neither")
        remedy = L_('write e.g. every = "FREQ=DAILY", or times = 3 and per = "week"')
        return [Fault(where=where, expected=expected, got=got, remedy=remedy, drop=where)]
    most = MOST_TIMES[habit.per]
    if not 1 <= habit.times <= most:
        text = N_("times from 1 to {most} a week") if habit.per == "week" else N_("times from 1 to {most} a month")
        expected, got, remedy = L_(text, most=most), value_words(habit.times), L_("write e.g. 3")
        return [Fault(where=(*where, "times"), expected=expected, got=got, remedy=remedy, drop=where)]
    return []


def _target(habit: Habit, where: Key) -> list[Fault]:
    if habit.target is None:
        return []
    # "At most 0 cups" is a valid target, "at least 0 pages" is not.
    least = habit.aim == "at least"
    if (habit.target > 0 if least else habit.target >= 0) and habit.target < math.inf:
        return []
    expected = L_("a target of more than 0") if least else L_("a target of 0 or more")
    got, remedy = value_words(habit.target), L_("write how many, e.g. 20")
    return [Fault(where=(*where, "target"), expected=expected, got=got, remedy=remedy, drop=where)]


def _rest(rest: Rest, habits: Sequence[str], where: Key) -> list[Fault]:
    """Return the faults of time off: its days, and names of habits that do not exist."""
    faults = _in_order(rest, where)
    for i, key in enumerate(rest.habits):
        if key not in habits:
            remedy = chosen(key, habits, L_("write one that is there, or leave the line out for all habits"))
            # Without the name, the other habits still rest. Without any name, all would, so the rest is dropped.
            drop = (*where, "habits", i) if len(rest.habits) > 1 else where
            expected, got = NAMES_OF["habits"], quoted(key)
            faults.append(Fault(where=(*where, "habits", i), expected=expected, got=got, remedy=remedy, drop=drop))
    return faults


def _in_order(part: Habit | Challenge | Routine | Rest, where: Key) -> list[Fault]:
    if part.until is None or part.until >= part.start:
        return []
    expected = L_("a day from {day} on", day=str(part.start))
    remedy = L_('swap "from" and "until" if they were mixed up')
    return [Fault(where=(*where, "until"), expected=expected, got=str(part.until), remedy=remedy, drop=where)]


def _routine(routine: Routine, where: Key) -> list[Fault]:
    faults = _rule(routine.every, (*where, "every"), where) or _in_order(routine, where)
    return faults + check_day.minutes(routine.estimate, (*where, "estimate"))


def _rule(text: str, where: Key, drop: Key) -> list[Fault]:
    try:
        recurrence.parse(text)
    except RuleError as error:
        got = L_("{value} ({reason})", value=quoted(text), reason=error.reason)
        return [Fault(where=where, expected=L_("a rule of RFC 5545"), got=got, remedy=error.remedy, drop=drop)]
    return []


def _usual_hours(page: Settings) -> list[Fault]:
    faults: list[Fault] = []
    for day, strip in page.hours.items():
        if day in ("usual", *WEEKDAYS):
            faults += check_day.hours(strip, ("hours", day), frozenset(c.key for c in page.categories))
        else:
            expected, remedy = L_('"usual" or a weekday'), chosen(day, ["usual", *WEEKDAYS], "")
            faults.append(Fault(where=("hours", day), expected=expected, got=quoted(day), remedy=remedy, at_key=True))
    return faults
