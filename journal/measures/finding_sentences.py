"""One sentence about the value of a measure in a period, with its n and its comparison.

A claim has no verb at its beginning in German, so that it can follow "November:" there and "In November," in English.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from journal.frames import Row
from journal.language.catalogue import N_, _, _n, _p
from journal.language.digits import signed
from journal.language.spoken import spoken
from journal.measures.finding_facts import CARRIED, PLAN, REGULARITY, SPREAD
from journal.periods import PeriodKind
from journal.settings import Settings
from journal.wording import dates, numbers


class ComparisonTexts(NamedTuple):
    """The texts of a value that lies to one side of others: of all of them, of some, and of a single one."""

    than_any: str
    as_far: str
    than_one: str


_LOWER = ComparisonTexts(
    N_("lower than in any of {among}"), N_("as low or lower in {count} of {among}"), N_("lower than in {year}")
)
_HIGHER = ComparisonTexts(
    N_("higher than in any of {among}"), N_("as high or higher in {count} of {among}"), N_("higher than in {year}")
)
_LESS = ComparisonTexts(
    N_("less than in any of {among}"), N_("as little or less in {count} of {among}"), N_("less than in {year}")
)
_MORE = ComparisonTexts(
    N_("more than in any of {among}"), N_("as much or more in {count} of {among}"), N_("more than in {year}")
)
_FEWER = ComparisonTexts(
    N_("fewer than in any of {among}"), N_("as few or fewer in {count} of {among}"), N_("fewer than in {year}")
)
_MANY = ComparisonTexts(_MORE.than_any, N_("as many or more in {count} of {among}"), _MORE.than_one)


class ValueText(NamedTuple):
    """The text of a value: the claim, a formatter of the value alone, and the texts of lower and higher values."""

    claim: str
    short: Callable[[float], str]
    less: ComparisonTexts
    more: ComparisonTexts


def value_text(row: Row, settings: Settings) -> ValueText:  # noqa: PLR0911 (one line a measure)
    """The text of a row of `finding_facts.series`."""
    n, value, measure, subject = row["n"], row["value"], row["measure"], row["subject"]
    if measure == "rates":
        noun = row["unit"] if row["unit"] in ("week", "month") else None
        done, share = numbers.of(row["amount"], row["out_of"], noun), numbers.percent(value)
        name = settings.habit_name(subject)
        claim = (
            _p("weeks or months of a habit", "{habit}: {done} done ({share})", habit=name, done=done, share=share)
            if noun
            else _("{habit}: {done} done ({share})", habit=name, done=done, share=share)
        )
        return ValueText(claim, numbers.percent, _LOWER, _HIGHER)
    if measure in ("mood", "energy") and subject == SPREAD:
        return ValueText(_spread(measure, n, _hundredths(value)), _hundredths, _LOWER, _HIGHER)
    if measure in ("mood", "energy"):
        return ValueText(_mean(measure, n, numbers.mean(value)), numbers.mean, _LOWER, _HIGHER)
    if measure == "sleep" and subject == REGULARITY:
        index = f"{value:.0f}"
        claim = _n(
            "Sleep regularity was {index} over {count} pair of days",
            "Sleep regularity was {index} over {count} pairs of days",
            n,
            index=index,
        )
        return ValueText(claim, lambda v: f"{v:.0f}", _LOWER, _HIGHER)
    if measure == "sleep":
        claim = _n(
            "{count} night averaged {time} of sleep",
            "{count} nights averaged {time} of sleep",
            n,
            time=dates.minutes(value),
        )
        return ValueText(claim, dates.minutes, _LESS, _MORE)
    if measure == "hours":
        return _of_hours(row, settings)
    if measure == "tasks":
        return _of_tasks(row)
    days = numbers.of(row["amount"], row["out_of"], "day")
    claim = _n("{days} was logged", "{days} were logged", row["amount"], days=days)
    return ValueText(claim, numbers.percent, _FEWER, _MANY)


def _mean(measure: str, n: int, mean: str) -> str:
    if measure == "mood":
        return _n(
            "Mood averaged {mean} on {count} day on which it was noted",
            "Mood averaged {mean} on {count} days on which it was noted",
            n,
            mean=mean,
        )
    return _n(
        "Energy averaged {mean} on {count} day on which it was noted",
        "Energy averaged {mean} on {count} days on which it was noted",
        n,
        mean=mean,
    )


def _spread(measure: str, n: int, spread: str) -> str:
    if measure == "mood":
        return _n(
            "The spread of mood was {spread} (standard deviation, {count} day on which it was noted)",
            "The spread of mood was {spread} (standard deviation, {count} days on which it was noted)",
            n,
            spread=spread,
        )
    return _n(
        "The spread of energy was {spread} (standard deviation, {count} day on which it was noted)",
        "The spread of energy was {spread} (standard deviation, {count} days on which it was noted)",
        n,
        spread=spread,
    )


def _of_hours(row: Row, settings: Settings) -> ValueText:
    n, value = row["n"], row["value"]
    if row["unit"] == PLAN:
        claim = _n(
            "{share} of planned time went as planned ({kept} of {planned}, {count} day)",
            "{share} of planned time went as planned ({kept} of {planned}, {count} days)",
            n,
            share=numbers.percent(value),
            kept=dates.minutes(row["amount"]),
            planned=dates.minutes(row["out_of"]),
        )
        return ValueText(claim, numbers.percent, _LESS, _MORE)
    claim = _n(
        "{category} took {time} a day, over {count} day whose hours were written",
        "{category} took {time} a day, over {count} days whose hours were written",
        n,
        category=next((c.name for c in settings.categories if c.key == row["subject"]), row["subject"]),
        time=dates.minutes(value),
    )
    return ValueText(claim, dates.minutes, _LESS, _MORE)


def _of_tasks(row: Row) -> ValueText:
    n, value = row["n"], row["value"]
    if row["subject"] == CARRIED:
        claim = _n(
            "{done} of {count} task on the days' pages ({share}) were carried on",
            "{done} of {count} tasks on the days' pages ({share}) were carried on",
            n,
            done=numbers.number(row["amount"]),
            share=numbers.percent(value),
        )
        return ValueText(claim, numbers.percent, _LESS, _MORE)
    claim = _n("{count} task was waiting at the end", "{count} tasks were waiting at the end", n)
    return ValueText(claim, numbers.number, _FEWER, _MANY)


def _hundredths(value: float) -> str:
    return signed(f"{value:.2f}")


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
    texts, claim = value.less if compared.below else value.more, value.claim
    if compared.part:
        starts_with_name = row["measure"] == "rates" or (row["measure"] == "hours" and row["unit"] != PLAN)
        # A name keeps its own capital letter, as a noun does in German.
        inside = claim if starts_with_name or spoken().nouns_capital else claim[0].lower() + claim[1:]
        claim = _("In {part}, {claim}", part=part_name(row, compared.kind), claim=inside)
    median = value.short(compared.median)
    if compared.only:
        text = numbers.joined([_(texts.than_one, year=compared.only), compared.same], ", ")
        return _("{claim}, {comparison} ({median}).", claim=claim, comparison=text, median=median)
    among = numbers.joined([_others(compared), compared.same], ", ")
    if compared.as_far == 0:
        text = _(texts.than_any, among=among)
    else:
        text = _(texts.as_far, count=numbers.number(compared.as_far), among=among)
    return _("{claim}, {comparison} (their median: {median}).", claim=claim, comparison=text, median=median)


def _others(compared: Comparison) -> str:
    """The periods that a value is compared with, as "11 earlier months"."""
    count = compared.among
    if compared.part:
        if compared.kind == "week":
            return _n("{count} other week so far", "{count} other weeks so far", count)
        return _n("{count} other month so far", "{count} other months so far", count)
    if compared.kind == "week":
        return _n("{count} earlier week", "{count} earlier weeks", count)
    if compared.kind == "month":
        return _n("{count} earlier month", "{count} earlier months", count)
    return _n("{count} earlier year", "{count} earlier years", count)


def part_name(row: Row, kind: PeriodKind) -> str:
    """The name of a month within its year, or of a week within its month.

    >>> import datetime as dt
    >>> part_name({"from": dt.date(2025, 11, 1)}, "month"), part_name({"from": dt.date(2025, 3, 10)}, "week")
    ('November', 'the week from 10 March')
    """
    if kind == "month":
        return dates.month_name(row["from"].month)
    return _("the week from {date}", date=dates.day(row["from"], weekday=False))


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
    often = numbers.number(1 / by_chance, 0)
    if kind == "week":
        return _n(
            "{count} number was looked at. Where nothing changes, about one week in {often} shows it so far out by "
            "chance.",
            "{count} numbers were looked at. Where nothing changes, about one week in {often} shows one so far out by "
            "chance.",
            count,
            often=often,
        )
    if kind == "month":
        return _n(
            "{count} number was looked at. Where nothing changes, about one month in {often} shows it so far out by "
            "chance.",
            "{count} numbers were looked at. Where nothing changes, about one month in {often} shows one so far out by "
            "chance.",
            count,
            often=often,
        )
    return _n(
        "{count} number was looked at. Where nothing changes, about one year in {often} shows it so far out by chance.",
        "{count} numbers were looked at. Where nothing changes, about one year in {often} shows one so far out by "
        "chance.",
        count,
        often=often,
    )
