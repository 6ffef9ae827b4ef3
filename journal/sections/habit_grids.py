"""The grids at the top of the week's and the month's page: one row a habit, with all that its numbers say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal import periods
from journal.charts import habit_month, habit_strips, week_days
from journal.charts.canvas import Drawing
from journal.charts.figure import svg
from journal.frames import Row
from journal.language.catalogue import _, _p
from journal.measures import completion
from journal.periods import Period
from journal.sections.cards import figure, of_frame, table
from journal.sections.escape import Html, join, tag
from journal.sections.habit_cards import CLEAR, NO_HABITS, names, quota_left
from journal.settings import Settings
from journal.wording import dates, habits, numbers, rate_changes

if TYPE_CHECKING:
    from journal import Journal


def week(book: Journal, period: Period) -> Html:
    """The days of a week: mood, and a row a habit with its count and its streak."""
    states = book.states_in(period)
    drawn = week_days.draw(
        states,
        book.tables.days,
        period,
        names(book.settings),
        book.settings.mood,
        today=book.today,
        rates=book.rates(period),
        below=_of_the_week(book, period, states),
    )
    return figure(drawn)


def _of_the_week(book: Journal, period: Period, states: pl.DataFrame) -> Mapping[str, str]:
    """What stands below the name of a habit in its row of a week: its streak, and what is left of a quota."""
    running = {row["habit"]: row for row in book.running_at_end(period).iter_rows(named=True)}
    below = {}
    for (key,), days in states.group_by("habit", maintain_order=True):
        habit = str(key)
        row = running.get(habit)
        streak = habits.running_streak(row) if row and row["current"] > 1 else None
        left = quota_left(days, book.today) if days["per"][0] else None
        rests = _("resting") if set(days["state"]) <= {"rest", "not due"} and "rest" in days["state"] else None
        below[habit] = numbers.joined([rests, streak, left])
    return below


class HabitRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of a month's grid: what is said of a habit, and its drawings as SVG. `rate` is empty without a rate."""

    key: str
    name: str
    counted: str
    before: str
    streak: str
    wide: str
    narrow: str
    rate_words: str
    rate: str


class MonthGrid(msgspec.Struct, frozen=True, kw_only=True):
    """The grid of a month. `empty` says why it has no row. `numbers` is a table as HTML, `marks` the key as SVG."""

    title: str
    note: str
    empty: str = ""
    wide_head: str = ""
    narrow_head: str = ""
    rate_head: str = ""
    streak_head: str = ""
    marks: str = ""
    numbers: str = ""
    rows: list[HabitRow] = []


def month(book: Journal, period: Period) -> MonthGrid:
    """The grid of a month: a row a habit with its marks, its rate, its streak, and the month before."""
    states = book.states_in(period)
    if states.is_empty():
        return MonthGrid(title=_("Habits in {period}", period=dates.title(period)), note="", empty=_(NO_HABITS))
    rates, running, changed = book.rates(period), book.running_at_end(period), book.changes(period)
    rows = habit_month.rows(book.states, rates, running, period, names(book.settings))
    before = {row["habit"]: rate_changes.before(row) for row in changed.iter_rows(named=True)}
    totals = completion.totals(states, week_starts=book.settings.week_starts)
    in_full = in_full_table(
        rates, running=running, changed=changed, totals=totals, settings=book.settings, period=period
    )
    title, heads = habit_month.title(rows, period), habit_strips.heads(period, book.today)
    assert heads.rate is not None
    return MonthGrid(
        title=title,
        note=habit_month.subtitle(rows, period, book.today),
        wide_head=_svg(heads.wide, "head-wide"),
        narrow_head=_svg(heads.narrow, "head-narrow"),
        rate_head=_svg(heads.rate, "head-rate"),
        streak_head=_("streak now") if book.today in period else _("streak at end"),
        marks=_svg(habit_strips.key(rows, period), "marks"),
        numbers=str(
            join([in_full, tag("p", _(CLEAR), class_="quiet small"), of_frame(title, habit_month.table(rows))])
        ),
        rows=[_habit_row(row, period, before.get(row["habit"], ""), book.today) for row in rows],
    )


def _habit_row(row: Row, period: Period, before: str, today: dt.date) -> HabitRow:
    drawn, alt, key = habit_strips.strip(row, period, today), habit_strips.marks_alt(row), row["habit"]
    rate_words = "" if row["rate"] is None else habit_month.rate(row)
    month_before = dates.month_name(periods.before(period).first.month)
    streak = "" if row["streak"] is None else habit_month.streak(row) if row["streak"] else _p("streak", "none")
    return HabitRow(
        key=key,
        name=row["name"],
        counted=habit_month.unrated(row) if row["rate"] is None else habit_month.counted(row),
        before=f"{month_before}: {before}" if before else "",
        streak=streak,
        wide=_svg(drawn.wide, f"{key}-wide", alt),
        narrow=_svg(drawn.narrow, f"{key}-narrow", alt),
        rate_words=rate_words,
        rate="" if drawn.rate is None else _svg(drawn.rate, f"{key}-rate", rate_words),
    )


def _svg(drawn: Drawing, key: str, alt: str = "") -> str:
    return svg(drawn, key=f"month-grid-{key}", alt_text=alt)


def in_full_table(
    rates: pl.DataFrame,
    *,
    running: pl.DataFrame,
    changed: pl.DataFrame,
    totals: pl.DataFrame,
    settings: Settings,
    period: Period,
) -> Html:
    """A row a habit: its rate with its interval, its streaks, its change against the period before, and its total.

    In: `completion.rates`, `streaks.streaks`, `completion.changes` and `completion.totals`.
    """
    streak_of, change_of, total_of = (_by_habit(frame) for frame in (running, changed, totals))
    rows = []
    for row in rates.iter_rows(named=True):
        key, habit = row["habit"], settings.definitions(row["habit"])[-1]
        streak, changes = streak_of.get(key), change_of.get(key)
        total = habits.total(total_of[key], habit.unit, habit.aim, habit.per) if key in total_of else None
        rows.append(
            (
                _with_beneath(settings.habit_name(key), total),
                _unbroken(habits.rate(row, habit.per), row),
                "" if row["logged_rate"] is None else numbers.percent(row["logged_rate"]),
                _with_beneath(habits.running_streak(streak), _longest(streak)) if streak else None,
                rate_changes.change(changes) if changes else None,
            )
        )
    head = (
        _("Habit"),
        _("Done of due, {level} interval", level=numbers.NINETY_FIVE),
        _("Of logged days"),
        _("Streak, and the longest"),
        _("Against {period}", period=dates.title(periods.before(period))),
    )
    return table(_("Habits, {period}", period=dates.title(period)), head, rows)


def _by_habit(frame: pl.DataFrame) -> dict[str, Row]:
    return {row["habit"]: row for row in frame.iter_rows(named=True)}


def _longest(row: Row) -> str | None:
    return _("longest {streak}", streak=habits.longest_streak(row)) if row["longest"] else None


def _with_beneath(text: str, beneath: str | None) -> Html:
    return join([text, tag("span", beneath, class_="beneath") if beneath else None], " ")


def _unbroken(text: str, row: Row) -> str:
    """A rate whose interval does not break across lines in a narrow column. In: its row of `completion.rates`."""
    if row["low"] is None:
        return text
    spread = numbers.interval(row["low"], row["high"])
    return text.replace(spread, spread.replace(" ", "\N{NO-BREAK SPACE}"))
