"""Habits with the streak that each mark would give, and challenges with the day's prompt.

The streaks come from the measures themselves: each mark is tried on the tables, and the streak is computed again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

import msgspec
import polars as pl

from journal.entry import Mark, Tick
from journal.evening import lots_of_day
from journal.evening.form_schema import ChallengeOffer, HabitOffer
from journal.language.catalogue import _, _n
from journal.measures import streaks
from journal.periods import containing
from journal.settings import Challenge, Habit, Settings
from journal.wording import habits, numbers

if TYPE_CHECKING:
    from journal import Journal

TRIED = ("none", "done", "not", "rest", "partial")
"""The marks to try. "none" is a page without the habit; "partial" is a number below the target."""

_MONTHS = dt.timedelta(days=400)

_MARKS = {"none": None, "done": "done", "not": "not done", "rest": "rest", "partial": "number"}


def habit_offers(book: Journal, day: dt.date, marks: Mapping[str, Mark]) -> list[HabitOffer]:
    """Return the habits in force on a day, in the journal's order, due ones first.

    `marks` are those on the day's page. Streaks are counted as of that day, so closing a day of last week shows the
    streaks of last week.
    """
    settings, every = book.settings, book.marks
    rows_by_habit = {row["habit"]: row for row in every.filter(pl.col("date") == day).iter_rows(named=True)}
    kept = book.as_of(day, marks=every.filter(pl.col("habit").is_in(list(rows_by_habit))))
    streaks_by_mark = _streaks_by_mark(kept)
    drawn = lots_of_day.by_habit(book, day)
    offers = [
        _habit(
            habit,
            marks.get(key),
            due=rows_by_habit[key]["due"] is not False,
            off=rows_by_habit[key]["off"],
            streaks_by_mark={mark: streaks_by_mark.get((mark, key), {}) for mark in TRIED},
            quota=None if (per := rows_by_habit[key]["per"]) is None else _quota(kept, key, per),
        )
        for key in settings.habit_keys
        if key in rows_by_habit and (habit := settings.habit_on(key, day)) is not None
    ]
    offers = [msgspec.structs.replace(offer, lot=drawn.get(offer.key)) for offer in offers]
    return sorted(offers, key=lambda offer: not offer.due and offer.lot is None)


def kind(habit: Habit) -> Literal["plain", "counted", "quota"]:
    """Return how a habit is marked: yes or no, with a number, or a number of times per week or month."""
    if habit.per is not None:
        return "quota"
    return "plain" if habit.target is None else "counted"


def _streaks_by_mark(book: Journal) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the streak that each mark today would give each habit: rows of `streaks.streaks` by mark and habit, with
    `running_state`, the state of the week or month that holds the day. It is null in a period that its definition cuts.
    The longest streaks in them may be those of the last months.

    The last months are enough for a streak that began in them. Only the habits of which that is not certain are counted
    over all years.
    """
    since = (book.today - _MONTHS).replace(day=1)  # cuts no month
    rows, whole = _tried(book, pl.col("date") >= since)
    if whole:
        rows |= _tried(book, pl.col("habit").is_in(whole))[0]
    return rows


def _tried(book: Journal, these: pl.Expr) -> tuple[dict[tuple[str, str], dict[str, Any]], list[str]]:
    """Return the rows from the marks that `these` selects, and the habits whose streak may have begun before.

    All marks are tried at once, each under a habit name of its own: the cost is the number of steps, not of rows.
    """
    day = book.today
    on = pl.col("date") == day
    # 31 days more complete the current week and month.
    known = book.tables.marks.filter(these, pl.col("date") <= day + dt.timedelta(days=31))
    tried = [
        known.with_columns(
            habit=pl.lit(f"{mark} ") + pl.col("habit"),
            mark=pl.when(on).then(pl.lit(_MARKS[mark], pl.String)).otherwise("mark"),
            value=pl.when(on).then(_value(mark)).otherwise("value"),
            asked=pl.when(on).then(mark != "none").otherwise("asked"),
        )
        for mark in TRIED
    ]
    occasions = book.as_of(day, marks=pl.concat(tried)).occasions
    rows = streaks.streaks(occasions, today=day, blank=book.settings.blank)
    running = occasions.filter(pl.col("unit") != "occasion", pl.lit(day).is_between("from", "to"))
    rows = rows.join(running.select("habit", running_state="state"), on="habit", how="left")
    named = {
        (mark, key): row for row in rows.iter_rows(named=True) for mark, _gap, key in [row["habit"].partition(" ")]
    }
    counted = streaks.counted(occasions, today=day, blank=book.settings.blank)
    earliest = dict(counted.group_by("habit").agg(pl.col("from").min()).iter_rows())
    open_ = [key for key in known.get_column("habit").unique() if any(_is_open(named, earliest, m, key) for m in TRIED)]
    return named, open_


def _is_open(
    rows: Mapping[tuple[str, str], Mapping[str, Any]], earliest: Mapping[str, dt.date], mark: str, key: str
) -> bool:
    """Return whether earlier occasions could change a streak: no occasion is known before it, or none at all."""
    first = earliest.get(f"{mark} {key}")
    row = rows.get((mark, key))
    return first is None or row is None or (row["current"] > 0 and row["current_from"] <= first)


def _value(mark: str) -> pl.Expr:
    """Return a number below any target for "partial", else null."""
    return pl.col("target") / 2 if mark == "partial" else pl.lit(None, pl.Float64)


def _quota(book: Journal, key: str, per: Literal["week", "month"]) -> tuple[int, int]:
    """Return the days done in the current period other than today, and the days after today without a mark or rest."""
    day = book.today
    period = containing(day, per, week_starts=book.settings.week_starts)
    within = pl.col("date").is_between(period.first, period.last)
    states = book.as_of(day, marks=book.tables.marks.filter(pl.col("habit") == key, within)).states
    done = states.filter(pl.col("date") != day, pl.col("state") == "done").height
    marked = states.filter(pl.col("date") > day, pl.col("mark").is_not_null() | (pl.col("state") == "rest")).height
    return done, (period.last - day).days - marked


def _habit(
    habit: Habit,
    mark: Mark | None,
    *,
    due: bool,
    off: bool,
    streaks_by_mark: Mapping[str, Mapping[str, Any]],
    quota: tuple[int, int] | None,
) -> HabitOffer:
    tried = [name for name in TRIED if name != "partial" or (habit.target is not None and habit.aim == "at least")]
    if quota is not None:
        texts = {name: _quota_words(name, habit, quota, streaks_by_mark) for name in tried}
    elif due and off:  # every mark but "done" is a rest
        texts = {
            name: _due_words("done" if name == "done" else "rest", streaks_by_mark["none"], streaks_by_mark[name])
            for name in tried
        }
    elif due:
        texts = {name: _due_words(name, streaks_by_mark["none"], streaks_by_mark[name]) for name in tried}
    else:
        texts = {name: _("not due") if name == "none" else _("not due, so it changes no count") for name in tried}
    return HabitOffer(
        key=habit.key,
        name=habit.name,
        kind=kind(habit),
        target=habit.target,
        unit=habit.unit,
        aim=habit.aim,
        mark=mark,
        due=due,
        off=off,
        said=texts,
    )


def _due_words(mark: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    running = before.get("current", 0)
    if mark == "done":
        return habits.in_a_row(after["current"], after["unit"])
    if mark == "none":
        return _("due, {count} in a row so far", count=running) if running else _("due")
    if mark == "rest":
        return _("rest day, streak of {count} kept", count=running) if running else _("rest day")
    if mark == "not":
        return _("streak ends at {count}", count=running) if running else _("not done")
    return _("in part, streak ends at {count}", count=running) if running else _("in part")


def _quota_words(mark: str, habit: Habit, quota: tuple[int, int], counted: Mapping[str, Mapping[str, Any]]) -> str:
    times, per = habit.times or 0, habit.per or "week"
    after, (others, days_after) = counted[mark], quota
    done = others + (mark == "done")
    left = days_after + (mark == "none")
    text = _share_text(done, times, per)
    state = after.get("running_state")
    if done >= times:
        is_run = state == "done" and after["current"] > 1
        return text + (f", {habits.in_a_row(after['current'], after['unit'])}" if is_run else "")
    if state is None:
        is_week = per == "week"
        return text + (_(", part of a week: not counted") if is_week else _(", part of a month: not counted"))
    running = max(counted[other].get("current", 0) for other in ("none", "rest"))  # none where no mark keeps the streak
    if state == "rest":
        rests = _(": rest this week") if per == "week" else _(": rest this month")
        streak = habits.count_in_unit(running, per)
        return text + rests + (_(", streak of {streak} kept", streak=streak) if running else "")
    text += _n(", {count} day left", ", {count} days left", left) if left else _(", no day left")
    if state == "missed":
        misses = _(": not this week") if per == "week" else _(": not this month")
        streak = habits.count_in_unit(running, per)
        return text + misses + (_(", streak ends at {streak}", streak=streak) if running else "")
    return text if done + left >= times else text + _(": open while days are not logged")


def _share_text(done: int, times: int, per: Literal["week", "month"]) -> str:
    counts = {"done": done, "times": times}
    if done <= times:
        return (
            _("{done} of {times} this week", **counts) if per == "week" else _("{done} of {times} this month", **counts)
        )
    if per == "week":
        return _("{done} this week, {times} due", **counts)
    return _("{done} this month, {times} due", **counts)


def challenges(
    settings: Settings, ticks: pl.DataFrame, day: dt.date, ticked: Mapping[str, Tick]
) -> list[ChallengeOffer]:
    """Return the challenges whose span includes a day. In: `Tables.ticks`; `ticked` are the ticks on the day's page.

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
    index = (day - challenge.start).days
    yes, no = numbers.of(before + 1, index + 1), numbers.of(before, index + 1)
    so_far = _("{done} of {count} so far", done=numbers.number(before), count=index)
    return ChallengeOffer(
        key=challenge.key,
        name=challenge.name,
        prompt=challenge.prompts[index] if index < len(challenge.prompts) else None,
        ticked=ticked,
        said=so_far if ticked is None else yes if ticked else no,
        said_ticked=yes,
        said_not=no,
        number=index + 1,
        days=(challenge.until - challenge.start).days + 1,
    )
