"""Now and today. Only this module and the notebooks read the clock."""

from __future__ import annotations

import datetime as dt

from journal import periods
from journal.settings import Settings


def now() -> dt.datetime:
    """The current time, in the time zone of this machine."""
    return dt.datetime.now().astimezone()


def today(settings: Settings) -> dt.date:
    """The journal's date: in the time zone of home, and still the day before until `[day] turns`."""
    return periods.day_of(now(), settings)
