"""The work of `duskbook show`: a measure of a journal as a frame."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import polars as pl

from journal import lots, periods
from journal.commands.arguments import DateRange, DaysAsked
from journal.commands.show_catalogue import MEASURES
from journal.errors import UsageError
from journal.language.catalogue import _
from journal.measures import (
    challenges,
    completion,
    coverage,
    findings,
    hours,
    line_search,
    lines,
    link_record,
    links,
    mood,
    sleep_summary,
    streaks,
    task_ends,
    tasks,
    withheld_links,
)
from journal.measures.withheld_links import WithheldLink
from journal.sun import rise_set
from journal.wording import numbers

if TYPE_CHECKING:
    from journal import Journal


def check_options(measure: str, by: str | None, against: DaysAsked | None, search: str | None = None) -> str:
    """The period to show a measure by. Raises UsageError if an option does not go with the measure.

    >>> check_options("rates", None, None), check_options("mood", "week", None)
    ('all', 'week')
    """
    known = MEASURES[measure].by
    if by is not None and not known:
        raise UsageError(_("{measure} has no periods to choose from; leave --by out", measure=measure))
    if by is not None and by not in known:
        text = _('{measure} cannot be shown by "{period}"; write --by {periods}')
        raise UsageError(text.format(measure=measure, period=by, periods=numbers.listed(known, "or")))
    if measure == "changes" and against is None:
        raise UsageError(
            _(
                "changes needs the days to compare with; write e.g. "
                '"--from 2025-03-01 --to 2025-03-31 --against 2025-02-01..2025-02-28"'
            )
        )
    if measure != "changes" and against is not None:
        text = _("--against is for changes only; leave it out, or write changes in place of {measure}")
        raise UsageError(text.format(measure=measure))
    if measure != "lines" and search is not None:
        text = _("--search is for lines only; leave it out, or write lines in place of {measure}")
        raise UsageError(text.format(measure=measure))
    if search is not None and not search.strip():
        raise UsageError(_("--search: the text is empty; write e.g. --search glue"))
    return by or (known[0] if known else "")


def day_range(
    journal: Journal, measure: str, start: dt.date | None, end: dt.date | None, against: DateRange | None = None
) -> DateRange:
    """The days to show: the given ones, by default up to today.

    By default, measures of habits start with the first habit, all others with the first page. Raises UsageError for an
    empty range, or if `against` overlaps it.
    """
    tables = journal.tables
    default = tables.first if measure in ("streaks", "rates", "changes") else tables.opened
    first, last = start or default, end or journal.today
    if measure in ("trials", "lots"):
        first, last = _trial_days(journal, start, end)
    if first > last:
        _refuse_empty(first, last, start, end)
    if against and against[0] <= last and first <= against[1]:
        text = _(
            "--against {against} overlaps {days}, the days it is compared with; "
            "write --from, --to and --against so that no day is in both"
        )
        raise UsageError(text.format(against=f"{against[0]}..{against[1]}", days=f"{first}..{last}"))
    return first, last


def _refuse_empty(first: dt.date, last: dt.date, start: dt.date | None, end: dt.date | None) -> None:
    """Raise UsageError for a range whose first day is after the last, by what was given of it."""
    if start and end:
        raise UsageError(_("--from {first} is after --to {last}; write the earlier day first", first=first, last=last))
    if start:
        text = _("--from {first} is after today, {last}; write an earlier day, or --to as well")
        raise UsageError(text.format(first=first, last=last))
    if end:
        text = _("--to {last} is before the journal begins, {first}; write a later day")
        raise UsageError(text.format(first=first, last=last))


def _trial_days(journal: Journal, start: dt.date | None, end: dt.date | None) -> DateRange:
    """By default all days of all trials, those to come among them: a draw is known in advance."""
    trials = journal.settings.trials
    first = start or min([journal.tables.opened, *(trial.start for trial in trials)])
    return first, end or max([journal.today, *(lots.last_planned(trial) for trial in trials)])


def rows(
    journal: Journal, measure: str, days: DateRange, by: Any, *, against: DateRange | None, search: str | None
) -> pl.DataFrame:
    """The rows of a measure over a range of days (both ends included), with the keys of the catalogue first.

    A streak counts only the days of the range. A trailing mean also looks back to days before it.
    """
    if measure in ("streaks", "rates", "changes"):
        return _habits(journal, measure, days, by, against)
    if search is not None:
        return line_search.search(journal.tables.lines.filter(_within(days)), search).drop("spans")
    return _OTHERS[measure](journal, days, by)


def _habits(journal: Journal, measure: str, days: DateRange, by: Any, against: DateRange | None) -> pl.DataFrame:
    settings, today = journal.settings, journal.today
    if measure == "changes":
        assert against is not None  # `check_options` requires it
        return completion.changes(
            journal.occasions, before=against, after=days, opened=journal.tables.opened, known=journal.dependence
        )
    chosen = journal.occasions.filter(_in_range(days, today))
    if measure == "rates":
        return completion.rates(chosen, by=by, week_starts=settings.week_starts, known=journal.dependence)
    return streaks.streaks(chosen, today=min(today, days[1]), blank=settings.blank)


def _in_range(days: DateRange, today: dt.date) -> pl.Expr:
    """Filter of the occasions that belong to the days. A week or month belongs to its middle day. If the range ends
    today, the current week or month counts too: its middle may lie ahead."""
    date, first = pl.col("date"), days[0]
    return date.is_between(*days) | ((days[1] == today) & (pl.col("from") <= today) & (date >= first))


def _mood(journal: Journal, days: DateRange, by: Any) -> pl.DataFrame:
    """By day, the summary covers the whole journal and is then cut: a trailing mean needs the days before."""
    within = _within(days)
    every, scale = journal.tables.days, journal.settings.mood
    frame = every if by == "day" else every.filter(within)
    summary = mood.summary(frame, by=by, low=scale.low, high=scale.high, week_starts=journal.settings.week_starts)
    return summary.filter(within) if by == "day" else summary


def _links(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    """Links of the marks in the range, as they stand at its end. The mood of the next day may lie after it."""
    standing = link_record.standing(journal.link_events, days[1])
    states = withheld_links.without(journal.states.filter(_within(days)), _withheld(journal, days))
    return links.links(states, journal.tables.days, today=journal.today, standing=standing)


def _withheld(journal: Journal, days: DateRange) -> list[WithheldLink]:
    return withheld_links.of_days(journal.withheld, *days)


def left_out(journal: Journal, measure: str, days: DateRange) -> str:
    """The sentence on what is left out of a measure while a trial runs; normally empty."""
    if measure not in ("links", "findings"):
        return ""
    return withheld_links.sentence(_withheld(journal, days), journal.settings)


def _within(days: DateRange) -> pl.Expr:
    return pl.col("date").is_between(*days)


def _coverage(journal: Journal, days: DateRange, by: Any) -> pl.DataFrame:
    return coverage.coverage(journal.tables.days.filter(_within(days)), by=by, week_starts=journal.settings.week_starts)


def _sleep(journal: Journal, days: DateRange, by: Any) -> pl.DataFrame:
    """Nights come from the whole journal and are then cut: a night begins on the day before."""
    nights = journal.nights.filter(_within(days))
    if by == "day":
        return nights
    pairs = journal.regularity_pairs.filter(_within(days))
    return sleep_summary.summary(nights, pairs, by=by, week_starts=journal.settings.week_starts)


def _hours(journal: Journal, days: DateRange, by: Any) -> pl.DataFrame:
    return hours.totals(journal.tables.hours.filter(_within(days)), by=by, week_starts=journal.settings.week_starts)


def _lines(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    return lines.lines(journal.tables.lines.filter(_within(days)))


def _tasks(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    """The tasks on any of the days, each with its whole life up to the last day."""
    return _lives(journal, days).filter(pl.col("last") >= days[0])


def _waiting(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    """Waiting times of the tasks that began on one of the days."""
    begun = _lives(journal, days).filter(pl.col("since") >= days[0])
    shares = task_ends.ended_by(begun).select("days", "done_by", "dropped_by")
    return tasks.waiting(begun).join(shares, on="days", how="left", maintain_order="left")


def _lives(journal: Journal, days: DateRange) -> pl.DataFrame:
    lives = tasks.lives(journal.tables.tasks, today=min(journal.today, days[1]))
    return lives.filter(pl.col("since") <= days[1])


def _challenges(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    """The challenges whose span overlaps the days, counted up to the last day."""
    totals = challenges.totals(journal.tables.ticks, today=min(journal.today, days[1]))
    return totals.filter(pl.col("to") >= days[0])


def _findings(journal: Journal, days: DateRange, by: Any) -> pl.DataFrame:
    """Findings of each week, month or year that overlaps the days, with what was known on the last day."""
    facts = journal.as_of(min(journal.today, days[1])).facts
    rows = findings.findings(facts, periods.between(*days, by, week_starts=journal.settings.week_starts))
    return rows.with_columns(pl.Series("text", map(numbers.plain, rows["text"]), dtype=pl.String))


def _sun(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    return rise_set.for_journal(journal.tables.days, journal.settings, *days)


def _trials(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    """The trials with a day among the days, as of the last one or today."""
    results = journal.as_of(min(journal.today, days[1])).trial_results
    return results.filter(pl.col("to") >= days[0], pl.col("from") <= days[1])


def _lots(journal: Journal, days: DateRange, _by: Any) -> pl.DataFrame:
    return journal.lots.filter(_within(days))


_OTHERS: dict[str, Callable[[Journal, DateRange, Any], pl.DataFrame]] = {
    "mood": _mood,
    "links": _links,
    "sleep": _sleep,
    "hours": _hours,
    "tasks": _tasks,
    "waiting": _waiting,
    "challenges": _challenges,
    "coverage": _coverage,
    "lines": _lines,
    "findings": _findings,
    "sun": _sun,
    "trials": _trials,
    "lots": _lots,
}
