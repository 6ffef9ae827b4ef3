"""Texts about entries: days logged, mood summaries, tasks."""

from __future__ import annotations

from journal.frames import Row
from journal.settings import Scale
from journal.wording import dates, numbers

NO_DIAGNOSIS = "These are a journal's notes on how days felt. They diagnose nothing."


def rated(value: float, scale: Scale) -> str:
    """A value with its word, if the scale has one.

    >>> rated(4, Scale(words=("heavy", "low", "even", "good", "bright"))), rated(7, Scale(low=1, high=10))
    ('4 good', '7')
    """
    return f"{numbers.number(value)} {scale.word(float(value))}".strip()


def felt(row: Row, word: str = "mood") -> str:
    """A mood summary in one sentence, from a row of `mood.summary`.

    >>> felt({"n": 6, "days": 7, "mean": 3.5, "median": 3.5, "low_share": 1 / 6, "high_share": 0.5})
    'Mood was 3.5 on average over 6 of 7 days; 3 high days, 1 low day.'
    """
    if not row["n"]:
        return f"No {word} was noted."
    days = numbers.of(row["n"], row["days"], "day")
    high, low = (
        numbers.plural(count, f"{end} day") if (count := round(row["n"] * row[f"{end}_share"])) else f"no {end} day"
        for end in ("high", "low")
    )
    return f"{word.capitalize()} was {numbers.mean(row['mean'])} on average over {days}; {high}, {low}."


def logged(row: Row) -> str:
    """How many days were logged, from a row of `coverage.coverage`.

    >>> logged({"days": 31, "logged": 28, "longest_gap": 2})
    '28 of 31 days logged, at most 2 days missing in a row'
    >>> logged({"days": 7, "logged": 7, "longest_gap": 0})
    'all 7 days logged'
    """
    if row["logged"] == row["days"]:
        return f"all {numbers.plural(row['days'], 'day')} logged" if row["days"] > 1 else "one day, logged"
    if not row["logged"]:
        return f"none of {numbers.plural(row['days'], 'day')} logged"
    gap = f", at most {numbers.plural(row['longest_gap'], 'day')} missing in a row" if row["longest_gap"] > 1 else ""
    return f"{numbers.of(row['logged'], row['days'])} days logged{gap}"


def carried(times: int) -> str:
    """How often a task was carried over.

    >>> carried(0), carried(1), carried(2), carried(6)
    ('', 'carried once', 'carried twice', 'carried 6 times')
    """
    return f"carried {numbers.times(times)}" if times else ""


def task(row: Row) -> str:
    """Details of a task besides its title, from a row of `Tables.tasks`.

    >>> import datetime as dt
    >>> task({"rank": 2, "estimate": 45.0, "took": 60.0, "since": dt.date(2025, 3, 11), "date": dt.date(2025, 3, 14)})
    'rank 2 · estimated 45 min, took 1 h · since Tuesday 11 March'
    """
    time = [
        None if row["estimate"] is None else f"estimated {dates.minutes(row['estimate'])}",
        None if row["took"] is None else f"took {dates.minutes(row['took'])}",
    ]
    return numbers.joined(
        [
            f"rank {row['rank']}" if row["rank"] else None,
            numbers.joined(time, ", "),
            f"since {dates.day(row['since'])}" if row["since"] and row["since"] < row["date"] else None,
        ]
    )
