"""The days of each habit as bytes for `plain_streaks`, from the marks of a journal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np
import polars as pl

from journal import lots, schedule
from journal.measures import plain_streaks, states
from journal.measures.plain_streaks import HabitDays, HabitSpanDays
from journal.settings import HabitSpan, Settings, Trial


def encoded(
    marks: pl.DataFrame, settings: Settings, *, until: dt.date, trials: Sequence[Trial] = ()
) -> list[HabitDays]:
    """The days of each habit from the first on which it is in force, up to `until`, in the order of the settings.

    In: `Tables.marks`, with the days that `trials` leave free as time off (`trial_lots.with_free_days`). Days after its
    last one have no page.

    >>> from journal import page_columns, tables
    >>> from journal.entry import Entry, Page
    >>> from journal.settings import Habit
    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 13), every="FREQ=DAILY")
    >>> page = Page(path="2025-03-14.toml", kind="day", key="2025-03-14", content=Entry(habits={"walk": True}))
    >>> settings, day = Settings(title="Small", places=(), habits=(walk,)), dt.date(2025, 3, 14)
    >>> marks = tables.build(page_columns.record([page]), settings, day).marks
    >>> encoded(marks, settings, until=dt.date(2025, 3, 16))[0].codes
    b'uduu'
    """
    by_habit = _codes(marks, settings).partition_by("habit", as_dict=True)
    return [
        _days(key, spans, by_habit.get((key,)), _off(key, settings, trials), until)
        for key in settings.habit_keys
        if (spans := [s for s in settings.habit_spans[key] if s.first <= min(s.last, until)])
    ]


def without_pages(settings: Settings, habit: HabitDays, trials: Sequence[Trial] = ()) -> bytes:
    """The bytes of the same days of a habit as they are without any page but for the moods that ended a trial."""
    spans = [s for s in settings.habit_spans[habit.habit] if s.first <= s.last]
    until = dt.date.fromordinal(habit.first + len(habit.codes) - 1)
    off = _off(habit.habit, settings, trials)
    return _days(habit.habit, [s for s in spans if s.first <= until], None, off, until).codes


def _codes(marks: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """The byte of each row of the marks. Every day counts as past: what is without a mark is told by itself."""
    found = states.states(marks, today=dt.date.max, unmarked=settings.unmarked)
    state, has_mark = pl.col("state"), pl.col("mark").is_not_null()
    nothing = ["missed", "blank"]
    is_nothing = state.is_in(nothing) | (pl.col("per").is_not_null() & (state == "not due"))
    code = (
        pl.when(is_nothing & has_mark & pl.col("asked"))
        .then(plain_streaks.MARKED[0])
        .when(is_nothing & has_mark)
        .then(plain_streaks.MARKED_UNASKED[0])
        .when(is_nothing & pl.col("asked"))
        .then(plain_streaks.UNMARKED[0])
        .when(is_nothing)
        .then(plain_streaks.UNMARKED_UNASKED[0])
        .when(state == "done")
        .then(plain_streaks.DONE[0])
        .when(state == "partial")
        .then(plain_streaks.PARTIAL[0])
        .when(state == "rest")
        .then(plain_streaks.REST[0])
        .otherwise(plain_streaks.NOT_DUE[0])
    )
    return found.select("habit", pl.col("date").to_physical(), code=code.cast(pl.UInt8))


def _off(key: str, settings: Settings, trials: Sequence[Trial]) -> list[tuple[dt.date, dt.date]]:
    """The first and last days of the time off from a habit, and of the blocks that its trials leave free."""
    rests = [(rest.start, rest.until) for rest in settings.rests if rest.covers(key)]
    return rests + [(day, day) for trial in trials if trial.habit == key for day in lots.free_days(trial)]


def _days(
    key: str,
    spans: list[HabitSpan],
    known: pl.DataFrame | None,
    off: list[tuple[dt.date, dt.date]],
    until: dt.date,
) -> HabitDays:
    first = spans[0].first
    codes = np.full((until - first).days + 1, plain_streaks.NOT_DUE[0], np.uint8)
    for span in spans:
        last = min(span.last, until)
        of_span = codes[(span.first - first).days : (last - first).days + 1]
        habit = span.habit
        is_due = schedule.due(habit.every, habit.start, span.first, last).to_numpy() if habit.every else True
        of_span[:] = np.where(is_due, plain_streaks.UNMARKED_UNASKED[0], plain_streaks.NOT_DUE[0])
    for start, end in off:
        if first <= end:
            resting = codes[max(0, (start - first).days) : (end - first).days + 1]
            resting[resting != plain_streaks.NOT_DUE[0]] = plain_streaks.REST[0]
    if known is not None:
        days = known.get_column("date").to_numpy() - (first - dt.date(1970, 1, 1)).days
        codes[days[days < len(codes)]] = known.get_column("code").to_numpy()[days < len(codes)]
    return HabitDays(key, first.toordinal(), codes.tobytes(), tuple(map(_span_days, spans)))


def _span_days(span: HabitSpan) -> HabitSpanDays:
    habit = span.habit
    return HabitSpanDays(
        span.first.toordinal(),
        span.last.toordinal(),
        habit.per or "",
        habit.times or 0,
        habit.target,
        habit.aim == "at most" and habit.target is not None,
    )
