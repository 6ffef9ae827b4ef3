"""One sentence about the value of a measure in a period, with its n and its comparison."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from journal.frames import Row
from journal.measures.finding_facts import CARRIED, PLAN, REGULARITY, SPREAD
from journal.periods import PeriodKind
from journal.settings import Settings
from journal.wording import dates, numbers


class ValueText(NamedTuple):
    """The text of a value: the claim, a formatter of the value alone, and the words for lower and higher values."""

    claim: str
    short: Callable[[float], str]
    less: tuple[str, str]
    more: tuple[str, str]


_LOW, _HIGH = ("low", "lower"), ("high", "higher")
_LITTLE, _MUCH = ("little", "less"), ("much", "more")
_UNIT_NOUNS = {"week": "week", "month": "month"}


def value_text(row: Row, settings: Settings) -> ValueText:  # noqa: PLR0911 (one line a measure)
    """The text of a row of `finding_facts.series`."""
    n, value, measure, subject = row["n"], row["value"], row["measure"], row["subject"]
    if measure == "rates":
        noun = _UNIT_NOUNS.get(row["unit"])
        done = numbers.of(row["amount"], row["out_of"], noun)
        claim = f"{settings.habit_name(subject)}: {done} done ({numbers.percent(value)})"
        return ValueText(claim, numbers.percent, _LOW, _HIGH)
    if measure in ("mood", "energy"):
        rated = numbers.plural(n, "day") + " on which it was noted"
        if subject == SPREAD:
            claim = f"The spread of {measure} was {value:.2f} (standard deviation, {rated})"
            return ValueText(claim, lambda v: f"{v:.2f}", _LOW, _HIGH)
        return ValueText(f"{measure.capitalize()} averaged {numbers.mean(value)} on {rated}", numbers.mean, _LOW, _HIGH)
    if measure == "sleep" and subject == REGULARITY:
        claim = f"Sleep regularity was {value:.0f} over {numbers.plural(n, 'pair')} of days"
        return ValueText(claim, lambda v: f"{v:.0f}", _LOW, _HIGH)
    if measure == "sleep":
        claim = f"{numbers.plural(n, 'night')} averaged {dates.minutes(value)} of sleep"
        return ValueText(claim, dates.minutes, _LITTLE, _MUCH)
    if measure == "hours" and row["unit"] == PLAN:
        amounts = f"{dates.minutes(row['amount'])} of {dates.minutes(row['out_of'])}, {numbers.plural(n, 'day')}"
        claim = f"{numbers.percent(value)} of planned time went as planned ({amounts})"
        return ValueText(claim, numbers.percent, _LITTLE, _MUCH)
    if measure == "hours":
        name = next((c.name for c in settings.categories if c.key == subject), subject)
        claim = f"{name} took {dates.minutes(value)} a day, over {numbers.plural(n, 'day')} whose hours were written"
        return ValueText(claim, dates.minutes, _LITTLE, _MUCH)
    if measure == "tasks" and subject == CARRIED:
        carried = numbers.of(row["amount"], n, "task")
        claim = f"{carried} on the days' pages ({numbers.percent(value)}) were carried on"
        return ValueText(claim, numbers.percent, _LITTLE, _MUCH)
    if measure == "tasks":
        claim = f"{numbers.plural(n, 'task')} {'was' if n == 1 else 'were'} waiting at the end"
        return ValueText(claim, numbers.number, ("few", "fewer"), ("many", "more"))
    claim = f"{numbers.of(row['amount'], row['out_of'], 'day')} were logged"
    return ValueText(claim, numbers.percent, ("few", "fewer"), ("many", "more"))


def sentence(
    row: Row,
    settings: Settings,
    *,
    kind: PeriodKind,
    below: bool,
    as_far: int,
    among: int,
    median: float,
    part: bool,
    weekdays: bool = False,
) -> str:
    """The sentence of a finding: the value, and how many (`as_far`) of the `among` other periods are as extreme.

    With `part`, the value belongs to a part of the page's period, and the sentence names that part. With `weekdays`,
    only some weekdays are compared.
    """
    value = value_text(row, settings)
    plain, comparative = value.less if below else value.more
    others = f"other {kind}s so far" if part else f"earlier {kind}s"
    others += ", on the same weekdays" if weekdays else ""
    if as_far == 0:
        compared = f"{comparative} than in any of {numbers.number(among)} {others}"
    else:
        compared = f"as {plain} or {comparative} in {as_far} of {numbers.number(among)} {others}"
    starts_with_name = row["measure"] == "rates" or (row["measure"] == "hours" and row["unit"] != PLAN)
    claim = value.claim
    if part:
        # A name keeps its own capital letter.
        claim = f"In {part_name(row, kind)}, {claim if starts_with_name else claim[0].lower() + claim[1:]}"
    return f"{claim}, {compared} (their median: {value.short(median)})."


def part_name(row: Row, kind: PeriodKind) -> str:
    """The name of a month within its year, or of a week within its month.

    >>> import datetime as dt
    >>> part_name({"from": dt.date(2025, 11, 1)}, "month"), part_name({"from": dt.date(2025, 3, 10)}, "week")
    ('November', 'the week from 10 March')
    """
    return (
        dates.MONTH_NAMES[row["from"].month - 1]
        if kind == "month"
        else f"the week from {dates.day(row['from'], weekday=False)}"
    )
