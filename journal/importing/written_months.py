"""Dates with the month in words, such as "14 March 2025", in the languages of the program."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from dateutil import parser

_MIDNIGHT = re.compile(r"[T ]00?:00(?::00(?:\.0+)?)?$")
_GAPS = (dt.datetime(2000, 1, 1), dt.datetime(2004, 2, 2, 12, 30))  # noqa: DTZ001 (a table's dates have no zone)


class _Names(parser.parserinfo):
    """Months and weekdays in English and German, whole or short."""

    MONTHS: list[Any] = [  # noqa: RUF012 (an instance's, to the types of the library)
        ("Jan", "January", "Januar", "Jänner", "Jän"), ("Feb", "February", "Februar", "Feber"),
        ("Mar", "March", "März", "Mär", "Mrz"), ("Apr", "April"), ("May", "Mai"), ("Jun", "June", "Juni"),
        ("Jul", "July", "Juli"), ("Aug", "August"), ("Sep", "Sept", "September"), ("Oct", "October", "Okt", "Oktober"),
        ("Nov", "November"), ("Dec", "December", "Dez", "Dezember"),
    ]  # fmt: skip
    WEEKDAYS: list[Any] = [  # noqa: RUF012
        ("Mo", "Mon", "Monday", "Montag"), ("Tu", "Tue", "Tues", "Tuesday", "Di", "Dienstag"),
        ("We", "Wed", "Wednesday", "Mi", "Mittwoch"), ("Th", "Thu", "Thur", "Thurs", "Thursday", "Do", "Donnerstag"),
        ("Fr", "Fri", "Friday", "Freitag"), ("Sa", "Sat", "Saturday", "Samstag", "Sonnabend"),
        ("Su", "Sun", "Sunday", "So", "Sonntag"),
    ]  # fmt: skip


_NAMES = _Names()
_PARSER = parser.parser(_NAMES)


def read(text: str) -> dt.date | None:
    """Return the date in a text that has a day, a month in words and a four-digit year, None for any other text.

    >>> read("14 March 2025") == read("Friday, Mar 14th, 2025") == read("14. März 2025")
    True
    >>> read("March 2025"), read("14 March 25"), read("31 February 2025"), read("14 Marsh 2025")
    (None, None, None, None)
    """
    text = _MIDNIGHT.sub("", text.strip())
    numbers = sorted(map(len, re.findall(r"\d+", text)))
    months = [word for word in re.findall(r"[^\W\d_]+", text) if _NAMES.month(word) is not None]
    if numbers not in ([1, 4], [2, 4]) or len(months) != 1:
        return None
    try:  # with two defaults, since the library fills in what the text leaves out
        found = {_PARSER.parse(text, default=gaps) for gaps in _GAPS}
    except (ValueError, OverflowError):
        return None
    dates = {moment.date() for moment in found}
    return dates.pop() if len(dates) == 1 and len(found) == 2 else None
