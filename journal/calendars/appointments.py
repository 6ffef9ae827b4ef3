"""The appointments of calendar files on some days (RFC 5545, Desruisseaux 2009), by the clock of the journal.

`event_text` splits the files into events. icalendar parses those. `recurring_events` expands recurrence rules to days,
and recurring-ical-events applies moved and cancelled instances. Nothing is fetched.
"""

from __future__ import annotations

import datetime as dt
import re
import warnings
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import polars as pl
from icalendar.prop import vDDDLists
from recurring_ical_events import CalendarQuery

from journal.calendars import problem_limit
from journal.calendars.appointment_columns import APPOINTMENTS
from journal.calendars.event_text import Cut, Event, cut
from journal.calendars.local_days import instant, plain, split
from journal.calendars.recurring_events import LIMIT, ended_before_start, instances
from journal.errors import Problem, RuleError
from journal.folder.calendar_files import CalendarFile
from journal.language import digits
from journal.language.catalogue import _

EVENTS_A_FILE = 5_000
"""The number of events of one file that are parsed, among those that may fall on the given days: a few seconds at most.
"""

REPEATS_A_FILE = 20_000
"""The number of instances of one file's recurring events that are expanded around the given days."""

ZONES_A_FILE = 100
"""The number of time zones of one file's own that are read, a few milliseconds each. A traveller's has a dozen."""

_DAY = dt.timedelta(days=1)
_SOURCE, _EXACT = "X-JOURNAL-SOURCE", "X-JOURNAL-EXACT-SECONDS"
_NEEDED = ("DTSTART", "RECURRENCE-ID")
_OPTIONAL = ("DTEND", "DURATION", "EXDATE", "RDATE")
_OWN_ZONE = re.compile(rb"zone-[0-9a-f]{16}")
_EXAMPLES = {"DURATION": "PT1H30M", "UID": "1"}


def appointments(
    files: Iterable[CalendarFile], first: dt.date, last: dt.date, timezone: str
) -> tuple[pl.DataFrame, list[Problem]]:
    """Return the appointments of calendar files from one local day to another, both included, and the files' problems.

    Out, sorted by date, all-day ones first, then by time:

    - date (Date), title (String), source (String, the path of the file)
    - start_minute, end_minute (Int32): clock minutes since midnight, 0 to 1440. An appointment across midnight
      has a row on each of its days. Both are null for an all-day one; the end is null if there is none
    - all_day (Boolean)

    Times are by the clock of `timezone`. A time without zone is local. Cancelled appointments are left out. Events with
    the same UID are one event, also across files: the one with the highest SEQUENCE counts, then the one changed last.
    A recurring event with a DTEND ends at the same clock time, also over a clock change. The hours of a DURATION are
    exact (section 3.3.6). On the day that repeats an hour, an end that the clock shows before the start is replaced by
    start plus length. A broken event affects only itself. At most `PROBLEMS_A_FILE` problems of each file are returned.

    >>> text = b"BEGIN:VCALENDAR\\nBEGIN:VEVENT\\nUID:1\\nSUMMARY:Paper merchant\\nDTSTART:20250314T073000Z\\n"
    >>> text += b"DURATION:PT30M\\nRRULE:FREQ=WEEKLY\\nEND:VEVENT\\nEND:VCALENDAR\\n"
    >>> day = dt.date(2025, 3, 21)
    >>> frame, problems = appointments([CalendarFile("work.ics", text)], day, day, "Europe/Ljubljana")
    >>> frame.row(0)[1:], problems
    (('Paper merchant', 510, 540, False, 'work.ics'), [])
    """
    zone = ZoneInfo(timezone)
    cuts = [cut(file.path, file.data) for file in files]
    problems = [problem for cut_file in cuts for problem in cut_file.problems]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # icalendar warns of guesses and repairs; relevant ones are Problems here
        series = list(_series(cuts, first, last, problems))
        _register_zones(cuts, {line for events in series for event in events for line in event.lines}, problems)
        rows = list(_rows(series, first, last, zone, problems))
    frame = pl.DataFrame(sorted(set(rows), key=_order), schema=APPOINTMENTS, orient="row")
    return frame, list(problem_limit.limited(problems))


def _order(row: tuple[Any, ...]) -> tuple[Any, ...]:
    date, title, start, end, all_day, source = row
    return date, not all_day, start or 0, end or 0, title, source


def _register_zones(cuts: list[Cut], lines: set[bytes], problems: list[Problem]) -> None:
    """Register the files' own time zones with icalendar, if any of the lines use them."""
    used = {line for line in lines if b"TZID=zone-" in line}
    remedy = _("name a zone of the tz database, e.g. Europe/Ljubljana")
    names = {match[0] for line in used for match in _OWN_ZONE.finditer(line)}
    for cut_file in cuts:
        path = cut_file.events[0].path if cut_file.events else ""
        texts = [text for name, text in cut_file.zones.items() if name in names]
        if len(texts) > ZONES_A_FILE:
            expected = _("at most {count} time zones", count=digits.number(ZONES_A_FILE))
            got = _("{count}; the others are taken as local", count=digits.number(len(texts)))
            problems.append(Problem(path=path, where="VTIMEZONE", expected=expected, got=got, remedy=remedy))
        for text in texts[:ZONES_A_FILE]:
            try:
                icalendar.Calendar.from_ical(b"BEGIN:VCALENDAR\r\n" + text + b"END:VCALENDAR\r\n")
            except Exception as error:  # a broken zone can raise anything in the library
                got = _error_text(error)
                problems.append(
                    Problem(path=path, where="VTIMEZONE", expected=_("a time zone"), got=got, remedy=remedy)
                )


def _series(cuts: list[Cut], first: dt.date, last: dt.date, problems: list[Problem]) -> Iterator[list[Event]]:
    """Yield the events that may fall on the days, grouped by UID, the one changed last first."""
    by_uid: dict[bytes, list[Event]] = defaultdict(list)
    for cut_file in cuts:
        for event in cut_file.events:
            by_uid[event.uid].append(event)
    counts: dict[str, int] = defaultdict(int)
    for events in by_uid.values():
        # Two days on either side: a time in another zone can be on another date.
        if not any(event.touches(first - 2 * _DAY, last + 2 * _DAY) for event in events):
            continue
        counts[events[0].path] += len(events)
        if counts[events[0].path] <= EVENTS_A_FILE:
            yield sorted(events, key=lambda event: event.changed, reverse=True)
    for path, count in counts.items():
        if count > EVENTS_A_FILE:
            expected = _("at most {count} events about these days", count=digits.number(EVENTS_A_FILE))
            problems.append(Problem(path=path, expected=expected, got=digits.number(count), remedy=_("export fewer")))


def _rows(
    series: Iterable[list[Event]], first: dt.date, last: dt.date, zone: ZoneInfo, problems: list[Problem]
) -> Iterator[tuple[Any, ...]]:
    expanded = Counter[str]()
    for events in series:
        if expanded[events[0].path] > REPEATS_A_FILE:
            continue
        try:
            components = [(event, component) for event in events if (component := _read(event, problems)) is not None]
            calendar = icalendar.Calendar()
            margin = max((_reach(component) for _event, component in components), default=_DAY) + 2 * _DAY
            for event, component in components:
                expanded[events[0].path] += _expand_rules(event, component, first - margin, last + margin, problems)
                calendar.add_component(component)
            for instance in CalendarQuery(calendar).between(first - _DAY, last + 2 * _DAY):
                if str(instance.get("STATUS", "")).upper() != "CANCELLED":
                    yield from _instance(instance, first, last, zone)
        except Exception as error:  # a broken event can raise anything in the library; it affects only itself
            problems.append(
                _problem(events[0], _("an event"), _error_text(error), _("mend it where it was written, or delete it"))
            )
    for path, count in expanded.items():
        if count > REPEATS_A_FILE:
            expected = _("at most {count} repeats about these days", count=digits.number(REPEATS_A_FILE))
            got = _("more; not all are shown")
            problems.append(Problem(path=path, expected=expected, got=got, remedy=_("give the rules an UNTIL")))


def _read(event: Event, problems: list[Problem]) -> Any:
    """Parse an event with icalendar. Return None if a required property is invalid; optional ones are dropped."""
    text = b"\r\n".join([b"BEGIN:VCALENDAR", b"BEGIN:VEVENT", *event.lines, b"END:VEVENT", b"END:VCALENDAR", b""])
    (component,) = icalendar.Calendar.from_ical(text.decode("utf-8", "replace")).walk("VEVENT")
    if "DTSTART" not in component:
        problems.append(_problem(event, "DTSTART", _("none"), _("give it a start, e.g. DTSTART:20250314T083000")))
        return None
    broken = {str(name) for name, _error in component.errors}
    broken |= {name for name in (*_NEEDED, "DTEND", "DURATION") if isinstance(component.get(name), list)}
    for name in broken & {*_NEEDED, *_OPTIONAL}:
        value = next(line.rpartition(b":")[2] for line in event.lines if line.upper().startswith(name.encode()))
        got = f'"{value[:40].decode("utf-8", "replace")}"'
        example = f"{name}:{_example(name)}"
        problems.append(_problem(event, _("one value"), got, _("write e.g. {example}", example=example), name))
    for name in broken - {"RRULE"}:
        component.pop(name, None)
    if broken & set(_NEEDED):
        return None
    _prepare(event, component, problems)
    return component


def _prepare(event: Event, component: Any, problems: list[Problem]) -> None:
    """Report missing or contradictory values of an event, and store what its instances need."""
    component[_SOURCE], component["UID"] = event.path, event.uid.decode("utf-8", "replace")
    start, end, length = (component.get(name) for name in ("DTSTART", "DTEND", "DURATION"))
    zone = start.params.get("TZID")
    if zone and isinstance(start.dt, dt.datetime) and start.dt.tzinfo is None:
        remedy = _("it is taken as local; name a zone of the tz database, e.g. Europe/Ljubljana")
        got = f'"{_title(zone)}"'
        if not any((problem.path, problem.got, problem.where) == (event.path, got, "DTSTART") for problem in problems):
            problems.append(_problem(event, _("a time zone that is known or defined"), got, remedy, "DTSTART"))
    if end is not None and plain(end.dt) < plain(start.dt) and instant(end.dt) < instant(start.dt):
        problems.append(
            _problem(event, _("an end after the start"), _("one before it"), _("it is taken without an end"), "DTEND")
        )
        del component["DTEND"]
    if length is not None and length.dt < dt.timedelta():
        problems.append(
            _problem(event, _("a length above 0"), _("one below"), _("it is taken without an end"), "DURATION")
        )
        del component["DURATION"]
    elif length is not None and end is None and isinstance(start.dt, dt.datetime) and length.dt.seconds:
        component[_EXACT] = str(length.dt.seconds)


def _reach(component: Any) -> dt.timedelta:
    """Return how far an instance can be from its date in the rule: its length, and how far it was moved."""
    start, end, length = (component.get(name) for name in ("DTSTART", "DTEND", "DURATION"))
    moved = component.get("RECURRENCE-ID")  # only one moved together with all later ones counts
    moved = moved if moved and moved.params.get("RANGE") else None
    reach = _DAY if end is None else abs(plain(end.dt) - plain(start.dt))
    reach = max(reach, dt.timedelta() if length is None else length.dt)
    # At most a hundred years, so that adding it to a date stays within datetime's range.
    return min(reach + (abs(plain(moved.dt) - plain(start.dt)) if moved else dt.timedelta()), 36_525 * _DAY)


def _expand_rules(event: Event, component: Any, first: dt.date, last: dt.date, problems: list[Problem]) -> int:
    """Replace the rules of an event by their instances, and return how many there are."""
    rules = component.pop("RRULE", [])
    start, starts, has_start = component["DTSTART"].dt, set[dt.date](), False
    texts = [_rule_text(rule) for rule in (rules if isinstance(rules, list) else [rules])]
    for text in texts:
        try:
            starts.update(instances(text, start, first, last))
            has_start |= not ended_before_start(text, start)
        except RuleError as error:
            problems.append(
                _problem(event, _("a rule that can be followed"), str(error), _("its first day is shown"), "RRULE")
            )
            has_start = True
    if texts and not has_start:
        _add_dates(component, "EXDATE", [start])
    if starts:
        _add_dates(component, "RDATE", sorted(starts))
    if len(starts) > LIMIT:
        raise RuleError(_("it comes round more than {count} times about these days", count=digits.number(LIMIT)))
    return len(starts)


def _example(name: str) -> str:
    return _EXAMPLES.get(name, "20250314T083000")


def _rule_text(rule: Any) -> str:
    """A rule as the file has it. icalendar escapes the semicolons of a rule that it cannot parse."""
    text: str = rule.to_ical().decode("utf-8", "replace")
    return text.replace("\\;", ";")


def _add_dates(component: Any, name: str, dates: list[Any]) -> None:
    """Add dates to the ones that an event lists (RDATE or EXDATE)."""
    listed = component.pop(name, [])
    component[name] = [*(listed if isinstance(listed, list) else [listed]), vDDDLists(dates)]


def _instance(instance: Any, first: dt.date, last: dt.date, zone: ZoneInfo) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of one instance: one for each of its days within the range."""
    title, source, seconds = _title(instance.get("SUMMARY")), str(instance[_SOURCE]), int(instance.get(_EXACT, 0))
    days = split(instance["DTSTART"].dt, instance["DTEND"].dt, first, last, zone, exact_seconds=seconds)
    for date, start, end, all_day in days:
        yield date, title, start, end, all_day, source


def _title(summary: Any) -> str:
    text = " ".join("".join(sign if sign.isprintable() else " " for sign in str(summary or "")).split())
    return (text if len(text) <= 200 else f"{text[:199]}…") or _("Without a title")


def _error_text(error: Exception) -> str:
    """Return the library's error message as one short line."""
    return f'"{_title(str(error) or type(error).__name__)[:80]}"'


def _problem(event: Event, expected: str, got: str, remedy: str, where: str = "") -> Problem:
    return Problem(path=event.path, line=event.line, column=1, where=where, expected=expected, got=got, remedy=remedy)
