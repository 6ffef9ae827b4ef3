"""One sentence per link: its size, its number of days, and no claim of a cause.

Two associated series may both depend on a third (a season, a free day), or the mood may come first. So a sentence uses
"goes with", and `WHAT_IT_SHOWS` explains how to learn more.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.measures.false_discovery import CLEAR
from journal.measures.half_shift import arrangements, days_for_one
from journal.wording import dates, numbers

WHAT_IT_SHOWS = (
    "What goes together need not bring about the other: mood may come first, or both may follow the season or the "
    "kind of day. To know more, settle beforehand, by lot, on which days to do it, and compare those days."
)


def habit_link(row: Mapping[str, Any], name: str, *, what: str = "mood") -> str:
    """The sentence of a row of `links.links`.

    >>> row = {"lag_days": 0, "n_done": 180, "n_missed": 90, "mean_done": 3.41, "mean_missed": 2.88, "difference": 0.53,
    ...        "p": 0.0037, "p_fine": 0.0001, "clear": True, "needed": 14, "quota": False}
    >>> habit_link(row, "Walk")
    'Walk: mood averaged 3.4 on 180 days with it and 2.9 on 90 due days without; it goes with higher mood.'
    >>> habit_link(row | {"clear": False, "q": 0.02}, "Walk").partition("; ")[2]
    "no clear link yet: a look at every month's end needs more days."
    >>> habit_link(row | {"lag_days": 1, "clear": False, "quota": True}, "Swim")
    'Swim: mood averaged 3.4 on the day after 180 days with it and 2.9 after 90 days without; no clear link.'
    >>> habit_link(row | {"n_missed": 4, "p": None}, "Stock count")
    'Stock count: too little to tell, with 180 days with it and 4 due days without; 14 of each are needed.'
    """
    if row["p"] is None:
        with_it, without = _day_counts(row)
        return f"{name}: too little to tell, with {with_it} and {without}; {row['needed']} of each are needed."
    return f"{name}: {_means(row, what)}; {_habit_verdict(row, what)}."


def ended_link(event: Mapping[str, Any], name: str, lately: pl.DataFrame) -> str:
    """The sentence of a link that no longer holds.

    In: its row of `link_record.record`; `lately`, the rows of `compared` of its habit that are described.

    >>> import datetime as dt
    >>> event = {"lag_days": 0, "higher": True, "told": dt.date(2025, 4, 30)}
    >>> lately = pl.DataFrame({"date": pl.date_range(dt.date(2026, 1, 1), dt.date(2026, 12, 31), eager=True),
    ...     "done": [True, False, False, True, False] * 73, "value": [3.0, 3.2, 2.8, 3.0, 3.1] * 73, "quota": False})
    >>> ended_link(event, "Walk", lately)  # doctest: +NORMALIZE_WHITESPACE
    'Walk: its link with higher mood, clear since April 2025, no longer holds: over 1 January to 31 December
    2026, mood averaged 3.00 on 146 days with it and 3.03 on 219 due days without. That is clearly less than half of the
    difference found then.'
    """
    quantity = f"{'higher' if event['higher'] else 'lower'} mood"
    later = f" {_later(event['lag_days'])}" if event["lag_days"] else ""
    claim = f"{name}: its link with {quantity}{later}, clear since {dates.month(event['told'])}, no longer holds"
    done, missed = (lately.filter(pl.col("done") == side)["value"].to_list() for side in (True, False))
    if not (done and missed):
        return f"{claim}."
    span = dates.stretch(lately["date"].min(), lately["date"].max())  # type: ignore[arg-type]
    row = {
        "lag_days": event["lag_days"], "quota": lately["quota"].any(), "n_done": len(done), "n_missed": len(missed),
        "mean_done": sum(done) / len(done), "mean_missed": sum(missed) / len(missed),
    }  # fmt: skip
    return f"{claim}: over {span}, {_means(row)}. That is clearly less than half of the difference found then."


def _means(row: Mapping[str, Any], what: str = "mood") -> str:
    """The mean on each side with its number of days."""
    done, missed = _distinct_texts(row["mean_done"], row["mean_missed"])
    with_it, without = _day_counts(row)
    if row["lag_days"]:
        return f"{what} averaged {done} {_later(row['lag_days'])} {with_it} and {missed} after {without}"
    return f"{what} averaged {done} on {with_it} and {missed} on {without}"


def _day_counts(row: Mapping[str, Any]) -> tuple[str, str]:
    without = numbers.plural(row["n_missed"], "day" if row["quota"] else "due day")
    return f"{numbers.plural(row['n_done'], 'day')} with it", f"{without} without"


def driver_link(row: Mapping[str, Any], name: str, *, what: str = "mood", pairs: int = 0) -> str:
    """The sentence of a row of `correlates.drivers` or `season.day_length`.

    `pairs` is the number of comparisons on the page (0: do not mention it). It speaks of these days only: a link that
    is "clear" is one of a habit, over the life of the journal.

    >>> row = {"lag_days": 0, "n": 288, "correlation": 0.414, "p": 0.0035, "p_fine": 0.0001,
    ...        "clear": True, "needed": 28}
    >>> driver_link(row, "Energy")
    'Energy and mood, 288 days: rank correlation 0.41; more of it went with higher mood.'
    >>> driver_link(row | {"lag_days": 1, "clear": False}, "Energy")
    'Energy and mood on the day after, 288 days: rank correlation 0.41; no link seen.'
    >>> driver_link(row | {"n": 9, "p": None}, "Sleep"), driver_link(row | {"p": None}, "Sleep")
    ('Sleep and mood: too little to tell, with 9 days; 28 are needed.', 'Sleep and mood: one of them never changes.')
    """
    if row.get("years") is not None:
        return day_length_link(row, what=what)
    both = f"{name} and {what}" + (f" {_later(row['lag_days'])}" if row["lag_days"] else "")
    if row["p"] is None and row["n"] < row["needed"]:
        return f"{both}: too little to tell, with {numbers.plural(row['n'], 'day')}; {row['needed']} are needed."
    if row["p"] is None:
        return f"{both}: one of them never changes."
    verdict = _driver_verdict(row, what, pairs)
    return f"{both}, {numbers.plural(row['n'], 'day')}: rank correlation {row['correlation']:.2f}; {verdict}."


def day_length_link(row: Mapping[str, Any], *, what: str = "mood") -> str:
    """The sentence of the row of `season.day_length`.

    >>> row = {"n": 1040, "years": 3, "needed_years": 3, "correlation": 0.312, "p": 0.0005, "clear": True}
    >>> day_length_link(row)
    'Day length and mood, 1,040 days of 3 years: rank correlation 0.31; longer days went with higher mood.'
    >>> day_length_link(row | {"years": 1, "p": None})
    'Day length and mood: one year holds one winter; to tell, 3 years with a mood on half of their days are needed.'
    >>> day_length_link(row | {"years": 0, "p": None})
    'Day length and mood: no calendar year has a mood on half of its days yet; to tell, 3 such years are needed.'
    """
    both = f"Day length and {what}"
    if row["p"] is None and row["years"] < row["needed_years"]:
        if not row["years"]:
            needed = numbers.plural(row["needed_years"], "such year")
            return f"{both}: no calendar year has a {what} on half of its days yet; to tell, {needed} are needed."
        few = "one year holds one winter" if row["years"] == 1 else f"{row['years']} years are few"
        needed = numbers.plural(row["needed_years"], "year")
        return f"{both}: {few}; to tell, {needed} with a {what} on half of their days are needed."
    if row["p"] is None:
        return f"{both}: one of them never changes."
    verdict = f"longer days went with {_direction(row['correlation'])} {what}"
    days = f"{numbers.plural(row['n'], 'day')} of {numbers.plural(row['years'], 'year')}"
    return f"{both}, {days}: rank correlation {row['correlation']:.2f}; {verdict if row['clear'] else 'no link seen'}."


def weekday_link(row: Mapping[str, Any], *, what: str = "mood") -> str:
    r"""The sentence of the row of `correlates.weekday`.

    >>> row = {"n": 351, "fewest": 48, "share": 0.016, "p": 0.34, "clear": False, "needed": 14}
    >>> weekday_link(row)
    'Weekdays and mood, 351 days: 2\xa0% of its spread lies between weekdays; no link seen.'
    >>> weekday_link(row | {"fewest": 3, "p": None})
    'Weekdays and mood: too little to tell, with 3 days of some weekday; 14 of each are needed.'
    """
    both = f"Weekdays and {what}"
    if row["p"] is None and row["fewest"] < row["needed"]:
        few = numbers.plural(row["fewest"], "day")
        return f"{both}: too little to tell, with {few} of some weekday; {row['needed']} of each are needed."
    if row["p"] is None:
        return f"{both}: {what} never changes."
    verdict = f"{what} went with the day of the week" if row["clear"] else "no link seen"
    share = f"{numbers.percent(row['share'])} of its spread lies between weekdays"
    return f"{both}, {numbers.plural(row['n'], 'day')}: {share}; {verdict}."


def _later(days: int) -> str:
    return "on the day after" if days == 1 else f"{days} days after"


def _distinct_texts(one: float, other: float) -> tuple[str, str]:
    """Both numbers with one decimal place, or with two if one place would make them equal."""
    places = 1 if f"{one:.1f}" != f"{other:.1f}" else 2
    return f"{one:.{places}f}", f"{other:.{places}f}"


def _habit_verdict(row: Mapping[str, Any], what: str) -> str:
    if row["clear"]:
        then = f" {_later(row['lag_days'])}" if row["lag_days"] else ""
        return f"it goes with {_direction(row['difference'])} {what}{then}"
    by_these_days = row.get("q") is not None and row["q"] <= CLEAR
    return "no clear link yet: a look at every month's end needs more days" if by_these_days else "no clear link"


def _driver_verdict(row: Mapping[str, Any], what: str, pairs: int) -> str:
    if row["clear"]:
        then = f" {_later(row['lag_days'])}" if row["lag_days"] else ""
        return f"more of it went with {_direction(row['correlation'])} {what}{then}"
    needed = days_for_one(pairs)
    # At this p, n days have no rarer arrangement. Only more days could show a link.
    if row["n"] < needed and row["p_fine"] * arrangements(row["n"]) < 1.5:
        return f"no link seen yet: alone among {pairs} comparisons it would take {needed} days"
    return "no link seen"


def _direction(size: float) -> str:
    return "higher" if size > 0 else "lower"
