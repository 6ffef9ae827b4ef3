"""The state of a habit on each day, and its *occasions*, the units that streaks and rates count.

The occasions of a habit with a rule are its due days. The occasions of a quota habit are whole weeks or months.
"""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.measures.period_columns import week_start
from journal.settings import Unmarked, Weekday

STATES = ("not due", "rest", "done", "partial", "missed", "blank", "pending")
State = pl.Enum(STATES)
_Unit = pl.Enum(("occasion", "week", "month"))

OCCASIONS = {
    "habit": pl.String,
    "unit": _Unit,
    "from": pl.Date,
    "to": pl.Date,
    "date": pl.Date,
    "state": State,
}


@checked
def states(marks: pl.DataFrame, *, today: dt.date, unmarked: Unmarked = "missed") -> pl.DataFrame:
    """The state of each habit on each day.

    In: `tables.MARKS` (a row per habit and day in force). `unmarked` is the setting of journal.toml: with "blank", a
    missing mark says nothing on any day, so `asked` is false on all. Out: the same rows with `state` (`State`):

    - *not due*: the rule does not include the day. Also each day of a quota habit that is neither done, partial nor
      rest
    - *rest*: the day is marked as rest, or lies in time off (`off`) and is not done
    - *done*: marked done, or the number reaches the target
    - *partial*: the number is above zero but below an "at least" target
    - *missed*: due, with a mark that is none of the above, or without a mark on a past day that was asked (`asked`)
    - *blank*: due without a mark on any other past day
    - *pending*: due without a mark, today or later

    A number over an "at most" target is missed, never partial: a limit cannot be kept in part. A mark on a day that is
    not due stays in `mark` and `value` but changes no count.

    >>> day = dt.date(2025, 3, 14)
    >>> marks = pl.DataFrame({"habit": ["walk"] * 3, "date": [day, day, day], "asked": [True, True, False],
    ...     "due": [True, True, True], "times": None, "per": None, "target": None, "aim": None,
    ...     "mark": ["done", None, None], "value": None}, schema_overrides={"target": pl.Float64, "value": pl.Float64})
    >>> states(marks, today=dt.date(2025, 3, 20)).get_column("state").to_list()
    ['done', 'missed', 'blank']
    """
    if unmarked == "blank":
        marks = marks.with_columns(asked=pl.lit(False))
    target, value, mark = pl.col("target"), pl.col("value"), pl.col("mark")
    number = mark == "number"
    reached = pl.when(pl.col("aim") == "at most").then(value <= target).otherwise(value >= target)
    # For a habit without a target, any number above zero counts as done.
    met = (mark == "done") | (number & pl.when(target.is_null()).then(value > 0).otherwise(reached))
    partial = number & (pl.col("aim") == "at least") & (value > 0)
    quota = pl.col("per").is_not_null()
    off = pl.col("off") if "off" in marks.columns else pl.lit(False)
    # States of the enumeration from the start: texts in between take sixteen times the memory.
    named = {name: pl.lit(name, dtype=State) for name in STATES}
    state = (
        pl.when(~quota & ~pl.col("due"))
        .then(named["not due"])
        .when(mark == "rest")
        .then(named["rest"])
        .when(met)
        .then(named["done"])
        .when(off)
        .then(named["rest"])
        .when(partial)
        .then(named["partial"])
        .when(quota)
        .then(named["not due"])
        .when(mark.is_not_null())
        .then(named["missed"])
        .when(pl.col("date") >= today)
        .then(named["pending"])
        .when("asked")
        .then(named["missed"])
        .otherwise(named["blank"])
    )
    return marks.with_columns(state=state)


@checked
def occasions(states: pl.DataFrame, *, today: dt.date, week_starts: Weekday) -> pl.DataFrame:
    """The occasions that streaks and rates count.

    In: the frame of `states`. Out: `OCCASIONS`, sorted by habit (in the order given) and date: every due day of a habit
    with a rule, every whole week or month of a quota habit. `date` assigns an occasion to a month and year: the due
    day, the fourth day of a week (as in ISO 8601), the 15th of a month. A week or month that a definition covers only
    in part, or in which the quota changes, is excluded: no one quota can be required of the whole of it.

    One column more, `unit_to` (Date), is the last day on which the habit counts in this unit (single days, weeks or
    months) before it counts in another; null where no change follows. Streaks end there.

    The state of a week (or month) is *done* if the quota is met; *rest* if rest days leave too few days for it;
    *pending* if it is not over and the quota can still be met; *blank* if it is over and its days without a mark that
    were not asked could have met the quota; else *missed*. A current week is missed as soon as the quota can no longer
    be met.

    >>> week = pl.date_range(dt.date(2025, 3, 10), dt.date(2025, 3, 16), eager=True)
    >>> swim = pl.DataFrame({"habit": "swim", "date": week, "asked": True, "due": None, "times": 3, "per": "week",
    ...     "mark": None, "state": pl.Series(["done", "not due"] * 3 + ["done"], dtype=State)})
    >>> occasions(swim, today=dt.date(2025, 4, 1), week_starts="monday").select("unit", "from", "to", "state").rows()
    [('week', datetime.date(2025, 3, 10), datetime.date(2025, 3, 16), 'done')]
    """
    order = _units(states).get_column("habit").unique(maintain_order=True)
    states = _with_unit_to(states)
    due = states.select("habit", "date", "per", "state", "unit_to")  # a filter copies every column
    single = due.filter(pl.col("per").is_null(), pl.col("state") != "not due").select(
        "habit",
        pl.lit("occasion").cast(_Unit).alias("unit"),
        pl.col("date").alias("from"),
        pl.col("date").alias("to"),
        "date",
        "state",
        "unit_to",
    )
    quotas = states.filter(pl.col("per").is_not_null())
    every = [
        single,
        _periods(quotas, "week", today, week_starts),
        _periods(quotas, "month", today, week_starts),
    ]
    joined = pl.concat([frame.cast(OCCASIONS | {"unit_to": pl.Date}) for frame in every])  # type: ignore[arg-type]
    if quotas.is_empty() and _is_in_order(joined):
        return joined
    return joined.sort(pl.col("habit").cast(pl.Enum(order)), "date")


def _is_in_order(frame: pl.DataFrame) -> bool:
    """Whether the rows are by habit, each in one run, and by date, so that they need no sorting."""
    another = (pl.col("habit") != pl.col("habit").shift()).fill_null(True)
    later = pl.col("date") > pl.col("date").shift()
    runs, habits, in_time = frame.select(
        runs=another.sum(), habits=pl.col("habit").n_unique(), in_time=(later | another).all()
    ).row(0)
    return runs == habits and bool(in_time)


def _units(states: pl.DataFrame) -> pl.DataFrame:
    """The habit and `per` of the first row of each run in which both are the same: a few rows, as a rule."""
    another = [pl.col(name).ne_missing(pl.col(name).shift()) for name in ("habit", "per")]
    return states.select("habit", "per").filter((pl.int_range(pl.len()) == 0) | pl.any_horizontal(another))


def _with_unit_to(states: pl.DataFrame) -> pl.DataFrame:
    """The states with `unit_to` from the changes of `per`; by habit and day, if there are any changes."""
    units = _units(states).unique()
    if units.height == units.get_column("habit").n_unique():
        return states.with_columns(unit_to=pl.lit(None, pl.Date))
    numbered = states.sort("habit", "date").with_columns(stretch=pl.struct("habit", "per").rle_id())
    stretches = (
        numbered.group_by("stretch", maintain_order=True)
        .agg(pl.col("habit", "date").first())
        .select("stretch", unit_to=pl.col("date").shift(-1).over("habit") - pl.duration(days=1))
    )
    return numbered.join(stretches, on="stretch", how="left", maintain_order="left").drop("stretch")


def _periods(quotas: pl.DataFrame, unit: str, today: dt.date, week_starts: Weekday) -> pl.DataFrame:
    date, state = pl.col("date"), pl.col("state")
    if unit == "week":
        first = week_start(date, week_starts)
        last = pl.col("from") + pl.duration(days=6)
        middle = pl.col("from") + pl.duration(days=3)
    else:
        first, last = date.dt.month_start(), pl.col("from").dt.month_end()
        middle = pl.col("from") + pl.duration(days=14)
    unmarked = state == "not due"
    counts = (
        quotas.filter(pl.col("per") == unit)
        .sort("habit", "date")
        .group_by("habit", first.alias("from"), maintain_order=True)
        .agg(
            pl.len().alias("days"),
            pl.col("times").first(),
            pl.col("times").n_unique().alias("quotas"),
            pl.col("unit_to").first(),
            (state == "done").sum().alias("done"),
            (state == "rest").sum().alias("resting"),
            (unmarked & (date >= today) & pl.col("mark").is_null()).sum().alias("open"),
            (unmarked & (date < today) & ~pl.col("asked")).sum().alias("unknown"),
        )
        .with_columns(to=last, date=middle)
        .filter(pl.col("quotas") == 1, pl.col("days") == (pl.col("to") - pl.col("from")).dt.total_days() + 1)
    )
    could = pl.col("done") + pl.col("unknown") + pl.col("open") >= pl.col("times")
    return counts.select(
        "habit",
        pl.lit(unit).alias("unit"),
        "from",
        "to",
        "date",
        pl.when(pl.col("done") >= pl.col("times"))
        .then(pl.lit("done"))
        .when(pl.col("days") - pl.col("resting") < pl.col("times"))
        .then(pl.lit("rest"))
        .when(could & (pl.col("to") >= today))
        .then(pl.lit("pending"))
        .when(could)
        .then(pl.lit("blank"))
        .otherwise(pl.lit("missed"))
        .alias("state"),
        "unit_to",
    )
