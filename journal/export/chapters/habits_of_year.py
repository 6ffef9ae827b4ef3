"""The habits of the year: streaks, rates by month, rates in all, what changed."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal import periods
from journal.charts import rates_by_month
from journal.export.document import Block, Facts, Grid, Picture, Words
from journal.export.year_data import Subject
from journal.measures import completion, streaks
from journal.periods import Period
from journal.sections import habit_cards
from journal.wording import dates, habits, numbers


def blocks(subject: Subject) -> list[Block]:
    """The chapter of habits."""
    here = subject.cut(subject.occasions).filter(pl.col("date") <= subject.until)
    if not subject.cut(subject.states)["mark"].count():
        return []
    found: list[Block] = []
    if (streak_grid := _streaks(subject)) is not None:
        found.append(streak_grid)
    if subject.rates["rate"].count():
        found.append(Picture(figure=rates_by_month.draw(subject.rates, subject.names, subject.first.year)))
    return [*found, *_rates(subject, here), *_changes(subject)]


def _rates(subject: Subject, here: pl.DataFrame) -> list[Block]:
    """The rates of the year with their intervals, and what counted habits came to."""
    rows = tuple(
        (
            subject.names.get(row["habit"], row["habit"]),
            numbers.of(row["done"], row["counted"], subject.settings.definitions(row["habit"])[-1].per),
            numbers.percent(row["rate"]),
            numbers.interval(row["low"], row["high"]),
            numbers.percent(row["logged_rate"]) if row["logged_rate"] is not None else "no rate",
        )
        for row in completion.rates(here, week_starts=subject.week_starts).iter_rows(named=True)
        if row["counted"]
    )
    head = ("Habit", "Done of due", "Rate", f"{numbers.NINETY_FIVE} interval", "Of logged days")
    grid = Grid(title="Rates of the year", header=head, rows=rows, numeric=(1, 2, 3, 4))
    return [*([grid] if rows else []), *_totals(subject)]


def _totals(subject: Subject) -> list[Block]:
    facts = []
    for row in completion.totals(subject.cut(subject.states), week_starts=subject.week_starts).iter_rows(named=True):
        habit = subject.settings.definitions(row["habit"])[-1]
        if row["total"] is not None:
            facts.append((habit.name, habits.total(row, habit.unit, habit.aim)))
    return [Facts(title="In all", facts=tuple(facts))] if facts else []


def _streaks(subject: Subject) -> Grid | None:
    """The best streak of the year's occasions, and the one running at its end, however long before it began."""
    settings = subject.settings
    best = streaks.streaks(subject.cut(subject.occasions), today=subject.today, blank=settings.blank)
    if best.is_empty():
        return None
    until_then = subject.occasions.filter(pl.col("to") <= subject.last)
    running = streaks.streaks(until_then, today=subject.until, blank=settings.blank)
    now = {
        settings.habit_name(row["habit"]): numbers.joined(
            [habits.running_streak(row), f"since {_first_day(row['current_from'], subject.year)}"],
            ", ",
        )
        for row in running.iter_rows(named=True)
        if row["current"]
    }
    rows = tuple((name, streak, now.get(name, "none")) for name, streak in habit_cards.best_streak_rows(best, settings))
    end = "Running now" if subject.today in subject.year else f"At the end of {subject.year.key}"
    return Grid(title="Best streaks", header=("Habit", "Longest in the year", end), rows=rows)


def _first_day(date: dt.date, year: Period) -> str:
    return dates.day(date, weekday=False, year=date not in year)


def _changes(subject: Subject) -> list[Block]:
    """Against the year before, where the journal has one; else the second half of the year against the first."""
    before = periods.before(subject.year)
    earlier = subject.cut(subject.occasions, before)
    half = dt.date(subject.first.year, 7, 1)
    if earlier.height:
        first, second, title = before, subject.year, f"{subject.year.key} against {before.key}"
    else:
        first = Period(subject.first, half - dt.timedelta(days=1), "year", "first half")
        second = Period(half, subject.last, "year", "second half")
        title = f"{_span(second)} against {_span(first)}"
    changed = completion.changes(subject.occasions, before=(first.first, first.last), after=(second.first, second.last))
    if not changed["clear"].count():
        return []
    rows = tuple(
        (subject.settings.habit_name(row["habit"]), habits.change(row, "before"))
        for row in changed.iter_rows(named=True)
    )
    return [Grid(title=title, header=("Habit", "Change"), rows=rows), Words(title="", paragraphs=(habit_cards.CLEAR,))]


def _span(period: Period) -> str:
    return f"{dates.MONTH_NAMES[period.first.month - 1]} to {dates.MONTH_NAMES[period.last.month - 1]}"
