"""Closing a day: its habits with what each mark makes of the streak, and its challenges with the day's prompt.

The words come from the measures themselves: each mark is tried on the tables, and the streak counted anew.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

import polars as pl

from journal.entry import Mark, Tick
from journal.evening.form_schema import ChallengeOffer, HabitOffer
from journal.measures import streaks
from journal.periods import containing
from journal.settings import Challenge, Habit, Settings
from journal.wording import habits, numbers

if TYPE_CHECKING:
    from journal import Journal

TRIED = ("none", "done", "not", "rest", "partial")
"""The marks that are tried. "none" is a page that says nothing of the habit; "partial" is short of a target."""

_MARKS = {"none": None, "done": "done", "not": "not done", "rest": "rest", "partial": "number"}


def habit_offers(book: Journal, day: dt.date, marks: Mapping[str, Mark]) -> list[HabitOffer]:
    """The habits in force on a day, in the journal's order, those that are due first.

    `marks` are those of the day's page as it lies there. Streaks are counted as of that day, so a day of last week is
    closed with the streaks of last week.
    """
    settings, every = book.settings, book.tables.marks
    here = {row["habit"]: row for row in every.filter(pl.col("date") == day).iter_rows(named=True)}
    kept = book.as_of(day, marks=every.filter(pl.col("habit").is_in(list(here))))
    counted = _counted(kept)
    found = [
        _habit(
            habit,
            marks.get(key),
            due=here[key]["due"] is not False,
            counted={mark: counted.get((mark, key), {}) for mark in TRIED},
            quota=None if (per := here[key]["per"]) is None else _quota(kept, key, per),
        )
        for key in settings.habit_keys
        if key in here and (habit := settings.habit_on(key, day)) is not None
    ]
    return sorted(found, key=lambda offer: not offer.due)


def kind(habit: Habit) -> Literal["plain", "counted", "quota"]:
    """How a habit is marked: yes or no, with a number, or some times a week or month."""
    if habit.per is not None:
        return "quota"
    return "plain" if habit.target is None else "counted"


def _counted(book: Journal) -> dict[tuple[str, str], dict[str, Any]]:
    """The streak of each habit if a mark were its mark today: rows of `streaks.streaks` by mark and habit.

    All marks are tried in one go, each on a habit of its own, since what counting costs is the number of its steps.
    """
    day = book.today
    on = pl.col("date") == day
    known = book.tables.marks.filter(pl.col("date") <= day + dt.timedelta(days=31))  # so that its periods are whole
    tried = [
        known.with_columns(
            habit=pl.lit(f"{mark} ") + pl.col("habit"),
            mark=pl.when(on).then(pl.lit(_MARKS[mark], pl.String)).otherwise("mark"),
            value=pl.when(on).then(_value(mark)).otherwise("value"),
            logged=pl.when(on).then(mark != "none").otherwise("logged"),
        )
        for mark in TRIED
    ]
    occasions = book.as_of(day, marks=pl.concat(tried)).occasions
    rows = streaks.streaks(occasions, today=day, blank=book.settings.blank)
    named = ((row["habit"].partition(" "), row) for row in rows.iter_rows(named=True))
    return {(mark, key): row for (mark, _, key), row in named}


def _value(mark: str) -> pl.Expr:
    """A number that is short of any target, where that is tried."""
    return pl.col("target") / 2 if mark == "partial" else pl.lit(None, pl.Float64)


def _quota(book: Journal, key: str, per: Literal["week", "month"]) -> tuple[int, int]:
    """How often a quota habit was done on the other days of the running period up to today, and its days after."""
    day = book.today
    period = containing(day, per, week_starts=book.settings.week_starts)
    known = book.states.filter(pl.col("habit") == key, pl.col("date").is_between(period.first, period.last))
    done = known.filter(pl.col("date") != day, pl.col("state") == "done").height
    resting = known.filter(pl.col("date") > day, pl.col("state") == "rest").height
    return done, (period.last - day).days - resting


def _habit(
    habit: Habit,
    mark: Mark | None,
    *,
    due: bool,
    counted: Mapping[str, Mapping[str, Any]],
    quota: tuple[int, int] | None,
) -> HabitOffer:
    tried = [name for name in TRIED if name != "partial" or (habit.target is not None and habit.aim == "at least")]
    if quota is not None:
        said = {name: _quota_words(name, habit, quota, counted[name]) for name in tried}
    elif due:
        said = {name: _due_words(name, counted["none"], counted[name]) for name in tried}
    else:
        said = {name: "not due" if name == "none" else "not due, so it changes no count" for name in tried}
    return HabitOffer(
        key=habit.key,
        name=habit.name,
        kind=kind(habit),
        target=habit.target,
        unit=habit.unit,
        aim=habit.aim,
        mark=mark,
        due=due,
        said=said,
    )


def _due_words(mark: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    running = before.get("current", 0)
    if mark == "done":
        return habits.in_a_row(after["current"], after["unit"])
    if mark == "none":
        return f"due, {running} in a row so far" if running else "due"
    if mark == "rest":
        return f"rest day, streak of {running} kept" if running else "rest day"
    ends = f"streak ends at {running}" if running else "not done"
    return ends if mark == "not" else f"in part, {ends}" if running else "in part"


def _quota_words(mark: str, habit: Habit, quota: tuple[int, int], after: Mapping[str, Any]) -> str:
    times, per = habit.times or 0, habit.per or "week"
    others, days_after = quota
    done = others + (mark == "done")
    left = days_after + (mark == "none")
    text = f"{done} of {times} this {per}" if done <= times else f"{done} this {per}, {times} due"
    if done >= times:
        run = f", {habits.in_a_row(after['current'], after['unit'])}" if after.get("current", 0) > 1 else ""
        return text + run
    if done + left < times:
        return f"{text}, {numbers.plural(left, 'day') if left else 'no day'} left: not this {per}"
    days = numbers.plural(left, "day")
    return f"{text}, {days} left" if left else text


def challenges(
    settings: Settings, ticks: pl.DataFrame, day: dt.date, ticked: Mapping[str, Tick]
) -> list[ChallengeOffer]:
    """The challenges whose span holds a day. In: `Tables.ticks`; `ticked` is what the day's page says.

    >>> letters = Challenge(key="letters", name="Thirty letters", start=dt.date(2025, 3, 1),
    ...                     until=dt.date(2025, 3, 30), prompts=("To the baker", "To the river"))
    >>> empty = pl.DataFrame(schema={"challenge": pl.String, "date": pl.Date, "ticked": pl.Boolean})
    >>> offer, = challenges(Settings(title="Small", places=(), challenges=(letters,)), empty, dt.date(2025, 3, 2), {})
    >>> offer.prompt, offer.said, offer.said_ticked, offer.number
    ('To the river', '0 of 1 so far', '1 of 2', 2)
    """
    return [
        _challenge(challenge, ticks, day, ticked.get(challenge.key))
        for challenge in settings.challenges
        if challenge.start <= day <= challenge.until
    ]


def _challenge(challenge: Challenge, ticks: pl.DataFrame, day: dt.date, ticked: Tick | None) -> ChallengeOffer:
    before = ticks.filter(pl.col("challenge") == challenge.key, pl.col("date") < day, pl.col("ticked")).height
    at = (day - challenge.start).days
    yes, no = f"{numbers.number(before + 1)} of {at + 1}", f"{numbers.number(before)} of {at + 1}"
    return ChallengeOffer(
        key=challenge.key,
        name=challenge.name,
        prompt=challenge.prompts[at] if at < len(challenge.prompts) else None,
        ticked=ticked,
        said=f"{numbers.number(before)} of {at} so far" if ticked is None else yes if ticked else no,
        said_ticked=yes,
        said_not=no,
        number=at + 1,
        days=(challenge.until - challenge.start).days + 1,
    )
