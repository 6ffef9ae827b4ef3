"""Completion rates of habits with their intervals, changes of a rate, and totals of counted habits."""

from __future__ import annotations

import datetime as dt

import polars as pl

from journal.call_arguments import checked
from journal.measures.confidence_intervals import newcombe, newcombe_p, wilson
from journal.measures.dependence import effective
from journal.measures.false_discovery import benjamini_hochberg, is_clear
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


@checked
def rates(
    occasions: pl.DataFrame, *, by: By = "all", week_starts: Weekday, known: pl.DataFrame | None = None
) -> pl.DataFrame:
    """The completion rate of each habit in each period.

    In: `states.OCCASIONS`, filtered to the days of interest; `known`, the frame of `dependence.dependence` of all
    occasions (without it, occasions count as independent). Out, a row per habit and period in which it had an occasion,
    in the order of the habits and by period:

    - habit, period (ISO 8601 name or "all"), from, to (Date)
    - due, done, missed, partial, blank, rest, pending (Int64): due counts every occasion; missed includes partial
    - counted (Int64): due - rest - pending, which is done + missed + blank
    - rate, low, high (Float64): done / counted with its Wilson 95 % interval over n_effective; null where counted is
      0, and where no counted occasion was logged: the record is missing, so 0 would be wrong
    - logged_rate (Float64): done / (done + missed), the rate among occasions that were logged
    - n_effective (Float64): the independent occasions that counted is worth

    Method: Wilson 1927, see `confidence_intervals`; `dependence` for n_effective.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 3, 4), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["done", "missed", "rest", "blank"]}).cast(OCCASIONS)
    >>> table = rates(kept, week_starts="monday")
    >>> table.select("due", "done", "counted", pl.col("rate", "low", "high", "logged_rate").round(3)).row(0)
    (4, 1, 3, 0.333, 0.061, 0.792, 0.5)
    """
    done, counted, worth = pl.col("done"), pl.col("counted"), pl.col("n_effective")
    logged = done + pl.col("missed")
    recorded = logged > 0
    low, high = wilson(done / counted * worth, worth)
    counts = (
        _grouped(occasions, by, week_starts)
        .agg(pl.col("from").min(), pl.col("to").max(), *_counts(), pl.col("unit").last())
        .with_columns(counted=done + pl.col("missed") + pl.col("blank"))
    )
    return (
        effective(counts, known, {"counted": "n_effective"})
        .with_columns(
            rate=pl.when(recorded).then(done / counted),
            low=pl.when(recorded).then(low),
            high=pl.when(recorded).then(high),
            logged_rate=pl.when(recorded).then(done / logged),
        )
        .select(pl.all().exclude("unit", "n_effective"), "n_effective")
    )


def _grouped(occasions: pl.DataFrame, by: By, week_starts: Weekday) -> pl.dataframe.group_by.GroupBy:
    """Occasions grouped by habit and period. For "all", `from` and `to` stay those of the occasions, so a week that
    crosses the edge is reported whole."""
    frame = occasions.select("habit", "unit", "date", "from", "to", "state")
    whole = by == "all"
    named = frame.with_columns(period=pl.lit("all")) if whole else with_period(frame, by, week_starts=week_starts)
    return named.group_by("habit", "period", maintain_order=True)


@checked
def changes(
    occasions: pl.DataFrame,
    *,
    before: Dates,
    after: Dates,
    opened: dt.date | None = None,
    known: pl.DataFrame | None = None,
) -> pl.DataFrame:
    """The change of each habit's completion rate between two spans of days.

    In: `states.OCCASIONS`; `opened`, the day of the journal's first page; `known`, as for `rates`. Out, a row per habit
    with an occasion in either span:

    - habit, rate_before, rate_after, difference (after - before), low, high (Float64, Newcombe 1998 method 10, 95 %,
      over the effective numbers)
    - clear (Boolean): q is 0.05 or less
    - done_before, counted_before, done_after, counted_after (Int64)
    - unit (that of `OCCASIONS`; null if the spans have different units)
    - logged_before, logged_after (Int64): the counted occasions that were logged
    - logged_difference, logged_low, logged_high (Float64): the difference of the rates among logged occasions
    - n_effective_before, n_effective_after (Float64): the independent occasions that those counted are worth
    - p (Float64): the greater of those of difference and logged_difference, see `confidence_intervals.newcombe_p`; 1 if
      their signs differ. An evening without a page may have been a good or a bad one, so blanks alone are no change
    - q (Float64): p after Benjamini and Hochberg (1995) over the habits here

    Occasions that begin before `opened` are not counted: the journal did not exist. Where all of a span is before it,
    they are counted, and are blank. If nothing is counted in one of the spans, or none of it was logged, or the spans
    have different units, its rate, the differences, their intervals, p, q and `clear` are null.

    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 3, 1), dt.date(2025, 4, 30), eager=True)
    >>> kept = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": ["missed"] * 31 + ["done"] * 30}).cast(OCCASIONS)
    >>> month = changes(kept, before=(days[0], days[30]), after=(days[31], days[60]))
    >>> month.select("rate_before", "rate_after", "difference", "clear").row(0)
    (0.0, 1.0, 1.0, True)
    """
    counts = (
        occasions.group_by("habit", maintain_order=True)
        .agg(*_within(before, "before", opened), *_within(after, "after", opened))
        .filter(pl.col("counted_before").is_not_null() | pl.col("counted_after").is_not_null())
        .with_columns(rate_before=_rate("before"), rate_after=_rate("after"), unit=_common_unit())
    )
    worth = {f"{among}_{side}": f"{among}_worth_{side}" for among in ("counted", "logged") for side in _SIDES}
    differences = effective(counts, known, worth).with_columns(
        *_difference("counted", ""), *_difference("logged", "logged_")
    )
    return (
        differences.with_columns(p=_p(differences))
        .with_columns(q=pl.col("p").map_batches(benjamini_hochberg, pl.Float64))
        .with_columns(clear=is_clear(pl.col("q")))
        .rename({f"counted_worth_{side}": f"n_effective_{side}" for side in _SIDES})
        .select(
            "habit", "rate_before", "rate_after", "difference", "low", "high", "clear",
            "done_before", "counted_before", "done_after", "counted_after",
            "unit", "logged_before", "logged_after", "logged_difference", "logged_low", "logged_high",
            "n_effective_before", "n_effective_after", "p", "q",
        )
    )  # fmt: skip


_SIDES = ("before", "after")


def _within(span: Dates, name: str, opened: dt.date | None) -> list[pl.Expr]:
    """The done, counted and logged occasions of a habit in a span, and their unit; null where it had no occasion there,
    and the unit also where it had two."""
    inside, state = pl.col("date").is_between(*span), pl.col("state")
    since = pl.col("from") >= (opened or dt.date.min)
    here = inside & (since | ~(inside & since).any())
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
    after, before = (pl.col(f"done_{side}") / pl.col(f"{among}_{side}") for side in ("after", "before"))
    n_after, n_before = (pl.col(f"{among}_worth_{side}") for side in ("after", "before"))
    low, high = newcombe(after * n_after, n_after, before * n_before, n_before)
    comparable = (pl.col("logged_after") > 0) & (pl.col("logged_before") > 0) & pl.col("unit").is_not_null()
    values = {"difference": after - before, "low": low, "high": high}
    return [pl.when(comparable).then(value).alias(f"{prefix}{name}") for name, value in values.items()]


def _p(differences: pl.DataFrame) -> pl.Series:
    """The greater p of the two differences, 1 if they have opposite signs; null where there is no difference."""

    def of(among: str) -> pl.Series:
        share = {side: differences[f"done_{side}"] / differences[f"{among}_{side}"] for side in _SIDES}
        worth = {side: differences[f"{among}_worth_{side}"] for side in _SIDES}
        return newcombe_p(share["after"], worth["after"], share["before"], worth["before"])

    opposite = pl.col("difference") * pl.col("logged_difference") < 0
    greater = pl.when(opposite).then(1.0).otherwise(pl.max_horizontal(of("counted"), of("logged")))
    return differences.select(pl.when(pl.col("difference").is_not_null()).then(greater)).to_series()


@checked
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
