"""What happened in a period, beside what was measured of it: streaks that ended or passed all before, rates that
changed, links that became clear."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, NamedTuple

import polars as pl

from journal import periods
from journal.measures import completion, link_sentences, links, streaks
from journal.measures.finding_facts import LEAST_OCCASIONS, FindingFacts
from journal.periods import Period, PeriodKind
from journal.wording import dates, habits, numbers

UNUSUAL = 0.9
"""A finding is as far out as this share of what it is compared with, or farther: one in ten."""
FEWEST = 9
"""What a finding is compared with, at the least: with fewer, the outermost of all is not yet one in ten."""
RECORD_RUNS = 3
"""Earlier runs that a longest one must have passed where it is twice as long as any of them; else `FEWEST`."""
RARE_RUN = 0.98
"""Runs end every week: one that is not the longest is told when it is among the longest two in a hundred."""

LEAST_RUN = {"occasion": 5, "week": 3, "month": 3}
"""A run under this length is told by nobody, whatever came before it."""

_ROUNDING = 1e-9
_SAID = ("done", "missed", "partial", "blank")


class Finding(NamedTuple):
    """One sentence. `topic` is what it says something of: no page has two findings of one topic."""

    topic: tuple[str, str]
    measure: str
    text: str
    n: int
    dates: list[dt.date]
    unusualness: float


def share_as_far(as_far: int, among: int) -> float:
    """Unusualness, 0 to 1: 1 less the share of all, this one counted, that go as far.

    The share is the p of a Monte Carlo test (Barnard, G. A. (1963), J. R. Stat. Soc. B 25, 294; Dwass (1957), as in
    `drivers`) in which the others are what chance gives: all orders of them equally likely, which slow changes are not.

    >>> share_as_far(0, 9), share_as_far(3, 9)
    (0.9, 0.6)
    """
    return 1 - (as_far + 1) / (among + 1)


def events(facts: FindingFacts, period: Period, whole: pl.DataFrame, clear: ClearBy) -> list[Finding]:
    """All of them; `whole` is `finding_facts.series` of the period's kind, `clear` is `clear_links` of the facts.

    Links by month and year only: from week to week one at the edge of being clear goes to and fro.
    """
    found = [*_streaks(facts, period), *_changes(facts, period, whole)]
    return [*found, *_links(facts, period, clear)] if period.kind in ("month", "year") else found


def _streaks(facts: FindingFacts, period: Period) -> Iterator[Finding]:
    """Of each habit the most unusual of the runs that reached into the period, and of the last one before it."""
    end = min(period.last, facts.today)
    known = facts.occasions.filter(pl.col("to") <= end, pl.col("state").is_in(_SAID))
    every = streaks.runs(known, today=end, blank=facts.settings.blank)
    for _, runs in every.group_by("habit", maintain_order=True):
        alike = runs.get_column("unit") == runs.item(-1, "unit")
        mine = runs if alike.all() else runs.filter(alike)
        first = max(int((mine.get_column("to") < period.first).sum()) - 1, 0)
        found = [
            finding
            for i in range(first, mine.height)
            if (finding := _streak(facts, period, known, mine.row(i, named=True), mine.head(i).get_column("length")))
        ]
        yield from sorted(found, key=lambda f: (-f.unusualness, -f.n))[:1]


def _streak(
    facts: FindingFacts, period: Period, known: pl.DataFrame, run: dict[str, Any], before: pl.Series
) -> Finding | None:
    """A run that ended in the period, or that passed all before in it."""
    length, among = run["length"], before.len()
    as_far = int((before >= length).sum())
    unusualness = share_as_far(as_far, among)
    longest = before.max() or 0
    assert isinstance(longest, int)
    record = as_far == 0 and among >= (RECORD_RUNS if length >= 2 * longest else FEWEST)
    if length < LEAST_RUN[run["unit"]] or not (record or unusualness >= RARE_RUN - _ROUNDING):
        return None
    said = known.filter(pl.col("habit") == run["habit"], pl.col("unit") == run["unit"])
    done = said.filter((pl.col("state") == "done") & pl.col("from").is_between(run["from"], run["to"]))
    breaks = ["missed", "partial", *(["blank"] if facts.settings.blank == "breaks" else [])]
    broken = said.filter(pl.col("from") > run["to"], pl.col("state").is_in(breaks)).head(1)
    name = facts.settings.habit_name(run["habit"])
    times = habits.long_run(length, run["unit"])
    rank = f"longer than any of {numbers.plural(among, 'earlier run')}"
    if broken.height and broken.item(0, "to") in period:
        how = "nothing logged" if broken.item(0, "state") == "blank" else "not done"
        on = dates.day(broken.item(0, "from"), weekday=run["unit"] == "occasion")
        on = f"on {on}" if run["unit"] == "occasion" else f"with the {run['unit']} from {on}"
        were = "was" if as_far == 1 else "were"
        rank = rank if record else f"and {as_far} of {numbers.plural(among, 'earlier run')} {were} as long or longer"
        text = f"{name}: {times}, {rank}; it ended {on} ({how})."
    elif record and run["to"] in period and done.filter(pl.col("to") < period.first).height <= longest:
        text = f"{name}: {times} by {dates.day(run['to'])}, {rank} (the longest: {numbers.number(longest)})."
    else:
        return None
    behind = done.get_column("date").to_list()
    return Finding(("streaks", run["habit"]), "streaks", text, length, behind, max(unusualness, UNUSUAL))


def _changes(facts: FindingFacts, period: Period, whole: pl.DataFrame) -> Iterator[Finding]:
    """Against the period before; in the journal's first year, of its second half against its first.

    Only what is clear by its own interval, and one in ten by its size among this habit's earlier changes, where there
    are enough of them. A stretch must have enough occasions of which something is known: what was left blank
    for want of an evening is no change of a habit.
    """
    halves = period.kind == "year" and period.first <= facts.first
    before, after = _halves(period) if halves else _with_the_one_before(facts, period)
    for row in _changed(facts, before, after, period.kind):
        sizes = _sizes(whole.filter(pl.col("from") < period.first), row["habit"])
        unusualness = share_as_far(int((sizes >= abs(row["difference"]) - _ROUNDING).sum()), sizes.len())
        if sizes.len() >= FEWEST and unusualness < UNUSUAL - _ROUNDING:
            continue
        now, then = (
            f"{numbers.of(row[f'done_{side}'], row[f'counted_{side}'])} ({numbers.percent(row[f'rate_{side}'])})"
            for side in ("after", "before")
        )
        told = f"{now} in the second half, {then} in the first" if halves else f"{now}, {then} the {period.kind} before"
        text = (
            f"{facts.settings.habit_name(row['habit'])}: done {told}; a clear change, "
            f"{numbers.NINETY_FIVE} interval {_points(row['low'])} to {_points(row['high'])} percentage points."
        )
        inside = pl.col("date").is_between(*before) | pl.col("date").is_between(*after)
        mine = facts.occasions.filter(inside, pl.col("habit") == row["habit"], pl.col("state").is_in(_SAID))
        yield Finding(
            ("rates", row["habit"]),
            "changes",
            text,
            row["counted_before"] + row["counted_after"],
            mine.get_column("date").to_list(),
            max(unusualness, UNUSUAL),
        )


def _changed(
    facts: FindingFacts, before: completion.Dates, after: completion.Dates, kind: PeriodKind
) -> list[dict[str, Any]]:
    """The clear changes of the habits that have enough occasions in both stretches, and the same unit in them."""
    date, least = pl.col("date"), LEAST_OCCASIONS[kind]
    known = pl.col("state").is_in(["done", "missed", "partial"])
    inside = facts.occasions.filter(date.is_between(*before) | date.is_between(*after))
    enough = inside.group_by("habit").agg(
        then=(known & date.is_between(*before)).sum(),
        now=(known & date.is_between(*after)).sum(),
        units=pl.col("unit").n_unique(),
    )
    habits = enough.filter(pl.col("then") >= least, pl.col("now") >= least, pl.col("units") == 1).get_column("habit")
    if habits.is_empty():
        return []
    changed = completion.changes(inside.filter(pl.col("habit").is_in(habits.implode())), before=before, after=after)
    return changed.filter("clear").rows(named=True)


def _points(difference: float) -> str:
    points = 100 * difference
    return f"{points:+.{0 if abs(points) >= 1 else 1}f}".replace("-", "−")


def _sizes(earlier: pl.DataFrame, habit: str) -> pl.Series:
    """How far apart a habit's rates were in neighbouring periods of one unit."""
    mine = earlier.filter(pl.col("measure") == "rates", pl.col("subject") == habit).sort("from")
    follows = (pl.col("from") - pl.col("to").shift()).dt.total_days() == 1
    same_unit = pl.col("unit") == pl.col("unit").shift()
    return mine.select(pl.col("value").diff().abs().filter(follows & same_unit)).to_series()


def _halves(year: Period) -> tuple[completion.Dates, completion.Dates]:
    middle = dt.date(year.first.year, 6, 30)
    return (year.first, middle), (middle + dt.timedelta(days=1), year.last)


def _with_the_one_before(facts: FindingFacts, period: Period) -> tuple[completion.Dates, completion.Dates]:
    earlier = periods.before(period)
    return (earlier.first, earlier.last), (period.first, period.last)


ClearBy = Callable[[dt.date], pl.DataFrame]


def clear_links(facts: FindingFacts) -> ClearBy:
    """The links that are clear by the end of a day, looked for once: the end of a month is the eve of the next."""

    @cache
    def by(end: dt.date) -> pl.DataFrame:
        found = links.links(_until(facts.states, end), _until(facts.days, end), today=end, resamples=0)
        return found.filter("clear")

    return by


def _links(facts: FindingFacts, period: Period, clear: ClearBy) -> Iterator[Finding]:
    """Links that are clear by the end of the period and were not before it; of a habit, the clearest one.

    Unusualness is 1 - p: the share of the shifts of this journal's own marks that set moods less far apart.
    """
    end = min(period.last, facts.today)
    now = clear(end)
    if now.is_empty():
        return
    was = clear(period.first - dt.timedelta(days=1)).select("habit")
    fresh = now.join(was, on="habit", how="anti", maintain_order="left").sort("p", "lag_days", maintain_order=True)
    for row in fresh.unique("habit", keep="first", maintain_order=True).rows(named=True):
        name = facts.settings.habit_name(row["habit"])
        every = links.compared(_until(facts.states, end), _until(facts.days, end), today=end, lag=row["lag_days"])
        behind = every.filter(pl.col("habit") == row["habit"]).get_column("date").to_list()
        told = link_sentences.habit_link(row, name)
        n = row["n_done"] + row["n_missed"]
        yield Finding(("links", row["habit"]), "links", told, n, behind, max(1 - row["p"], UNUSUAL))


def _until(frame: pl.DataFrame, end: dt.date) -> pl.DataFrame:
    return frame.filter(pl.col("date") <= end)
