"""The instances of a recurring appointment in a range: a recurrence rule of RFC 5545 (Desruisseaux 2009).

`journal.schedule` computes the days, all at once and without stepping. This module adds the times of day, and rules
finer than a day as far as personal calendars have them. Every rule is bounded before it is expanded.
"""

from __future__ import annotations

import datetime as dt
import re
from itertools import product
from typing import Any

from journal import schedule
from journal.errors import RuleError
from journal.language import digits
from journal.language.catalogue import _
from journal.wording import numbers

LIMIT = 5_000
"""Instances of one appointment in one range, or steps on the way. One every quarter of an hour has 96 a day."""

_EARLIEST, _LATEST = dt.date(1900, 1, 1), dt.date(2200, 12, 31)
"""The range in which rules are expanded. No calendar file needs more."""

_STEPS = {"HOURLY": dt.timedelta(hours=1), "MINUTELY": dt.timedelta(minutes=1), "SECONDLY": dt.timedelta(seconds=1)}
_TIMES = {"BYHOUR": 23, "BYMINUTE": 59, "BYSECOND": 60}
_FINER = {"HOURLY": ("BYHOUR",), "MINUTELY": ("BYHOUR", "BYMINUTE"), "SECONDLY": tuple(_TIMES)}
_UNTIL = re.compile(r"(\d{8})(T\d{6}(Z?))?")


def instances(rule: str, start: dt.date | dt.datetime, first: dt.date, last: dt.date) -> list[dt.date]:
    """Return the starts that a rule gives from `first` to `last`, both included, sorted.

    `first` and `last` are dates by the clock of `start`. The starts are dates if `start` is one, else datetimes at the
    same clock time in the same zone. An UNTIL that is only a date includes that date.

    >>> instances("FREQ=WEEKLY;BYDAY=MO,TH", dt.datetime(2025, 3, 3, 9), dt.date(2025, 3, 10), dt.date(2025, 3, 14))
    [datetime.datetime(2025, 3, 10, 9, 0), datetime.datetime(2025, 3, 13, 9, 0)]

    Raises RuleError for a rule that is invalid, or that has more than `LIMIT` instances on the way.
    """
    parts = _parts(rule)
    if not parts.get("BYSETPOS"):
        parts.pop("BYSETPOS", None)
    first, last = max(first, _EARLIEST), min(last, _LATEST)
    until = _until(parts.pop("UNTIL", ""), parts, start)
    if last < first or start.year > _LATEST.year:
        return []
    expand = _stepped if parts.get("FREQ") in _STEPS else _daily
    starts = expand(parts, start, first, last)
    return [at for at in starts if until is None or not _later(at, until)]


def ended_before_start(rule: str, start: dt.date | dt.datetime) -> bool:
    """Whether the UNTIL of a rule is before its start, so that it has no instance at all, not even its start.

    >>> ended_before_start("FREQ=DAILY;UNTIL=20250303", dt.datetime(2025, 3, 4, 9))
    True

    Raises RuleError for an invalid UNTIL.
    """
    parts = _parts(rule)
    until = _until(parts.pop("UNTIL", ""), parts, start)
    return until is not None and _later(start, until)


def _parts(rule: str) -> dict[str, str]:
    """The parts of a rule by name. A calendar that counts as RFC 5545 does (Daboo and Yakushev 2015, RFC 7529) is none.

    Raises RuleError for a rule by another calendar.
    """
    parts = dict(part.partition("=")[::2] for part in rule.strip().upper().removeprefix("RRULE:").split(";"))
    scale, skip = parts.pop("RSCALE", "GREGORIAN"), parts.pop("SKIP", "OMIT")
    if scale != "GREGORIAN":
        raise RuleError(
            _(
                'it counts by another calendar, "{name}", which is not followed; write it as single events',
                name=scale[:40],
            )
        )
    if skip != "OMIT":
        raise RuleError(
            _(
                'days that a month lacks are moved (SKIP is "{value}"), which is not followed; remove SKIP',
                value=skip[:40],
            )
        )
    return parts


def _until(text: str, parts: dict[str, str], start: dt.date) -> dt.date | None:
    if not text:
        return None
    if "COUNT" in parts:
        raise RuleError(_("COUNT and UNTIL both say where it ends; keep one of them"))
    match = _UNTIL.fullmatch(text)
    try:
        if match and not match[2]:
            return dt.datetime.strptime(text, "%Y%m%d").date()  # noqa: DTZ007 (a date has no zone)
        if match:
            at = dt.datetime.strptime(text[:15], "%Y%m%dT%H%M%S")  # noqa: DTZ007 (the zone follows)
            # Some programs write a local time instead of UTC. It is in the zone of the start then.
            return at.replace(tzinfo=dt.UTC if match[3] else getattr(start, "tzinfo", None))
    except ValueError:
        pass
    raise RuleError(_('UNTIL is "{value}"; write the last day, e.g. UNTIL=20251231', value=text[:40]))


def _later(at: dt.date, until: dt.date) -> bool:
    if not isinstance(at, dt.datetime) or not isinstance(until, dt.datetime):
        return dt.date(at.year, at.month, at.day) > dt.date(until.year, until.month, until.day)
    if at.tzinfo is None or until.tzinfo is None:
        return at.replace(tzinfo=None) > until.replace(tzinfo=None)
    return at.astimezone(dt.UTC) > until.astimezone(dt.UTC)


def _daily(parts: dict[str, str], start: dt.date, first: dt.date, last: dt.date) -> list[dt.date]:
    times = _times(parts, start)
    count = int(parts["COUNT"]) if parts.get("COUNT", "").isdecimal() else None
    if len(times) > 1 and "BYSETPOS" in parts:
        raise RuleError(_("BYSETPOS among hours is not followed; name the hours themselves in BYHOUR"))
    rule = ";".join(f"{name}={value}" for name, value in parts.items() if name not in _TIMES)
    day = dt.date(start.year, start.month, start.day)
    # COUNT counts from the start, so no instance between may be skipped.
    begin = first if count is None else min(first, day)
    if begin < _EARLIEST:
        raise RuleError(
            _("it is counted from before {year}; give it an UNTIL in place of its COUNT", year=_EARLIEST.year)
        )
    due = schedule.due(rule, day, begin, last)
    if len(times) == 1 or count is None:
        due, begin = due.slice((first - begin).days), first  # earlier days are only counted
    if due.sum() * len(times) > LIMIT:
        raise RuleError(_too_often(LIMIT))
    dates = [begin + dt.timedelta(days=i) for i in due.arg_true().to_list()]
    if not isinstance(start, dt.datetime):
        return list(dates)
    starts = (dt.datetime.combine(date, time, start.tzinfo) for date in dates for time in times)
    # On the first day, times before the start do not count.
    counted = [at for at in starts if at.replace(tzinfo=None) >= start.replace(tzinfo=None)]
    return [at for at in counted[:count] if first <= at.date()]


def _times(parts: dict[str, str], start: dt.date) -> list[dt.time]:
    """Return the times of day: that of the start, unless the rule has its own."""
    if not isinstance(start, dt.datetime):
        return [dt.time()]
    start_values = {"BYHOUR": start.hour, "BYMINUTE": start.minute, "BYSECOND": start.second}
    values = [_numbers(name, parts[name]) if name in parts else [start_values[name]] for name in _TIMES]
    if len(values[0]) * len(values[1]) * len(values[2]) > 24 * 60:
        raise RuleError(_("it comes round more than once a minute; an appointment has a time of its own"))
    return [dt.time(hour, minute, second) for hour, minute, second in product(*values)]


def _numbers(name: str, text: str) -> list[int]:
    items = text.split(",")
    if not all(item.isdecimal() and len(item) <= 2 and int(item) <= _TIMES[name] for item in items):
        raise RuleError(
            _(
                '{name} is "{value}"; write whole numbers from 0 to {most}',
                name=name,
                value=text[:40],
                most=_TIMES[name],
            )
        )
    return sorted({min(int(item), 59) for item in items})  # Python has no leap second, 60


def _stepped(parts: dict[str, str], start: dt.date, first: dt.date, last: dt.date) -> list[dt.date]:
    """Expand a rule in hours, minutes or seconds, step by step by the clock."""
    if not isinstance(start, dt.datetime):
        raise RuleError(_("an appointment for a whole day cannot repeat within it; write FREQ=DAILY"))
    freq, interval, count = parts["FREQ"], _positive(parts, "INTERVAL", 1), _positive(parts, "COUNT", None)
    wanted: dict[str, Any] = {name: _numbers(name, parts[name]) for name in _FINER[freq] if name in parts}
    extra = set(parts) - {"FREQ", "INTERVAL", "COUNT", "WKST", *_FINER[freq]}
    if extra:
        raise RuleError(
            _(
                "{names} with FREQ={freq} is not followed; write FREQ=DAILY with BYHOUR",
                names=numbers.listed(sorted(extra)),
                freq=freq,
            )
        )
    step, at = interval * _STEPS[freq], start.replace(tzinfo=None)
    floor = dt.datetime.combine(first, dt.time())
    end = dt.datetime.combine(last, dt.time.max)  # one step more stays far below the year 9999, the end of datetime
    if count is None and at < floor:
        at += (floor - at) // step * step
    if at <= end and (end - at) // step > LIMIT and (count is None or count > LIMIT or wanted):
        raise RuleError(_too_often(LIMIT))
    starts, counted = list[dt.date](), 0
    while at <= end and (count is None or counted < count):
        if all(getattr(at, name[2:].lower()) in values for name, values in wanted.items()):
            counted += 1
            if at >= floor:
                starts.append(at.replace(tzinfo=start.tzinfo))
        at += step
    return starts


def _positive(parts: dict[str, str], name: str, default: int | None) -> Any:
    text = parts.get(name, "")
    if not text:
        return default
    if not (text.isdecimal() and len(text) <= 5 and int(text)):
        raise RuleError(_('{name} is "{value}"; write a whole number from 1 to 99999', name=name, value=text[:40]))
    return int(text)


def _too_often(limit: int) -> str:
    return _(
        "it comes round more than {count} times; give it an UNTIL, or repeat it by the day", count=digits.number(limit)
    )
