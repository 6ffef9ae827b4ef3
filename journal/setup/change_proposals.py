"""Changes of a habit that its own record proposes, ready to be chosen: on which days, how often, how much.

Each is worked out from days that were logged. Days of rest and days without a page propose nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import msgspec
import polars as pl

from journal.language.catalogue import _, _n
from journal.recurrence import WEEKDAY_CODES
from journal.settings import WEEKDAYS, Habit, Weekday
from journal.setup import schedule_fields
from journal.setup.schedule_fields import GREATEST_INTERVAL, QuotaPeriod, ScheduleFields
from journal.wording import numbers

MOST = 4
"""The greatest number of proposals."""

WEEKS = 8
"""The weeks of a record that are looked at, up to the end of the month."""

_FEWEST_OCCASIONS = 4  # fewer say nothing of weekdays or amounts
_FEWEST_LOGGED = 14  # days: fewer say nothing of how often
_HELD = 0.9  # share of occasions from which a habit may be asked more often
_DAYS_A_WEEK, _DAYS_A_MONTH = 7, 30
_RARE = 0.75  # times a week: less is counted by the month


class ProposedChange(NamedTuple):
    """A changed definition: its schedule and amount, and why it is proposed (empty if its words say it)."""

    schedule: ScheduleFields
    target: float | None
    because: str = ""


def proposals(habit: Habit, record: pl.DataFrame, *, week_starts: Weekday) -> list[ProposedChange]:
    """The changes to propose for a definition, the closest to its record first, at most four.

    In: `record`, rows of `Journal.states` of the habit while the definition was in force (date, logged, due, mark,
    value, state). Days that are not logged, days of rest and days to come do not count. A record without any other day
    proposes nothing. A schedule that no pattern expresses keeps its days; only its amount is proposed.

    >>> import datetime as dt
    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 3), every="FREQ=DAILY")
    >>> days = pl.date_range(dt.date(2025, 3, 3), dt.date(2025, 3, 30), eager=True)
    >>> done = days.dt.weekday().is_in([1, 4])
    >>> record = pl.DataFrame({"date": days, "logged": True, "due": True, "value": None, "mark": None,
    ...     "state": done.replace_strict({True: "done", False: "missed"})})
    >>> for change in proposals(walk, record, week_starts="monday"):
    ...     print(change.schedule.pattern, change.schedule.weekdays, change.schedule.times, change.because or '-')
    weekdays ('MO', 'TH') None done on 8 of 8 of these days
    quota () 2 done 8 times in 4 weeks
    days () None -
    """
    now = schedule_fields.of(habit, week_starts=week_starts)
    days = _Record(habit, record)
    if not days.occasions.height:
        return []
    as_done, otherwise = [_weekdays(now, days, week_starts), _quota(now, days)], [_half(now, days), _more(now, days)]
    found = [*_kept_amount(habit, as_done), *_amount(habit, now, days), *_kept_amount(habit, otherwise)]
    return _distinct(found, ProposedChange(now, habit.target))[:MOST]


def _kept_amount(habit: Habit, schedules: Iterable[_Schedule]) -> list[ProposedChange]:
    return [ProposedChange(fields, habit.target, because) for fields, because in filter(None, schedules)]


def _distinct(found: Iterable[ProposedChange], now: ProposedChange) -> list[ProposedChange]:
    """The proposals that differ from the definition as it is and from each other."""
    seen = [_meant(now)]
    kept = []
    for change in found:
        if _meant(change) not in seen:
            seen.append(_meant(change))
            kept.append(change)
    return kept


def _meant(change: ProposedChange) -> tuple[ScheduleFields, float | None]:
    return msgspec.structs.replace(change.schedule, rule="", weeks_from=""), change.target


class _Record:
    """The days of a record that count. `occasions` are the due days, of a quota all days, and days done beyond them."""

    def __init__(self, habit: Habit, record: pl.DataFrame) -> None:
        number = pl.col("mark").cast(pl.String) == "number"
        beyond = (pl.col("mark").cast(pl.String) == "done") | (number & (pl.col("value") > 0))
        state = pl.col("state").cast(pl.String)
        known = record.filter(pl.col("logged"), ~state.is_in(["rest", "blank", "pending"])).with_columns(
            done=((state == "done") | ((state == "not due") & beyond)).fill_null(value=False)
        )
        self.logged = known.height
        asked = pl.lit(habit.every is None) | pl.col("done") | (state != "not due")
        self.occasions = known.filter(asked).select(
            "done", pl.col("value").cast(pl.Float64), weekday=pl.col("date").dt.weekday() - 1
        )
        self.done = int(self.occasions["done"].sum())

    @property
    def share(self) -> float:
        return self.done / self.occasions.height

    @property
    def a_week(self) -> float:
        return self.done * _DAYS_A_WEEK / self.logged


_Schedule = tuple[ScheduleFields, str] | None


def _weekdays(now: ScheduleFields, days: _Record, week_starts: Weekday) -> _Schedule:
    """The weekdays on which it was done most, as many as it was done in a week."""
    is_by_weeks = now.pattern in ("day", "days") or (now.pattern == "weekdays" and now.interval == 1)
    is_by_weeks = is_by_weeks or (now.pattern == "quota" and now.per == "week")
    many = _rounded(days.a_week)
    if not is_by_weeks or not 1 <= many < _DAYS_A_WEEK:
        return None
    if days.occasions.height < _FEWEST_OCCASIONS:
        return None
    first = WEEKDAYS.index(week_starts)
    counts = days.occasions.group_by("weekday").agg(done=pl.col("done").sum(), all=pl.len())
    ranked = sorted(
        (row for row in counts.iter_rows(named=True) if row["done"]),
        key=lambda row: (-row["done"] / row["all"], (row["weekday"] - first) % _DAYS_A_WEEK),
    )[:many]
    chosen = tuple(WEEKDAY_CODES[day] for day in sorted(row["weekday"] for row in ranked))
    done, counted = (sum(row[name] for row in ranked) for name in ("done", "all"))
    because = _("done on {done} of {count} of these days", done=done, count=counted)
    return ScheduleFields(pattern="weekdays", weekdays=chosen, weeks_from=now.weeks_from), because


def _quota(now: ScheduleFields, days: _Record) -> _Schedule:
    """As often in a week, or in a month, as it was done."""
    if days.logged < _FEWEST_LOGGED or not days.done or now.pattern in ("year", "other"):
        return None
    per: QuotaPeriod = "month" if days.a_week < _RARE else "week"
    times = max(1, _rounded(days.done * (_DAYS_A_MONTH if per == "month" else _DAYS_A_WEEK) / days.logged))
    if times >= _DAYS_A_WEEK:
        return None
    weeks, often = round(days.logged / _DAYS_A_WEEK), numbers.times(days.done)
    return _times(times, per, now), _n(
        "done {times} in {count} week", "done {times} in {count} weeks", weeks, times=often
    )


def _half(now: ScheduleFields, days: _Record) -> _Schedule:
    """Half as often."""
    if now.pattern == "quota":
        if now.times == 1:
            return (_times(1, "month", now), "") if now.per == "week" else None
        return _times((now.times or 2) // 2, now.per, now), ""
    if now.pattern == "day":
        return ScheduleFields(pattern="days", interval=2, weeks_from=now.weeks_from), ""
    if now.pattern in ("year", "other") or now.interval * 2 > GREATEST_INTERVAL:
        return None
    if now.pattern == "weekdays" and len(now.weekdays) > 2:  # a week on and a week off is no rhythm for so many days
        return msgspec.structs.replace(now, weekdays=now.weekdays[::2], rule=""), ""
    return _every(now, now.interval * 2), ""


def _more(now: ScheduleFields, days: _Record) -> _Schedule:
    """More often, for a habit that was done nearly always."""
    if days.occasions.height < _FEWEST_OCCASIONS or now.pattern in ("day", "year", "other"):
        return None
    if now.pattern == "quota":
        asked = (now.times or 1) / (_DAYS_A_WEEK if now.per == "week" else _DAYS_A_MONTH)
        if days.done < _HELD * asked * days.logged:
            return None
        more = (now.times or 1) + 1
        return (_times(more, now.per, now) if more < _DAYS_A_WEEK else ScheduleFields(pattern="day")), ""
    if days.share < _HELD:
        return None
    if now.interval > 1 and now.pattern != "days":
        return _every(now, now.interval // 2), ""
    return (
        (ScheduleFields(pattern="day", weeks_from=now.weeks_from), "") if now.pattern in ("days", "weekdays") else None
    )


def _amount(habit: Habit, now: ScheduleFields, days: _Record) -> Sequence[ProposedChange]:
    """The amount that was reached half of the times, where that is less than the target, or more than a limit."""
    reached = days.occasions["value"].drop_nulls()
    reached = reached.filter(reached > 0)
    if habit.target is None or len(reached) < _FEWEST_OCCASIONS:
        return []
    middle = float(reached.median())  # type: ignore[arg-type]
    is_limit = habit.aim == "at most"
    step = _step(middle)
    target = (math.ceil if is_limit else math.floor)(middle / step) * step
    if target <= 0 or (target <= habit.target if is_limit else target >= habit.target):
        return []
    amount = f"{numbers.number(target)} {habit.unit}".strip()
    if is_limit:
        because = _("half of the times it was {amount} or less", amount=amount)
    else:
        because = _("half of the times it was {amount} or more", amount=amount)
    return [ProposedChange(now, float(target), because)]


def _step(amount: float) -> int:
    """The step of a round amount near another one."""
    return 1 if amount < 10 else 5 if amount < 100 else 10 ** (len(str(int(amount))) - 2) * 5


def _times(times: int, per: QuotaPeriod, now: ScheduleFields) -> ScheduleFields:
    return ScheduleFields(pattern="quota", times=times, per=per, weeks_from=now.weeks_from)


def _every(now: ScheduleFields, interval: int) -> ScheduleFields:
    return msgspec.structs.replace(now, interval=interval, rule="")


def _rounded(value: float) -> int:
    """Half up, so that equal records propose the same."""
    return math.floor(value + 0.5)
