"""A slow oracle for states, occasions and streaks, computed day by day.

It is written from the definitions alone and uses none of the project's code, only its names of the states.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass
class Day:
    """The record of one habit on one day."""

    date: dt.date
    logged: bool
    due: bool | None = True
    times: int | None = None
    per: str | None = None
    target: float | None = None
    aim: str | None = None
    off: bool = False
    unasked: bool = False
    mark: str | None = None
    value: float | None = None

    @property
    def asked(self) -> bool:
        """Whether an evening asked for the habit."""
        return self.logged and not self.unasked


@dataclass
class Occasion:
    first: dt.date
    last: dt.date
    state: str


def state(day: Day, today: dt.date) -> str:
    """The state of the habit on the day: in time off, whatever is not done is rest."""
    usual = _state_at_work(day, today)
    if not day.off or usual == "done" or (day.per is None and not day.due):
        return usual
    return "rest"


def _state_at_work(day: Day, today: dt.date) -> str:  # noqa: PLR0911, PLR0912 (plain on purpose)
    """The state of the habit on the day without time off."""
    quota = day.per is not None
    if not quota and not day.due:
        return "not due"
    if day.mark == "rest":
        return "rest"
    if day.mark == "done":
        return "done"
    if day.mark == "number":
        assert day.value is not None
        if day.target is None:
            if day.value > 0:
                return "done"
        elif day.aim == "at most":
            if day.value <= day.target:
                return "done"
        elif day.value >= day.target:
            return "done"
        elif day.value > 0:
            return "partial"
    if quota:
        return "not due"
    if day.mark is not None:
        return "missed"
    if day.date >= today:
        return "pending"
    return "missed" if day.asked else "blank"


def occasions(days: list[Day], today: dt.date, week_starts: int) -> list[Occasion]:
    """The occasions of one habit, from its days in order and without gaps."""
    found: list[Occasion] = []
    seen: set[tuple[str, dt.date]] = set()
    for day in days:
        if day.per is None:
            if day.due:
                found.append(Occasion(day.date, day.date, state(day, today)))
            continue
        first = day.date
        if day.per == "week":
            while first.weekday() != week_starts:
                first -= dt.timedelta(days=1)
            last = first + dt.timedelta(days=6)
        else:
            first = first.replace(day=1)
            last = first
            while (last + dt.timedelta(days=1)).month == first.month:
                last += dt.timedelta(days=1)
        if (day.per, first) in seen:
            continue
        seen.add((day.per, first))
        inside = [d for d in days if first <= d.date <= last and d.per == day.per]
        one_quota = len({d.times for d in inside}) == 1
        if one_quota and len(inside) == (last - first).days + 1:
            found.append(Occasion(first, last, _quota(inside, last, today)))
    return found


def stretches(days: list[Day]) -> list[list[Day]]:
    """The days of one habit, cut where it changes between single days, weeks and months."""
    cut: list[list[Day]] = []
    for day in days:
        if cut and cut[-1][0].per == day.per:
            cut[-1].append(day)
        else:
            cut.append([day])
    return cut


def _quota(inside: list[Day], last: dt.date, today: dt.date) -> str:
    times = inside[0].times
    assert times is not None
    done = resting = 0
    could = 0
    for day in inside:
        what = state(day, today)
        if what == "done":
            done += 1
            could += 1
        elif what == "rest":
            resting += 1
        elif what == "not due" and (not day.asked if day.date < today else day.mark is None):
            could += 1
    if done >= times:
        return "done"
    if len(inside) - resting < times:
        return "rest"
    if could < times:
        return "missed"
    return "pending" if last >= today else "blank"


def streak(
    found: list[Occasion], today: dt.date, bridges: bool
) -> tuple[int, dt.date | None, int, list[dt.date | None]]:
    """Current length and first day; longest length, and its first and last day (the earliest of ties)."""
    current = longest = 0
    start: dt.date | None = None
    best: list[dt.date | None] = [None, None]
    for occasion in found:
        if occasion.first > today or occasion.state in ("rest", "pending"):
            continue
        if occasion.state == "blank" and bridges:
            continue
        if occasion.state == "done":
            current += 1
            start = start or occasion.first
            if current > longest:
                longest, best = current, [start, occasion.last]
        else:
            current, start = 0, None
    return current, start, longest, best
