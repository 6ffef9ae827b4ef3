"""The chapter of habits: streaks, rates by month, rates of the year, changes."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal import periods
from journal.charts import rates_by_month
from journal.export.document import Block, Facts, Grid, Picture, Words
from journal.export.year_data import YearData
from journal.language.catalogue import _, _p
from journal.measures import completion, month_differences, streaks
from journal.periods import Period
from journal.sections import habit_cards
from journal.wording import dates, habits, numbers, rate_changes


def blocks(subject: YearData) -> list[Block]:
    """The chapter of habits."""
    occasions = subject.cut(subject.occasions).filter(pl.col("date") <= subject.until)
    if not subject.cut(subject.states)["mark"].count():
        return []
    blocks: list[Block] = []
    if (streak_grid := _streaks(subject)) is not None:
        blocks.append(streak_grid)
    if subject.rates["rate"].count():
        apart = month_differences.apart(occasions)
        figure = rates_by_month.draw(subject.rates, subject.names, subject.first.year, apart=apart)
        blocks.append(Picture(figure=figure))
    return [*blocks, *_rates(subject, occasions), *_changes(subject)]


def _rates(subject: YearData, occasions: pl.DataFrame) -> list[Block]:
    """The rates of the year with their intervals, and the totals of counted habits."""
    rows = tuple(
        (
            subject.names.get(row["habit"], row["habit"]),
            numbers.of(row["done"], row["counted"], subject.settings.definitions(row["habit"])[-1].per),
            numbers.percent(row["rate"]),
            numbers.interval(row["low"], row["high"]),
            numbers.percent(row["logged_rate"]) if row["logged_rate"] is not None else _("no rate"),
        )
        for row in _whole(subject, occasions).iter_rows(named=True)
        if row["rate"] is not None
    )
    interval = _("{level} interval", level=numbers.NINETY_FIVE)
    head = (_("Habit"), _("Done of due"), _("Rate"), interval, _p("column", "Of logged days"))
    grid = Grid(title=_("Rates of the year"), header=head, rows=rows, numeric=(1, 2, 3, 4))
    return [*([grid] if rows else []), *_totals(subject)]


def _whole(subject: YearData, occasions: pl.DataFrame) -> pl.DataFrame:
    return completion.rates(occasions, week_starts=subject.week_starts, known=subject.book.dependence)


def _totals(subject: YearData) -> list[Block]:
    facts = []
    for row in completion.totals(subject.cut(subject.states), week_starts=subject.week_starts).iter_rows(named=True):
        habit = subject.settings.definitions(row["habit"])[-1]
        if row["total"] is not None:
            facts.append((habit.name, habits.total(row, habit.unit, habit.aim, habit.per)))
    return [Facts(title=_("In all"), facts=tuple(facts))] if facts else []


def _streaks(subject: YearData) -> Grid | None:
    """The best streak within the year, and the one running at its end, which may have begun earlier."""
    settings = subject.settings
    best = streaks.streaks(subject.cut(subject.occasions), today=subject.today, blank=settings.blank)
    if best.is_empty():
        return None
    until_end = subject.occasions.filter(pl.col("to") <= subject.last)
    running = streaks.streaks(until_end, today=subject.until, blank=settings.blank)
    current = {
        settings.habit_name(row["habit"]): numbers.joined(
            [habits.running_streak(row), _("since {date}", date=_first_day(row["current_from"], subject.year))],
            ", ",
        )
        for row in running.iter_rows(named=True)
        if row["current"]
    }
    rows = tuple(
        (name, streak, current.get(name, _p("a streak", "none")))
        for name, streak in habit_cards.best_streak_rows(best, settings)
    )
    end = _("Running now") if subject.today in subject.year else _("At the end of {year}", year=subject.year.key)
    return Grid(title=_("Best streaks"), header=(_("Habit"), _("Longest in the year"), end), rows=rows)


def _first_day(date: dt.date, year: Period) -> str:
    return dates.day(date, weekday=False, year=date not in year)


def _changes(subject: YearData) -> list[Block]:
    """Changes against the year before, if the journal has it; else of the second half of the year against the first."""
    before = periods.before(subject.year)
    earlier = subject.cut(subject.occasions, before)
    half = dt.date(subject.first.year, 7, 1)
    if earlier.height:
        first, second, names = before, subject.year, (before.key, subject.year.key)
    else:
        first = Period(subject.first, half - dt.timedelta(days=1), "year", "first half")
        second = Period(half, subject.last, "year", "second half")
        names = _span(first), _span(second)
    changed = completion.changes(
        subject.occasions,
        before=(first.first, first.last),
        after=(second.first, second.last),
        opened=subject.tables.opened,
        known=subject.book.dependence,
    )
    if not changed["clear"].count():
        return []
    rows = tuple(
        (subject.settings.habit_name(row["habit"]), rate_changes.change(row, "before"))
        for row in changed.iter_rows(named=True)
    )
    title = _("{later} against {earlier}", earlier=names[0], later=names[1])
    grid = Grid(title=title, header=(_("Habit"), _p("of a rate", "Change")), rows=rows)
    return [grid, Words(title="", paragraphs=(_(habit_cards.CLEAR),))]


def _span(period: Period) -> str:
    months = (dates.month_name(day.month) for day in (period.first, period.last))
    return _p("months", "{first} to {last}", **dict(zip(("first", "last"), months, strict=True)))
