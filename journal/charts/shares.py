"""Shares with their intervals as texts of charts."""

from __future__ import annotations

from journal.frames import Row
from journal.language.catalogue import _
from journal.wording import numbers


def interval(row: Row) -> str:
    r"""The interval of a share, from a row with low and high.

    >>> interval({"low": 0.667, "high": 0.93})
    '95\xa0% interval 67 to 93\xa0%'
    """
    return _(
        "{level} interval {interval}",
        level=numbers.NINETY_FIVE,
        interval=numbers.interval(row["low"], row["high"]),
    )


def with_interval(row: Row) -> str:
    r"""A share and its interval, from a row with rate, low and high.

    >>> with_interval({"rate": 0.8, "low": 0.667, "high": 0.93})
    '80\xa0%, 95\xa0% interval 67 to 93\xa0%'
    """
    return f"{numbers.percent(row['rate'])}, {interval(row)}"
