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
    were = "was" if row["amount"] == 1 else "were"
    claim = f"{numbers.of(row['amount'], row['out_of'], 'day')} {were} logged"
    return ValueText(claim, numbers.percent, ("few", "fewer"), ("many", "more"))


class Comparison(NamedTuple):
    """What a value is compared with: `among` other periods of a `kind`, `as_far` of them as extreme, and their median.

    `below`: the value is below the median. `part`: the value is that of a part of the page's period, and the sentence
    names that part. `only` names the other period where it is the only one. `same` names what alone is compared, such
    as "on the same weekdays".
    """

    kind: PeriodKind
    below: bool
    as_far: int
    among: int
    median: float
    part: bool = False
    only: str = ""
    same: str = ""


def sentence(row: Row, settings: Settings, compared: Comparison) -> str:
    """The sentence of a finding: the value of a row of `finding_facts.series`, and what it is compared with."""
    value = value_text(row, settings)
    plain, comparative = value.less if compared.below else value.more
    others = f"other {compared.kind}s so far" if compared.part else f"earlier {compared.kind}s"
    same = f", {compared.same}" if compared.same else ""
    among = f"{numbers.number(compared.among)} {others}{same}"
    starts_with_name = row["measure"] == "rates" or (row["measure"] == "hours" and row["unit"] != PLAN)
    claim = value.claim
    if compared.part:
        # A name keeps its own capital letter.
        claim = f"In {part_name(row, compared.kind)}, {claim if starts_with_name else claim[0].lower() + claim[1:]}"
    if compared.only:
        return f"{claim}, {comparative} than in {compared.only}{same} ({value.short(compared.median)})."
    if compared.as_far == 0:
        text = f"{comparative} than in any of {among}"
    else:
        text = f"as {plain} or {comparative} in {compared.as_far} of {among}"
    return f"{claim}, {text} (their median: {value.short(compared.median)})."


def part_name(row: Row, kind: PeriodKind) -> str:
    """The name of a month within its year, or of a week within its month.

    >>> import datetime as dt
    >>> part_name({"from": dt.date(2025, 11, 1)}, "month"), part_name({"from": dt.date(2025, 3, 10)}, "week")
    ('November', 'the week from 10 March')
    """
    return (
        dates.month_name(row["from"].month)
        if kind == "month"
        else f"the week from {dates.day(row['from'], weekday=False)}"
    )


def looked_at(count: int, by_chance: float, kind: PeriodKind) -> str:
    """How many numbers of a page were looked at, and how often chance alone brings one out; empty for none.

    In: `findings.PageFindings.looked_at` and `by_chance`, the mean number of sentences by chance.

    >>> looked_at(33, 0.24, "month")
    '33 numbers were looked at. Where nothing changes, about one month in 4 shows one so far out by chance.'
    >>> looked_at(1, 0.02, "week"), looked_at(0, 0, "week")
    ('1 number was looked at. Where nothing changes, about one week in 50 shows it so far out by chance.', '')
    """
    if not count or not by_chance:
        return ""
    were, one = ("was", "it") if count == 1 else ("were", "one")
    often = f"one {kind} in {numbers.number(1 / by_chance, 0)}"
    looked = f"{numbers.plural(count, 'number')} {were} looked at."
    return f"{looked} Where nothing changes, about {often} shows {one} so far out by chance."
