"""Completion rates of habits with their intervals, changes of a rate, and totals of counted habits."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.measures.confidence_intervals import newcombe, wilson
from journal.measures.period_columns import By, with_period
from journal.settings import Weekday

Dates = tuple[dt.date, dt.date]
"""The first and the last day of a span, both inclusive."""


def _counts() -> list[pl.Expr]:
    state = pl.col("state")

    def count(*names: str) -> pl.Expr:
        return state.is_in(names).sum().cast(pl.Int64)

    return [
        pl.len().cast(pl.Int64).alias("due"),
        count("done").alias("done"),
        count("missed", "partial").alias("missed"),
        count("partial").alias("partial"),
        count("blank").alias("blank"),
        count("rest").alias("rest"),
        count("pending").alias("pending"),
    ]


def rates(occasions: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """The completion rate of each habit in each period.

    In: `states.OCCASIONS`, filtered to the days of interest. Out, a row per habit and period in which it had an
    occasion, in the order of the habits and by period:

    - habit, period (ISO 8601 name or "all"), from, to (Date)
    - due, done, missed, partial, blank, rest, pending (Int64): due counts every occasion; missed includes partial
    - counted (Int64): due - rest - pending, which is done + missed + blank
    - rate, low, high (Float64): done / counted with its Wilson 95 % interval; null where counted is 0, and where
      no counted occasion was logged: the record is missing, so 0 would be wrong
    - logged_rate (Float64): done / (done + missed), the rate among occasions that were logged

    Method: Wilson 1927, see `confidence_intervals`.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["done", "missed", "rest", "blank"]}).cast(OCCASIONS)
    >>> table = rates(kept, week_starts="monday")
    >>> table.select("due", "done", "counted", pl.col("rate", "low", "high", "logged_rate").round(3)).row(0)
    (4, 1, 3, 0.333, 0.061, 0.792, 0.5)
    """
    done, counted = pl.col("done"), pl.col("counted")
    logged = done + pl.col("missed")
    known = logged > 0
    low, high = wilson(done, counted)
    return (
        _grouped(occasions, by, week_starts)
        .agg(pl.col("from").min(), pl.col("to").max(), *_counts())
        .with_columns(counted=done + pl.col("missed") + pl.col("blank"))
        .with_columns(
            rate=pl.when(known).then(done / counted),
            low=pl.when(known).then(low),
            high=pl.when(known).then(high),
            logged_rate=pl.when(known).then(done / logged),
        )
    )


def _grouped(occasions: pl.DataFrame, by: By, week_starts: Weekday) -> pl.dataframe.group_by.GroupBy:
    """Occasions grouped by habit and period. For "all", `from` and `to` stay those of the occasions, so a week that
    crosses the edge is reported whole."""
    frame = occasions.select("habit", "date", "from", "to", "state")
    whole = by == "all"
    named = frame.with_columns(period=pl.lit("all")) if whole else with_period(frame, by, week_starts=week_starts)
    return named.group_by("habit", "period", maintain_order=True)


def changes(occasions: pl.DataFrame, *, before: Dates, after: Dates, opened: dt.date | None = None) -> pl.DataFrame:
    """The change of each habit's completion rate between two spans of days.

    In: `states.OCCASIONS`; `opened`, the day of the journal's first page. Out, a row per habit with an occasion in
    either span:

    - habit, rate_before, rate_after, difference (after - before), low, high (Float64, Newcombe 1998 method 10, 95 %)
    - clear (Boolean): the interval excludes zero, and so does that of logged_difference, on the same side. An evening
      without a page may have been a good or a bad one, so blanks alone are no change of a habit
    - done_before, counted_before, done_after, counted_after (Int64)
    - unit (that of `OCCASIONS`; null if the spans have different units)
    - logged_before, logged_after (Int64): the counted occasions that were logged
    - logged_difference, logged_low, logged_high (Float64): the difference of the rates among logged occasions

    Occasions that begin before `opened` are not counted: the journal did not exist. Where all of a span is before it,
    they are counted, and are blank. If nothing is counted in one of the spans, or none of it was logged, or the spans
    have different units, its rate, the differences, their intervals and `clear` are null.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 4, 30), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["missed"] * 31 + ["done"] * 30}).cast(OCCASIONS)
    >>> month = changes(kept, before=(days[0], days[30]), after=(days[31], days[60]))
    >>> month.select("rate_before", "rate_after", "difference", "clear").row(0)
    (0.0, 1.0, 1.0, True)
    """
    return (
        occasions.group_by("habit", maintain_order=True)
        .agg(*_within(before, "before", opened), *_within(after, "after", opened))
        .filter(pl.col("counted_before").is_not_null() | pl.col("counted_after").is_not_null())
        .with_columns(rate_before=_rate("before"), rate_after=_rate("after"), unit=_common_unit())
        .with_columns(*_difference("counted", ""), *_difference("logged", "logged_"))
        .with_columns(clear=_apart("") & _apart("logged_") & ((pl.col("low") > 0) == (pl.col("logged_low") > 0)))
        .select(
            "habit", "rate_before", "rate_after", "difference", "low", "high", "clear",
            "done_before", "counted_before", "done_after", "counted_after",
            "unit", "logged_before", "logged_after", "logged_difference", "logged_low", "logged_high",
        )
    )  # fmt: skip


def _within(span: Dates, name: str, opened: dt.date | None) -> list[pl.Expr]:
    """The done, counted and logged occasions of a habit in a span, and their unit; null where it had no occasion there,
    and the unit also where it had two."""
    inside, state = pl.col("date").is_between(*span), pl.col("state")
    since = inside & (pl.col("from") >= (opened or dt.date.min))
    here = pl.when(since.any()).then(since).otherwise(inside)
    logged = state.is_in(["done", "missed", "partial"])
    counts = {"done": state == "done", "counted": logged | (state == "blank"), "logged": logged}
    unit = pl.col("unit").filter(here)
    return [
        *(
            pl.when(inside.any()).then((here & counted).sum().cast(pl.Int64)).alias(f"{column}_{name}")
            for column, counted in counts.items()
        ),
        pl.when(unit.n_unique() == 1).then(unit.first()).alias(f"unit_{name}"),
    ]


def _rate(name: str) -> pl.Expr:
    return pl.col(f"done_{name}") / pl.when(pl.col(f"logged_{name}") > 0).then(pl.col(f"counted_{name}"))


def _common_unit() -> pl.Expr:
    return pl.when(pl.col("unit_before") == pl.col("unit_after")).then(pl.col("unit_after"))


def _difference(among: str, prefix: str) -> list[pl.Expr]:
    """The difference of two rates and its interval: of the occasions that are counted, or that were logged."""
    done_after, done_before = pl.col("done_after"), pl.col("done_before")
    n_after, n_before = pl.col(f"{among}_after"), pl.col(f"{among}_before")
    low, high = newcombe(done_after, n_after, done_before, n_before)
    known = pl.all_horizontal(pl.col("logged_after", "logged_before") > 0) & pl.col("unit").is_not_null()
    values = {"difference": done_after / n_after - done_before / n_before, "low": low, "high": high}
    return [pl.when(known).then(value).alias(f"{prefix}{name}") for name, value in values.items()]


def _apart(prefix: str) -> pl.Expr:
    return (pl.col(f"{prefix}low") > 0) | (pl.col(f"{prefix}high") < 0)


def totals(states: pl.DataFrame, *, by: By = "all", week_starts: Weekday) -> pl.DataFrame:
    """The totals of each counted habit in each period.

    In: the frame of `states.states`. Out, a row per counted habit and period with a logged day:

    - habit, period (String), from, to (Date)
    - days (Int64, logged days on which it was due, without rest and pending days; for a quota habit, which is due on
      no particular day, days with a number), recorded (Int64, days with a number)
    - total (Float64, in the habit's unit); null where no number is recorded
    - mean (Float64, sum of the numbers on `days` / days: a logged due day without a number counts as zero); null where
      no number is recorded or days is 0
    - best (Float64: the maximum, or the minimum for an "at most" target), best_date (Date, the earliest of ties)

    Days that were not logged are ignored.

    >>> from journal.measures.states import State
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 3), eager=True)
    >>> read = pl.DataFrame({"habit": "read", "date": days, "logged": [True, True, False], "target": 20.0,
    ...     "aim": "at least", "per": None, "value": [24.0, None, None], "state": ["done", "missed", "blank"]})
    >>> totals(read, week_starts="monday").select("days", "total", "mean", "best_date").row(0)
    (2, 24.0, 12.0, datetime.date(2025, 3, 1))
    """
    value = pl.col("value")
    due = pl.when(pl.col("per").is_null()).then(pl.col("state").is_in(["done", "partial", "missed"]))
    counted = states.filter(pl.col("target").is_not_null(), pl.col("logged")).select(
        "habit", "date", "aim", "value", due=due.otherwise(value.is_not_null())
    )
    some, days = value.is_not_null().any(), pl.col("due").sum().cast(pl.Int64)
    best = pl.when(pl.col("aim").last() == "at most").then(value.min()).otherwise(value.max())
    return (
        with_period(counted, by, week_starts=week_starts)
        .group_by("habit", "period", maintain_order=True)
        .agg(
            pl.col("from").min(),
            pl.col("to").max(),
            days.alias("days"),
            value.count().cast(pl.Int64).alias("recorded"),
            pl.when(some).then(value.sum()).alias("total"),
            pl.when(some, days > 0).then(value.filter("due").sum() / days).alias("mean"),
            best.alias("best"),
            pl.col("date").filter(value == best).first().alias("best_date"),
        )
    )
