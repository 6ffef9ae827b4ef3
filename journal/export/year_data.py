"""What every chapter of a year is made from: its journal, cut to what can bear on the year, and counted once.

Streaks and findings need the whole history, which the journal has worked out once for every year. Everything else is of
the year and the few days beside it that its nights, weeks and trailing means need: fifty years of pages are cut first.
"""

from __future__ import annotations

import datetime as dt
from functools import cached_property

import msgspec
import polars as pl

from journal import Journal, periods
from journal.measures import completion, lines
from journal.periods import Period
from journal.sections import habit_cards

BESIDE = dt.timedelta(days=45)
"""Days beside the year that bear on it: 28 for a trailing mean and its runs, a month or a week that it cuts."""
CHAIN = dt.timedelta(days=366)
"""A task done in the year is followed back so far, and one that stands on later pages so far ahead."""


class Subject:
    """A year of a journal. Frames are as their measures make them; `within` cuts one to the year by its `date`."""

    def __init__(self, book: Journal, year: int) -> None:
        self.book, self.settings, self.today = book, book.settings, book.today
        self.year = periods.year(year)
        self.until = min(book.today, self.year.last)
        self.week_starts = book.settings.week_starts
        self.names = habit_cards.names(book.settings)
        self.tables = book.tables
        self.first, self.last = self.year.first, self.year.last

    def cut(self, frame: pl.DataFrame, period: Period | None = None) -> pl.DataFrame:
        """The rows of a period, or of the year, by `date`."""
        period = period or self.year
        return frame.filter(pl.col("date").is_between(period.first, period.last))

    def past(self, frame: pl.DataFrame, period: Period | None = None) -> pl.DataFrame:
        """The rows of a period, or of the year, by `date`, up to today: a page may be planned ahead."""
        return self.cut(frame, period).filter(pl.col("date") <= self.until)

    def beside(self, frame: pl.DataFrame, more: dt.timedelta = BESIDE) -> pl.DataFrame:
        """The rows of the year and of some days before and after it."""
        return frame.filter(pl.col("date").is_between(self.first - more, self.last + more))

    @cached_property
    def months(self) -> list[Period]:
        """The months of the year that lie inside the journal, up to today."""
        first = max(self.first, min(self.book.tables.opened, self.today))
        return periods.between(first, self.until, "month", week_starts=self.week_starts)

    @cached_property
    def days(self) -> pl.DataFrame:
        """`Tables.days` of the year and of the days beside it."""
        return self.beside(self.tables.days)

    @cached_property
    def lived(self) -> pl.DataFrame:
        """`Tables.days` of the year: those that are over, since the first page."""
        return self.cut(self.book.lived)

    @cached_property
    def states(self) -> pl.DataFrame:
        """`Journal.states`, up to the days beside the year's end."""
        return self.book.states.filter(pl.col("date") <= self.last + BESIDE)

    @property
    def occasions(self) -> pl.DataFrame:
        """`Journal.occasions`, of the whole history."""
        return self.book.occasions

    @cached_property
    def rates(self) -> pl.DataFrame:
        """`completion.rates` of the year, by month."""
        return completion.rates(self.cut(self.occasions), by="month", week_starts=self.week_starts)

    @cached_property
    def narrowed(self) -> Journal:
        """The journal, with hours of the year and of the days beside it alone, so that its nights are those. Days are
        few, and all years' are asked for where the length of the day is."""
        tables = msgspec.structs.replace(self.tables, hours=self.beside(self.tables.hours))
        return msgspec.structs.replace(self.book, tables=tables)

    @cached_property
    def tasks(self) -> pl.DataFrame:
        """`Tables.tasks` that can tell of tasks of the year."""
        return self.beside(self.tables.tasks, CHAIN)

    @cached_property
    def lines(self) -> pl.DataFrame:
        """`lines.lines` of the year, up to today."""
        return lines.lines(self.past(self.tables.lines))

    @cached_property
    def written(self) -> bool:
        """Whether anything at all was written in the year, a reflection on it or on a part of it among that."""
        reflected = any(
            not frame.filter(pl.col("period").str.starts_with(self.year.key)).is_empty()
            for frame in (self.tables.reflections, self.tables.decisions)
        )
        return reflected or bool(self.past(self.tables.days)["written"].any())
