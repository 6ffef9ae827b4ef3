"""How tasks end: the shares that were done, and that were dropped, by the days since they first stood on a page.

A dropped task will never be done, so dropping is a *competing* end. A curve that only censors dropped tasks answers
another question: how long tasks would wait if none was ever dropped (`tasks.waiting`). With two done and eight dropped
it says that half are done soon, though a fifth is.
"""

from __future__ import annotations

import polars as pl

from journal.measures.tasks import Z95


def ended_by(lives: pl.DataFrame) -> pl.DataFrame:
    """The cumulative incidence of the two ends of tasks.

    In: the frame of `tasks.lives` (days, status). Out, a row per day count at which a task ended:

    - days (Int64), at_risk (Int64, tasks that had not ended before), done, dropped (Int64, those that ended then)
    - done_by, dropped_by (Float64, the share that had been done, and dropped, by then), waiting (Float64, the rest)
    - low, high (Float64, the 95 % interval of done_by on the log(-log) scale, which keeps it within 0 and 1; null
      while nothing is done, and where all is)
    - half_days (Int64, the same on every row: the first count by which half of the tasks are done; null if never)

    Open tasks are censored at today; a task censored at a count is still at risk at that count. Without a done task
    there are no rows.

    Method: Aalen, O. O. and Johansen, S. (1978), Scand. J. Stat. 5, 141-150; the variance of Marubini, E. and
    Valsecchi, M. G. (1995), Analysing Survival Data from Clinical Trials (from memory).

    >>> tasks = pl.DataFrame({"days": [3, 3] + [1] * 8, "status": ["done"] * 2 + ["dropped"] * 8})
    >>> shares = ended_by(tasks.cast({"days": pl.Int64}))
    >>> shares.select("days", pl.col("done_by", "dropped_by").round(2), "half_days").rows()
    [(1, 0.0, 0.8, None), (3, 0.2, 0.8, None)]
    """
    done, dropped, at_risk, before = (pl.col(name) for name in ("done", "dropped", "at_risk", "before"))
    ended = done + dropped
    status = pl.col("status")
    steps = (
        lives.group_by("days")
        .agg(
            pl.len().cast(pl.Int64).alias("ending"),
            (status == "done").sum().cast(pl.Int64).alias("done"),
            (status == "dropped").sum().cast(pl.Int64).alias("dropped"),
        )
        .sort("days")
        .with_columns(at_risk=pl.col("ending").cum_sum(reverse=True))
        .filter(ended > 0, done.sum() > 0)
        .with_columns(waiting=(1 - ended / at_risk).cum_prod())
        .with_columns(before=pl.col("waiting").shift(1, fill_value=1.0))
        .with_columns(
            done_by=(before * done / at_risk).cum_sum(),
            dropped_by=(before * dropped / at_risk).cum_sum(),
        )
    )
    share = pl.col("done_by")
    spread = _variance().sqrt() * Z95 / -(share * share.log())
    inside = (done.cum_sum() > 0) & (share < 1 - _ROUNDING)
    return steps.select(
        "days",
        "at_risk",
        "done",
        "dropped",
        "done_by",
        "dropped_by",
        "waiting",
        low=pl.when(inside).then(share ** spread.exp()),
        high=pl.when(inside).then(share ** (-spread).exp()),
        half_days=pl.col("days").filter(share >= 0.5 - _ROUNDING).first(),
    )


_ROUNDING = 1e-12
"""The tolerance stops rounding of the sums from moving the half to the next count."""


def _variance() -> pl.Expr:
    """The variance of `done_by`: sums over earlier steps s of (F(t) - F(s))^2 and of F(t) - F(s), multiplied out."""
    done, at_risk, before, share = (pl.col(name) for name in ("done", "at_risk", "before", "done_by"))
    ended = done + pl.col("dropped")
    # Where all that are left end, no later step follows, and F(t) - F(s) is 0.
    weight = (ended / (at_risk * pl.when(at_risk > ended).then(at_risk - ended))).fill_null(0)
    own = before**2 * done * (at_risk - done) / at_risk**3
    joint = before * done / at_risk**2
    squares = share**2 * weight.cum_sum() - 2 * share * (weight * share).cum_sum() + (weight * share**2).cum_sum()
    products = share * joint.cum_sum() - (joint * share).cum_sum()
    return (squares + own.cum_sum() - 2 * products).clip(0)
