"""The frames of tasks as of a day, each computed once: the parts of several pages count the same tasks."""

from __future__ import annotations

import datetime as dt
from functools import cached_property

import polars as pl

from journal.entry import Undated
from journal.measures import carried_tasks
from journal.measures import tasks as measure


class TaskFrames:
    """The frames of `Tables.tasks` and the undated tasks as of `today`.

    >>> rows = pl.DataFrame({"date": [dt.date(2025, 3, 11)], "position": 0, "id": None, "title": "Quote",
    ...     "status": "open", "rank": None, "estimate": 45.0, "took": None, "since": None},
    ...     schema_overrides={"since": pl.Date, "took": pl.Float64, "id": pl.String})
    >>> frames = TaskFrames(rows, Undated(), today=dt.date(2025, 3, 10))
    >>> frames.lives.height, frames.past_lives.height, frames.undecided.height
    (1, 0, 0)
    """

    def __init__(self, tasks: pl.DataFrame, undated: Undated, *, today: dt.date) -> None:
        self._tasks, self._undated, self._today = tasks, undated, today

    @cached_property
    def lives(self) -> pl.DataFrame:
        """`tasks.lives`: a row for each task."""
        return measure.lives(self._tasks, today=self._today)

    @cached_property
    def past_lives(self) -> pl.DataFrame:
        """`tasks.lives` of the pages up to today alone."""
        past = self._tasks.filter(pl.col("date") <= self._today)
        return self.lives if past.height == self._tasks.height else measure.lives(past, today=self._today)

    @cached_property
    def undecided(self) -> pl.DataFrame:
        """`carried_tasks.to_decide`: the tasks that need a decision."""
        return carried_tasks.to_decide(self._tasks, carried_tasks.undated_frame(self._undated), today=self._today)

    def lives_on(self, day: dt.date) -> pl.DataFrame:
        """`tasks.lives` as of a day."""
        return self.lives if day == self._today else measure.lives(self._tasks, today=day)

    def past_lives_on(self, day: dt.date) -> pl.DataFrame:
        """`tasks.lives` of the pages up to a day alone, as of that day."""
        if day == self._today:
            return self.past_lives
        return measure.lives(self._tasks.filter(pl.col("date") <= day), today=day)
