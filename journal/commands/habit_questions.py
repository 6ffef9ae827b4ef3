"""Parses the answers that `duskbook start` gets about a habit: when it is due, and its target."""

from __future__ import annotations

import re
from typing import Any

from journal import recurrence
from journal.settings import WEEKDAYS

_CODES = {day: day[:2].upper() for day in WEEKDAYS}
_QUOTA = re.compile(r"(\d+)\s*(?:x|times)?\s*(?:a|per|each|every)\s*(week|month)")
_AMOUNT = re.compile(r"(?:(at least|at most)\s+)?(\d+(?:[.,]\d+)?)\s*(.*)")
_MOST = {"week": 7, "month": 28}


def when(answer: str) -> dict[str, Any]:
    """The keys of a habit's schedule.

    >>> when("every day"), when("mo we fr"), when("3 a week")
    ({'every': 'FREQ=DAILY'}, {'every': 'FREQ=WEEKLY;BYDAY=MO,WE,FR'}, {'times': 3, 'per': 'week'})
    >>> when("Sundays"), when("weekdays"), when("FREQ=WEEKLY;INTERVAL=2")["every"]
    ({'every': 'FREQ=WEEKLY;BYDAY=SU'}, {'every': 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR'}, 'FREQ=WEEKLY;INTERVAL=2')

    Raises ValueError with a remedy for anything else.
    """
    text = answer.lower()
    if text in ("every day", "daily", "each day"):
        return {"every": "FREQ=DAILY"}
    if text == "weekdays":
        return {"every": "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"}
    if quota := _QUOTA.fullmatch(text):
        times, per = int(quota[1]), quota[2]
        if not 1 <= times <= _MOST[per]:
            raise ValueError(f'a {per} can have 1 to {_MOST[per]} times; write e.g. "3 a {per}"')
        return {"times": times, "per": per}
    if text.startswith("freq="):
        return {"every": _checked(answer.upper())}
    days = [_code(word) for word in re.split(r"[\s,]+|\band\b", text) if word]
    if days and all(days):
        return {"every": f"FREQ=WEEKLY;BYDAY={','.join(c for c in _CODES.values() if c in days)}"}
    raise ValueError(f'"{answer}" is not a schedule; write "every day", "mo we fr" or "3 a week"')


def how_much(answer: str) -> dict[str, Any]:
    """The keys of a counted habit; empty for a yes-or-no habit.

    >>> how_much("20 pages"), how_much("at most 2 cups"), how_much("")
    ({'target': 20, 'unit': 'pages', 'aim': 'at least'}, {'target': 2, 'unit': 'cups', 'aim': 'at most'}, {})

    Raises ValueError with a remedy for anything else.
    """
    if not answer:
        return {}
    amount = _AMOUNT.fullmatch(answer)
    if amount is None:
        raise ValueError(f'"{answer}" has no number; write e.g. "20 pages", or nothing for yes or no')
    number = float(amount[2].replace(",", "."))
    return {
        "target": int(number) if number.is_integer() else number,
        "unit": amount[3],
        "aim": amount[1] or "at least",
    }


def _code(word: str) -> str:
    """The weekday code of a word: MO for "mo", "mon", "monday" and "mondays". Empty if it is not a weekday."""
    stem = word.removesuffix("s") if word.endswith("days") else word
    return next((code for day, code in _CODES.items() if len(stem) >= 2 and day.startswith(stem)), "")


def _checked(rule: str) -> str:
    recurrence.parse(rule)  # RuleError is a ValueError with its own remedy
    return rule
