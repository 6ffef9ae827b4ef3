"""The links that would show the result of a trial before its end: they are left out until it is over.

A trial that looks at mood compares the days with and without its habit, and so does the link of that habit with mood.
Beside a result that is not shown before the end, the link would be a look that nobody counts.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple

import polars as pl

from journal import lots
from journal.language.catalogue import _n
from journal.settings import Settings, Trial
from journal.wording import numbers, trial_words


class WithheldLink(NamedTuple):
    """A habit whose links with mood are left out where they rest on days from `first` to `last`."""

    habit: str
    first: dt.date
    last: dt.date


def withheld(trials: Sequence[Trial], *, today: dt.date) -> tuple[WithheldLink, ...]:
    """The links of the trials that have begun and are not over, unless the result was asked for today.

    >>> walk = trial_words._PLAN
    >>> [len(withheld([walk], today=dt.date(2025, *day))) for day in ((2, 28), (3, 1), (4, 29), (4, 30), (5, 1))]
    [0, 1, 1, 1, 0]
    """
    return tuple(
        WithheldLink(trial.habit, trial.start, lots.last_drawn(trial) + dt.timedelta(days=trial.lag))
        for trial in trials
        if trial.outcome == "mood"
        and trial_words.phase(trial, today) in ("running", "waiting")
        and today not in trial.looked
    )


def of_days(links: Sequence[WithheldLink], first: dt.date, last: dt.date) -> list[WithheldLink]:
    """Those that rest on a day of a range.

    >>> link = WithheldLink("walk", dt.date(2025, 3, 1), dt.date(2025, 4, 30))
    >>> [len(of_days([link], dt.date(2025, month, 1), dt.date(2025, month, 28))) for month in (2, 3, 5)]
    [0, 1, 0]
    """
    return [link for link in links if link.first <= last and first <= link.last]


def told(events: pl.DataFrame, links: Sequence[WithheldLink]) -> pl.DataFrame:
    """The events of `link_record.record` without those that a trial has a day in: they come once it is over.

    >>> ends = [dt.date(2025, 2, 28), dt.date(2025, 3, 31), dt.date(2025, 3, 31)]
    >>> events = pl.DataFrame({"habit": ["walk", "walk", "read"], "date": ends})
    >>> told(events, [WithheldLink("walk", dt.date(2025, 3, 1), dt.date(2025, 4, 30))]).get_column("habit").to_list()
    ['walk', 'read']
    """
    for link in links:
        events = events.filter((pl.col("habit") != link.habit) | (pl.col("date") < link.first))
    return events


def without(frame: pl.DataFrame, links: Sequence[WithheldLink]) -> pl.DataFrame:
    """A frame with a column habit, without the habits of these links."""
    return frame.filter(~pl.col("habit").is_in([link.habit for link in links]))


def sentence(links: Sequence[WithheldLink], settings: Settings) -> str:
    """What is said in their place; empty for none, and for habits that are not in the settings.

    >>> sentence([], Settings(title="Small", places=()))
    ''
    """
    names = [numbers.quoted(settings.habit_name(key)) for key in dict.fromkeys(link.habit for link in links)]
    if not names:
        return ""
    return _n(
        "{habits} is left out until its trial by lot is over: its link with mood would be a look at the result.",
        "{habits} are left out until their trials by lot are over: their links with mood would be a look at the "
        "result.",
        len(names),
        habits=numbers.listed(names),
    )
