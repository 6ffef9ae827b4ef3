"""Splitting of a calendar file's text (RFC 5545, section 3.1) into events and time zones, before they are parsed.

Splitting first limits errors to one event, gives each event its line, and skips the events of other years.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from zoneinfo import ZoneInfo

import msgspec

from journal.errors import Problem
from journal.language import digits
from journal.language.catalogue import N_, _

_NAME = re.compile(rb"[^;:]*")
_FOLD = re.compile(rb"\n[ \t]")
_VALUE = re.compile(rb'((?:[^":]|"[^"]*")*):(.*)', re.DOTALL)
_ZONE_OF = re.compile(rb';TZID=("[^"]*"|[^";:]*)', re.IGNORECASE)
_ZONE_RULE = re.compile(
    rb"(?:(?:FREQ=YEARLY|INTERVAL=[1-9][0-9]?|COUNT=[1-9][0-9]{0,2}|UNTIL=[0-9]{8}(?:T[0-9]{6}Z?)?"
    rb"|BYMONTH=(?:0?[1-9]|1[0-2])|BYMONTHDAY=-?[1-9][0-9]?(?:,-?[1-9][0-9]?)*"
    rb"|BYDAY=[+-]?[1-5]?(?:MO|TU|WE|TH|FR|SA|SU)(?:,[+-]?[1-5]?(?:MO|TU|WE|TH|FR|SA|SU))*"
    rb"|WKST=(?:MO|TU|WE|TH|FR|SA|SU))(?:;|$))+"
)
"""The parts of daylight saving rules. The library steps through other rules without end: finer ones, an interval of 0,
or a month that does not exist."""

ZONE_CHANGES = 500
"""The listed clock changes and rules of one time zone. The tz database has at most 240 for any place since 1900."""

EVENT_DATES = 5_000
"""The listed extra and excluded dates of one event, and `EVENT_RULES` its rules. A daily event of ten years has 3,650
dates."""

EVENT_RULES = 20

_UNTIL = re.compile(rb"UNTIL=([0-9]{8})", re.IGNORECASE)
_SHORT = re.compile(rb"\+?P(?:[0-9]D)?(?:T(?:[0-9]{1,2}H)?(?:[0-9]{1,3}M)?(?:[0-9]{1,4}S)?)?", re.IGNORECASE)
_SHORT_DAYS = dt.timedelta(days=15)
"""An upper bound of durations in that form: 9 days, 99 hours, 999 minutes and 9,999 seconds are less than 14 days."""
_LONG_DAYS = dt.timedelta(days=36_525)

_KEPT = (
    b"UID", b"SUMMARY", b"STATUS", b"SEQUENCE", b"DTSTART", b"DTEND", b"DURATION",
    b"RRULE", b"RDATE", b"EXDATE", b"RECURRENCE-ID",
)  # fmt: skip
"""The properties that an appointment needs. Others, among them all addresses, are not even read."""


class Event(msgspec.Struct, frozen=True, kw_only=True):
    """One VEVENT: its file and line, its UID, when it was last changed, and its own content lines, unfolded."""

    path: str
    line: int
    uid: bytes
    changed: bytes
    lines: tuple[bytes, ...]

    def touches(self, first: dt.date, last: dt.date) -> bool:
        """Return whether it may have an instance between two dates, judged by the digits of its dates alone."""
        values = {name(line): _value(line) for line in self.lines}
        start = _date(values.get(b"DTSTART", b""))
        if start is None or b"RECURRENCE-ID" in values:
            return True
        if start > last:
            return False
        length, final = _longest(start, values), start
        if b"RRULE" in values:
            until = _UNTIL.search(values[b"RRULE"])
            final = (_date(until[1]) if until else None) or last
        return length is None or b"RDATE" in values or final >= first - length


class Cut(msgspec.Struct, frozen=True):
    """A split calendar file: its events, its own time zones by the names in `events`, and its problems."""

    events: list[Event]
    zones: dict[bytes, bytes]
    problems: list[Problem]


def cut(path: str, data: bytes) -> Cut:
    """Split a calendar file into events and time zones.

    A time zone that the file defines gets a unique name from its text, so two files can each have a zone called
    "Local". A zone whose name is in the tz database is taken from there.

    >>> text = b"BEGIN:VCALENDAR\\nBEGIN:VEVENT\\nUID:1\\nSUMMARY:Paper\\n  merchant\\nEND:VEVENT\\nEND:VCALENDAR\\n"
    >>> cut("work.ics", text).events[0].lines
    (b'UID:1', b'SUMMARY:Paper merchant')
    """
    lines = list(_lines(data))
    if not any(line.upper() == b"BEGIN:VCALENDAR" for _number, line in lines):
        got = _("an empty file") if not data.strip() else f'"{data[:20].decode("utf-8", "backslashreplace")}"'
        expected, remedy = _("a calendar (BEGIN:VCALENDAR)"), _("export it again as iCalendar")
        return Cut([], {}, [_problem(path, 0, expected, got, remedy)])
    events, zones, names, problems = list[Event](), dict[bytes, bytes](), dict[bytes, bytes](), list[Problem]()
    for kind, line, content, ended in _components(lines):
        if not ended:
            got, remedy = _("the end of the file"), _("the file was cut short: export it again")
            problems.append(_problem(path, line, f"END:{kind.decode()}", got, remedy))
        elif kind == b"VTIMEZONE":
            zone = _zone(path, line, content)
            if isinstance(zone, Problem):
                problems.append(zone)
            elif zone:
                file_name, unique_name, zones[unique_name] = zone
                names[file_name] = unique_name
        else:
            event = _event(path, line, content)
            problem = _too_long(event)
            if problem is None:
                events.append(event)
            else:
                problems.append(problem)
    if names:
        events = [_renamed(event, names) for event in events]
    return Cut(events, zones, problems)


def name(line: bytes) -> bytes:
    """Return the property name of a content line.

    >>> name(b"dtstart;TZID=Europe/Ljubljana:20250330T013000")
    b'DTSTART'
    """
    match = _NAME.match(line)
    return match[0].upper() if match else b""


def _date(value: bytes) -> dt.date | None:
    """Return the date at the start of a value."""
    try:
        return dt.date(int(value[:4]), int(value[4:6]), int(value[6:8]))
    except ValueError:
        return None


def _longest(start: dt.date, values: Mapping[bytes, bytes]) -> dt.timedelta | None:
    """Return an upper bound of an event's length, or None if its text gives none."""
    if b"DTEND" in values:
        end = _date(values[b"DTEND"])
        return None if end is None or end - start > _LONG_DAYS else max(end - start, dt.timedelta())
    if b"DURATION" in values:
        return _SHORT_DAYS if _SHORT.fullmatch(values[b"DURATION"]) else None
    return dt.timedelta(days=1)


def _value(line: bytes) -> bytes:
    """Return the text after the colon that ends name and parameters. Quoted parameters can have colons too."""
    parts = _VALUE.fullmatch(line)
    return parts[2] if parts else b""


def _lines(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield the content lines, unfolded, with their line numbers.

    Unfolding precedes decoding, because a fold can split a character.
    """
    text = data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    number = 1
    for line in re.split(rb"\n(?![ \t])", text):
        if line.strip():
            yield number, _FOLD.sub(b"", line).rstrip()
        number += 1 + line.count(b"\n")


def _components(lines: list[tuple[int, bytes]]) -> Iterator[tuple[bytes, int, list[bytes], bool]]:
    """Yield each VEVENT and VTIMEZONE: its name, line, content lines, and whether its END was found."""
    kind, line, content, inner = b"", 0, list[bytes](), list[bytes]()
    for number, text in lines:
        word = text.upper()
        if word in (b"BEGIN:VEVENT", b"BEGIN:VTIMEZONE") and (not kind or kind == word[6:]):
            if kind:  # a second one begins before the END of the first
                yield kind, line, content, False
            kind, line, content, inner = word[6:], number, [], []
        elif not kind:
            continue
        elif word == b"END:" + kind:
            yield kind, line, content, True
            kind = b""
        elif kind == b"VTIMEZONE":
            content.append(text)
        elif word.startswith(b"BEGIN:"):  # an alarm has properties of its own
            inner.append(word[6:])
        elif word.startswith(b"END:"):
            inner = inner[:-1]
        elif not inner and name(text) in (*_KEPT, b"DTSTAMP", b"LAST-MODIFIED"):
            content.append(text)
    if kind:
        yield kind, line, content, False


def _event(path: str, line: int, content: list[bytes]) -> Event:
    values = {name(text): _value(text) for text in content}
    lines = tuple(text for text in content if name(text) in _KEPT)
    changed = values.get(b"LAST-MODIFIED") or values.get(b"DTSTAMP") or b""
    # RFC 5545 requires a UID. Without one, events with identical lines are the same.
    uid = values.get(b"UID") or hashlib.sha256(b"\n".join(lines)).hexdigest().encode()
    return Event(path=path, line=line, uid=uid, changed=changed, lines=lines)


def _zone(path: str, line: int, content: list[bytes]) -> tuple[bytes, bytes, bytes] | Problem | None:
    """Return a zone that the file defines: its name in the file, a unique name, and its text with that name."""
    file_name = next((_value(text) for text in content if name(text) == b"TZID"), b"")
    if not file_name or _known(file_name):
        return None
    rules = [_value(text).upper() for text in content if name(text) == b"RRULE"]
    if not all(_ZONE_RULE.fullmatch(rule) and b"FREQ=YEARLY" in rule for rule in rules):
        return _problem(path, line, _("summer time by the year (FREQ=YEARLY)"), _("another rule"), _(_ZONE_REMEDY))
    if (count := len(rules) + _listed(content, b"RDATE")) > ZONE_CHANGES:
        expected = _("at most {count} clock changes", count=digits.number(ZONE_CHANGES))
        return _problem(path, line, expected, digits.number(count), _(_ZONE_REMEDY))
    unique_name = b"zone-" + hashlib.sha256(b"\n".join(content)).hexdigest()[:16].encode()
    body = [b"TZID:" + unique_name if name(text) == b"TZID" else text for text in content]
    return file_name, unique_name, b"\r\n".join([b"BEGIN:VTIMEZONE", *body, b"END:VTIMEZONE", b""])


def _listed(content: Iterable[bytes], *names: bytes) -> int:
    """Return the number of values in the lines of some properties."""
    return sum(text.count(b",") + 1 for text in content if name(text) in names)


def _too_long(event: Event) -> Problem | None:
    """Return the problem of an event with more rules or dates than any real one."""
    rules, dates = sum(name(text) == b"RRULE" for text in event.lines), _listed(event.lines, b"RDATE", b"EXDATE")
    if rules > EVENT_RULES:
        expected = _("at most {count} rules in an event", count=digits.number(EVENT_RULES))
        return _problem(event.path, event.line, expected, digits.number(rules), _(_SPLIT))
    if dates > EVENT_DATES:
        expected = _("at most {count} dates in an event", count=digits.number(EVENT_DATES))
        return _problem(event.path, event.line, expected, digits.number(dates), _(_SPLIT))
    return None


_SPLIT = N_("split it into several events; it is left out")
_ZONE_REMEDY = N_("name a zone of the tz database, e.g. Europe/Ljubljana")


def _known(zone: bytes) -> bool:
    try:
        return bool(ZoneInfo(zone.decode()))
    except (KeyError, ValueError, OSError):
        return False


def _renamed(event: Event, names: dict[bytes, bytes]) -> Event:
    def unique_name(match: re.Match[bytes]) -> bytes:
        file_name = match[1].strip(b'"')
        return b";TZID=" + names[file_name] if file_name in names else match[0]

    def renamed_line(line: bytes) -> bytes:
        parts = _VALUE.fullmatch(line)
        return _ZONE_OF.sub(unique_name, parts[1]) + b":" + parts[2] if parts and b"TZID" in parts[1].upper() else line

    return msgspec.structs.replace(event, lines=tuple(map(renamed_line, event.lines)))


def _problem(path: str, line: int, expected: str, got: str, remedy: str) -> Problem:
    return Problem(path=path, line=line, column=min(line, 1), expected=expected, got=got, remedy=remedy)
