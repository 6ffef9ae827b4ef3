"""The schedule of a habit from a later day on: the same due days if it stays, else counted from that day."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from journal import schedule
from journal.recurrence import parse
from journal.settings import Habit, Weekday
from journal.setup import coming_days, schedule_fields
from journal.setup.schedule_fields import ScheduleFields, ScheduleKeys

_COUNT = re.compile(r"(COUNT=)[0-9]+", re.IGNORECASE)


def from_day(
    before: Habit, fields: ScheduleFields, first: dt.date, *, week_starts: Weekday
) -> tuple[ScheduleKeys, dt.date]:
    """The keys of a schedule that replaces the one of `before` from `first` on, and the day its definition begins.

    Every second Friday stays the same Fridays: the definition begins on the first of them. Of a rule with COUNT, what
    is left remains. A schedule that changed is counted from `first`.

    >>> stock = Habit(key="stock", name="Stock", start=dt.date(2025, 1, 3), every="FREQ=WEEKLY;INTERVAL=2")
    >>> same = schedule_fields.of(stock, week_starts="monday")
    >>> keys, start = from_day(stock, same, dt.date(2025, 4, 1), week_starts="monday")
    >>> keys.every, str(start)
    ('FREQ=WEEKLY;INTERVAL=2', '2025-04-11')
    """
    if before.every is None or fields != schedule_fields.of(before, week_starts=week_starts):
        return schedule_fields.keys(fields, first), first
    rule = parse(before.every)
    if rule.interval == 1 and rule.count is None:
        return schedule_fields.keys(fields, first), first
    keys = ScheduleKeys(before.every)
    due = coming_days.due_days(keys, before.start, first=first, most=1)
    if not due:
        return keys, first
    if rule.count is not None:
        past = schedule.due(rule, before.start, before.start, due[0] - dt.timedelta(days=1)).sum()
        keys = ScheduleKeys(_COUNT.sub(rf"\g<1>{rule.count - int(past)}", before.every))
    return keys, due[0]


def last_day(definitions: Sequence[Habit], before: Habit, start: dt.date) -> dt.date | None:
    """The last day of a definition that begins on `start` after `before`: the day before the next one, or the end of
    the habit. None without an end.

    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 1, 1), until=dt.date(2025, 6, 30), every="FREQ=DAILY")
    >>> str(last_day([walk], walk, dt.date(2025, 4, 1))), last_day([walk], walk, dt.date(2025, 7, 1))
    ('2025-06-30', None)
    """
    ends = [one.start - dt.timedelta(days=1) for one in definitions if one.start > start]
    ends += [before.until] if before.until and before.until >= start else []
    return min(ends, default=None)
