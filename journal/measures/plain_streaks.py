"""The current and the longest streak of each habit from one byte a day, without frames.

It gives the rows of `streaks.streaks` by the rules of `states` and `streaks`. A byte says what is known of a habit on a
day whatever today is; what a day without a mark is follows from today. So the bytes stay right as days pass.
tests/measures holds both against each other.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

NOT_DUE, REST, DONE, PARTIAL = b"n", b"r", b"d", b"p"
MARKED, MARKED_UNASKED, UNMARKED, UNMARKED_UNASKED = b"m", b"v", b"a", b"u"
"""What a day says of a habit. The last four are of a day that is due, or counts for a quota, and on which nothing was
done: with a mark that says so, or without one, and whether an evening asked."""

_PASSED, _KEPT, _BROKEN = b"-", b"D", b"B"  # what a day is for a run


class HabitSpanDays(NamedTuple):
    """A definition of a habit: the ordinals of its first and last day, and its quota, `per` "" for a rule.

    `target` is None for a habit that is not counted; `is_limit` says that the target is an upper one.
    """

    first: int
    last: int
    per: str
    times: int
    target: float | None
    is_limit: bool


class HabitDays(NamedTuple):
    """A habit: a byte for each day from the ordinal `first`, and its definitions in the order of time."""

    habit: str
    first: int
    codes: bytes
    spans: tuple[HabitSpanDays, ...]


def code(span: HabitSpanDays, mark: bool | float | str | None, *, off: bool, asked: bool) -> bytes:
    """The byte of a day that is due or counts for a quota, with its mark, or None, as `states.states` takes it.

    `off` is a day of time off. `asked`: the day was logged, and an evening asked for its habits.

    >>> read = HabitSpanDays(1, 2, "", 0, 20.0, False)
    >>> code(read, 24, off=False, asked=True), code(read, None, off=True, asked=True)
    (b'd', b'r')
    """
    done = kept(mark, span.target, is_limit=span.is_limit)
    if mark == "rest" or (off and done != "done"):
        return REST
    if done is not None:
        return DONE if done == "done" else PARTIAL
    if mark is not None:
        return MARKED if asked else MARKED_UNASKED
    return UNMARKED if asked else UNMARKED_UNASKED


def kept(mark: bool | float | str | None, target: float | None, *, is_limit: bool) -> Literal["done", "partial"] | None:
    """Whether a mark says that a habit was kept. A limit cannot be kept in part.

    >>> kept(12, 20, is_limit=False), kept(12, 20, is_limit=True), kept(False, None, is_limit=False)
    ('partial', 'done', None)
    """
    if isinstance(mark, bool) or mark is None or isinstance(mark, str):
        return "done" if mark is True else None
    if target is None:
        return "done" if mark > 0 else None
    if is_limit:
        return "done" if mark <= target else None
    if mark >= target:
        return "done"
    return "partial" if mark > 0 else None


class StreakRow(NamedTuple):
    """A row of `streaks.streaks`."""

    habit: str
    unit: str
    current: int
    current_from: dt.date | None
    pending: bool
    longest: int
    longest_from: dt.date | None
    longest_to: dt.date | None


class _Stretch(NamedTuple):
    """The occasions of a habit in one unit, up to today: a byte for each, and its first and last day."""

    unit: str
    states: bytes
    days: Callable[[int], tuple[int, int]]
    is_pending: bool
    counts_today: bool


def streak_rows(habits: list[HabitDays], today: dt.date, *, bridges: bool, week_start: int) -> list[StreakRow]:
    """The streaks as of a day, a row for each habit that has had an occasion.

    `bridges` is the setting `blank`, `week_start` the number of the weekday that weeks begin on, 0 for Monday.

    >>> first = dt.date(2025, 3, 1).toordinal()
    >>> walk = HabitDays("walk", first, b"ddmau", (HabitSpanDays(first, first + 99, "", 0, None, False),))
    >>> row = streak_rows([walk], dt.date(2025, 3, 4), bridges=False, week_start=0)[0]
    >>> row.habit, row.current, row.pending, row.longest_from
    ('walk', 0, True, datetime.date(2025, 3, 1))
    """
    told = (_row(habit, today.toordinal(), bridges, week_start) for habit in habits)
    return [row for row in told if row is not None]


def _row(habit: HabitDays, today: int, bridges: bool, week_start: int) -> StreakRow | None:
    stretches = [s for s in _stretches(habit, today, bridges, week_start) if s.states]
    if not stretches:
        return None
    unit = stretches[-1].unit
    current, current_from = _running(stretches, unit)
    longest, longest_from, longest_to = 0, None, None
    for stretch in stretches:
        if stretch.unit == unit:
            length, first, last = _longest(stretch.states)
            if length > longest:
                longest, longest_from, longest_to = length, _day(stretch.days(first)[0]), _day(stretch.days(last)[1])
    pending = any(stretch.is_pending for stretch in stretches)
    return StreakRow(habit.habit, unit, current, current_from, pending, longest, longest_from, longest_to)


def _day(ordinal: int) -> dt.date:
    return dt.date.fromordinal(ordinal)


def _running(stretches: list[_Stretch], unit: str) -> tuple[int, dt.date | None]:
    """The length and the first day of the run that nothing has ended by today."""
    counted = next((s for s in reversed(stretches) if s.states.strip(_PASSED)), None)
    if counted is None or counted.unit != unit or not counted.counts_today:
        return 0, None
    begun = counted.states.rfind(_BROKEN) + 1
    length = counted.states.count(_KEPT, begun)
    return (length, _day(counted.days(counted.states.find(_KEPT, begun))[0])) if length else (0, None)


def _longest(states: bytes) -> tuple[int, int, int]:
    """The length of the earliest longest run, and the places of its first and last occasion."""
    counted = states.replace(_PASSED, b"")
    length = max(map(len, counted.split(_BROKEN)))
    if not length:
        return 0, 0, 0
    begun = counted.find(_KEPT * length)
    return length, _place(states, begun), _place(states, begun + length - 1)


def _place(states: bytes, number: int) -> int:
    """The place of a counted occasion by its number, from 0."""
    low, high = number, len(states) - 1
    while low < high:
        middle = (low + high) // 2
        if middle + 1 - states.count(_PASSED, 0, middle + 1) > number:
            high = middle
        else:
            low = middle + 1
    return low


def _stretches(habit: HabitDays, today: int, bridges: bool, week_start: int) -> Iterator[_Stretch]:
    """The stretches of one unit that have begun. Definitions that follow each other in one unit are one stretch."""
    spans = [span for span in habit.spans if span.first <= span.last and span.first < habit.first + len(habit.codes)]
    blank = _PASSED if bridges else _BROKEN
    begin = 0
    while begin < len(spans) and spans[begin].first <= today:
        end = begin
        while end < len(spans) and spans[end].per == spans[begin].per:
            end += 1
        until = spans[end].first - 1 if end < len(spans) else dt.date.max.toordinal()
        if spans[begin].per:
            whole = _whole_periods(spans[begin:end], today, week_start)
            states, days, is_pending = _periods(habit, whole, today, blank)
            yield _Stretch(spans[begin].per, states, days.__getitem__, is_pending, today <= until)
        else:
            yield _single_days(habit, spans[begin].first, today, until, blank)
        begin = end


def _single_days(habit: HabitDays, first: int, today: int, until: int, blank: bytes) -> _Stretch:
    begin, end = first - habit.first, min(today, until) + 1 - habit.first
    # Days on which the habit is not due are no occasions: their byte is left as it is, and taken out with the passed.
    states = habit.codes[begin:end].translate(bytes.maketrans(b"rdpmvau", b"-DBBBB" + blank))
    is_pending = today <= until and habit.codes[today - habit.first : today + 1 - habit.first] in (b"a", b"u")
    if is_pending:
        states = states[:-1] + _PASSED
    states = states.replace(NOT_DUE, _PASSED) if states.strip(NOT_DUE) else b""
    return _Stretch("occasion", states, lambda i: (first + i, first + i), is_pending, today <= until)


def _periods(
    habit: HabitDays, whole: Iterator[tuple[int, int, int]], today: int, blank: bytes
) -> tuple[bytes, list[tuple[int, int]], bool]:
    """The states of weeks or months, their first and last days, and whether one is pending."""
    states, days, is_pending = bytearray(), [], False
    for first, last, times in whole:
        days.append((first, last))
        codes = habit.codes[first - habit.first : last + 1 - habit.first]
        done = codes.count(DONE)
        if done >= times:
            states += _KEPT
        elif last + 1 - first - codes.count(REST) < times:
            states += _PASSED
        elif done + _open_days(codes, today - first) < times:
            states += _BROKEN
        elif last >= today:
            states += _PASSED
            is_pending = True
        else:
            states += blank
    return bytes(states), days, is_pending


def _open_days(codes: bytes, past: int) -> int:
    """The days of a period on which the habit may have been done, or may yet be; so many of its days are past."""
    gone, to_come = codes[: max(0, past)], codes[max(0, past) :]
    unknown = gone.count(UNMARKED_UNASKED) + gone.count(MARKED_UNASKED)
    return unknown + to_come.count(UNMARKED) + to_come.count(UNMARKED_UNASKED)


def _whole_periods(spans: list[HabitSpanDays], today: int, week_start: int) -> Iterator[tuple[int, int, int]]:
    """The first and last day, and the quota, of each week or month that has begun and in which one quota holds."""
    first, last = _period(spans[0].first, spans[0].per, week_start)
    place = 0
    while first <= min(today, spans[-1].last):
        while place < len(spans) and spans[place].last < first:
            place += 1
        times, day, i = spans[place].times, first, place
        while i < len(spans) and spans[i].first <= day <= spans[i].last and spans[i].times == times:
            day, i = spans[i].last + 1, i + 1
            if day > last:
                yield first, last, times
                break
        first, last = _period(last + 1, spans[0].per, week_start)


def _period(day: int, per: str, week_start: int) -> tuple[int, int]:
    """The first and last day of the week or month of a day."""
    if per == "week":
        first = day - (day - 1 - week_start) % 7  # day 1 of the calendar is a Monday
        return first, first + 6
    date = dt.date.fromordinal(day)
    first = day - date.day + 1
    return first, (dt.date.fromordinal(first + 31).replace(day=1)).toordinal() - 1
