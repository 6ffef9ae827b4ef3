"""The appointments that calendar files hold for some days (RFC 5545, Desruisseaux 2009), by the clock of the journal.

`event_text` splits the files into events, icalendar reads those, `recurring_events` lays recurrence rules out as days,
and recurring-ical-events places moved and cancelled instances. Nothing is fetched.
"""

from __future__ import annotations

import datetime as dt
import warnings
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import polars as pl
from icalendar.prop import vDDDLists
from recurring_ical_events import CalendarQuery

from journal.calendars.event_text import Cut, Event, cut
from journal.calendars.local_days import instant, plain, split
from journal.calendars.recurring_events import LIMIT, instances
from journal.errors import Problem, RuleError
from journal.folder.calendar_files import CalendarFile

APPOINTMENTS: dict[str, Any] = {
    "date": pl.Date,
    "title": pl.String,
    "start_minute": pl.Int32,
    "end_minute": pl.Int32,
    "all_day": pl.Boolean,
    "source": pl.String,
}
"""The frame of `appointments`."""

EVENTS_A_FILE = 5_000
"""How many events of one file, that may fall on the days asked for, are looked at: a few seconds' work at most."""

REPEATS_A_FILE = 20_000
"""How many instances of the events of one file that repeat are laid out, about the days asked for."""

PROBLEMS_A_FILE = 20

_DAY = dt.timedelta(days=1)
_SOURCE, _EXACT = "X-JOURNAL-SOURCE", "X-JOURNAL-EXACT-SECONDS"
_NEEDED = ("DTSTART", "RECURRENCE-ID")
_OPTIONAL = ("DTEND", "DURATION", "EXDATE", "RDATE")
_EXAMPLES = {"DURATION": "PT1H30M", "UID": "1"}


def appointments(
    files: Iterable[CalendarFile], first: dt.date, last: dt.date, timezone: str
) -> tuple[pl.DataFrame, list[Problem]]:
    """What calendar files hold from one local day to another, both included, and what in them cannot be read.

    Out, sorted by date, whole days first, then by time:

    - date (Date), title (String), source (String, the path of the file)
    - start_minute, end_minute (Int32): minutes by the clock since midnight, 0 to 1440. An appointment across midnight
      has a row on each of its days. Both are null for a whole day; the end is null for one that has no end
    - all_day (Boolean)

    Times are by the clock of `timezone`; one without a zone is taken as local. Cancelled ones are left out, and events
    with the same UID are one, in two files too: the one with the higher SEQUENCE, then the one changed last. One that
    repeats ends at the same time by the clock, over a change of the clock too, where it has a DTEND; the hours of a
    DURATION are exact (section 3.3.6). On the day that repeats an hour, an end that the clock shows before the start is
    given as start plus length. A broken event costs itself only; of each file at most `PROBLEMS_A_FILE` are said.

    >>> text = b"BEGIN:VCALENDAR\\nBEGIN:VEVENT\\nUID:1\\nSUMMARY:Paper merchant\\nDTSTART:20250314T073000Z\\n"
    >>> text += b"DURATION:PT30M\\nRRULE:FREQ=WEEKLY\\nEND:VEVENT\\nEND:VCALENDAR\\n"
    >>> day = dt.date(2025, 3, 21)
    >>> frame, problems = appointments([CalendarFile("work.ics", text)], day, day, "Europe/Ljubljana")
    >>> frame.row(0)[1:], problems
    (('Paper merchant', 510, 540, False, 'work.ics'), [])
    """
    zone = ZoneInfo(timezone)
    cuts = [cut(file.path, file.data) for file in files]
    problems = [problem for one in cuts for problem in one.problems]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # icalendar's, of what it guesses or mends; what matters is a Problem here
        series = list(_series(cuts, first, last, problems))
        _know_zones(cuts, {line for same in series for event in same for line in event.lines}, problems)
        rows = list(_rows(series, first, last, zone, problems))
    frame = pl.DataFrame(sorted(set(rows), key=_order), schema=APPOINTMENTS, orient="row")
    return frame, list(_few(problems))


def _order(row: tuple[Any, ...]) -> tuple[Any, ...]:
    date, title, start, end, all_day, source = row
    return date, not all_day, start or 0, end or 0, title, source


def _know_zones(cuts: list[Cut], lines: set[bytes], problems: list[Problem]) -> None:
    """Give icalendar the zones that the files define and some lines use, for it to find them by their names."""
    used = {line for line in lines if b"TZID=zone-" in line}
    for one in cuts:
        for name, text in one.zones.items():
            if not any(name in line for line in used):
                continue
            try:
                icalendar.Calendar.from_ical(b"BEGIN:VCALENDAR\r\n" + text + b"END:VCALENDAR\r\n")
            except Exception as error:  # whatever a broken zone brings about in the library
                path = one.events[0].path if one.events else ""
                expected, remedy = "a time zone", "name a zone of the tz database, e.g. Europe/Ljubljana"
                problems.append(
                    Problem(path=path, where="VTIMEZONE", expected=expected, got=_said(error), remedy=remedy)
                )


def _series(cuts: list[Cut], first: dt.date, last: dt.date, problems: list[Problem]) -> Iterator[list[Event]]:
    """The events that may fall on the days, those with the same UID together and the one changed last in front."""
    together: dict[bytes, list[Event]] = defaultdict(list)
    for one in cuts:
        for event in one.events:
            together[event.uid].append(event)
    looked: dict[str, int] = defaultdict(int)
    for same in together.values():
        # Two days on either side: a time in another zone may be as far off by the calendar.
        if not any(event.touches(first - 2 * _DAY, last + 2 * _DAY) for event in same):
            continue
        looked[same[0].path] += len(same)
        if looked[same[0].path] <= EVENTS_A_FILE:
            yield sorted(same, key=lambda event: event.changed, reverse=True)
    for path, count in looked.items():
        if count > EVENTS_A_FILE:
            expected, remedy = f"at most {EVENTS_A_FILE:,} events about these days", "export fewer"
            problems.append(Problem(path=path, expected=expected, got=f"{count:,}", remedy=remedy))


def _rows(
    series: Iterable[list[Event]], first: dt.date, last: dt.date, zone: ZoneInfo, problems: list[Problem]
) -> Iterator[tuple[Any, ...]]:
    laid = Counter[str]()
    for same in series:
        if laid[same[0].path] > REPEATS_A_FILE:
            continue
        try:
            read = [(event, component) for event in same if (component := _read(event, problems)) is not None]
            calendar = icalendar.Calendar()
            away = max((_reach(component) for _, component in read), default=_DAY) + 2 * _DAY
            for event, component in read:
                laid[same[0].path] += _lay_out(event, component, first - away, last + away, problems)
                calendar.add_component(component)
            for found in CalendarQuery(calendar).between(first - _DAY, last + 2 * _DAY):
                if str(found.get("STATUS", "")).upper() != "CANCELLED":
                    yield from _instance(found, first, last, zone)
        except Exception as error:  # whatever a broken event brings about in the library: it costs this event only
            problems.append(_problem(same[0], "an event", _said(error), "mend it where it was written, or delete it"))
    for path, count in laid.items():
        if count > REPEATS_A_FILE:
            expected, got = f"at most {REPEATS_A_FILE:,} repeats about these days", "more; not all are shown"
            problems.append(Problem(path=path, expected=expected, got=got, remedy="give the rules an UNTIL"))


def _read(event: Event, problems: list[Problem]) -> Any:
    """The event as icalendar reads it, without the properties that it cannot; None where one is needed."""
    text = b"\r\n".join([b"BEGIN:VCALENDAR", b"BEGIN:VEVENT", *event.lines, b"END:VEVENT", b"END:VCALENDAR", b""])
    (component,) = icalendar.Calendar.from_ical(text.decode("utf-8", "replace")).walk("VEVENT")
    if "DTSTART" not in component:
        problems.append(_problem(event, "DTSTART", "none", "give it a start, e.g. DTSTART:20250314T083000"))
        return None
    broken = {str(name) for name, _ in component.errors}
    broken |= {name for name in (*_NEEDED, "DTEND", "DURATION") if isinstance(component.get(name), list)}
    for name in broken & {*_NEEDED, *_OPTIONAL}:
        value = next(line.rpartition(b":")[2] for line in event.lines if line.upper().startswith(name.encode()))
        got = f'"{value[:40].decode("utf-8", "replace")}"'
        problems.append(
            _problem(event, "one value", got, f"write e.g. {name}:{_EXAMPLES.get(name, '20250314T083000')}", name)
        )
    for name in broken - {"RRULE"}:
        component.pop(name, None)
    if broken & set(_NEEDED):
        return None
    _prepare(event, component, problems)
    return component


def _prepare(event: Event, component: Any, problems: list[Problem]) -> None:
    """Say what is missing or turned round in an event, and note what its instances have to know of it."""
    component[_SOURCE], component["UID"] = event.path, event.uid.decode("utf-8", "replace")
    start, end, length = (component.get(name) for name in ("DTSTART", "DTEND", "DURATION"))
    zone = start.params.get("TZID")
    if zone and isinstance(start.dt, dt.datetime) and start.dt.tzinfo is None:
        remedy = "it is taken as local; name a zone of the tz database, e.g. Europe/Ljubljana"
        got = f'"{_title(zone)}"'
        if not any((one.path, one.got, one.where) == (event.path, got, "DTSTART") for one in problems):
            problems.append(_problem(event, "a time zone that is known or defined", got, remedy, "DTSTART"))
    if end is not None and plain(end.dt) < plain(start.dt) and instant(end.dt) < instant(start.dt):
        problems.append(
            _problem(event, "an end after the start", "one before it", "it is taken without an end", "DTEND")
        )
        del component["DTEND"]
    if length is not None and length.dt < dt.timedelta():
        problems.append(_problem(event, "a length above 0", "one below", "it is taken without an end", "DURATION"))
        del component["DURATION"]
    elif length is not None and end is None and isinstance(start.dt, dt.datetime) and length.dt.seconds:
        component[_EXACT] = str(length.dt.seconds)


def _reach(component: Any) -> dt.timedelta:
    """How far from its place in the rule an instance may lie: its length, and how far it was moved."""
    start, end, length = (component.get(name) for name in ("DTSTART", "DTEND", "DURATION"))
    moved = component.get("RECURRENCE-ID")  # of one moved with all after it; any other is where it is
    moved = moved if moved and moved.params.get("RANGE") else None
    reach = _DAY if end is None else abs(plain(end.dt) - plain(start.dt))
    reach = max(reach, dt.timedelta() if length is None else length.dt)
    # No further than a lifetime, so that adding it to a date stays within the calendar.
    return min(reach + (abs(plain(moved.dt) - plain(start.dt)) if moved else dt.timedelta()), 36_525 * _DAY)


def _lay_out(event: Event, component: Any, first: dt.date, last: dt.date, problems: list[Problem]) -> int:
    """Put the instances of a rule in its place, so that nobody has to follow it; how many there are."""
    rules = component.pop("RRULE", [])
    start, found = component["DTSTART"].dt, set[dt.date]()
    for rule in rules if isinstance(rules, list) else [rules]:
        try:
            found.update(instances(rule.to_ical().decode("utf-8", "replace"), start, first, last))
        except RuleError as error:
            problems.append(
                _problem(event, "a rule that can be followed", str(error), "its first day is shown", "RRULE")
            )
    given = component.pop("RDATE", [])
    if found:
        given = [*(given if isinstance(given, list) else [given]), vDDDLists(sorted(found))]
    if given:
        component["RDATE"] = given
    if len(found) > LIMIT:
        raise RuleError(f"it comes round more than {LIMIT:,} times about these days")
    return len(found)


def _instance(found: Any, first: dt.date, last: dt.date, zone: ZoneInfo) -> Iterator[tuple[Any, ...]]:
    """The rows of one instance: one for each of its days among those asked for."""
    title, source, seconds = _title(found.get("SUMMARY")), str(found[_SOURCE]), int(found.get(_EXACT, 0))
    days = split(found["DTSTART"].dt, found["DTEND"].dt, first, last, zone, exact_seconds=seconds)
    for date, start, end, all_day in days:
        yield date, title, start, end, all_day, source


def _title(summary: Any) -> str:
    text = " ".join("".join(sign if sign.isprintable() else " " for sign in str(summary or "")).split())
    return (text if len(text) <= 200 else f"{text[:199]}…") or "Without a title"


def _said(error: Exception) -> str:
    """What the library says of an error, as one short line."""
    return f'"{_title(str(error) or type(error).__name__)[:80]}"'


def _problem(event: Event, expected: str, got: str, remedy: str, where: str = "") -> Problem:
    return Problem(path=event.path, line=event.line, column=1, where=where, expected=expected, got=got, remedy=remedy)


def _few(problems: Sequence[Problem]) -> Iterator[Problem]:
    """The first problems of each file, and how many more there are."""
    by_file: dict[str, list[Problem]] = defaultdict(list)
    for problem in problems:
        by_file[problem.path].append(problem)
    for path, all_of in by_file.items():
        yield from sorted(all_of)[:PROBLEMS_A_FILE]
        if len(all_of) > PROBLEMS_A_FILE:
            more = f"{len(all_of) - PROBLEMS_A_FILE:,} more like these"
            yield Problem(path=path, expected="a calendar without faults", got=more, remedy="export it again")
