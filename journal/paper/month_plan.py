"""The columns of a month's sheet: mood, then each habit in force in the month, then each challenge."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from journal import Journal
from journal.language import digits
from journal.language.catalogue import _
from journal.paper import number_boxes, upcoming
from journal.periods import Period, between
from journal.settings import Challenge, Habit, Scale, Settings
from journal.wording import numbers

_DAY = dt.timedelta(days=1)

MOST_STEPS = 11
"""Most steps of a scale that has boxes. With more, the column of mood would take half of the sheet."""


class Bracket(msgspec.Struct, frozen=True, kw_only=True):
    """The days of a quota, counted from 0. `from_before` and `into_next` mark a week that crosses the month's ends."""

    start: int
    end: int
    times: int
    from_before: bool
    into_next: bool


class SheetColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A field of the days: for each day "due" (boxes), "any" (a day that may count for a quota), "rest" or "".

    Each day has a box for each of `values`, which have `labels` if there are several.
    """

    field: str
    name: str
    detail: str
    days: tuple[str, ...]
    values: tuple[bool | float, ...] = (True,)
    labels: tuple[str, ...] = ()
    brackets: tuple[Bracket, ...] = ()

    @property
    def definition(self) -> str:
        """The column for the digest of a sheet: its field, and what each box says."""
        return f"{self.field} {','.join(str(value) for value in self.values)}"


def columns(book: Journal, month: Period) -> tuple[SheetColumn, ...]:
    """The columns of a month, in the order of journal.toml."""
    return (
        *mood(book.settings.mood, month),
        *_habits(book, month),
        *_challenges(book.settings, month),
    )


def mood(scale: Scale, month: Period) -> Iterator[SheetColumn]:
    """The column of mood, with a box for each whole step; none if the scale has too many.

    >>> from journal import periods
    >>> april = periods.month(dt.date(2025, 4, 1))
    >>> [column.labels for column in mood(Scale(low=1, high=3, words=("low", "even", "high")), april)]
    [('low', 'even', 'high')]
    >>> list(mood(Scale(low=0, high=100), april))
    []
    """
    values = steps(scale)
    if len(values) <= MOST_STEPS:
        labels = tuple(scale.word(value) or numbers.number(value) for value in values)
        yield SheetColumn(
            field="mood", name=_("Mood"), detail="", days=("due",) * month.days, values=values, labels=labels
        )


def steps(scale: Scale) -> tuple[float, ...]:
    """The whole steps of a scale.

    >>> steps(Scale(low=0, high=2))
    (0, 1, 2)
    """
    return tuple(scale.low + nth for nth in range(int(scale.high - scale.low) + 1))


def _habits(book: Journal, month: Period) -> Iterator[SheetColumn]:
    marks = upcoming.marks(book, month.first - _DAY, month.last + _DAY)
    for (key,), rows in marks.group_by("habit", maintain_order=True):
        days = {row["date"]: row for row in rows.iter_rows(named=True)}
        inside = [row for date, row in days.items() if date in month]
        if not inside:
            continue
        habit = book.settings.habit_on(str(key), inside[-1]["date"])
        assert habit is not None  # `upcoming.marks` has rows only for days on which the habit is in force
        targets = dict.fromkeys(upcoming.target(row, habit.unit) for row in inside)
        values = values_of(habit)
        yield SheetColumn(
            field=f"habits.{key}",
            name=habit.name,
            detail=functools.reduce(_then, filter(None, targets), ""),
            days=tuple(_mark(days.get(date)) for date in month.dates),
            values=values,
            labels=labels(values),
            brackets=tuple(_brackets(days, month, book.settings)),
        )


def _then(target: str, later: str) -> str:
    return _("{target}, then {later}", target=target, later=later) if target else later


def values_of(habit: Habit) -> tuple[bool | float, ...]:
    """What the boxes of a habit say: true, or the numbers of a counted one."""
    return (True,) if habit.target is None else number_boxes.values(habit.target, habit.aim)


def labels(values: Sequence[bool | float]) -> tuple[str, ...]:
    """The numbers over number boxes; none for a single box.

    >>> labels((True,)), labels((0.5, 2000.0))
    ((), ('0.5', '2000'))
    """
    if len(values) == 1:
        return ()
    return tuple(digits.signed(f"{value:g}" if value < 1e6 else f"{value:.0e}") for value in values)


def _mark(row: dict[str, Any] | None) -> str:
    if row is None:
        return ""
    if row["rest"]:
        return "rest"
    return "any" if row["per"] is not None else "due" if row["due"] else ""


def _brackets(days: dict[dt.date, dict[str, Any]], month: Period, settings: Settings) -> Iterator[Bracket]:
    """A bracket for each week or month of a quota, over the days on which the habit is in force.

    `days` has the rows of the month and of one day on either side, which show whether a week crosses its ends.
    """
    for kind in ("week", "month"):
        for period in between(month.first, month.last, kind, week_starts=settings.week_starts):
            in_force = [date for date in period.dates if date in days and days[date]["per"] == kind]
            inside = [date for date in in_force if date in month]
            if inside:
                yield Bracket(
                    start=(inside[0] - month.first).days,
                    end=(inside[-1] - month.first).days,
                    times=days[inside[0]]["times"],
                    from_before=in_force[0] < month.first,
                    into_next=in_force[-1] > month.last,
                )


def _challenges(settings: Settings, month: Period) -> Iterator[SheetColumn]:
    for challenge in settings.challenges:
        days = tuple("due" if _runs(challenge, date) else "" for date in month.dates)
        if any(days):
            yield SheetColumn(field=f"challenges.{challenge.key}", name=challenge.name, detail="", days=days)


def _runs(challenge: Challenge, date: dt.date) -> bool:
    return challenge.start <= date <= challenge.until
