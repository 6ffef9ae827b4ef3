"""Texts about the change of a habit's completion rate, from the rows of `completion.changes`."""

from __future__ import annotations

from typing import Literal

from journal.frames import Row
from journal.language.catalogue import _
from journal.wording import numbers
from journal.wording.habits import state_word


def change(row: Row, than: Literal["the month before", "before"] = "the month before") -> str:
    """The change of a completion rate, from a row of `completion.changes`. `than` is the earlier period.

    Where days that were not logged matter to it, the counts among logged days stand beside it.

    >>> counts = {"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31}
    >>> logged = {"logged_before": 30, "logged_after": 31}
    >>> change({**counts, **logged, "difference": 0.146, "clear": False})
    'no clear change: 14 of 30, then 19 of 31'
    >>> change({**counts, **logged, "difference": 0.146, "clear": True})
    'up from 14 of 30 to 19 of 31, clear'
    >>> change({**counts, **logged, "logged_before": 15, "unit": "occasion", "difference": 0.146, "clear": False})
    'no clear change: 14 of 30, then 19 of 31; among logged days 14 of 15, then 19 of 31'
    >>> unknown = {**counts, "rate_before": 14 / 30, "rate_after": None, "difference": None, "clear": None}
    >>> [change({**unknown, "counted_after": after}).partition(";")[0] for after in (None, 0, 31)]
    ['nothing due', 'nothing to count', 'not recorded']
    """
    before, after = row["counted_before"], row["counted_after"]
    if row["difference"] is None:
        then, now = _share(row, "before"), _share(row, "after")
        if not (before or after):
            return now
        if than == "before":
            return _("{now}; {then} before", now=now, then=then)
        return _("{now}; {then} the month before", now=now, then=then)
    if not row["clear"]:
        unclear = _("no clear change: {counts}", counts=then_and_now(row))
        return numbers.joined([unclear, among_logged(row)], "; ")
    counts = {
        "before": numbers.of(row["done_before"], before),
        "after": numbers.of(row["done_after"], after),
    }
    is_up = row["difference"] > 0
    clear = (
        _("up from {before} to {after}, clear", **counts)
        if is_up
        else _("down from {before} to {after}, clear", **counts)
    )
    return numbers.joined([clear, among_logged(row)], "; ")


BLANKS_MATTER = 0.05
"""The least difference that blank days make to a change, in points of a rate, for a sentence (our choice)."""


def among_logged(row: Row) -> str:
    """The two counts among logged occasions, from a row of `completion.changes`.

    It is empty where the blanks move the change by less than `BLANKS_MATTER`: the whole is then as good.

    >>> counts = {"unit": "week", "done_before": 3, "counted_before": 4, "done_after": 2, "counted_after": 5}
    >>> among_logged({**counts, "logged_before": 4, "logged_after": 2})
    'among logged weeks 3 of 4, then 2 of 2'
    """
    sides = ("before", "after")
    shares = [[row[f"done_{side}"] / row[f"{of}_{side}"] for side in sides] for of in ("counted", "logged")]
    (whole_before, whole_after), (before, after) = shares
    if abs((after - before) - (whole_after - whole_before)) < BLANKS_MATTER:
        return ""
    then, now = (numbers.of(row[f"done_{side}"], row[f"logged_{side}"]) for side in sides)
    if row["unit"] == "week":
        return _("among logged weeks {then}, then {now}", then=then, now=now)
    if row["unit"] == "month":
        return _("among logged months {then}, then {now}", then=then, now=now)
    return _("among logged days {then}, then {now}", then=then, now=now)


def before(row: Row) -> str:
    """The count of the period before, from a row of `completion.changes`, with the direction of a clear change.

    Where the interval excludes zero but not that among logged days, it gives the number of blanks.

    >>> counts = {"done_before": 14, "counted_before": 30, "rate_before": 14 / 30, "done_after": 17, "difference": 0.4}
    >>> logged = {"low": 0.2, "high": 0.6, "logged_low": 0.2, "logged_high": 0.6}
    >>> before({**counts, **logged, "clear": True}), before({**counts, **logged, "clear": False})
    ('up from 14 of 30', '14 of 30')
    >>> few = {"logged_low": -0.1, "logged_high": 0.2, "counted_after": 31, "logged_before": 30, "logged_after": 17}
    >>> before({**counts, **logged, **few, "clear": False})
    '14 of 30, unclear: 14 blank'
    >>> before({**counts, "counted_before": None, "difference": None, "clear": None})
    'nothing due'
    """
    share = _share(row, "before")
    if row["clear"]:
        return _("up from {share}", share=share) if row["difference"] > 0 else _("down from {share}", share=share)
    if row["difference"] is None or row["low"] <= 0 <= row["high"] or not row["logged_low"] <= 0 <= row["logged_high"]:
        return share
    blank = sum(row[f"counted_{side}"] - row[f"logged_{side}"] for side in ("before", "after"))
    return _("{share}, unclear: {count} blank", share=share, count=blank)


def _share(row: Row, side: str) -> str:
    """One of two counts, or why there is none: null where nothing was due, 0 where all of it was rest or is to come."""
    counted = row[f"counted_{side}"]
    if not counted:
        return _("nothing due") if counted is None else _("nothing to count")
    if row[f"rate_{side}"] is None:
        return state_word("blank")
    return numbers.of(row[f"done_{side}"], counted)


def then_and_now(row: Row) -> str:
    """Two counts of a habit, the earlier one first, from a row of `completion.changes`.

    >>> then_and_now({"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31})
    '14 of 30, then 19 of 31'
    """
    before = numbers.of(row["done_before"], row["counted_before"])
    return _("{before}, then {after}", before=before, after=numbers.of(row["done_after"], row["counted_after"]))
