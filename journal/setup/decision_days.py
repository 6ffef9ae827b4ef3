"""The days that a month's decision proposes: from when a change or rest holds, and when a dropped habit ends.

A decision about a month holds from the first of the next one. A late decision, made when that month has begun, leaves
the days that are over as they were.
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from journal import periods
from journal.language.catalogue import _
from journal.periods import Period
from journal.wording import dates

_DAY = dt.timedelta(days=1)
_SHORTEST_REST = 7  # days: a rest proposed for the last days of a month goes on to the end of the next


class ProposedDays(NamedTuple):
    """`first` is the first day of a change or rest, `rest_until` the last of a rest, `last` that of a dropped habit."""

    first: dt.date
    rest_until: dt.date
    last: dt.date


def proposed(month: Period, today: dt.date) -> ProposedDays:
    """The days to propose.

    >>> march = periods.parse("2025-03", week_starts="monday")
    >>> [str(day) for day in proposed(march, dt.date(2025, 3, 31))]
    ['2025-04-01', '2025-04-30', '2025-03-31']
    >>> [str(day) for day in proposed(march, dt.date(2025, 4, 3))]
    ['2025-04-04', '2025-04-30', '2025-04-03']
    >>> [str(day) for day in proposed(march, dt.date(2025, 4, 28))]
    ['2025-04-29', '2025-05-31', '2025-04-28']
    """
    first = max(month.last, today) + _DAY
    until = periods.month(first).last
    if (until - first).days + 1 < _SHORTEST_REST:
        until = periods.month(until + _DAY).last
    return ProposedDays(first, until, max(month.last, today))


def late(month: Period, today: dt.date) -> str:
    """What a late decision proposes, as text; empty if the decision is not late.

    >>> late(periods.parse("2025-03", week_starts="monday"), dt.date(2025, 4, 3))
    'March 2025 is over. A change or a rest begins tomorrow, Friday 4 April; a dropped habit ends today.'
    """
    if today <= month.last:
        return ""
    return _(
        "{month} is over. A change or a rest begins tomorrow, {day}; a dropped habit ends today.",
        month=dates.period(month),
        day=dates.day(today + _DAY),
    )
