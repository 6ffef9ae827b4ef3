"""How charts say dates, shares, counts and states in words. English; the numbers come from frames as they are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from journal.periods import Period
from journal.settings import Scale
from journal.wording import MONTH_NAMES

STATE_WORDS: Mapping[str, str] = {
    "done": "done",
    "partial": "partly done",
    "missed": "not done",
    "rest": "rest",
    "blank": "nothing logged",
    "pending": "still to come",
    "not due": "not due",
}

NINETY_FIVE = "95\N{NO-BREAK SPACE}%"

UNIT_WORDS: Mapping[str, tuple[str, str]] = {
    "day": ("day", "days"),
    "occasion": ("time", "times"),
    "week": ("week", "weeks"),
    "month": ("month", "months"),
}


def day_text(day: dt.date, *, year: bool = False) -> str:
    """
    >>> day_text(dt.date(2025, 3, 14)), day_text(dt.date(2025, 3, 14), year=True)
    ('14 March', '14 March 2025')
    """
    return f"{day.day} {MONTH_NAMES[day.month - 1]}" + (f" {day.year}" if year else "")


def period_text(period: Period) -> str:
    """
    >>> from journal.periods import parse
    >>> period_text(parse("2025-03")), period_text(parse("2025-W11")), period_text(parse("2025"))
    ('March 2025', '10 to 16 March 2025', '2025')
    >>> period_text(parse("2025-W14")), period_text(parse("2025-W01"))
    ('31 March to 6 April 2025', '30 December 2024 to 5 January 2025')
    """
    first, last = period.first, period.last
    if period.kind == "year":
        return str(first.year)
    if period.kind == "month":
        return f"{MONTH_NAMES[first.month - 1]} {first.year}"
    if period.kind == "day":
        return day_text(first, year=True)
    if first.year != last.year:
        return f"{day_text(first, year=True)} to {day_text(last, year=True)}"
    start = str(first.day) if first.month == last.month else day_text(first)
    return f"{start} to {day_text(last, year=True)}"


def count_text(count: int, unit: str) -> str:
    """
    >>> count_text(1, "week"), count_text(12, "day")
    ('1 week', '12 days')
    """
    one, many = UNIT_WORDS[unit]
    return f"{count} {one if count == 1 else many}"


def of_text(done: int, due: int, unit: str) -> str:
    """
    >>> of_text(3, 4, "week"), of_text(1, 1, "day")
    ('3 of 4 weeks', '1 of 1 day')
    """
    return f"{done} of {count_text(due, unit)}"


def percent_text(share: float | None) -> str:
    r"""
    The space before the sign does not break over lines.

    >>> percent_text(0.8387), percent_text(None)
    ('84\xa0%', 'no rate')
    """
    return "no rate" if share is None else f"{_half_up(share * 100)}\N{NO-BREAK SPACE}%"


def interval_text(low: float | None, high: float | None) -> str:
    r"""
    >>> interval_text(0.667, 0.93)
    '67 to 93\xa0%'
    """
    return "" if low is None or high is None else f"{_half_up(low * 100)} to {percent_text(high)}"


def _half_up(number: float) -> int:
    return int(number + 0.5)


def number_text(value: float | None, digits: int = 1) -> str:
    """A number as short as it can be said.

    >>> number_text(4.0), number_text(3.44), number_text(None)
    ('4', '3.4', '')
    """
    if value is None:
        return ""
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def mean_text(value: float | None) -> str:
    """A mean, always with one digit after the point, so that it is not mistaken for a value somebody noted.

    >>> mean_text(3.0), mean_text(None)
    ('3.0', '')
    """
    return "" if value is None else f"{value:.1f}"


def scale_text(value: float, scale: Scale) -> str:
    """A value with its word, where the scale has one.

    >>> scale_text(4, Scale(words=("heavy", "low", "even", "good", "bright"))), scale_text(7, Scale(low=1, high=10))
    ('4 good', '7')
    """
    word = scale.word(float(value))
    return f"{number_text(value)} {word}".strip()


def joined(parts: Iterable[str], separator: str = " · ") -> str:
    """The parts that say something, in a row."""
    return separator.join(part for part in parts if part)


def mark_text(row: Mapping[str, Any]) -> str:
    """What a row of states says of its day: the state, and for a counted habit the number against its target.

    >>> mark_text({"state": "partial", "mark": "number", "value": 12.0, "target": 20.0, "aim": "at least"})
    'partly done, 12 of 20'
    >>> mark_text({"state": "not due", "mark": "done", "value": None, "target": None, "aim": None})
    'done, though not due'
    """
    state, value, target = row["state"], row.get("value"), row.get("target")
    words = "done, though not due" if extra(row) else STATE_WORDS[state]
    if value is None or row.get("mark") != "number":
        return words
    if target is None:
        return f"{words}, {number_text(value)}"
    limit = "at most " if row.get("aim") == "at most" else ""
    return f"{words}, {number_text(value)} of {limit}{number_text(target)}"


def extra(row: Mapping[str, Any]) -> bool:
    """Whether a row of states tells of something done on a day on which it was not due."""
    done = row.get("mark") == "done" or (row.get("mark") == "number" and (row.get("value") or 0) > 0)
    return bool(row["state"] == "not due" and done)
