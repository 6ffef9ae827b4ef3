"""Inputs of every kind that a journal reads, and random changes of them, as damage and other programs make them."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import Any

from tests.cli.conftest import SETTINGS

DAY = """\
# A day in March.
mood = 4
energy = 3.5
gratitude = ["Bread from next door, still warm.", "The rain held off."]
memory = "First guest book sewn."
share = true
notes = ["Ask about the grey thread."]

[weather]
sky = "partly cloudy"
high = 11

[habits]
walk = true
read = 24
swim = "rest"

[challenges]
letters = 2025-03-16

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]
[hours.actual]
sleep = ["00:15-06:20"]

[[appointments]]
title = "Paper merchant"
start = "08:30"
end = "09:00"

[[tasks]]
title = "Quote for the choir folders"
status = "carried"
rank = 2
estimate = 45
since = 2025-03-11
id = "t7k2"
"""
REVIEW = """\
notes = ["A wet month."]
[decisions]
walk = "keep"
read = "change"
[decision_dates.read]
from = 2025-04-01
[[reflection]]
prompt = "What carried this month?"
answer = '''
The mornings.
'''
"""
UNDATED = '[[tasks]]\ntitle = "Oil the press"\nestimate = 30\nsince = 2025-03-01\nid = "u2p5"\n'
JOURNAL = f"""{SETTINGS}
[mood]
low = 1
high = 5
words = ["heavy", "low", "even", "good", "bright"]
[[challenges]]
key = "letters"
name = "Thirty letters"
from = 2025-03-01
until = 2025-03-30
[[routines]]
title = "Stock count"
every = "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"
from = 2025-01-03
[[rests]]
from = 2025-08-11
until = 2025-08-17
habits = ["walk"]
[hours.usual]
sleep = ["00:00-06:15"]
"""
CALENDAR = """\
BEGIN:VCALENDAR
BEGIN:VTIMEZONE
TZID:Here
BEGIN:STANDARD
DTSTART:19701025T030000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
TZOFFSETFROM:+0200
TZOFFSETTO:+0100
END:STANDARD
END:VTIMEZONE
BEGIN:VEVENT
UID:1
SUMMARY:Paper merchant
DTSTART;TZID=Here:20250314T083000
DURATION:PT30M
RRULE:FREQ=WEEKLY;COUNT=9;BYDAY=FR
EXDATE:20250321T083000
END:VEVENT
BEGIN:VEVENT
UID:2
DTSTART;VALUE=DATE:20250315
DTEND;VALUE=DATE:20250317
SUMMARY:Fair
END:VEVENT
END:VCALENDAR
"""
TABLE = """\
date;mood;walk;read;gratitude;memory;notes
2025-03-14;4;yes;24;Bread;Sewn.;"one
two"
15.03.2025;3,5;no;;"still; warm";;
2025-03-16;;rest;1.200;;;x
"""
NAMES = (
    "2025-03-14.toml", "2025-W11.toml", "2025-03.toml", "2025.toml", "journal.toml", "undated.toml",
    "2025-03-14 (1).toml", "2025-03-14.toml.txt", ".2025-03-14.toml.offline", "10.05.2025.toml", "20250510.toml",
)  # fmt: skip

TOKENS = (
    '"', "'", '"""', "'''", "[", "]", "[[", "]]", "{", "}", "=", ",", ".", "#", "\n", "\r", "\r\n", "\t", " ", "\\",
    "\\u12", "\\x41", "\\e", "\0", "\x1b", "\x7f", "\x85", "\u2028", "\ufeff", "\u202e", "é", "\U0001f342", "-", "_",
    ":", ";", "09:00", "24:00", "2025-02-30", "9999-12-31", "0001-01-01", "1e999", "-0", "nan", "inf", "0x", "9" * 20,
    "true", "mood", "habits", "[habits]", "[[tasks]]", "title", "FREQ=SECONDLY", "COUNT=", "RRULE:", "UNTIL=",
    "BYMONTH=13", "INTERVAL=0", "DTSTART:", "TZID=", "BEGIN:VEVENT", "END:VEVENT", "<<<<<<<", "=======", ">>>>>>>",
    "(1)", "\u2013",
)  # fmt: skip


def changed_text(text: str, rng: random.Random, others: Sequence[str] = ()) -> str:
    """Return a text with one to five random changes."""
    for _ in range(rng.choice((1, 1, 1, 2, 5))):
        text = rng.choice(_CHANGES)(text, rng)
    if others and rng.random() < 0.05:
        other = rng.choice(others)
        text = text[: rng.randrange(len(text) + 1)] + other[rng.randrange(len(other)) :]
    return text


def changed_bytes(text: str, rng: random.Random, others: Sequence[str] = ()) -> bytes:
    """Return the bytes of a changed text, now and then with a byte that is no text."""
    data = bytearray(changed_text(text, rng, others).encode("utf-8", "surrogatepass"))
    if data and rng.random() < 0.05:
        data[rng.randrange(len(data))] = rng.randrange(256)
    if rng.random() < 0.01:
        return bytes(data).decode("utf-8", "replace").encode(rng.choice(("utf-16", "utf-16-le", "utf-8-sig")))
    return bytes(data)


def _slice(text: str, rng: random.Random) -> tuple[int, int]:
    start = rng.randrange(len(text) + 1)
    return start, min(len(text), start + rng.choice((1, 1, 2, 5, 20, 200)))


def _without(text: str, rng: random.Random) -> str:
    start, end = _slice(text, rng)
    return text[:start] + text[end:]


def _twice(text: str, rng: random.Random) -> str:
    start, end = _slice(text, rng)
    return text[:end] + text[start:end] + text[end:]


def _inserted(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(TOKENS) * rng.choice((1, 1, 1, 1, 3, 90)) + text[at:]


def _replaced(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(TOKENS) + text[at + 1 :]


def _cut(text: str, rng: random.Random) -> str:
    return text[: rng.randrange(len(text) + 1)]


def _lines_moved(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    line = lines.pop(rng.randrange(len(lines)))
    lines.insert(rng.randrange(len(lines) + 1), line)
    return "\n".join(lines)


_CHANGES: tuple[Callable[[str, random.Random], str], ...] = (
    _without, _without, _twice, _inserted, _inserted, _replaced, _replaced, _cut, _lines_moved
)  # fmt: skip

VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 3, 4.5, 1e308, float("nan"), float("inf"), 10**30, "", " ", "x", "\0", "\x1b[2J",
    "\ud800", "\u202e", "walk", "2025-03-14", "9999-12-31", "0001-01-01", "2025-02-30", "09:00", "09:00-10:00",
    "open", "done", "rest", "x" * 5000, [], {}, [[]], [None], {"": ""}, {"title": 3}, [{"title": "T", "ref": "x"}],
    {"walk": "maybe"}, ["a", 1, None],
)  # fmt: skip


def changed_json(value: Any, rng: random.Random) -> Any:
    """Return a JSON value with one to four random changes, as a page gone wrong might send it."""
    for _ in range(rng.choice((1, 1, 2, 4))):
        value = _with_change(value, rng)
    return value


def _with_change(value: Any, rng: random.Random) -> Any:
    if isinstance(value, dict) and value and rng.random() < 0.93:
        key = rng.choice(list(value))
        if rng.random() < 0.1:
            return {name: part for name, part in value.items() if name != key}
        return value | {key: _with_change(value[key], rng)}
    if isinstance(value, list) and value and rng.random() < 0.85:
        at = rng.randrange(len(value))
        change = rng.choice(("change", "change", "twice", "without"))
        parts = {"change": [_with_change(value[at], rng)], "twice": [value[at], value[at]], "without": []}
        return [*value[:at], *parts[change], *value[at + 1 :]]
    if isinstance(value, str) and value and rng.random() < 0.5:
        return changed_text(value, rng)
    return rng.choice(VALUES)
