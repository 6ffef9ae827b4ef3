"""A slow oracle for `journal.measures.sleep`: nights and naps computed minute by minute.

It is written from the definitions alone. A strip is a dictionary of lists of (start, end) minutes by category. Elapsed
time between two local times comes from zoneinfo.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

DAY = 1440
Strips = dict[dt.date, dict[str, list[tuple[int, int]]]]


@dataclass
class Sleep:
    bed: dt.datetime
    wake: dt.datetime
    minutes: int
    broken: int
    kind: str = ""

    @property
    def date(self) -> dt.date:
        return self.wake.date()


def minutes_of(spans: list[tuple[int, int]]) -> set[int]:
    return {minute for start, end in spans for minute in range(start, end)}


def known_days(strips: Strips) -> set[dt.date]:
    """The days with a span of sleep, or with spans for every minute."""
    found = set()
    for date, strip in strips.items():
        every = set().union(*(minutes_of(spans) for spans in strip.values()))
        if strip.get("sleep") or len(every) == DAY:
            found.add(date)
    return found


def sleeps(strips: Strips, zone: ZoneInfo) -> list[Sleep]:
    """Every sleep, in order, each with its kind."""
    first, last = min(strips), max(strips)
    asleep = set()
    for date, strip in strips.items():
        asleep |= {(date - first).days * DAY + minute for minute in minutes_of(strip.get("sleep", []))}
    midnight = dt.datetime.combine(first, dt.time())

    runs: list[tuple[int, int]] = []
    start = None
    for minute in range(((last - first).days + 1) * DAY + 1):
        if minute in asleep and start is None:
            start = minute
        if minute not in asleep and start is not None:
            runs.append((start, minute))
            start = None

    nights: list[list[tuple[int, int]]] = []
    for run in runs:
        if nights and run[0] - nights[-1][-1][1] <= 60:
            nights[-1].append(run)
        else:
            nights.append([run])

    def clock(minute: int) -> dt.datetime:
        return midnight + dt.timedelta(minutes=minute)

    def passed(run: tuple[int, int]) -> float:
        begin, end = (clock(minute).replace(tzinfo=zone).astimezone(dt.UTC) for minute in run)
        return (end - begin).total_seconds() / 60

    found = [
        Sleep(clock(parts[0][0]), clock(parts[-1][1]), round(sum(map(passed, parts))), len(parts) - 1)
        for parts in nights
    ]
    known = known_days(strips)
    for sleep in found:
        cut = sleep.bed.time() == dt.time() and sleep.bed.date() - dt.timedelta(days=1) not in known
        if cut or (sleep.wake.time() == dt.time() and sleep.wake.date() not in known):
            sleep.kind = "part"
    for date in {sleep.date for sleep in found}:
        ended = [sleep for sleep in found if sleep.date == date]
        candidates = [sleep for sleep in ended if not is_brief(sleep)]
        if candidates:
            longest = max(candidates, key=lambda sleep: sleep.minutes)  # the earliest of ties
            longest.kind = longest.kind or "night"
    for sleep in found:
        sleep.kind = sleep.kind or "nap"
    return found


def is_brief(sleep: Sleep) -> bool:
    same_day = sleep.bed.date() == sleep.wake.date()
    return sleep.minutes < 180 and same_day and sleep.bed.time() >= dt.time(9) and sleep.wake.time() <= dt.time(21)


def regularity(strips: Strips) -> tuple[int, int]:
    """Minutes with the same state on neighbouring known days, and all minutes of such pairs of days."""
    known = known_days(strips)
    same = every = 0
    for date in known:
        before = date - dt.timedelta(days=1)
        if before in known:
            then, now = (minutes_of(strips[day].get("sleep", [])) for day in (before, date))
            same += sum((minute in then) == (minute in now) for minute in range(DAY))
            every += DAY
    return same, every
