"""Dates in a table's column: ISO 8601, day, month and year in the order of that column, or the month in words."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from typing import Literal

from journal.errors import UsageError
from journal.folder.discover import EARLIEST_YEAR, LATEST_YEAR
from journal.importing import written_months
from journal.language.catalogue import _

Order = Literal["day-first", "month-first"]
ORDERS: tuple[Order, ...] = ("day-first", "month-first")

_MIDNIGHT = r"(?:[T ]00?:00(?::00(?:\.0+)?)?)?"  # some tables have it after every date
_YEAR_FIRST = re.compile(r"(\d{4})([-./])(\d{1,2})\2(\d{1,2})" + _MIDNIGHT, re.ASCII)
_SHORT = re.compile(r"(\d{1,2})([-./])\s?(\d{1,2})\2\s?(\d{2})\.?" + _MIDNIGHT, re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-./])\s?(\d{1,2})\2\s?(\d{4})\.?" + _MIDNIGHT, re.ASCII)


class ColumnDates:
    """The dates of a column: the order of day and month in it, and which year its two-digit years mean.

    A two-digit year is read only if one reading remains. Its century is that of the years around: those of the column's
    other dates and those of the journal. The year may come last or first; where a date allows both, the other dates of
    the column decide.

    >>> column = ColumnDates("days.csv", ["14.3.25", "1.4.25"], years=[2025, 2026])
    >>> column.order, column.read("14.3.25"), column.read("14.3.31")
    ('day-first', datetime.date(2025, 3, 14), None)

    Raises UsageError as `order_of` does.
    """

    def __init__(self, name: str, texts: Iterable[str], asked: Order | None = None, years: Iterable[int] = ()) -> None:
        texts = list(dict.fromkeys(texts))
        dated = [date.year for text in texts for order in ORDERS if (date := read(text, order)) is not None]
        around = [*dated, *years]
        self._years: dict[int, list[int]] = {}  # by their last two digits
        for year in range(min(around), max(around) + 1) if around else ():
            self._years.setdefault(year % 100, []).append(year)
        places = [{place for place, _full in self._full_years(text)} for text in texts]
        self._places = {place for only in places if len(only) == 1 for place in only}
        self.order = order_of(name, [self._full_year(text) for text in texts], asked)

    def read(self, text: str) -> dt.date | None:
        """Return the date in a text, or None if it has none or more than one reading."""
        return read(self._full_year(text), self.order)

    def expected(self, text: str, otherwise: str) -> str:
        """Return what was expected in place of a text that is not a date here."""
        return _("a date with a four-digit year") if _SHORT.fullmatch(text.strip()) else otherwise

    def _full_year(self, text: str) -> str:
        """Return a date with its year in four digits if one reading remains, else the text unchanged."""
        readings = self._full_years(text)
        if len(readings) > 1 and len({read(full, order) for _place, full in readings for order in ORDERS} - {None}) > 1:
            readings = [reading for reading in readings if self._places == {reading[0]}]
            if len(readings) > 1:
                return text
        return readings[0][1] if readings else text

    def _full_years(self, text: str) -> list[tuple[str, str]]:
        """Return the readings of a date with a two-digit year: where the year stands, "last" or "first"; the date."""
        match = _SHORT.fullmatch(text.strip())
        if match is None:
            return []
        first, separator, middle, last = match.groups()
        readings = []
        for place, short, rest in (("last", last, (first, middle)), ("first", first, (middle, last))):
            for year in self._years.get(int(short), []) if len(short) == 2 else ():
                full = "-".join([str(year), *rest]) if place == "first" else separator.join([*rest, str(year)])
                if any(read(full, order) is not None for order in ORDERS):
                    readings.append((place, full))
        return readings


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
            _(
                '"{name}" has both "{one}" and "{other}": the order of day and month is not the same in all of its '
                "dates; write them as 2025-03-14, or name the order with --dates day-first or --dates month-first",
                name=name,
                one=by_order["day-first"],
                other=by_order["month-first"],
            )
        )
    if ambiguous and not by_order:
        raise UsageError(
            _(
                '"{name}": "{date}" can be read in two ways, and no other date there says which; write --dates '
                "day-first or --dates month-first",
                name=name,
                date=ambiguous,
            )
        )
    return next(iter(by_order), "day-first")


def read(text: str, order: Order) -> dt.date | None:
    """Return a date with a four-digit year, or None for any other text.

    >>> read("2025-03-14", "day-first") == read("14. 3. 2025", "day-first") == read("3/14/2025", "month-first")
    True
    >>> read("14.3.25", "day-first"), read("31/2/2025", "day-first"), read("14 Mar 2025", "day-first")
    (None, None, datetime.date(2025, 3, 14))
    """
    text = text.strip()
    if match := _YEAR_FIRST.fullmatch(text):
        year, month, day = match[1], match[3], match[4]
    elif match := _YEAR_LAST.fullmatch(text):
        first, second, year = match[1], match[3], match[4]
        day, month = (first, second) if order == "day-first" else (second, first)
    else:
        written = written_months.read(text)
        return written if written is not None and _is_taken(written) else None
    try:
        date = dt.date(int(year), int(month), int(day))
    except ValueError:
        return None
    return date if _is_taken(date) else None


def _is_taken(date: dt.date) -> bool:
    return EARLIEST_YEAR <= date.year <= LATEST_YEAR
