"""The days of trials: what was drawn, what was done, and the outcome."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import msgspec
import polars as pl

from journal import lots
from journal.settings import Trial

LOTS: dict[str, Any] = {
    "trial": pl.String,
    "date": pl.Date,
    "arm": pl.String,
    "done": pl.Boolean,
    "outcome": pl.Float64,
    "outcome_date": pl.Date,
    "is_on": pl.Boolean,
    "pair": pl.Int64,
    "block": pl.Int64,
    "state": pl.String,
}


def as_of(trial: Trial, today: dt.date) -> Trial:
    """The trial as it stood on a day: without a stop, an interruption or a look that came later.

    >>> from journal.lots import _EXAMPLE as plan
    >>> later = msgspec.structs.replace(plan, stopped=dt.date(2025, 3, 4), looked=(dt.date(2025, 3, 3),))
    >>> as_of(later, dt.date(2025, 3, 3)).stopped, as_of(later, dt.date(2025, 3, 3)).looked
    (None, (datetime.date(2025, 3, 3),))
    """
    return msgspec.structs.replace(
        trial,
        stopped=trial.stopped if trial.stopped is None or trial.stopped <= today else None,
        interrupted=trial.interrupted if trial.interrupted is None or trial.interrupted <= today else None,
        looked=tuple(sorted({day for day in trial.looked if day <= today})),
    )


def drawn(
    trials: Sequence[Trial], states: pl.DataFrame, days: pl.DataFrame, nights: pl.DataFrame, *, today: dt.date
) -> pl.DataFrame:
    """The drawn days of trials, up to the last one, those to come among them.

    In: the frame of `states.states`; `Tables.days` (date, mood, energy); the frame of `sleep.nights` (date, minutes).
    Out, `LOTS`, in the order of the trials and days:

    - trial (String, its key), date (Date), arm (String: on, off or washout), done (Boolean: the habit was done, on
      whatever lot; null on a day without a page, on one whose evening asked for nothing, and from today on without a
      mark)
    - outcome (Float64: mood, energy, minutes of sleep or the number of the other habit, `lag` days later; null where
      nothing is recorded, also on a day that is logged), outcome_date (Date)
    - is_on (Boolean: the block is on, also in its washout), pair, block (Int64, from 0), state (String, as in
      `states.State`; null where the habit is not in force)

    What is recorded for days after `today` is ignored. Raises nothing.

    >>> plan = Trial(key="walking", question="?", habit="walk", start=dt.date(2025, 3, 1), days=4, seed=4711)
    >>> dates = pl.date_range(plan.start, dt.date(2025, 3, 4), eager=True)
    >>> days = pl.DataFrame({"date": dates, "mood": [4.0, 5.0, None, 3.0], "energy": None})
    >>> states = pl.DataFrame({"habit": "walk", "date": dates, "asked": True, "mark": None, "value": None,
    ...     "target": None, "aim": None, "state": ["done", "missed", "blank", "missed"]})
    >>> from journal.measures.sleep import NIGHTS
    >>> rows = drawn([plan], states, days, pl.DataFrame(schema=NIGHTS), today=dt.date(2025, 3, 9))
    >>> rows.select("arm", "done", "outcome").rows()
    [('on', True, 4.0), ('on', False, 5.0), ('off', None, None), ('off', False, 3.0)]
    """
    past = pl.col("date") <= today
    named = {name for trial in trials for name in (trial.habit, trial.outcome)}
    states = states.filter(past, pl.col("habit").is_in(named))  # once, and of few habits: a filter copies every column
    days, nights = days.filter(past), nights.filter(past)
    frames = [_of(as_of(trial, today), states, days, nights) for trial in trials]
    return pl.concat([pl.DataFrame(schema=LOTS), *frames])


def _of(trial: Trial, states: pl.DataFrame, days: pl.DataFrame, nights: pl.DataFrame) -> pl.DataFrame:
    last = lots.last_drawn(trial)
    rows = [lot for lot in lots.lots(trial) if lot.date <= last]
    lag = pl.duration(days=trial.lag)
    of_habit = states.filter(pl.col("habit") == trial.habit).select(
        "date", done=_is_done(), state=pl.col("state").cast(pl.String)
    )
    return (
        pl.DataFrame(rows, schema=list(lots.Lot._fields), orient="row", schema_overrides=_LOT_TYPES)
        .with_columns(trial=pl.lit(trial.key), outcome_date=pl.col("date") + lag)
        .join(of_habit, on="date", how="left", maintain_order="left")
        .join(_outcomes(trial, states, days, nights), on="outcome_date", how="left", maintain_order="left")
        .select(*LOTS)
        .cast(LOTS)  # type: ignore[arg-type]
    )


_LOT_TYPES: dict[str, Any] = {"date": pl.Date, "pair": pl.Int64, "block": pl.Int64, "arm": pl.String}


def _is_done() -> pl.Expr:
    """Whether the habit was done. A mark counts on a day on which the habit is not due as well."""
    state, mark, value, target = pl.col("state").cast(pl.String), pl.col("mark"), pl.col("value"), pl.col("target")
    reached = pl.when(pl.col("aim") == "at most").then(value <= target).otherwise(value >= target)
    number = (mark == "number") & pl.when(target.is_null()).then(value > 0).otherwise(reached)
    met = (mark == "done") | number
    return (
        pl.when(state == "done")
        .then(True)
        .when(state.is_in(["missed", "partial"]))
        .then(False)
        .when(mark.is_not_null())
        .then(met.fill_null(False))
        .when(state.is_in(["not due", "rest"]) & pl.col("asked"))
        .then(False)
        .otherwise(None)
    )


def _outcomes(trial: Trial, states: pl.DataFrame, days: pl.DataFrame, nights: pl.DataFrame) -> pl.DataFrame:
    """The outcome by the day that it is recorded on."""
    on = pl.col("date").alias("outcome_date")
    match trial.outcome:
        case "mood" | "energy":
            frame = days.select(on, outcome=pl.col(trial.outcome).cast(pl.Float64))
        case "sleep":
            frame = nights.select(on, outcome=pl.col("minutes").cast(pl.Float64))
        case habit:
            of_habit = states.filter(pl.col("habit") == habit, pl.col("mark") == "number")
            frame = of_habit.select(on, outcome=pl.col("value").cast(pl.Float64))
    return frame.unique("outcome_date", keep="first")


def with_free_days(marks: pl.DataFrame, trials: Sequence[Trial]) -> pl.DataFrame:
    """The marks (`tables.MARKS`) with the days that a trial leaves free as time off from its habit.

    A day in a block without the habit is rest unless it is marked as done: it breaks no streak and counts in no rate.

    >>> plan = Trial(key="walking", question="?", habit="walk", start=dt.date(2025, 3, 1), days=4, seed=4711)
    >>> dates = pl.date_range(plan.start, dt.date(2025, 3, 5), eager=True)
    >>> marks = pl.DataFrame({"habit": "walk", "date": dates, "off": False})
    >>> with_free_days(marks, [plan]).get_column("off").to_list()
    [False, False, True, True, False]
    """
    free: dict[str, set[dt.date]] = {}
    for trial in trials:
        free.setdefault(trial.habit, set()).update(lots.free_days(trial))
    # A condition for each habit leaves the other columns where they are. A join would copy those of all days.
    days = [(pl.col("habit") == habit) & pl.col("date").is_in(sorted(free[habit])) for habit in free]
    return marks.with_columns(off=pl.any_horizontal("off", *days))
