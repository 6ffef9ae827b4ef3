"""How often the interval of a rate holds, and how often a change of a rate is called clear.

    python -m tests.benchmarks.changes [--count N] [--seed S]

writes tests/benchmarks/changes.md. The habits are invented, with rates from 10 to 95 %, which never change except where
the table says so. Marks of neighbouring days have a correlation (lag 1). In "repeats" a mark repeats the one before, or
is drawn anew. In "slow" it follows a slow normal series, so it also hangs together over several days. `--count` is the
number of journals with ten habits; intervals are of four times as many habits of each rate. All numbers are shares in
per cent; ± is the standard error.
"""

from __future__ import annotations

import argparse
import datetime as dt
import itertools
import time
from pathlib import Path

import numpy as np
import polars as pl

from journal import periods
from journal.measures import completion
from journal.measures.confidence_intervals import newcombe, wilson
from journal.measures.dependence import dependence
from journal.measures.false_discovery import benjamini_hochberg, is_clear
from tests.benchmarks.habit_chains import FIRST, KINDS, LAG_1, RATES, chains, frame, share

COUNT, SEED = 60, 1
HABITS = 10
DAYS = 1096
RECORDS = {"two months": 61, "four months": 122, "three years": DAYS}
REPORT = Path(__file__).with_name("changes.md")

Spans = tuple[completion.Dates, completion.Dates]


def holds(
    kind: str, lag_1: float, n: int, count: int, seed: int, *, unit: str = "occasion", last: int = 31
) -> list[str]:
    """How often the interval of the last occasions holds the rate: over all of them, and over the effective number.

    Out: for each of the two, the mean over the rates, with the least and the most.
    """
    rate = np.repeat(RATES, count)
    occasions = frame(chains(_dice(seed, kind, lag_1, n), kind, rate, lag_1, n), unit)
    newest = occasions.filter(pl.int_range(pl.len()).reverse().over("habit") < last)
    told = completion.rates(newest, week_starts="monday", known=dependence(occasions))
    plain = wilson(pl.col("done"), pl.col("counted"))
    texts = []
    for low, high in (plain, (pl.col("low"), pl.col("high"))):
        true = told.with_columns(true=pl.Series(rate))
        inside = true.select("true", holds=pl.col("true").is_between(low, high))
        each = inside.group_by("true").agg(pl.col("holds").mean())["holds"].to_numpy()
        texts.append(f"{100 * each.mean():.1f} ({100 * each.min():.1f} to {100 * each.max():.1f})")
    return texts


def pages(kind: periods.PeriodKind) -> list[Spans]:
    """The spans that the pages of three years compare: months, halves of the first year, and years."""
    if kind == "month":
        months = periods.between(FIRST, FIRST + dt.timedelta(days=DAYS - 1), "month", week_starts="monday")
        return [((a.first, a.last), (b.first, b.last)) for a, b in itertools.pairwise(months)]
    years = [(dt.date(y, 1, 1), dt.date(y, 12, 31)) for y in (2023, 2024, 2025)]
    halves = ((years[0][0], dt.date(2023, 6, 30)), (dt.date(2023, 7, 1), years[0][1]))
    return [halves, (years[0], years[1]), (years[1], years[2])]


def called(occasions: pl.DataFrame, spans: Spans) -> tuple[pl.DataFrame, pl.Series]:
    """The changes on one page of every journal, as of its last day, with q and clear over the ten habits of each.

    Also whether the interval of independent days, each habit by itself, excludes zero. Journal j has the habits from
    `10 j` on.
    """
    before, after = spans
    until = occasions.filter(pl.col("date") <= after[1])
    rows = completion.changes(until, before=before, after=after, opened=FIRST, known=dependence(until))
    journal = rows.with_columns(journal=pl.col("habit").cast(pl.Int64) // HABITS)
    together = journal.with_columns(q=pl.col("p").map_batches(benjamini_hochberg, pl.Float64).over("journal"))
    counts = [pl.col(f"{of}_{side}") for side in ("after", "before") for of in ("done", "counted")]
    low, high = newcombe(counts[0], counts[1], counts[2], counts[3])
    alone = rows.select((low > 0) | (high < 0)).to_series()
    return together.with_columns(clear=is_clear(pl.col("q"))), alone


def false_clear(kind: str, lag_1: float, page: periods.PeriodKind, count: int, seed: int) -> list[str]:
    """The pages of unchanging journals on which any of ten habits is called clear: before, now, now in the first third.

    The first third is the first twelve months, or the halves of the first year.
    """
    occasions = frame(_journals(kind, lag_1, count, seed))
    plain, now = [], []
    for spans in pages(page):
        rows, alone = called(occasions, spans)
        of_journal = rows.with_columns(alone=alone).group_by("journal").agg(pl.col("clear", "alone").any())
        now.append(int(of_journal["clear"].sum()))
        plain.append(int(of_journal["alone"].sum()))
    early = len(now) // 3
    return [share(sum(hits), len(hits) * count) for hits in (plain, now, now[:early])]


def told(kind: str, lag_1: float, count: int, seed: int, *, month: int, to: float) -> str:
    """The journals whose page tells that the first of ten habits fell from 80 % to `to` from one month to the next."""
    before, after = pages("month")[month]
    length = (after[1] - FIRST).days + 1
    start = (after[0] - FIRST).days
    done = _journals(kind, lag_1, count, seed)[:, :length]
    dice = _dice(seed, kind, lag_1, 7)
    first = np.full(count, 0.8)
    done[::HABITS] = chains(dice, kind, first, lag_1, length)
    done[::HABITS, start:] = chains(dice, kind, np.full(count, to), lag_1, length - start)
    rows, _ = called(frame(done), (before, after))
    changed = rows.filter(pl.col("habit").cast(pl.Int64) % HABITS == 0)
    return share(int(changed["clear"].sum()), count)


def blanks(unwritten: int, lag_1: float, count: int, seed: int) -> list[str]:
    """The steady habits (80 %) called clear where the last evenings of a month have no page: before and now."""
    dice = _dice(seed, "repeats", lag_1, unwritten)
    occasions = frame(chains(dice, "repeats", np.full(HABITS * count, 0.8), lag_1, 59))
    blank = pl.col("date") > FIRST + dt.timedelta(days=58 - unwritten)
    rows, alone = called(
        occasions.with_columns(
            state=pl.when(blank).then(pl.lit("blank")).otherwise("state").cast(occasions["state"].dtype)
        ),
        pages("month")[0],
    )
    return [share(int(hits.sum()), rows.height) for hits in (alone, rows["clear"])]


def _journals(kind: str, lag_1: float, count: int, seed: int) -> np.ndarray:
    dice = _dice(seed, kind, lag_1, 0)
    return chains(dice, kind, dice.choice(RATES, HABITS * count), lag_1, DAYS)


def _dice(seed: int, kind: str, lag_1: float, part: int) -> np.random.Generator:
    return np.random.default_rng([seed, KINDS.index(kind), round(100 * lag_1), part])


def report(count: int, seed: int) -> str:
    """The tables as Markdown."""
    rows = [
        "## Intervals of a month's rate",
        "",
        "The rate is in its 95 % interval: mean over the rates (least to most).",
        "",
    ]
    rows += ["| marks | lag 1 | record | independent days | effective number |", "|---|---|---|---|---|"]
    every = [(kind, lag_1) for kind in KINDS for lag_1 in LAG_1]
    for kind, lag_1 in every:
        for name, n in RECORDS.items():
            rows.append("| " + " | ".join([kind, f"{lag_1:g}", name, *holds(kind, lag_1, n, 4 * count, seed)]) + " |")
    for lag_1 in LAG_1:
        half = holds("repeats", lag_1, 156, 4 * count, seed, unit="week", last=26)
        rows.append("| " + " | ".join(["weeks of a quota, half a year", f"{lag_1:g}", "three years", *half]) + " |")
    rows += ["", "## Pages that call a change clear where nothing changes", "", f"{HABITS} habits, three years.", ""]
    rows += ["| page | marks | lag 1 | each habit by itself, independent days | now | now, in the first year |"]
    rows += ["|---|---|---|---|---|---|"]
    kinds: tuple[periods.PeriodKind, ...] = ("month", "year")
    for page in kinds:
        for kind, lag_1 in every:
            rows.append(
                "| " + " | ".join([page, kind, f"{lag_1:g}", *false_clear(kind, lag_1, page, count, seed)]) + " |"
            )
    rows += ["", "## Changes that are told", "", "One of ten habits falls from 80 % from one month to the next.", ""]
    rows += [
        "| marks | lag 1 | to 50 %, third month | to 50 %, third year | to 20 %, third month | to 20 %, third year |"
    ]
    rows += ["|---|---|---|---|---|---|"]
    for kind, lag_1 in every:
        cells = [told(kind, lag_1, count, seed, month=month, to=to) for to in (0.5, 0.2) for month in (1, 30)]
        rows.append("| " + " | ".join([kind, f"{lag_1:g}", *cells]) + " |")
    rows += [
        "",
        "## Unwritten evenings",
        "",
        "A habit is done on 80 % of all evenings; the last of the month have no page.",
        "",
    ]
    rows += ["| unwritten | lag 1 | called clear with blanks as misses | now |", "|---|---|---|---|"]
    for unwritten in (10, 14):
        for lag_1 in LAG_1:
            rows.append(
                "| " + " | ".join([str(unwritten), f"{lag_1:g}", *blanks(unwritten, lag_1, count, seed)]) + " |"
            )
    return "\n".join(rows)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Rates of intervals that hold, and of false and true clear changes.")
    parser.add_argument("--count", type=int, default=COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    given, started = parser.parse_args(), time.monotonic()
    about = (__doc__ or "").split("changes.md. ", 1)[1].strip()
    tables = report(given.count, given.seed)
    ran = f"Count {given.count}, seed {given.seed}."
    REPORT.write_text(f"# Clear changes of a rate\n\n{about} {ran}\n\n{tables}\n", encoding="utf-8")
    print(f"{tables}\n\n{ran} {time.monotonic() - started:.0f} s.")
