"""What looks at a running trial do to its p: each is a test that could have ended it.

The 5 % are spent over the trial by the function of Lan and DeMets (1983, Biometrika 70, 659-663) of the kind of O'Brien
and Fleming: 2 - 2 F(1.96 / sqrt(t)) once a share t of its days is over, with F the normal distribution. A test may use
what was spent since the look before it. So all tests together call a habit that does nothing an effect in at most 5 %
of trials (Bonferroni), whenever she looks and wherever she stops, and a look in the first half costs the end little.
"""

from __future__ import annotations

import datetime as dt
import math
from statistics import NormalDist

from journal import lots
from journal.settings import Trial

LEVEL = 0.05

_NORMAL = NormalDist()
_DAY = dt.timedelta(days=1)


def share_left(trial: Trial, *, at: dt.date, is_planned: bool) -> float:
    """The share (0 to 1) of the 5 % that a test may use. p is divided by it, and the interval is that of its level.

    `at` is the day of the test: the day on which it was stopped, or today for a look. `is_planned` says that the test
    is that of an end which no look could bring about: the planned one, or an interruption. Looks on the day before, or
    later, are the same test. Without any look the share is 1.

    >>> from journal.lots import _EXAMPLE as plan
    >>> import msgspec
    >>> looked = msgspec.structs.replace(plan, looked=(dt.date(2025, 3, 4),), days=6)
    >>> share_left(plan, at=dt.date(2025, 3, 7), is_planned=True)
    1.0
    >>> round(share_left(looked, at=dt.date(2025, 3, 7), is_planned=True), 2)  # a look after half of the days
    0.89
    >>> round(share_left(looked, at=dt.date(2025, 3, 4), is_planned=False), 2)  # a stop by that look
    0.11
    """
    if not trial.looked:
        return 1.0
    day = min(at, lots.last_drawn(trial) + _DAY) if is_planned else at
    before = [looked for looked in trial.looked if looked < day - _DAY]
    now = 1.0 if is_planned else _spent(trial, at)
    return now - max((_spent(trial, looked) for looked in before), default=0.0)


def _spent(trial: Trial, day: dt.date) -> float:
    """The share of the 5 % that is spent once the days before a day are over."""
    over = (day - trial.start).days / trial.days
    if over <= 0:
        return 0.0
    bound = _NORMAL.inv_cdf(1 - LEVEL / 2) / math.sqrt(min(over, 1))
    return 2 * (1 - _NORMAL.cdf(bound)) / LEVEL
