"""The data of one year for its chapters: the frames of the journal, cut to the year and computed once.

Streaks and findings need the whole history, which the journal computes once. Everything else is cut to the year and to
the few days beside it that nights, weeks and trailing means need, so that a year is fast in a journal of fifty.
"""

from __future__ import annotations

import datetime as dt
from functools import cached_property

import msgspec
import polars as pl

from journal import Journal, periods
from journal.export.day_photos import PhotoFiles
from journal.measures import completion, lines
from journal.periods import Period
from journal.sections import habit_cards

BESIDE = dt.timedelta(days=45)
"""Days kept before and after the year: 28 for a trailing mean and its runs, or a month or week across its ends."""
CHAIN = dt.timedelta(days=366)
"""How far the history of a task of the year is followed back and ahead."""


class YearData:
    """A year of a journal. Frames are those of the tables and measures; `cut` cuts one to the year by its `date`."""

    def __init__(self, book: Journal, year: int, photos: PhotoFiles | None = None) -> None:
        self.photos = photos
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
        """The rows of a period, or of the year, by `date`, up to today. Later pages may be planned ahead."""
        return self.cut(frame, period).filter(pl.col("date") <= self.until)

    def beside(self, frame: pl.DataFrame, more: dt.timedelta = BESIDE) -> pl.DataFrame:
        """The rows of the year and of the days before and after it."""
        return frame.filter(pl.col("date").is_between(self.first - more, self.last + more))

    @cached_property
    def months(self) -> list[Period]:
        """The months of the year from the first page of the journal to today."""
        first = max(self.first, min(self.book.tables.opened, self.today))
        return periods.between(first, self.until, "month", week_starts=self.week_starts)

    @cached_property
    def days(self) -> pl.DataFrame:
        """`Tables.days` of the year and of the days beside it."""
        return self.beside(self.tables.days)

    @cached_property
    def lived(self) -> pl.DataFrame:
        """`Tables.days` of the year: past days since the first page."""
        return self.cut(self.book.lived)

    @cached_property
    def states(self) -> pl.DataFrame:
        """`Journal.states`, up to `BESIDE` after the year."""
        return self.book.states.filter(pl.col("date") <= self.last + BESIDE)

    @property
    def occasions(self) -> pl.DataFrame:
        """`Journal.occasions`, of the whole history."""
        return self.book.occasions

    @cached_property
    def rates(self) -> pl.DataFrame:
        """`completion.rates` of the year, by month."""
        known = self.book.dependence
        return completion.rates(self.cut(self.occasions), by="month", week_starts=self.week_starts, known=known)

    @cached_property
    def narrowed(self) -> Journal:
        """The journal with hours, and so nights, of only the year and the days beside it.

        `Tables.days` is kept whole: it is small, and the length of the day needs all years.
        """
        tables = msgspec.structs.replace(self.tables, hours=self.beside(self.tables.hours))
        return msgspec.structs.replace(self.book, tables=tables)

    @cached_property
    def tasks(self) -> pl.DataFrame:
        """`Tables.tasks` of the year and `CHAIN` around it, for the history of its tasks."""
        return self.beside(self.tables.tasks, CHAIN)

    @cached_property
    def lines(self) -> pl.DataFrame:
        """`lines.lines` of the year, up to today."""
        return lines.lines(self.past(self.tables.lines))

    @cached_property
    def written(self) -> bool:
        """Whether the year has a page, of a day or of a period of the year."""
        reflected = any(
            not frame.filter(pl.col("period").str.starts_with(self.year.key)).is_empty()
            for frame in (self.tables.reflections, self.tables.decisions)
        )
        return reflected or bool(self.past(self.tables.days)["written"].any())
