"""Texts about habits: marks, streaks, rates and changes, from the rows of their frames."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.frames import Row
from journal.wording import dates, numbers

STATE_WORDS: Mapping[str, str] = {
    "done": "done",
    "partial": "partly done",
    "missed": "not done",
    "rest": "rest",
    "blank": "not recorded",
    "pending": "still to come",
    "not due": "not due",
}

UNIT_NOUNS: Mapping[str, str] = {"day": "day", "occasion": "time", "week": "week", "month": "month"}
"""Noun of the counted unit, by the unit of a streak or an occasion."""


def mark(row: Mapping[str, Any]) -> str:
    """The state of a day from a row of states, with number and target for a counted habit.

    >>> mark({"state": "partial", "mark": "number", "value": 12.0, "target": 20.0, "aim": "at least"})
    'partly done, 12 of 20'
    >>> mark({"state": "not due", "mark": "done", "value": None, "target": None, "aim": None})
    'done, though not due'
    """
    state, value, target = row["state"], row.get("value"), row.get("target")
    words = "done, though not due" if is_extra(row) else STATE_WORDS[state]
    if value is None or row.get("mark") != "number":
        return words
    if target is None:
        return f"{words}, {numbers.number(value)}"
    limit = "at most " if row.get("aim") == "at most" else ""
    return f"{words}, {numbers.number(value)} of {limit}{numbers.number(target)}"


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
        return "done"
    return f"{numbers.ordinal(count)}{'' if unit == 'occasion' else f' {unit}'} in a row"


def long_run(count: int, unit: str = "occasion") -> str:
    """A streak as a length in its unit.

    >>> long_run(13), long_run(1, "week"), long_run(3, "week")
    ('13 in a row', '1 week in a row', '3 weeks in a row')
    """
    return f"{numbers.number(count) if unit == 'occasion' else numbers.plural(count, unit)} in a row"


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
        return "none running"
    if unit == "occasion":
        return f"streak of {count}" if count > 1 else "just begun"
    return f"streak of {numbers.plural(count, unit)}" + (" before this one" if row.get("pending") else "")


def longest_streak(row: Row, *, year: bool = True) -> str:
    """The longest streak with its dates, from a row of `streaks.streaks`.

    >>> import datetime as dt
    >>> longest_streak({"longest": 9, "unit": "occasion", "longest_from": dt.date(2025, 2, 1),
    ...                 "longest_to": dt.date(2025, 2, 9)})
    '9 in a row, 1 to 9 February 2025'
    """
    if not row["longest"]:
        return "none yet"
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
        return "nothing due"
    if row.get("counted"):
        return STATE_WORDS["blank"]
    if row["pending"]:
        return "still running" if per else STATE_WORDS["pending"]
    return STATE_WORDS["rest"]


def change(row: Row, before_that: str = "the month before") -> str:
    """The change of a completion rate, from a row of `completion.changes`. `before_that` names the earlier period.

    >>> counts = {"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31}
    >>> change({**counts, "difference": 0.146, "clear": False})
    'no clear change: 14 of 30, then 19 of 31'
    >>> change({**counts, "difference": 0.146, "clear": True})
    'up from 14 of 30 to 19 of 31, clear'
    >>> unknown = {**counts, "rate_before": 14 / 30, "rate_after": None, "difference": None, "clear": None}
    >>> [change({**unknown, "counted_after": after}).partition(";")[0] for after in (None, 0, 31)]
    ['nothing due', 'nothing to count', 'not recorded']
    """
    before, after = row["counted_before"], row["counted_after"]
    if row["difference"] is None:
        then, now = _share(row, "before"), _share(row, "after")
        return f"{now}; {then} {before_that}" if before or after else now
    if not row["clear"]:
        return f"no clear change: {then_and_now(row)}"
    direction = "up" if row["difference"] > 0 else "down"
    return f"{direction} from {numbers.of(row['done_before'], before)} to {numbers.of(row['done_after'], after)}, clear"


def before(row: Row) -> str:
    """The count of the period before, from a row of `completion.changes`, with the direction of a clear change.

    >>> counts = {"done_before": 14, "counted_before": 30, "rate_before": 14 / 30, "difference": 0.4}
    >>> before({**counts, "clear": True}), before({**counts, "clear": False})
    ('up from 14 of 30', '14 of 30')
    >>> before({**counts, "counted_before": None, "difference": None, "clear": None})
    'nothing due'
    """
    if not row["clear"]:
        return _share(row, "before")
    return f"{'up' if row['difference'] > 0 else 'down'} from {_share(row, 'before')}"


def _share(row: Row, side: str) -> str:
    """One of two counts, or why there is none: null where nothing was due, 0 where all of it was rest or is to come."""
    counted = row[f"counted_{side}"]
    if not counted:
        return "nothing due" if counted is None else "nothing to count"
    if row[f"rate_{side}"] is None:
        return STATE_WORDS["blank"]
    return numbers.of(row[f"done_{side}"], counted)


def then_and_now(row: Row) -> str:
    """Two counts of a habit, the earlier one first, from a row of `completion.changes`.

    >>> then_and_now({"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31})
    '14 of 30, then 19 of 31'
    """
    before = numbers.of(row["done_before"], row["counted_before"])
    return f"{before}, then {numbers.of(row['done_after'], row['counted_after'])}"


def total(row: Row, unit: str, aim: str, per: str | None = None) -> str:
    """The total of a counted habit, from a row of `completion.totals`. `per` is that of a quota habit.

    >>> import datetime as dt
    >>> total({"total": 530.0, "mean": 18.93, "days": 28, "best": 44.0, "best_date": dt.date(2025, 3, 9)},
    ...       "pages", "at least")
    '530 pages, 18.9 a logged due day, most on 9 March: 44'
    """
    if row["total"] is None:
        return "no number noted"
    best = "least" if aim == "at most" else "most"
    mean = None
    if row["mean"] is not None:
        mean = f"{numbers.number(row['mean'])} a {'day with a number' if per else 'logged due day'}"
    return numbers.joined(
        [
            f"{numbers.number(row['total'])} {unit}".rstrip(),
            mean,
            f"{best} on {dates.day(row['best_date'], weekday=False)}: {numbers.number(row['best'])}",
        ],
        ", ",
    )
