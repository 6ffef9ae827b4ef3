"""The streak of one habit that runs today, counted backwards from today until a day ends it.

It is the `unit`, `current` and `pending` of `streaks.streaks`, by the rules of `states` and `streaks`, day by day and
without frames: so `duskbook log` can tell it at once. tests/measures holds the two against each other.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from journal import recurrence
from journal.measures import plain_streaks

if TYPE_CHECKING:
    from journal.entry import Mark
    from journal.folder.day_marks import DayMarks
    from journal.measures.trial_interruption import FreeDays
    from journal.settings import Habit, HabitSpan, Settings

_DAY = dt.timedelta(days=1)

Unit = Literal["occasion", "week", "month"]
StateName = Literal["not due", "rest", "done", "partial", "missed", "blank", "pending"]


class RunningStreak(NamedTuple):
    """The length of a streak in its unit, 0 if none runs, and whether the occasion that includes today is open."""

    unit: Unit
    current: int
    is_pending: bool

    @property
    def row(self) -> dict[str, Any]:
        """As a row of `streaks.streaks`, for its words."""
        return {"unit": self.unit, "current": self.current, "pending": self.is_pending}


class _Occasion(NamedTuple):
    unit: Unit
    stretch: int
    state: StateName


def running(settings: Settings, habit: str, today: dt.date, on: Callable[[dt.date], DayMarks]) -> RunningStreak | None:
    """Return the running streak of a habit, or None if no occasion of it has begun by `today`.

    `on` gives the marks of a day, and is called for no day before the streak ends, but for the moods that may have
    ended a trial of the habit by then. Raises NotImplementedError for a
    rule whose days cannot be told one by one (`recurrence.falls_on`), and what `on` raises.

    >>> from journal.folder.day_marks import DayMarks
    >>> from journal.settings import Habit, Settings
    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 1), every="FREQ=DAILY")
    >>> settings = Settings(title="Small", places=(), habits=(walk,))
    >>> running(settings, "walk", dt.date(2025, 3, 14), lambda day: DayMarks({"walk": day.day > 11}, True))
    RunningStreak(unit='occasion', current=3, is_pending=False)
    """
    count = _Backwards(settings, habit, today, on)
    newest: Unit | None = None
    is_pending = False
    run: tuple[Unit, int] | None = None
    length = 0
    passed = ("rest", "pending", "blank") if settings.blank == "bridges" else ("rest", "pending")
    for occasion in count.occasions():
        if newest is None:
            newest, is_pending = occasion.unit, occasion.state == "pending"
        if occasion.state in passed:
            continue
        run = run or (occasion.unit, occasion.stretch)
        is_over = occasion.stretch != count.stretch_today or run != (newest, occasion.stretch)
        if occasion.state != "done" or is_over:
            break
        length += 1
    return None if newest is None else RunningStreak(newest, length, is_pending)


class _Backwards:
    """The occasions of one habit, from today backwards."""

    def __init__(self, settings: Settings, habit: str, today: dt.date, on: Callable[[dt.date], DayMarks]) -> None:
        self.settings, self.key, self.today, self.on = settings, habit, today, on
        self.spans = [span for span in settings.habit_spans.get(habit, ()) if span.first <= span.last]
        self.stretches: list[int] = []  # by span; a stretch counts in one unit
        for i, span in enumerate(self.spans):
            is_same = i > 0 and self.spans[i - 1].habit.per == span.habit.per
            self.stretches.append(self.stretches[-1] if is_same else i)
        self.rules: dict[int, recurrence.Rule] = {}

    @functools.cached_property
    def free(self) -> FreeDays | tuple[()]:
        """The days that the trials of the habit leave free."""
        if not any(trial.habit == self.key for trial in self.settings.trials):
            return ()
        from journal.measures.mood_levels import is_low  # noqa: PLC0415 (few journals have trials)
        from journal.measures.trial_interruption import FreeDays  # noqa: PLC0415

        scale = self.settings.mood

        def low_on(day: int) -> bool | None:
            return is_low(self.on(dt.date.fromordinal(day)).mood, scale)

        return FreeDays(self.settings.trials, self.key, low_on, today=self.today)

    @property
    def stretch_today(self) -> int | None:
        """The stretch that counts today, also in a gap between two definitions, or after the last."""
        return next((self.stretches[i] for i in self._begun()), None)

    def _begun(self) -> Iterator[int]:
        return (i for i in reversed(range(len(self.spans))) if self.spans[i].first <= self.today)

    def occasions(self) -> Iterator[_Occasion]:
        """Yield every occasion that has begun by today, the newest first."""
        for i in self._begun():
            span = self.spans[i]
            day = min(self.today, span.last)
            while day >= span.first:
                unit: Unit = span.habit.per or "occasion"
                if unit == "occasion":
                    if self._is_due(i, day):
                        yield _Occasion(unit, self.stretches[i], self._state(span.habit, day, is_due=True))
                    day -= _DAY
                    continue
                first, last = self._period(unit, day)
                if self._is_whole(i, first, last):
                    yield _Occasion(unit, self.stretches[i], self._period_state(first, last))
                    day = first - _DAY  # the spans before it may have begun in this period: they skip it
                else:
                    day -= _DAY

    def _is_due(self, i: int, day: dt.date) -> bool:
        habit = self.spans[i].habit
        if not habit.every:
            return False
        if i not in self.rules:
            self.rules[i] = recurrence.parse(habit.every).filled(habit.start)
        return recurrence.falls_on(self.rules[i], habit.start, day)

    def _period(self, unit: Unit, day: dt.date) -> tuple[dt.date, dt.date]:
        """Return the first and last day of the week or month of a day."""
        if unit == "week":
            from journal.settings import WEEKDAYS  # noqa: PLC0415

            first = day - ((day.weekday() - WEEKDAYS.index(self.settings.week_starts)) % 7) * _DAY
            return first, first + 6 * _DAY
        first = day.replace(day=1)
        return first, (first + 31 * _DAY).replace(day=1) - _DAY

    def _is_whole(self, i: int, first: dt.date, last: dt.date) -> bool:
        """Return whether one quota holds on every day of a period, and no later span has counted it already."""
        habit, day = self.spans[i].habit, first
        for span in self.spans:
            if span.last < day:
                continue
            if span.first > day or (span.habit.per, span.habit.times) != (habit.per, habit.times):
                return False
            if span.last >= last:
                return i == self._first_counted(first, last)
            day = span.last + _DAY
        return False

    def _first_counted(self, first: dt.date, last: dt.date) -> int:
        """Return the span of the newest day of a period that has come: it counts the period."""
        newest = min(last, self.today)
        return next(i for i, span in enumerate(self.spans) if span.first <= newest <= span.last)

    def _period_state(self, first: dt.date, last: dt.date) -> StateName:
        done = resting = could = 0
        times, days = 0, (last - first).days + 1
        for day in (first + n * _DAY for n in range(days)):
            habit = self._in_force(day).habit
            times = habit.times or 0
            state = self._state(habit, day, is_due=False)
            done += state == "done"
            resting += state == "rest"
            if state == "not due":
                marks = self.on(day)
                is_open = day >= self.today and self.key not in marks.marks
                could += is_open if day >= self.today else not self._was_asked(marks)
        if done >= times:
            return "done"
        if days - resting < times:
            return "rest"
        if done + could >= times:
            return "pending" if last >= self.today else "blank"
        return "missed"

    def _in_force(self, day: dt.date) -> HabitSpan:
        return next(span for span in self.spans if span.first <= day <= span.last)

    def _was_asked(self, marks: DayMarks) -> bool:
        return marks.is_asked and self.settings.unmarked != "blank"

    def _state(self, habit: Habit, day: dt.date, *, is_due: bool) -> StateName:
        """Return the state of a day, as `states.states` has it. A day of a quota is never due."""
        marks = self.on(day)
        mark = marks.marks.get(self.key)
        if mark == "rest":
            return "rest"
        kept = plain_streaks.kept(mark, habit.target, is_limit=habit.aim == "at most")
        if kept == "done":
            return kept
        if self.settings.is_off(self.key, day) or day in self.free:
            return "rest"
        return kept or ("not due" if not is_due else self._unkept(marks, mark, day))

    def _unkept(self, marks: DayMarks, mark: Mark | None, day: dt.date) -> StateName:
        """Return the state of a due day with nothing done, and no rest."""
        if mark is None and day >= self.today:
            return "pending"
        return "missed" if mark is not None or self._was_asked(marks) else "blank"
