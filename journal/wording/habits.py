"""Texts about habits: marks, streaks, rates and changes, from the rows of their frames."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.frames import Row
from journal.language.catalogue import N_, _, _n
from journal.wording import dates, numbers

_STATES: Mapping[str, str] = {
    "done": N_("done"),
    "partial": N_("partly done"),
    "missed": N_("not done"),
    "rest": N_("rest"),
    "blank": N_("not recorded"),
    "pending": N_("still to come"),
    "not due": N_("not due"),
}

STATES = tuple(_STATES)
"""The states of a habit on a day."""


def state_word(state: str) -> str:
    """A state of a habit on a day.

    >>> state_word("blank")
    'not recorded'
    """
    return _(_STATES[state])


def extra_word() -> str:
    """A habit done on a day on which it was not due.

    >>> extra_word()
    'done, though not due'
    """
    return _("done, though not due")


def count_in_unit(count: int, unit: str) -> str:
    """A count in the unit of a streak or an occasion: "occasion" counts times.

    >>> count_in_unit(3, "occasion"), count_in_unit(1, "week")
    ('3 times', '1 week')
    """
    if unit == "day":
        return _n("{count} day", "{count} days", count)
    if unit == "week":
        return _n("{count} week", "{count} weeks", count)
    if unit == "month":
        return _n("{count} month", "{count} months", count)
    return _n("{count} time", "{count} times", count)


def mark(row: Mapping[str, Any]) -> str:
    """The state of a day from a row of states, with number and target for a counted habit.

    >>> mark({"state": "partial", "mark": "number", "value": 12.0, "target": 20.0, "aim": "at least"})
    'partly done, 12 of 20'
    >>> mark({"state": "not due", "mark": "done", "value": None, "target": None, "aim": None})
    'done, though not due'
    """
    state, value, target = row["state"], row.get("value"), row.get("target")
    words = extra_word() if is_extra(row) else state_word(state)
    if value is None or row.get("mark") != "number":
        return words
    if target is None:
        return f"{words}, {numbers.number(value)}"
    counts = {"state": words, "number": numbers.number(value), "target": numbers.number(target)}
    if row.get("aim") == "at most":
        return _("{state}, {number} of at most {target}", **counts)
    return _("{state}, {number} of {target}", **counts)


def is_extra(row: Mapping[str, Any]) -> bool:
    """Whether a row of states has a habit done on a day on which it was not due."""
    done = row.get("mark") == "done" or (row.get("mark") == "number" and (row.get("value") or 0) > 0)
    return bool(row["state"] == "not due" and done)


def in_a_row(count: int, unit: str = "occasion") -> str:
    """What a mark makes of a streak, as an ordinal in its unit: "occasion", "week" or "month". One is no streak yet.

    >>> in_a_row(13), in_a_row(4, "week"), in_a_row(1)
    ('13th in a row', '4th week in a row', 'done')
    """
    if count < 2:
        return state_word("done")
    number = numbers.ordinal(count)
    if unit == "week":
        return _("{number} week in a row", number=number)
    return _("{number} month in a row", number=number) if unit == "month" else _("{number} in a row", number=number)


def long_run(count: int, unit: str = "occasion") -> str:
    """A streak as a length in its unit.

    >>> long_run(13), long_run(1, "week"), long_run(3, "week")
    ('13 in a row', '1 week in a row', '3 weeks in a row')
    """
    if unit == "week":
        return _n("{count} week in a row", "{count} weeks in a row", count)
    if unit == "month":
        return _n("{count} month in a row", "{count} months in a row", count)
    return _("{count} in a row", count=numbers.number(count))


def running_streak(row: Row) -> str:
    """The running streak, from a row of `streaks.streaks`.

    It is told by its length. An ordinal would count a week that still runs as met, and beside "nothing due" it would
    read as so many failures.

    >>> running_streak({"current": 13, "unit": "occasion"}), running_streak({"current": 3, "unit": "week"})
    ('streak of 13', 'streak of 3 weeks')
    >>> running_streak({"current": 1, "unit": "month", "pending": True})
    'streak of 1 month before this one'
    >>> running_streak({"current": 0, "unit": "week"}), running_streak({"current": 1, "unit": "occasion"})
    ('none running', 'just begun')
    """
    count, unit = row["current"], row["unit"]
    if not count:
        return _("none running")
    if unit == "occasion":
        return _("streak of {count}", count=count) if count > 1 else _("just begun")
    if row.get("pending"):
        if unit == "week":
            return _n("streak of {count} week before this one", "streak of {count} weeks before this one", count)
        return _n("streak of {count} month before this one", "streak of {count} months before this one", count)
    if unit == "week":
        return _n("streak of {count} week", "streak of {count} weeks", count)
    return _n("streak of {count} month", "streak of {count} months", count)


def longest_streak(row: Row, *, year: bool = True) -> str:
    """The longest streak with its dates, from a row of `streaks.streaks`.

    >>> import datetime as dt
    >>> longest_streak({"longest": 9, "unit": "occasion", "longest_from": dt.date(2025, 2, 1),
    ...                 "longest_to": dt.date(2025, 2, 9)})
    '9 in a row, 1 to 9 February 2025'
    """
    if not row["longest"]:
        return _("none yet")
    days = dates.stretch(row["longest_from"], row["longest_to"], year=year)
    return f"{long_run(row['longest'], row['unit'])}, {days}"


def rate(row: Row, per: str | None = None) -> str:
    r"""A completion rate with its count and its 95 % interval, from a row of `completion.rates`.

    >>> rate({"done": 19, "counted": 31, "rate": 19 / 31, "low": 0.438, "high": 0.763})
    '19 of 31, 61\xa0% (44 to 76\xa0%)'
    >>> rate({"rate": None, "due": 1, "pending": 1, "rest": 0}, "month"), rate({"rate": None, "due": 0})
    ('still running', 'nothing due')
    """
    if row["rate"] is None:
        return without_rate(row, per)
    spread = numbers.interval(row["low"], row["high"])
    return f"{numbers.of(row['done'], row['counted'], per)}, {numbers.percent(row['rate'])} ({spread})"


def without_rate(row: Row, per: str | None = None) -> str:
    """Why a row of `completion.rates` has no rate.

    >>> [without_rate({"due": 4, "pending": 1, "rest": 3}, per) for per in (None, "week")]
    ['still to come', 'still running']
    >>> without_rate({"due": 4, "pending": 0, "rest": 4}), without_rate({"due": 0})
    ('rest', 'nothing due')
    >>> without_rate({"due": 4, "counted": 4, "pending": 0, "rest": 0})
    'not recorded'
    """
    if not row["due"]:
        return _("nothing due")
    if row.get("counted"):
        return state_word("blank")
    if row["pending"]:
        return _("still running") if per else state_word("pending")
    return state_word("rest")


def total(row: Row, unit: str, aim: str, per: str | None = None) -> str:
    """The total of a counted habit, from a row of `completion.totals`. `per` is that of a quota habit.

    >>> import datetime as dt
    >>> total({"total": 530.0, "mean": 18.93, "days": 28, "best": 44.0, "best_date": dt.date(2025, 3, 9)},
    ...       "pages", "at least")
    '530 pages, 18.9 a logged due day, most on 9 March: 44'
    """
    if row["total"] is None:
        return _("no number noted")
    best_day = {"date": dates.day(row["best_date"], weekday=False), "number": numbers.number(row["best"])}
    best = _("least on {date}: {number}", **best_day) if aim == "at most" else _("most on {date}: {number}", **best_day)
    mean = None
    if row["mean"] is not None:
        number = numbers.number(row["mean"])
        mean = (
            _("{number} a day with a number", number=number) if per else _("{number} a logged due day", number=number)
        )
    return numbers.joined([f"{numbers.number(row['total'])} {unit}".rstrip(), mean, best], ", ")
