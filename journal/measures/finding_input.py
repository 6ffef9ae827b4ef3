"""The input of findings: the frames of a journal as of a day, made for the days that a page needs.

A page of the fiftieth year looks back as far as one of the third. So hours, nights, days and tasks are cut before they
are sorted, joined and counted.
"""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable
from functools import cached_property

import polars as pl

from journal.derived import Late
from journal.measures import coverage, sleep, sleep_summary, tasks
from journal.measures.slept_days import LONGEST_SLEEP
from journal.settings import Settings
from journal.tables import Tables

_EVER = (dt.date.min, dt.date.max)
_DAY = dt.timedelta(days=1)
_SPANS = 4
"""How many spans are kept: a page has at most three, and is opened again with the same."""


class FindingFacts:
    """The frames of a journal as of a day, up to the last day that is over or logged. Each is made on first use.

    `days`, `occasions`, `nights`, `pairs`, `hours` and `tasks` are those of the days from `span[0]` to `span[1]`,
    sorted by date; `states`, `every_occasion`, `dependence` and `lives` are those of the whole journal. The order of
    the rows in the tables does not matter.
    """

    def __init__(
        self,
        tables: Tables,
        settings: Settings,
        *,
        states: pl.DataFrame,
        occasions: pl.DataFrame,
        dependence: pl.DataFrame,
        link_events: Callable[[], pl.DataFrame],
        link_pairs: Callable[[], pl.DataFrame],
    ) -> None:
        """In: the tables and settings; the frames of `states.states`, `states.occasions` and `dependence.dependence`;
        made when they are first asked for, those of `link_record.record` and `link_pairs.comparable`."""
        self.settings, self.first, self.today = settings, tables.opened, tables.today
        self.states, self.dependence = states, dependence
        self.link_events, self.link_pairs = link_events, link_pairs
        self.span = _EVER
        self._tables, self._occasions = tables, occasions
        # Nothing here refers to the facts themselves: a cycle would hold all frames until the collector runs.
        self._lives = Late(lambda: _lives(tables))
        self._wider: FindingFacts | None = None
        self._near: dict[tuple[dt.date, dt.date], FindingFacts] = {}

    def between(self, first: dt.date, last: dt.date) -> FindingFacts:
        """The facts from a day to another, both inclusive. Lives of tasks stay whole: one from before may still wait.

        From the facts of the whole journal the frames are made of these days alone, from others they are slices. Those
        of the newest spans that were asked for are kept.
        """
        if self.span != _EVER:
            return self._between(first, last)
        near = self._near.get((first, last))
        if near is None:
            near = self._between(first, last)
            newest = list(self._near.items())[1 - _SPANS :]
            self._near = {**dict(newest), (first, last): near}  # replaced, never changed: pages share it in threads
        return near

    def _between(self, first: dt.date, last: dt.date) -> FindingFacts:
        narrow = FindingFacts(
            self._tables,
            self.settings,
            states=self.states,
            occasions=self._occasions,
            dependence=self.dependence,
            link_events=self.link_events,
            link_pairs=self.link_pairs,
        )
        narrow.span = max(first, self.span[0]), min(last, self.span[1])
        narrow._lives = self._lives
        narrow._wider = self if self.span != _EVER else None
        return narrow

    def replaced(self, **frames: pl.DataFrame) -> FindingFacts:
        """The facts with other frames of these names."""
        other = copy.copy(self)
        other._near = {}
        vars(other).update(frames)
        return other

    @cached_property
    def days(self) -> pl.DataFrame:
        """`Tables.days` from the first page on, without today before its evening is logged: it is not missing yet."""
        if self._wider:
            return self._slice(self._wider.days)
        days = coverage.kept(self._cut(self._tables.days), opened=self.first, today=self.today)
        return days.filter((pl.col("date") < self.today) | pl.col("logged")).sort("date")

    @cached_property
    def every_occasion(self) -> pl.DataFrame:
        """`states.occasions` that began by today, of the whole journal, by habit and date."""
        return self._occasions.filter(pl.col("from") <= self.today)

    @cached_property
    def occasions(self) -> pl.DataFrame:
        if self._wider:
            return self._slice(self._wider.occasions)
        return self._cut(self._occasions).filter(pl.col("from") <= self.today).sort("date", maintain_order=True)

    @cached_property
    def nights(self) -> pl.DataFrame:
        """`sleep.nights`, as known today."""
        if self._wider:
            return self._slice(self._wider.nights)
        settings, today = self.settings, self.today
        around = pl.col("date").is_between(_earlier(self.span[0], LONGEST_SLEEP), min(self.span[1], today))
        nights = sleep.nights(
            self._tables.hours.filter(around),
            self._tables.days.filter(around),
            sleep=settings.asleep,
            zones=settings.zones,
            today=today,
            work=settings.working,
        )
        return self._cut(nights)

    @cached_property
    def pairs(self) -> pl.DataFrame:
        """`sleep_summary.regularity_pairs`, as known today."""
        if self._wider:
            return self._slice(self._wider.pairs)
        around = pl.col("date").is_between(_earlier(self.span[0], _DAY), self.span[1])
        hours = self._tables.hours.filter(around)
        return self._cut(sleep_summary.regularity_pairs(hours, sleep=self.settings.asleep, today=self.today))

    @cached_property
    def hours(self) -> pl.DataFrame:
        """`Tables.hours` up to today."""
        if self._wider:
            return self._slice(self._wider.hours)
        past = self._cut(self._tables.hours).filter(pl.col("date") <= self.today)
        return past.sort("date", "layer", "start_minute", "end_minute", "category")

    @cached_property
    def tasks(self) -> pl.DataFrame:
        """`Tables.tasks` up to today of the logged days: a planned page that was never logged carried no task."""
        if self._wider:
            return self._slice(self._wider.tasks)
        logged = self._tables.days.filter("logged").get_column("date").implode()
        past = self._cut(self._tables.tasks).filter(pl.col("date") <= self.today, pl.col("date").is_in(logged))
        return past.sort("date", "position")

    @property
    def lives(self) -> pl.DataFrame:
        """`tasks.spans`: the first and the last day of every task that began by today."""
        return self._lives()

    def _cut(self, frame: pl.DataFrame) -> pl.DataFrame:
        return frame if self.span == _EVER else frame.filter(pl.col("date").is_between(*self.span))

    def _slice(self, wider: pl.DataFrame) -> pl.DataFrame:
        """The rows of the span of a frame that is sorted by date: its cost does not depend on the other rows."""
        dates = wider.get_column("date")
        start = int(dates.search_sorted(self.span[0], side="left"))
        return wider.slice(start, int(dates.search_sorted(self.span[1], side="right")) - start)


def _lives(tables: Tables) -> pl.DataFrame:
    return tasks.spans(tables.tasks, today=tables.today).filter(pl.col("since") <= tables.today)


def _earlier(day: dt.date, by: dt.timedelta) -> dt.date:
    return day - by if day - dt.date.min > by else dt.date.min
