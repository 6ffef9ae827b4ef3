"""Texts about entries: days logged, mood summaries, tasks."""

from __future__ import annotations

from typing import Literal

from journal.frames import Row
from journal.language.catalogue import N_, _, _n, _p
from journal.settings import Scale
from journal.wording import dates, numbers

NO_DIAGNOSIS = N_("These are a journal's notes on how days felt. They diagnose nothing.")


def rated(value: float, scale: Scale) -> str:
    """A value with its word, if the scale has one.

    >>> rated(4, Scale(words=("heavy", "low", "even", "good", "bright"))), rated(7, Scale(low=1, high=10))
    ('4 good', '7')
    """
    return f"{numbers.number(value)} {scale.word(float(value))}".strip()


def felt(row: Row, scale: Literal["mood", "energy"] = "mood") -> str:
    """A mood summary in one sentence, from a row of `mood.summary`.

    >>> felt({"n": 6, "days": 7, "mean": 3.5, "median": 3.5, "low_share": 1 / 6, "high_share": 0.5})
    'Mood was 3.5 on average over 6 of 7 days; 3 high days, 1 low day.'
    """
    if not row["n"]:
        return _("No mood was noted.") if scale == "mood" else _("No energy was noted.")
    high, low = (round(row["n"] * row[f"{end}_share"]) for end in ("high", "low"))
    parts = {
        "mean": numbers.mean(row["mean"]),
        "days": numbers.of(row["n"], row["days"], "day"),
        "high": _n("{count} high day", "{count} high days", high) if high else _("no high day"),
        "low": _n("{count} low day", "{count} low days", low) if low else _("no low day"),
    }
    if scale == "mood":
        return _("Mood was {mean} on average over {days}; {high}, {low}.", **parts)
    return _("Energy was {mean} on average over {days}; {high}, {low}.", **parts)


def logged(row: Row) -> str:
    """How many days were logged, from a row of `coverage.coverage`.

    >>> logged({"days": 31, "logged": 28, "longest_gap": 2})
    '28 of 31 days logged, at most 2 days missing in a row'
    >>> logged({"days": 7, "logged": 7, "longest_gap": 0})
    'all 7 days logged'
    """
    if row["logged"] == row["days"]:
        if row["days"] == 1:
            return _("one day, logged")
        return _n("all {count} day logged", "all {count} days logged", row["days"])
    if not row["logged"]:
        return _n("none of {count} day logged", "none of {count} days logged", row["days"])
    share = {"logged": numbers.number(row["logged"]), "days": numbers.number(row["days"])}
    if (gap := row["longest_gap"]) < 2:
        return _("{logged} of {days} days logged", **share)
    return _n(
        "{logged} of {days} days logged, at most {count} day missing in a row",
        "{logged} of {days} days logged, at most {count} days missing in a row",
        gap,
        **share,
    )


def decision(code: str) -> str:
    """What was decided on a habit.

    >>> decision("keep")
    'keep'
    """
    words = {
        "keep": _p("decision on a habit", "keep"),
        "change": _p("decision on a habit", "change"),
        "rest": _p("decision on a habit", "rest"),
        "drop": _p("decision on a habit", "drop"),
    }
    return words.get(code, code)


def status(code: str) -> str:
    """How the page of a day left a task.

    >>> status("carried")
    'carried'
    """
    words = {
        "open": _p("of a task", "open"),
        "done": _p("of a task", "done"),
        "carried": _p("of a task", "carried"),
        "dropped": _p("of a task", "dropped"),
    }
    return words.get(code, code)


def carried(times: int) -> str:
    """How often a task was carried over.

    >>> carried(0), carried(1), carried(2), carried(6)
    ('', 'carried once', 'carried twice', 'carried 6 times')
    """
    return _("carried {times}", times=numbers.times(times)) if times else ""


def task(row: Row) -> str:
    """Details of a task besides its title, from a row of `Tables.tasks`.

    >>> import datetime as dt
    >>> task({"rank": 2, "estimate": 45.0, "took": 60.0, "since": dt.date(2025, 3, 11), "date": dt.date(2025, 3, 14)})
    'rank 2 · estimated 45 min, took 1 h · since Tuesday 11 March'
    """
    time = [
        None if row["estimate"] is None else _("estimated {time}", time=dates.minutes(row["estimate"])),
        None if row["took"] is None else _("took {time}", time=dates.minutes(row["took"])),
    ]
    return numbers.joined(
        [
            _("rank {number}", number=row["rank"]) if row["rank"] else None,
            numbers.joined(time, ", "),
            _("since {day}", day=dates.day(row["since"])) if row["since"] and row["since"] < row["date"] else None,
        ]
    )
