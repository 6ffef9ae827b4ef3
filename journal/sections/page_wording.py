"""Numbers and dates in a person's words. Short, plain and exact: no praise, no scolding, no advice.

Everything here is text, not HTML, and the same on a page, in print and in a test.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from itertools import groupby

from journal.frames import Row
from journal.periods import Period
from journal.settings import WEEKDAYS
from journal.wording import MONTH_NAMES, carried, clock, day, in_a_row, long_run, minutes, number, plural

__all__ = ["carried", "clock", "day", "minutes", "number", "plural"]  # these are said before there is a page, too

NO_DIAGNOSIS = "These are a journal's notes on how days felt. They diagnose nothing."


def joined(*parts: str | None, between: str = " · ") -> str:
    """The parts that are there, in a row.

    >>> joined("5 of 7 done", None, "13th in a row")
    '5 of 7 done · 13th in a row'
    """
    return between.join(part for part in parts if part)


def percent(share: float | None) -> str:
    """
    >>> percent(0.614), percent(None)
    ('61 %', '')
    """
    return "" if share is None else f"{round(100 * share)} %"


def day_of_month(date: dt.date) -> str:
    """A date whose month is known.

    >>> day_of_month(dt.date(2025, 3, 13))
    'Thursday 13'
    """
    return f"{WEEKDAYS[date.weekday()].capitalize()} {date.day}"


def stretch(first: dt.date, last: dt.date, *, year: bool = True) -> str:
    """A stretch of days, saying each thing once.

    >>> stretch(dt.date(2025, 3, 10), dt.date(2025, 3, 16)), stretch(dt.date(2025, 4, 28), dt.date(2025, 5, 4))
    ('10 to 16 March 2025', '28 April to 4 May 2025')
    >>> stretch(dt.date(2025, 12, 29), dt.date(2026, 1, 4)), stretch(dt.date(2025, 3, 3), dt.date(2025, 3, 3))
    ('29 December 2025 to 4 January 2026', '3 March 2025')
    """
    end = day(last, weekday=False, year=year or first.year != last.year)
    if first == last:
        return end
    if first.year != last.year:
        return f"{day(first, weekday=False, year=True)} to {end}"
    if first.month != last.month:
        return f"{day(first, weekday=False)} to {end}"
    return f"{first.day} to {end}"


def by_month(dates: Iterable[dt.date]) -> list[str]:
    """Days, a line a month.

    >>> by_month([dt.date(2025, 4, 1), dt.date(2025, 3, 7), dt.date(2025, 3, 4)])
    ['March 2025: 4, 7', 'April 2025: 1']
    """
    months = groupby(sorted(dates), key=lambda date: (date.year, date.month))
    return [
        f"{MONTH_NAMES[month - 1]} {year}: {', '.join(str(date.day) for date in days)}"
        for (year, month), days in months
    ]


def title(period: Period) -> str:
    """What a period is called.

    >>> from journal.periods import parse
    >>> [title(parse(name)) for name in ("2025-W11", "2025-03", "2025")]
    ['Week 11, 10 to 16 March 2025', 'March 2025', '2025']
    """
    if period.kind == "week":
        return f"Week {int(period.key[-2:])}, {stretch(period.first, period.last)}"
    if period.kind == "month":
        return f"{MONTH_NAMES[period.first.month - 1]} {period.first.year}"
    return str(period.first.year) if period.kind == "year" else day(period.first, year=True)


def streak_now(row: Row) -> str:
    """The running streak, from a row of `streaks.streaks`.

    >>> streak_now({"current": 13, "unit": "occasion"}), streak_now({"current": 3, "unit": "week"})
    ('13th in a row', '3rd week in a row')
    >>> streak_now({"current": 0, "unit": "week"}), streak_now({"current": 1, "unit": "occasion"})
    ('none running', '1st in a row')
    """
    return in_a_row(row["current"], row["unit"]) if row["current"] else "none running"


def streak_longest(row: Row, *, year: bool = True) -> str:
    """The longest streak with its dates, from a row of `streaks.streaks`.

    >>> streak_longest({"longest": 9, "unit": "occasion", "longest_from": dt.date(2025, 2, 1),
    ...                 "longest_to": dt.date(2025, 2, 9)})
    '9 in a row, 1 to 9 February 2025'
    """
    if not row["longest"]:
        return "none yet"
    return f"{long_run(row['longest'], row['unit'])}, {stretch(row['longest_from'], row['longest_to'], year=year)}"


def of(done: int, counted: int, per: str | None = None) -> str:
    """A count; of a quota, what is counted are weeks or months.

    >>> of(19, 31), of(24, 34, "week")
    ('19 of 31', '24 of 34 weeks')
    """
    return f"{done} of {plural(counted, per) if per else counted}"


def rate(row: Row, per: str | None = None) -> str:
    """A completion rate with its count and its 95 % interval, from a row of `completion.rates`.

    >>> rate({"done": 19, "counted": 31, "rate": 19 / 31, "low": 0.438, "high": 0.763})
    '19 of 31, 61 % (44 to 76 %)'
    >>> rate({"done": 0, "counted": 0, "rate": None, "low": None, "high": None})
    'nothing due'
    """
    if row["rate"] is None:
        return "nothing due"
    low, high = (round(100 * row[end]) for end in ("low", "high"))
    return f"{of(row['done'], row['counted'], per)}, {round(100 * row['rate'])} % ({low} to {high} %)"


def change(row: Row, before_that: str = "the month before") -> str:
    """What happened to a completion rate, from a row of `completion.changes`; what it is against, in words.

    >>> counts = {"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31}
    >>> change({**counts, "difference": 0.146, "clear": False})
    'no clear change: 14 of 30, then 19 of 31'
    >>> change({**counts, "difference": 0.146, "clear": True})
    'up from 14 of 30 to 19 of 31, clear'
    """
    before, after = row["counted_before"], row["counted_after"]
    if not before or not after:
        if after:
            return f"{of(row['done_after'], after)}; nothing due {before_that}"
        return f"nothing due; {of(row['done_before'], before)} {before_that}" if before else "nothing due"
    if not row["clear"]:
        return f"no clear change: {then_and_now(row)}"
    way = "up" if row["difference"] > 0 else "down"
    return f"{way} from {of(row['done_before'], before)} to {of(row['done_after'], after)}, clear"


def then_and_now(row: Row) -> str:
    """
    >>> then_and_now({"done_before": 14, "counted_before": 30, "done_after": 19, "counted_after": 31})
    '14 of 30, then 19 of 31'
    """
    before, after = of(row["done_before"], row["counted_before"]), of(row["done_after"], row["counted_after"])
    return f"{before}, then {after}"


def logged(row: Row) -> str:
    """How much was kept, from a row of `coverage.coverage`.

    >>> logged({"days": 31, "logged": 28, "longest_gap": 2})
    '28 of 31 days logged, at most 2 days missing in a row'
    >>> logged({"days": 7, "logged": 7, "longest_gap": 0})
    'all 7 days logged'
    """
    if row["logged"] == row["days"]:
        return f"all {row['days']} days logged" if row["days"] > 1 else "one day, logged"
    if not row["logged"]:
        return f"none of {plural(row['days'], 'day')} logged"
    gap = f", at most {plural(row['longest_gap'], 'day')} missing in a row" if row["longest_gap"] > 1 else ""
    return f"{of(row['logged'], row['days'])} days logged{gap}"


def felt(row: Row, word: str = "mood") -> str:
    """A mood summary in one sentence, from a row of `mood.summary`.

    >>> felt({"n": 6, "days": 7, "mean": 3.5, "median": 3.5, "low_share": 1 / 6, "high_share": 0.5})
    'Mood was 3.5 on average over 6 of 7 days; 3 high days, 1 low day.'
    """
    if not row["n"]:
        return f"No {word} was noted."
    high, low = (round(row["n"] * row[share]) for share in ("high_share", "low_share"))
    return (
        f"{word.capitalize()} was {row['mean']:.1f} on average over {row['n']} of {plural(row['days'], 'day')}; "
        f"{plural(high, 'high day') if high else 'no high day'}, {plural(low, 'low day') if low else 'no low day'}."
    )


def is_low(row: Row, low: float, high: float) -> bool:
    """Whether a period's mean lies in the lower two fifths of the scale, with three rated days or more.

    >>> is_low({"n": 5, "mean": 2.2}, 1, 5), is_low({"n": 2, "mean": 1}, 1, 5)
    (True, False)
    """
    return bool(row["n"] >= 3 and (row["mean"] - low) / (high - low) <= 0.4)


def added(row: Row, unit: str, aim: str) -> str:
    """What a counted habit came to, from a row of `completion.totals`.

    >>> added({"total": 530.0, "mean": 18.93, "days": 28, "best": 44.0, "best_date": dt.date(2025, 3, 9)},
    ...       "pages", "at least")
    '530 pages, 18.9 a logged day, most on 9 March: 44'
    """
    if row["total"] is None:
        return "no number noted"
    best = "least" if aim == "at most" else "most"
    return (
        f"{number(row['total'])} {unit}".rstrip()
        + f", {number(row['mean'])} a logged day, {best} on {day(row['best_date'], weekday=False)}: "
        + number(row["best"])
    )


def task(row: Row) -> str:
    """What is worth knowing of a task beside its title, from a row of `Tables.tasks`.

    >>> task({"rank": 2, "estimate": 45.0, "took": 60.0, "since": dt.date(2025, 3, 11), "date": dt.date(2025, 3, 14)})
    'rank 2 · estimated 45 min, took 1 h · since Tuesday 11 March'
    """
    time = []
    if row["estimate"] is not None:
        time.append(f"estimated {minutes(row['estimate'])}")
    if row["took"] is not None:
        time.append(f"took {minutes(row['took'])}")
    parts = [
        f"rank {row['rank']}" if row["rank"] else "",
        ", ".join(time),
        f"since {day(row['since'])}" if row["since"] and row["since"] < row["date"] else "",
    ]
    return " · ".join(part for part in parts if part)
