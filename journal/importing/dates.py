"""Dates in a table's column: ISO 8601, or day, month and year in the order of that column."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from typing import Literal

from journal.errors import UsageError
from journal.folder.discover import EARLIEST_YEAR, LATEST_YEAR

Order = Literal["day-first", "month-first"]
ORDERS: tuple[Order, ...] = ("day-first", "month-first")

_MIDNIGHT = r"(?:[T ]00?:00(?::00(?:\.0+)?)?)?"  # some tables have it after every date
_YEAR_FIRST = re.compile(r"(\d{4})([-./])(\d{1,2})\2(\d{1,2})" + _MIDNIGHT, re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-./])\s?(\d{1,2})\2\s?(\d{4})\.?" + _MIDNIGHT, re.ASCII)


def order_of(name: str, texts: Iterable[str], asked: Order | None = None) -> Order:
    """Return the order of day and month in a column, or `asked` if it is given.

    >>> order_of("days.csv", ["3/4/2025", "3/14/2025"]), order_of("days.csv", ["2025-03-04", "4.4.2025"])
    ('month-first', 'day-first')

    Raises UsageError if the column can be read both ways, or if its dates have different orders.
    """
    if asked is not None:
        return asked
    by_order: dict[Order, str] = {}
    ambiguous = ""
    for text in texts:
        readings = {order: day for order in ORDERS if (day := read(text, order)) is not None}
        if len(readings) == 1:
            by_order.setdefault(next(iter(readings)), text)
        elif len(set(readings.values())) == 2:
            ambiguous = ambiguous or text
    if len(by_order) == 2:
        raise UsageError(
            f'"{name}" has both "{by_order["day-first"]}" and "{by_order["month-first"]}": the order of day and month '
            "is not the same in all of its dates; write them as 2025-03-14, or name the order with --dates day-first "
            "or --dates month-first"
        )
    if ambiguous and not by_order:
        raise UsageError(
            f'"{name}": "{ambiguous}" can be read in two ways, and no other date there says which; '
            "write --dates day-first or --dates month-first"
        )
    return next(iter(by_order), "day-first")


def read(text: str, order: Order) -> dt.date | None:
    """Return a date with a four-digit year, or None for any other text.

    >>> read("2025-03-14", "day-first") == read("14. 3. 2025", "day-first") == read("3/14/2025", "month-first")
    True
    >>> read("14.3.25", "day-first"), read("31/2/2025", "day-first")
    (None, None)
    """
    text = text.strip()
    if match := _YEAR_FIRST.fullmatch(text):
        year, month, day = match[1], match[3], match[4]
    elif match := _YEAR_LAST.fullmatch(text):
        first, second, year = match[1], match[3], match[4]
        day, month = (first, second) if order == "day-first" else (second, first)
    else:
        return None
    try:
        date = dt.date(int(year), int(month), int(day))
    except ValueError:
        return None
    return date if EARLIEST_YEAR <= date.year <= LATEST_YEAR else None
