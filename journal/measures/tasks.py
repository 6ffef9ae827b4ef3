"""The lives of tasks: from the day one first stood on a page to the day it was done.

A task that is carried stands on several pages; those rows are one task. They belong together by `id`, which outlives
a rewording, and where no id was given yet, by title and first day.
"""

from __future__ import annotations

import datetime as dt
from statistics import NormalDist

import polars as pl

from journal.measures.confidence_intervals import newcombe, wilson

Z95 = NormalDist().inv_cdf(0.975)


def lives(tasks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """One row per task, as of a day.

    In: `Tables.tasks` (date, position, id, title, status, rank, estimate, took, since). Rows after `today` are plans:
    they only tell where a task waits. Out, in the order in which they first stood:

    - title (String, the newest wording), since (Date, the first day), status (String: open, done or dropped)
    - last (Date, the newest page up to today; for a task that stands only on later pages, its first one)
    - days (Int64): from `since` to the day it was done or dropped, to `today` for an open one; 0 on the same day
    - carried (Int64, times it was put on another day), rank (Int32, the newest), estimate, took (Float64, minutes: the
      newest estimate, all that it took)
    - id (String, null where none was ever given), was_ranked (Boolean: it had a rank on any day)

    A task whose newest row says "carried" but which stands nowhere later is still open: nothing says that it ended.

    >>> day = dt.date(2025, 3, 11)
    >>> rows = pl.DataFrame({"date": [day, day + dt.timedelta(3)], "position": 0, "id": ["t7", "t7"],
    ...     "title": ["Quote", "Quote for the choir"], "status": ["carried", "done"], "rank": [None, 2],
    ...     "estimate": [45.0, 45.0], "took": [None, 60.0], "since": [None, day]}, schema_overrides={"since": pl.Date})
    >>> lives(rows, today=day + dt.timedelta(9)).select("title", "since", "status", "days", "carried", "took").row(0)
    ('Quote for the choir', datetime.date(2025, 3, 11), 'done', 3, 1, 60.0)
    """
    return chains(tasks, today=today).drop("task")


def chains(tasks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The frame of `lives`, with the name that `identified` gives each task before it: task (String)."""
    rows = identified(tasks).sort("date", "position")
    past = pl.col("date") <= today
    final = pl.col("status").filter(past).last()
    last = pl.coalesce(pl.col("date").filter(past).max(), pl.col("date").min())
    ended = final.is_in(["done", "dropped"])
    return (
        rows.group_by("task", maintain_order=True)
        .agg(
            pl.col("id").drop_nulls().last(),
            pl.coalesce(pl.col("title").filter(past).last(), pl.col("title").first()).alias("title"),
            pl.min_horizontal(pl.col("first").min(), pl.col("date").min()).alias("since"),
            pl.when(ended).then(final).otherwise(pl.lit("open")).alias("status"),
            last.alias("last"),
            (past & (pl.col("status") == "carried")).sum().cast(pl.Int64).alias("carried"),
            pl.col("rank").last(),
            pl.col("estimate").drop_nulls().last(),
            pl.when(pl.col("took").is_not_null().any()).then(pl.col("took").sum()).alias("took"),
            pl.col("rank").is_not_null().any().alias("was_ranked"),
        )
        .with_columns(
            days=(pl.when(pl.col("status") == "open").then(today).otherwise(pl.col("last")) - pl.col("since"))
            .dt.total_days()
            .clip(0)
        )
        .select(
            "task", "title", "since", "status", "last", "days", "carried", "rank", "estimate", "took", "id",
            "was_ranked",
        )
    )  # fmt: skip


def identified(tasks: pl.DataFrame) -> pl.DataFrame:
    """Rows of `Tables.tasks` with `first` (Date, the day that a row says the task began) and `task` (String), a name
    that all rows of one task share.

    The first row of a task often has no id yet, since the tool gives one when it first carries the task: a row without
    an id takes that of a later row with its title and first day.
    """
    rows = tasks.with_columns(first=pl.coalesce("since", "date"))
    known = (
        rows.filter(pl.col("id").is_not_null())
        .unique(["title", "first"], keep="first", maintain_order=True)
        .select("title", "first", pl.col("id").alias("known"))
    )
    return rows.join(known, on=["title", "first"], how="left", maintain_order="left").with_columns(
        task=named(pl.coalesce("id", "known"), "first", "title")
    )


def named(own: pl.Expr, first: str, title: str) -> pl.Expr:
    """What a task is known by: its id, else its first day (which may be null) and its title."""
    return pl.coalesce(
        pl.format("id:{}", own), pl.format("title:{}:{}", pl.col(first).cast(pl.String).fill_null(""), title)
    )


def waiting(lives: pl.DataFrame) -> pl.DataFrame:
    """How long tasks wait to be done: the Kaplan-Meier curve of their lives.

    In: the frame of `lives` (days, status). Out, a row per day count at which a task was done: days (Int64),
    at_risk (Int64, tasks that had not ended before), done (Int64), survival (Float64, the share still waiting after),
    se (Float64, Greenwood's standard error; null once nothing is left), low, high (Float64, the 95 % interval of
    survival on the scale of log(-log), so that it stays within 0 and 1; null with se), median_days (Int64 on every
    row: the first count at which survival is 0.5 or less; null where it never is). Open tasks are censored at today,
    dropped ones on the day they were dropped; one that is censored on a count still is at risk on it. No task done
    gives no rows.

    Method: Kaplan, E. L. and Meier, P. (1958), J. Am. Stat. Assoc. 53, 457-481; Greenwood (1926); Kalbfleisch, J. D.
    and Prentice, R. L. (1980), The Statistical Analysis of Failure Time Data, for the interval (from memory).

    >>> days = pl.DataFrame({"days": [1, 3, 3, 5, 8], "status": ["done", "done", "open", "done", "dropped"]})
    >>> curve = waiting(days.cast({"days": pl.Int64}))
    >>> curve.select("days", "at_risk", pl.col("survival").round(2), "median_days").rows()
    [(1, 5, 0.8, 5), (3, 4, 0.6, 5), (5, 2, 0.3, 5)]
    """
    done, at_risk = pl.col("done"), pl.col("at_risk")
    steps = (
        lives.group_by("days")
        .agg(pl.len().cast(pl.Int64).alias("leaving"), (pl.col("status") == "done").sum().cast(pl.Int64).alias("done"))
        .sort("days")
        .with_columns(at_risk=pl.col("leaving").cum_sum(reverse=True))
        .filter(done > 0)
        .with_columns(survival=(1 - done / at_risk).cum_prod())
    )
    greenwood = (done / (at_risk * pl.when(at_risk > done).then(at_risk - done))).cum_sum()
    left = pl.col("survival")
    spread = greenwood.sqrt() * Z95 / -left.log()
    return steps.select(
        "days",
        "at_risk",
        "done",
        "survival",
        (left * greenwood.sqrt()).alias("se"),
        low=left ** spread.exp(),
        high=left ** (-spread).exp(),
        # A product of fractions may miss 1/2 by a rounding, which must not move the median a day on.
        median_days=pl.col("days").filter(left <= 0.5 + 1e-12).first(),
    )


def ratios(lives: pl.DataFrame) -> pl.DataFrame:
    """Each done task that had an estimate and was timed: last (Date, when done), estimate, took (minutes), ratio.

    In: the frame of `lives`. ratio (Float64) is took / estimate: 1.3 took a third longer than thought. A task that took
    nothing, or was estimated at nothing, has no ratio and no row. Sorted by `last`.

    >>> done = pl.DataFrame({"last": [dt.date(2025, 3, 14)], "status": "done", "estimate": 45.0, "took": 60.0})
    >>> ratios(done).get_column("ratio").round(2).to_list()
    [1.33]
    """
    timed = (pl.col("status") == "done") & (pl.col("estimate") > 0) & (pl.col("took") > 0)
    return (
        lives.filter(timed)
        .select("last", "estimate", "took", (pl.col("took") / pl.col("estimate")).alias("ratio"))
        .sort("last", maintain_order=True)
    )


def estimates(ratios: pl.DataFrame) -> pl.DataFrame:
    """How estimates held, in one row.

    In: the frame of `ratios`. Out: n (Int64), median_ratio, geometric_mean_ratio, total_ratio (Float64, all that was
    taken over all that was estimated), mean_error (Float64, minutes, took - estimate), share_over (Float64),
    mmre (mean magnitude of relative error, |took - estimate| / took) and pred25 (share within a quarter of what it
    took), both as Conte, Dunsmore and Shen (1986) define them. All but n are null where n is 0.

    >>> two = pl.DataFrame({"estimate": [10.0, 10.0], "took": [5.0, 20.0], "ratio": [0.5, 2.0]})
    >>> estimates(two).select("n", "median_ratio", "geometric_mean_ratio", "total_ratio", "mmre").row(0)
    (2, 1.25, 1.0, 1.25, 0.75)
    """
    estimate, took, ratio = pl.col("estimate"), pl.col("took"), pl.col("ratio")
    off = (took - estimate).abs() / took
    return ratios.select(
        pl.len().cast(pl.Int64).alias("n"),
        ratio.median().alias("median_ratio"),
        ratio.log().mean().exp().alias("geometric_mean_ratio"),
        pl.when(pl.len() > 0).then(took.sum() / estimate.sum()).alias("total_ratio"),
        (took - estimate).mean().alias("mean_error"),
        (took > estimate).mean().alias("share_over"),
        off.mean().alias("mmre"),
        (off <= 0.25).mean().alias("pred25"),
    )


def trailing_ratios(ratios: pl.DataFrame, *, days: int = 28, least: int = 5) -> pl.DataFrame:
    """The frame of `ratios` with how estimates held lately.

    Out: as in, and trailing_n (Int64, tasks done on that day and the `days` - 1 before) and trailing_median (Float64,
    the median ratio of those; null with fewer than `least`).

    >>> dates = [dt.date(2025, 3, 1), dt.date(2025, 3, 14), dt.date(2025, 3, 14), dt.date(2025, 3, 31)]
    >>> done = pl.DataFrame({"last": dates, "ratio": [1.0, 2.0, 1.5, 3.0]})
    >>> trailing_ratios(done, least=3).select("trailing_n", "trailing_median").rows()
    [(1, None), (3, 1.5), (3, 1.5), (3, 2.0)]
    """
    lately = (
        ratios.sort("last", maintain_order=True)
        .rolling("last", period=f"{days}d")
        .agg(pl.len().cast(pl.Int64).alias("trailing_n"), pl.col("ratio").median().alias("trailing_median"))
        .unique("last", keep="last")
    )
    enough = pl.when(pl.col("trailing_n") >= least).then(pl.col("trailing_median"))
    return ratios.join(lately, on="last", how="left", maintain_order="left").with_columns(trailing_median=enough)


def by_rank(lives: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """How many of the tasks that ever had a rank were done, and of those that never had.

    In: the frame of `lives`. Out, two rows: ranked (Boolean, true first), tasks (Int64: that first stood before
    `today`, or have ended), done, dropped, open (Int64, of those), rate (Float64, done / tasks), low, high (its Wilson
    95 % interval; null without tasks), and on both rows difference (ranked less unranked, Float64) with difference_low,
    difference_high (Newcombe's method 10; null where either has no task).

    A task may be given a rank because it is already late, or because it is quick: this says nothing of why. Each task
    counts once, on however many days it stood.

    >>> three = pl.DataFrame({"since": dt.date(2025, 3, 1), "status": ["done", "dropped", "done"],
    ...     "was_ranked": [True, True, False]})
    >>> by_rank(three, today=dt.date(2025, 3, 9)).select("ranked", "tasks", "done", "rate").rows()
    [(True, 2, 1, 0.5), (False, 1, 1, 1.0)]
    """
    counted = lives.filter((pl.col("since") < today) | (pl.col("status") != "open"))

    def of(status: str) -> pl.Expr:
        return (pl.col("status") == status).sum().cast(pl.Int64).fill_null(0).alias(status)

    counts = counted.group_by(pl.col("was_ranked").alias("ranked")).agg(
        pl.len().cast(pl.Int64).alias("tasks"), of("done"), of("dropped"), of("open")
    )
    both = pl.DataFrame({"ranked": [True, False]}).join(counts, on="ranked", how="left", maintain_order="left")
    done, tasks = pl.col("done"), pl.col("tasks")
    rate = done / pl.when(tasks > 0).then(tasks)
    low, high = wilson(done, tasks)
    apart = newcombe(done.first(), tasks.first(), done.last(), tasks.last())
    return both.with_columns(pl.col("tasks", "done", "dropped", "open").fill_null(0)).with_columns(
        rate=rate,
        low=low,
        high=high,
        difference=rate.first() - rate.last(),
        difference_low=apart[0],
        difference_high=apart[1],
    )
