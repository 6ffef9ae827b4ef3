"""The lives of tasks, from the first page with the task to the day it was done.

A carried task is on several pages, and these rows are one task. They are matched by `id`, which stays when the title
changes, or without an id by title and first day.
"""

from __future__ import annotations

import datetime as dt
from statistics import NormalDist

import polars as pl

from journal.call_arguments import checked
from journal.measures import task_identity
from journal.measures.confidence_intervals import newcombe, wilson

Z95 = NormalDist().inv_cdf(0.975)
ENDED = ("done", "dropped")


@checked
def lives(tasks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """One row per task, as of `today`.

    In: `Tables.tasks` (date, position, id, title, status, rank, estimate, took, since). Rows after `today` are not
    known yet; a task that has only such rows is as on the first of them. Out, in the order of their first rows:

    - title (String, the newest), since (Date, the first day), status (String: open, done or dropped)
    - last (Date, the newest page up to today; for a task only on later pages, its first page)
    - days (Int64): from `since` to the day it was done or dropped, to `today` for an open one; 0 on the same day
    - carried (Int64, times it was carried to another day), rank (Int32, the newest), estimate, took (Float64, minutes:
      the newest estimate, the total time)
    - id (String, null if no row has one), was_ranked (Boolean: it had a rank on any day)

    A task whose newest row is "carried" and that has no later row is still open: no record shows that it ended.

    >>> day = dt.date(2025, 3, 11)
    >>> rows = pl.DataFrame({"date": [day, day + dt.timedelta(3)], "position": 0, "id": ["t7", "t7"],
    ...     "title": ["Quote", "Quote for the choir"], "status": ["carried", "done"], "rank": [None, 2],
    ...     "estimate": [45.0, 45.0], "took": [None, 60.0], "since": [None, day]}, schema_overrides={"since": pl.Date})
    >>> lives(rows, today=day + dt.timedelta(9)).select("title", "since", "status", "days", "carried", "took").row(0)
    ('Quote for the choir', datetime.date(2025, 3, 11), 'done', 3, 1, 60.0)
    """
    return _lives(tasks, today).select(_LIVES)


def spans(tasks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The columns since, status and last of `lives`, in any order, several times as quickly.

    >>> day = dt.date(2025, 3, 11)
    >>> rows = pl.DataFrame({"date": [day, day + dt.timedelta(3)], "position": 0, "id": ["t7", "t7"],
    ...     "title": ["Quote", "Quote for the choir"], "status": ["carried", "done"], "since": [None, day]},
    ...     schema_overrides={"since": pl.Date})
    >>> spans(rows, today=day + dt.timedelta(9)).rows()
    [(datetime.date(2025, 3, 11), 'done', datetime.date(2025, 3, 14))]
    """
    alone = task_identity.is_alone(tasks)
    single = tasks.filter(alone).select(since="date", status=_status_of_row(today), last="date")
    return pl.concat([_spans_of_groups(tasks.filter(~alone), today), single])


def _spans_of_groups(tasks: pl.DataFrame, today: dt.date) -> pl.DataFrame:
    rows = task_identity.owned(tasks).sort("date", "position")
    named = pl.col("own").is_not_null()
    # Two columns name a task: its id, or its title with its first day. No text has to be put together.
    name, begun = pl.when(named).then("own").otherwise("title"), pl.when(~named).then("first")
    past = pl.col("date") <= today
    final = pl.col("status").filter(past).last()
    return (
        rows.group_by(named.alias("named"), name.alias("name"), begun.alias("begun"))
        .agg(
            since=pl.min_horizontal(pl.col("first").min(), pl.col("date").min()),
            status=pl.when(final.is_in(ENDED)).then(final).otherwise(pl.lit("open")),
            last=pl.coalesce(pl.col("date").filter(past).max(), pl.col("date").min()),
        )
        .drop("named", "name", "begun")
    )


def chains(tasks: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The frame of `lives` with a first column, task (String): the name from `task_identity.identified`."""
    named = _lives(tasks, today).with_columns(task=task_identity.name(pl.col("id"), "first", "title"))
    return named.select("task", *_LIVES)


_OF_ROWS = ("title", "since", "status", "last", "carried", "rank", "estimate", "took", "id", "was_ranked")
_LIVES = (*_OF_ROWS[:4], "days", *_OF_ROWS[4:])


def _lives(tasks: pl.DataFrame, today: dt.date) -> pl.DataFrame:
    """The columns of `lives`, with the first day by which a task without an id is named."""
    rows = task_identity.in_order(tasks).with_row_index("place")
    alone = task_identity.is_alone(rows)
    each = pl.concat([_of_groups(rows.filter(~alone), today), _of_single_rows(rows.filter(alone), today)])
    open_days = pl.when(pl.col("status") == "open").then(today).otherwise(pl.col("last")) - pl.col("since")
    return each.sort("place").with_columns(days=open_days.dt.total_days().clip(0))


def _of_single_rows(rows: pl.DataFrame, today: dt.date) -> pl.DataFrame:
    past = pl.col("date") <= today
    return rows.with_columns(
        *(pl.col("date").alias(name) for name in ("first", "since", "last")),
        took=pl.when(past).then("took"),
        status=_status_of_row(today),
        carried=(past & (pl.col("status") == "carried")).cast(pl.Int64),
        was_ranked=pl.col("rank").is_not_null(),
    ).select("place", "first", *_OF_ROWS)


def _status_of_row(today: dt.date) -> pl.Expr:
    return pl.when(pl.col("date") <= today, pl.col("status").is_in(ENDED)).then("status").otherwise(pl.lit("open"))


def _of_groups(rows: pl.DataFrame, today: dt.date) -> pl.DataFrame:
    task = task_identity.name(pl.col("own"), "first", "title").alias("task")
    rows = task_identity.owned(rows).select(
        task, "place", "date", "first", "own", "title", "status", "rank", "estimate", "took"
    )
    # Rows are chosen before they are grouped. A filter within each of 35,000 groups takes nine times as long.
    past, later = pl.col("date") <= today, rows.filter(pl.col("date") > today)
    begun = later.group_by("task").agg(later_first=pl.col("first").min(), later_date=pl.col("date").min())
    unknown = begun.join(rows.filter(past).select("task"), on="task", how="anti")
    first_rows = later.join(unknown, left_on=["task", "date"], right_on=["task", "later_date"], how="semi")
    return (
        rows.filter(past | pl.col("place").is_in(first_rows.get_column("place").implode()))
        .with_columns(final=pl.when(past).then("status"), took=pl.when(past).then("took"))
        .group_by("task")
        .agg(
            pl.col("place").min(),
            pl.col("own").last().alias("id"),
            pl.col("title", "first", "final", "rank").last(),
            since=pl.min_horizontal(pl.col("first").min(), pl.col("date").min()),
            last=pl.col("date").max(),
            carried=(pl.col("final") == "carried").sum().cast(pl.Int64),
            estimate=pl.col("estimate").last(ignore_nulls=True),
            took=pl.when(pl.col("took").count() > 0).then(pl.col("took").sum()),
            was_ranked=pl.col("rank").count() > 0,
        )
        .join(begun, on="task", how="left")
        .with_columns(
            since=pl.min_horizontal("since", "later_first"),
            status=pl.when(pl.col("final").is_in(ENDED)).then("final").otherwise(pl.lit("open")),
        )
        .select("place", "first", *_OF_ROWS)
    )


@checked
def waiting(lives: pl.DataFrame) -> pl.DataFrame:
    """The Kaplan-Meier curve of the time until tasks are done.

    In: the frame of `lives` (days, status). Out, a row per day count at which a task was done: days (Int64),
    at_risk (Int64, tasks that had not ended before), done (Int64), survival (Float64, the share still waiting after
    it), se (Float64, Greenwood's standard error; null once survival is 0), low, high (Float64, the 95 % interval of
    survival on the log(-log) scale, which keeps it within 0 and 1; null where se is null), median_days (Int64, the same
    on every row: the first count at which survival is 0.5 or less; null if it never is). Open tasks are censored at
    today, dropped tasks on the day they were dropped. A task censored at a count is still at risk at that count.
    Without a done task there are no rows.

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
        .agg(pl.len().cast(pl.Int64).alias("ending"), (pl.col("status") == "done").sum().cast(pl.Int64).alias("done"))
        .sort("days")
        .with_columns(at_risk=pl.col("ending").cum_sum(reverse=True))
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
        # The tolerance stops rounding of the product from moving the median to the next count.
        median_days=pl.col("days").filter(left <= 0.5 + 1e-12).first(),
    )


@checked
def ratios(lives: pl.DataFrame) -> pl.DataFrame:
    """The done tasks with an estimate and a time: last (Date, when done), estimate, took (minutes), ratio.

    In: the frame of `lives`. ratio (Float64) is took / estimate: a task with 1.3 took 30 % longer than estimated. A
    task with took or estimate of zero has no ratio and no row. Sorted by `last`.

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


@checked
def estimates(ratios: pl.DataFrame) -> pl.DataFrame:
    """The accuracy of estimates, in one row.

    In: the frame of `ratios`. Out: n (Int64), median_ratio, geometric_mean_ratio, total_ratio (Float64, the sum
    of took / the sum of estimate), mean_error (Float64, minutes, took - estimate), share_over (Float64, the share with
    took > estimate), mmre (mean magnitude of relative error, |took - estimate| / took) and pred25 (share of tasks with
    a relative error of at most 0.25), both as Conte, Dunsmore and Shen (1986) define them. With n of 0, all but n is
    null.

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


@checked
def trailing_ratios(ratios: pl.DataFrame, *, days: int = 28, least: int = 5) -> pl.DataFrame:
    """The frame of `ratios` with the trailing median of the ratios.

    Out: the columns of `ratios`, and trailing_n (Int64, tasks done on that day and the `days` - 1 days before) and
    trailing_median (Float64, the median ratio of those tasks; null with fewer than `least`).

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


@checked
def by_rank(lives: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """The share done of tasks that ever had a rank, and of tasks that never had one.

    In: the frame of `lives`. Out, two rows: ranked (Boolean, true first), tasks (Int64: those that began before
    `today`, or have ended), done, dropped, open (Int64, of those), rate (Float64, done / tasks), low, high (its Wilson
    95 % interval; null without tasks), and on both rows difference (ranked - unranked, Float64) with difference_low,
    difference_high (Newcombe's method 10; null if either group is empty).

    This is no evidence that a rank has an effect: a task may get a rank because it is late, or because it is quick.
    Each task counts once, on however many pages it is.

    >>> three = pl.DataFrame({"since": dt.date(2025, 3, 1), "status": ["done", "dropped", "done"],
    ...     "was_ranked": [True, True, False]})
    >>> by_rank(three, today=dt.date(2025, 3, 9)).select("ranked", "tasks", "done", "rate").rows()
    [(True, 2, 1, 0.5), (False, 1, 1, 1.0)]
    """
    counted = lives.filter((pl.col("since") < today) | (pl.col("status") != "open"))

    def count(status: str) -> pl.Expr:
        return (pl.col("status") == status).sum().cast(pl.Int64).fill_null(0).alias(status)

    counts = counted.group_by(pl.col("was_ranked").alias("ranked")).agg(
        pl.len().cast(pl.Int64).alias("tasks"), count("done"), count("dropped"), count("open")
    )
    both = pl.DataFrame({"ranked": [True, False]}).join(counts, on="ranked", how="left", maintain_order="left")
    done, tasks = pl.col("done"), pl.col("tasks")
    rate = done / pl.when(tasks > 0).then(tasks)
    low, high = wilson(done, tasks)
    interval = newcombe(done.first(), tasks.first(), done.last(), tasks.last())
    return both.with_columns(pl.col("tasks", "done", "dropped", "open").fill_null(0)).with_columns(
        rate=rate,
        low=low,
        high=high,
        difference=rate.first() - rate.last(),
        difference_low=interval[0],
        difference_high=interval[1],
    )
