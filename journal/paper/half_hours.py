"""Half hours of a day's sheet: the category and the time of each, and stretches of them as hours of a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from journal.entry import Span, clock_text, minute_of_day

MINUTES = 30


def field(category: str, minute: int) -> str:
    """The field of a half hour.

    >>> field("sleep", 390)
    'hours.actual.sleep 06:30'
    """
    return f"hours.actual.{category} {clock_text(minute)}"


def start(of_field: str) -> str:
    """The time at which a half hour begins.

    >>> start("hours.actual.sleep 06:30")
    '06:30'
    """
    return of_field.rpartition(" ")[2]


def spans(starts: Iterable[str]) -> list[str]:
    """Half hours as stretches of a page, those that meet as one.

    >>> spans(["23:30", "00:00", "00:30", "23:00"])
    ['00:00-01:00', '23:00-24:00']
    """
    found = list[tuple[int, int]]()
    for minute in sorted(map(minute_of_day, starts)):
        if found and found[-1][1] == minute:
            found[-1] = (found[-1][0], minute + MINUTES)
        else:
            found.append((minute, minute + MINUTES))
    return [f"{clock_text(first)}-{clock_text(last)}" for first, last in found]


def has(hours: Mapping[str, Sequence[Span]], category: str, at: str) -> bool | None:
    """Whether the hours of a page have most of a half hour in a category; None if the page has no hours.

    >>> slept = {"sleep": [Span(0, 380)]}
    >>> has(slept, "sleep", "06:00"), has(slept, "sleep", "06:30"), has({}, "sleep", "06:00")
    (True, False, None)
    """
    if not any(hours.values()):
        return None
    first = minute_of_day(at)
    spent = (min(span.end_minute, first + MINUTES) - max(span.start_minute, first) for span in hours.get(category, ()))
    return 2 * sum(max(0, minutes) for minutes in spent) >= MINUTES
