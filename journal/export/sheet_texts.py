"""The texts that the sheets for a paper notebook have in common, in the spoken language."""

from __future__ import annotations

import datetime as dt

from journal.language.catalogue import _, _p
from journal.wording import dates


def fixed() -> dict[str, str]:
    """The texts of the templates, by their names there."""
    return {
        "done": _p("mark on paper", "done"),
        "part": _p("mark on paper", "part"),
        "rest": _p("mark on paper", "rest"),
        "nothing": _p("mark on paper", "nothing"),
        "add-up": _("numbers add up"),
        "tasks": _("Tasks"),
        "task-done": _p("over a box", "done"),
        "task-carried": _p("over a box", "carried"),
        "more-tasks": _("More tasks"),
        "set-times": _("Set at a time"),
        "habits": _("Habits"),
        "good-thing": _("A good thing"),
        "good-things": _("Good things"),
        "remember": _p("on paper", "To remember"),
        "mood": _("Mood"),
        "energy": _("Energy"),
        "in-full": _("In full"),
        "without-row": _("Planned hours without a row"),
        "few-words": _("a few words"),
        "none-due": _("No habit is due."),
        "any-day": _("any day of its bracket"),
        "planned-rest": _("rest, as planned"),
        "weekend": _("a bold, tinted day is a weekend"),
        "colouring": _("Choose a colour for each word, then colour a field a day. A dark corner is a weekend."),
    }


def part(number: int, count: int) -> str:
    """Which of several sheets of one period this is, counted from 0; empty for a single one.

    >>> part(0, 2), part(0, 1)
    ('1 of 2', '')
    """
    return _("{number} of {count}", number=number + 1, count=count) if count > 1 else ""


def short_day(date: dt.date) -> str:
    """A day of a month that is named above it.

    >>> short_day(dt.date(2025, 3, 14))
    'Fri 14'
    """
    return _p("short date", "{weekday} {day}", weekday=dates.weekday_short(date.weekday()), day=date.day)


def short_date(date: dt.date) -> str:
    """A day of a year that is named above it.

    >>> short_date(dt.date(2025, 3, 14))
    '14 Mar'
    """
    return _p("short date", "{day} {month}", day=date.day, month=dates.month_short(date.month))
