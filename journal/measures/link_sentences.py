"""One sentence per link: its size, its number of days, and no claim of a cause.

Two associated series may both depend on a third (a season, a free day), or the mood may come first. So a sentence uses
"goes with", and `WHAT_IT_SHOWS` explains how to learn more.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.language.catalogue import N_, _, _n
from journal.language.digits import signed
from journal.measures.false_discovery import CLEAR
from journal.measures.half_shift import arrangements, days_for_one
from journal.wording import dates, numbers
from journal.wording.trial_words import OF_THE_DAY

WHAT_IT_SHOWS = N_(
    "What goes together need not bring about the other: mood may come first, or both may follow the season or the "
    "kind of day. To know more, settle beforehand, by lot, on which days to do it, and compare those days."
)


def habit_link(row: Mapping[str, Any], name: str, *, what: str = "mood") -> str:
    """The sentence of a row of `links.links`. `what` is "mood" or "energy", or the name of what is compared.

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
        return _(
            "{habit}: too little to tell, with {with_it} and {without}; {needed} of each are needed.",
            habit=name,
            with_it=with_it,
            without=without,
            needed=row["needed"],
        )
    return _("{habit}: {means}; {verdict}.", habit=name, means=_means(row, what), verdict=_habit_verdict(row, what))


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
    claim = {
        "habit": name,
        "quantity": _quantity("mood", event["lag_days"], is_higher=event["higher"]),
        "month": dates.month(event["told"]),
    }
    done, missed = (lately.filter(pl.col("done") == side)["value"].to_list() for side in (True, False))
    if not (done and missed):
        return _("{habit}: its link with {quantity}, clear since {month}, no longer holds.", **claim)
    row = {
        "lag_days": event["lag_days"], "quota": lately["quota"].any(), "n_done": len(done), "n_missed": len(missed),
        "mean_done": sum(done) / len(done), "mean_missed": sum(missed) / len(missed),
    }  # fmt: skip
    return _(
        "{habit}: its link with {quantity}, clear since {month}, no longer holds: over {span}, {means}. That is "
        "clearly less than half of the difference found then.",
        span=dates.stretch(lately["date"].min(), lately["date"].max()),  # type: ignore[arg-type]
        means=_means(row, "mood"),
        **claim,
    )


def _means(row: Mapping[str, Any], what: str) -> str:
    """The mean on each side with its number of days."""
    done, missed = _distinct_texts(row["mean_done"], row["mean_missed"])
    with_it, without = _day_counts(row)
    values = {"what": _word(what), "done": done, "missed": missed, "with_it": with_it, "without": without}
    lag = row["lag_days"]
    if not lag:
        return _("{what} averaged {done} on {with_it} and {missed} on {without}", **values)
    if lag == 1:
        return _("{what} averaged {done} on the day after {with_it} and {missed} after {without}", **values)
    return _n(
        "{what} averaged {done} {count} day after {with_it} and {missed} after {without}",
        "{what} averaged {done} {count} days after {with_it} and {missed} after {without}",
        lag,
        **values,
    )


def _day_counts(row: Mapping[str, Any]) -> tuple[str, str]:
    done, missed = row["n_done"], row["n_missed"]
    with_it = _n("{count} day with it", "{count} days with it", done)
    if row["quota"]:
        return with_it, _n("{count} day without", "{count} days without", missed)
    return with_it, _n("{count} due day without", "{count} due days without", missed)


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
    both, n = _both(name, _word(what), row["lag_days"]), row["n"]
    if row["p"] is None and n < row["needed"]:
        return _n(
            "{both}: too little to tell, with {count} day; {needed} are needed.",
            "{both}: too little to tell, with {count} days; {needed} are needed.",
            n,
            both=both,
            needed=row["needed"],
        )
    if row["p"] is None:
        return _("{both}: one of them never changes.", both=both)
    return _n(
        "{both}, {count} day: rank correlation {correlation}; {verdict}.",
        "{both}, {count} days: rank correlation {correlation}; {verdict}.",
        n,
        both=both,
        correlation=_correlation(row),
        verdict=_driver_verdict(row, what, pairs),
    )


def _both(name: str, what: str, lag: int) -> str:
    if lag == 1:
        return _("{name} and {what} on the day after", name=name, what=what)
    if lag:
        return _n(
            "{name} and {what} {count} day after", "{name} and {what} {count} days after", lag, name=name, what=what
        )
    return _("{name} and {what}", name=name, what=what)


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
    word, needed = _word(what), row["needed_years"]
    if row["p"] is None and not row["years"]:
        return _n(
            "Day length and {what}: no calendar year has a {what} on half of its days yet; to tell, {count} such year "
            "are needed.",
            "Day length and {what}: no calendar year has a {what} on half of its days yet; to tell, {count} such years "
            "are needed.",
            needed,
            what=word,
        )
    if row["p"] is None and row["years"] < needed:
        return _n(
            "Day length and {what}: one year holds one winter; to tell, {needed} years with a {what} on half of their "
            "days are needed.",
            "Day length and {what}: {count} years are few; to tell, {needed} years with a {what} on half of their days "
            "are needed.",
            row["years"],
            what=word,
            needed=needed,
        )
    if row["p"] is None:
        return _("Day length and {what}: one of them never changes.", what=word)
    quantity = _quantity(what, 0, is_higher=row["correlation"] > 0)
    return _n(
        "Day length and {what}, {days} of {count} year: rank correlation {correlation}; {verdict}.",
        "Day length and {what}, {days} of {count} years: rank correlation {correlation}; {verdict}.",
        row["years"],
        what=word,
        days=_n("{count} day", "{count} days", row["n"]),
        correlation=_correlation(row),
        verdict=_("longer days went with {quantity}", quantity=quantity) if row["clear"] else _("no link seen"),
    )


def weekday_link(row: Mapping[str, Any], *, what: str = "mood") -> str:
    r"""The sentence of the row of `correlates.weekday`.

    >>> row = {"n": 351, "fewest": 48, "share": 0.016, "p": 0.34, "clear": False, "needed": 14}
    >>> weekday_link(row)
    'Weekdays and mood, 351 days: 2\xa0% of its spread lies between weekdays; no link seen.'
    >>> weekday_link(row | {"fewest": 3, "p": None})
    'Weekdays and mood: too little to tell, with 3 days of some weekday; 14 of each are needed.'
    """
    word = _word(what)
    if row["p"] is None and row["fewest"] < row["needed"]:
        return _n(
            "Weekdays and {what}: too little to tell, with {count} day of some weekday; {needed} of each are needed.",
            "Weekdays and {what}: too little to tell, with {count} days of some weekday; {needed} of each are needed.",
            row["fewest"],
            what=word,
            needed=row["needed"],
        )
    if row["p"] is None:
        return _("Weekdays and {what}: {what} never changes.", what=word)
    return _n(
        "Weekdays and {what}, {count} day: {share} of its spread lies between weekdays; {verdict}.",
        "Weekdays and {what}, {count} days: {share} of its spread lies between weekdays; {verdict}.",
        row["n"],
        what=word,
        share=numbers.percent(row["share"]),
        verdict=_("{what} went with the day of the week", what=word) if row["clear"] else _("no link seen"),
    )


def _word(what: str) -> str:
    """What is compared, as part of a sentence; any other name as given."""
    return _(OF_THE_DAY[what]) if what in OF_THE_DAY else what


def _quantity(what: str, lag: int, *, is_higher: bool) -> str:
    """The side of what is compared, as "higher mood on the day after", after "with"."""
    word = _word(what)
    quantity = _("higher {what}", what=word) if is_higher else _("lower {what}", what=word)
    if not lag:
        return quantity
    if lag == 1:
        return _("{quantity} on the day after", quantity=quantity)
    return _n("{quantity} {count} day after", "{quantity} {count} days after", lag, quantity=quantity)


def _distinct_texts(one: float, other: float) -> tuple[str, str]:
    """Both numbers with one decimal place, or with two if one place would make them equal."""
    places = 1 if f"{one:.1f}" != f"{other:.1f}" else 2
    return signed(f"{one:.{places}f}"), signed(f"{other:.{places}f}")


def _correlation(row: Mapping[str, Any]) -> str:
    return signed(f"{row['correlation']:.2f}")


def _habit_verdict(row: Mapping[str, Any], what: str) -> str:
    if row["clear"]:
        return _("it goes with {quantity}", quantity=_quantity(what, row["lag_days"], is_higher=row["difference"] > 0))
    by_these_days = row.get("q") is not None and row["q"] <= CLEAR
    if by_these_days:
        return _("no clear link yet: a look at every month's end needs more days")
    return _("no clear link")


def _driver_verdict(row: Mapping[str, Any], what: str, pairs: int) -> str:
    if row["clear"]:
        quantity = _quantity(what, row["lag_days"], is_higher=row["correlation"] > 0)
        return _("more of it went with {quantity}", quantity=quantity)
    needed = days_for_one(pairs)
    # At this p, n days have no rarer arrangement. Only more days could show a link.
    if row["n"] < needed and row["p_fine"] * arrangements(row["n"]) < 1.5:
        return _n(
            "no link seen yet: alone among {pairs} comparisons it would take {count} day",
            "no link seen yet: alone among {pairs} comparisons it would take {count} days",
            needed,
            pairs=pairs,
        )
    return _("no link seen")
