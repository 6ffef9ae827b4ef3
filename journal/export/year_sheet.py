"""The paper sheet of a year: a field for each day to colour by hand, and swatches for the key."""

from __future__ import annotations

import msgspec

from journal.charts.year_pixels import key_texts
from journal.export import ornament
from journal.language.catalogue import _n
from journal.paper import year_layout
from journal.paper.layout import SheetLayout
from journal.periods import Period, between
from journal.settings import Settings
from journal.wording import dates


class Month(msgspec.Struct, frozen=True, kw_only=True):
    """A month: the first letters of its name, and for each day whether it is on a weekend."""

    name: str
    weekends: tuple[bool, ...]


class YearSheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All texts of the sheet. `key` are the words of mood, low to high, each with a swatch."""

    title: str
    months: tuple[Month, ...]
    key: tuple[str, ...]


class YearSheet(msgspec.Struct, frozen=True, kw_only=True, tag="year"):
    """The sheet of a year: its texts, the text alternative of its grid, and the ornament of its first day as SVG."""

    words: YearSheetData
    alt: str
    ornament: str
    layout: SheetLayout

    def drawing(self) -> dict[str, object]:
        """The places of everything on it, for the template."""
        return self.layout.drawing() | {
            "top": year_layout.GRID_TOP,
            "row": year_layout.ROW,
            "left": year_layout.GRID_LEFT,
            "first": year_layout.FIRST,
            "pitch": year_layout.PITCH,
            "key": {"left": year_layout.KEY_LEFT, "right": year_layout.KEY_RIGHT, "below": year_layout.KEY_TOP + 6.6},
        }


def of(settings: Settings, year: Period) -> YearSheet:
    """The sheet of a year. The only text of the journal on it is the words of mood.

    >>> from journal.periods import year
    >>> leap = of(Settings(title="Small", places=()), year(2024))
    >>> [len(month.weekends) for month in leap.words.months][:3], leap.words.key[0]
    ([31, 29, 31], '1 heavy')
    """
    months = tuple(
        Month(name=dates.month_short(month.first.month), weekends=tuple(day.weekday() >= 5 for day in month.dates))
        for month in between(year.first, year.last, "month", week_starts=settings.week_starts)
    )
    key = tuple(text for text in key_texts(settings.mood) if text is not None)
    return YearSheet(
        words=YearSheetData(title=year.key, months=months, key=key),
        alt=_n(
            "The {count} day of {year}, a field for each day and a column for each month, to colour by hand.",
            "The {count} days of {year}, a field for each day and a column for each month, to colour by hand.",
            year.days,
            year=year.key,
        ),
        ornament=ornament.svg(ornament.of(year.first)),
        layout=year_layout.of(year, year_layout.swatch_steps(settings.mood)),
    )
