"""The series of each measure by period, which findings compare, and the days behind each value."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.measures import completion, coverage, hours, mood, sleep_summary
from journal.measures.finding_input import FindingFacts
from journal.measures.period_columns import By, with_period
from journal.periods import PeriodKind
from journal.settings import Weekday

SERIES: dict[str, Any] = {
    "measure": pl.String,
    "subject": pl.String,
    "unit": pl.String,
    "from": pl.Date,
    "to": pl.Date,
    "value": pl.Float64,
    "n": pl.Int64,
    "amount": pl.Float64,
    "out_of": pl.Float64,
    "known": pl.Int64,
}

LEAST: Mapping[PeriodKind, int] = {"week": 4, "month": 14, "year": 120}
"""The least days (nights, tasks) of a period that is compared: about as for trailing means, and a third of a year."""
LEAST_OCCASIONS: Mapping[PeriodKind, int] = {"week": 4, "month": 4, "year": 12}
"""The least known occasions of a habit in a period. An occasion may be a whole week: a month has four of those."""

PLAN, LEVEL, SPREAD, MINUTES, REGULARITY, WAITING, CARRIED = (
    "plan", "level", "spread", "minutes", "regularity", "waiting", "carried",
)  # fmt: skip
"""Subjects of measures other than habits and categories. `PLAN` is also a unit, since a category may have that key."""


def series(facts: FindingFacts, kind: PeriodKind) -> pl.DataFrame:
    """The value of every measure in every period of a kind that has enough days for it.

    Out: `SERIES`, by measure, subject, unit and time: value (in the measure's unit), n (the days, nights, occasions or
    tasks that it is based on), amount and out_of (numerator and denominator of a share), unit (of a habit's occasions;
    `PLAN` for planned time; else "").
    """
    least = pl.col("n") >= LEAST[kind]
    by: By = "week" if kind == "week" else "month" if kind == "month" else "year"
    parts = [
        _rates(facts, by).filter(pl.col("known") >= LEAST_OCCASIONS[kind]),
        *(part.filter(least) for part in (*_moods(facts, by), *_sleep(facts, by), *_hours(facts, by))),
        *(part.filter(least) for part in (_carried(facts, by), _coverage(facts, by))),
        _waiting(facts, by),
    ]
    typed = [pl.col(column).cast(dtype) for column, dtype in SERIES.items()]
    return (
        pl.concat([pl.DataFrame(schema=SERIES), *(part.select(typed) for part in parts)])
        .filter(pl.col("value").is_not_null())
        .sort("measure", "subject", "unit", "from")
    )


def _part(frame: pl.DataFrame, measure: str, subject: pl.Expr | str, value: pl.Expr, n: pl.Expr, **more: Any) -> Any:
    named = {name: pl.lit(None) for name in ("amount", "out_of", "known")} | {"unit": pl.lit("")} | more
    return frame.select(
        "from",
        "to",
        measure=pl.lit(measure),
        subject=subject if isinstance(subject, pl.Expr) else pl.lit(subject),
        value=value,
        n=n,
        **named,
    )


def _rates(facts: FindingFacts, by: By) -> pl.DataFrame:
    """Completion rates by unit: rates of weeks and days do not compare."""
    ws = facts.settings.week_starts
    frames = [
        _with_period_ends(completion.rates(of_unit, by=by, week_starts=ws), by, ws).with_columns(unit=pl.lit(unit))
        for (unit,), of_unit in facts.occasions.group_by("unit", maintain_order=True)
    ]
    parts = [
        _part(
            frame, "rates", pl.col("habit"), pl.col("rate"), pl.col("counted"),
            amount=pl.col("done"), out_of=pl.col("counted"), unit=pl.col("unit"),
            known=pl.col("done") + pl.col("missed"),
        )
        for frame in frames
    ]  # fmt: skip
    return pl.concat(parts) if parts else pl.DataFrame(schema=SERIES)


def _with_period_ends(rates: pl.DataFrame, by: By, week_starts: Weekday) -> pl.DataFrame:
    """The rates with `from` and `to` of their period, in place of those of their occasions."""
    if by == "week":
        return rates
    first_day = pl.col("period") + ("-01" if by == "month" else "-01-01")
    dated = rates.drop("from", "to").with_columns(date=first_day.str.to_date("%Y-%m-%d"))
    return with_period(dated.drop("period"), by, week_starts=week_starts)


def _moods(facts: FindingFacts, by: By) -> list[pl.DataFrame]:
    parts = []
    for measure in ("mood", "energy"):
        scale = facts.settings.mood if measure == "mood" else facts.settings.energy
        frame = mood.summary(
            facts.days, by=by, column=measure, low=scale.low, high=scale.high, week_starts=facts.settings.week_starts
        )
        parts += [_part(frame, measure, LEVEL, pl.col("mean"), pl.col("n"))]
        parts += [_part(frame, measure, SPREAD, pl.col("sd"), pl.col("n"))]
    return parts


def _sleep(facts: FindingFacts, by: By) -> list[pl.DataFrame]:
    frame = sleep_summary.summary(facts.nights, facts.pairs, by=by, week_starts=facts.settings.week_starts)
    return [
        _part(frame, "sleep", MINUTES, pl.col("mean_minutes"), pl.col("nights")),
        _part(frame, "sleep", REGULARITY, pl.col("regularity"), pl.col("regularity_pairs")),
    ]


def _hours(facts: FindingFacts, by: By) -> list[pl.DataFrame]:
    """Minutes a day per category (0 on a recorded day without a span of it), and the share that went as planned."""
    ws, actual = facts.settings.week_starts, facts.hours.filter(pl.col("layer") == "actual")
    written = actual.select(pl.col("date").unique())
    planned = facts.hours.filter(pl.col("layer") == "planned").select(pl.col("date").unique())
    spent = hours.totals(facts.hours, by=by, week_starts=ws)
    days = (
        with_period(written, by, week_starts=ws)
        .group_by("period", "from", "to")
        .agg(pl.len().alias("n"), pl.col("date").is_in(planned.get_column("date").implode()).sum().alias("both"))
    )
    categories = actual.filter(pl.col("category") != facts.settings.asleep).select(pl.col("category").unique())
    each = days.join(categories, how="cross").join(
        spent.select("period", "category", pl.col("actual_minutes").cast(pl.Int64)),
        on=["period", "category"],
        how="left",
    )
    minutes = pl.col("actual_minutes").fill_null(0)
    plan = days.join(
        spent.group_by("period").agg(pl.col("as_planned_minutes").sum(), pl.col("compared_minutes").sum()), on="period"
    ).filter(pl.col("compared_minutes") > 0)
    kept, compared = pl.col("as_planned_minutes"), pl.col("compared_minutes")
    return [
        _part(each, "hours", pl.col("category"), minutes / pl.col("n"), pl.col("n"), amount=minutes),
        _part(
            plan,
            "hours",
            pl.lit(PLAN),
            kept / compared,
            pl.col("both"),
            amount=kept,
            out_of=compared,
            unit=pl.lit(PLAN),
        ),
    ]


def _carried(facts: FindingFacts, by: By) -> pl.DataFrame:
    rows = with_period(facts.tasks, by, week_starts=facts.settings.week_starts)
    frame = rows.group_by("period", "from", "to").agg(
        n=pl.len(), carried=(pl.col("status") == "carried").sum().cast(pl.Int64)
    )
    carried, n = pl.col("carried"), pl.col("n")
    return _part(frame, "tasks", CARRIED, carried / n, n, amount=carried, out_of=n)  # type: ignore[no-any-return]


def _waiting(facts: FindingFacts, by: By) -> pl.DataFrame:
    """Tasks that had begun and not ended by the end of each period, or by today in the current period."""
    ended = facts.lives.filter(pl.col("status") != "open").get_column("last").sort()
    begun = facts.lives.get_column("since").sort()
    spans = with_period(facts.days.select("date"), by, week_starts=facts.settings.week_starts)
    frame = spans.select("from", "to").unique().with_columns(end=pl.min_horizontal("to", pl.lit(facts.today)))
    so_far, over = (dates.search_sorted(frame["end"], side="right").cast(pl.Int64) for dates in (begun, ended))
    frame = frame.with_columns(begun=so_far, waiting=so_far - over).filter(pl.col("begun") > 0)
    return _part(frame, "tasks", WAITING, pl.col("waiting"), pl.col("waiting"))  # type: ignore[no-any-return]


def _coverage(facts: FindingFacts, by: By) -> pl.DataFrame:
    frame = coverage.coverage(facts.days, by=by, week_starts=facts.settings.week_starts)
    dated = with_period(frame.drop("to", "period").rename({"from": "date"}), by, week_starts=facts.settings.week_starts)
    share, days, logged = pl.col("coverage"), pl.col("days"), pl.col("logged")
    return _part(dated, "coverage", LEVEL, share, days, amount=logged, out_of=days)  # type: ignore[no-any-return]


def dates(facts: FindingFacts, row: Mapping[str, Any]) -> list[dt.date]:  # noqa: PLR0911 (one line a measure)
    """The days that a row of `series` is based on, in order."""
    measure, subject = row["measure"], row["subject"]
    inside = pl.col("date").is_between(row["from"], row["to"])
    written = facts.hours.filter(inside, pl.col("layer") == "actual").get_column("date")
    match measure, subject:
        case "rates", _:
            counted = pl.col("state").is_in(["done", "missed", "partial", "blank"])
            mine = (pl.col("habit") == subject) & (pl.col("unit") == row["unit"])
            return _days(facts.occasions.filter(inside, counted, mine).get_column("date"))
        case "mood" | "energy", _:
            return _days(facts.days.filter(inside, pl.col(measure).is_not_null()).get_column("date"))
        case "sleep", "regularity":
            return _days(facts.pairs.filter(inside).get_column("date"))
        case "sleep", _:
            return _days(facts.nights.filter(inside, pl.col("minutes").is_not_null()).get_column("date"))
        case "hours", _ if row["unit"] == PLAN:
            planned = facts.hours.filter(inside, pl.col("layer") == "planned").get_column("date")
            return _days(written.filter(written.is_in(planned.implode())))
        case "hours", _:
            return _days(written)
        case "tasks", "carried":
            return _days(facts.tasks.filter(inside, pl.col("status") == "carried").get_column("date"))
        case "tasks", _:
            open_still = (pl.col("status") == "open") | (pl.col("last") > row["to"])
            return _days(facts.lives.filter(pl.col("since") <= row["to"], open_still).get_column("since"))
    return _days(facts.days.filter(inside).get_column("date"))


def _days(dates: pl.Series) -> list[dt.date]:
    return dates.unique().sort().to_list()
