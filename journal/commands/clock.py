"""What day it is: the one place outside the notebooks that reads the clock."""

from __future__ import annotations

import datetime as dt

from journal import periods
from journal.settings import Settings


def now() -> dt.datetime:
    """This moment, in the machine's own time zone."""
    return dt.datetime.now().astimezone()


def today(settings: Settings) -> dt.date:
    """The journal's own today: at home, and the day before while the clock has not yet come to `[day] turns`."""
    return periods.day_of(now(), settings)
