"""The results of trials by lot: the effect, its interval and p, and what weakens them.

Days count as they were drawn, whatever was done (intention to treat): the draw made the two kinds of day alike, and
what was done instead did not come by lot. Days without an outcome are left out.
"""

from __future__ import annotations

import datetime as dt
import functools
import math
from collections.abc import Sequence
from typing import Any, Literal

import numpy as np
import polars as pl

from journal import lots
from journal.call_arguments import checked
from journal.measures import trial_looks
from journal.measures.one_thread import one_thread
from journal.measures.sign_flips import LEVEL, FlipTest, flip_test
from journal.measures.trial_contrasts import PairedDays
from journal.measures.trial_lots import as_of
from journal.settings import Trial

TrialState = Literal["coming", "running", "finished", "stopped", "interrupted"]

_LEAST_SHARE = 1e-12

TRIALS: dict[str, Any] = {
    "trial": pl.String,
    "from": pl.Date,
    "to": pl.Date,
    "days": pl.Int64,
    "n_on": pl.Int64,
    "n_off": pl.Int64,
    "kept": pl.Float64,
    "effect": pl.Float64,
    "low": pl.Float64,
    "high": pl.Float64,
    "p": pl.Float64,
    "finished": pl.Boolean,
    "p_adjusted": pl.Float64,
    "state": pl.String,
    "planned_days": pl.Int64,
    "pairs": pl.Int64,
    "assignments": pl.Int64,
    "mean_on": pl.Float64,
    "mean_off": pl.Float64,
    "missing_on": pl.Int64,
    "missing_off": pl.Int64,
    "known": pl.Int64,
    "otherwise": pl.Int64,
    "looks": pl.Int64,
    "changed": pl.Boolean,
}


@checked
def results(trials: Sequence[Trial], drawn: pl.DataFrame, *, today: dt.date) -> pl.DataFrame:
    """A row for each trial, with its result once it has ended, or on a day on which it was asked for.

    In: the frame of `trial_lots.drawn`. Out, `TRIALS`, in the order of the trials:

    - trial (String, its key), from, to (Date, the first and the last drawn day), days (Int64, drawn days)
    - n_on, n_off (Int64, days of either kind that have an outcome), kept (Float64, 0 to 1: the share of the `known`
      days, without washout, that were done as drawn; null without any)
    - effect (Float64: what the habit adds to the outcome of a day, in its units), low, high (its 95 % interval; null
      where there are too few pairs for an end), p (two-sided)
    - finished (Boolean: no outcome is to come), p_adjusted (p, adjusted for the number of trials with one: Holm 1979)
    - state (String: coming, running, finished, stopped or interrupted), planned_days, pairs, assignments (Int64, the
      draws that were compared), mean_on, mean_off (Float64), missing_on, missing_off (Int64, past days without an
      outcome), known (Int64, past days whose habit is known), otherwise (Int64, days not done as drawn), looks (Int64,
      days on which the result was asked for before the end), changed (Boolean: the plan is not the one that was drawn)

    Effect, means, interval and p are null before the end, unless `looked` has `today`, and where the days cannot tell.
    After looks, p is divided by the share of the 5 % that is left for this test, and the interval widened alike
    (`trial_looks`). A changed plan has no p and no interval: its days were drawn by another one. Raises nothing.

    >>> plan = Trial(key="walking", question="?", habit="walk", start=dt.date(2025, 3, 1), days=32, seed=4711)
    >>> rows = [(lot.date, lot.arm, lot.pair, lot.block, lot.is_on) for lot in lots.lots(plan)]
    >>> drawn = pl.DataFrame(rows, schema=["date", "arm", "pair", "block", "is_on"], orient="row").with_columns(
    ...     trial=pl.lit("walking"), done=pl.col("is_on"), outcome=3 + pl.col("is_on").cast(pl.Float64),
    ...     outcome_date=pl.col("date"))
    >>> results([plan], drawn, today=dt.date(2025, 5, 1)).select("n_on", "n_off", "kept", "p").rows()
    [(16, 16, 1.0, 0.0078125)]
    """
    rows = [
        _row(as_of(trial, today), days, today)
        for trial in trials
        for days in [drawn.filter(pl.col("trial") == trial.key)]
    ]
    frame = pl.DataFrame(rows, schema=TRIALS, orient="row")
    return frame.with_columns(p_adjusted=holm(frame.get_column("p")))


def holm(p: pl.Series) -> pl.Series:
    """Each p adjusted so that 5 % bounds the chance of any false effect among them: Holm, S. (1979), Scand. J. Stat. 6,
    65-70. Nulls stay null and do not count.

    >>> holm(pl.Series("p", [0.01, None, 0.04, 0.03])).to_list()
    [0.03, None, 0.06, 0.06]
    """
    known = p.drop_nulls().to_numpy()
    order = np.argsort(known, kind="stable")
    adjusted = np.empty(known.size)
    steps = known[order] * (known.size - np.arange(known.size))
    adjusted[order] = np.minimum(np.maximum.accumulate(steps), 1)
    whole = np.full(p.len(), np.nan)
    whole[p.is_not_null().to_numpy()] = adjusted
    return pl.Series(p.name, whole, dtype=pl.Float64).fill_nan(None)


def state_of(trial: Trial, today: dt.date, *, is_in: bool = False) -> TrialState:
    """How far a trial is. `is_in` says that the outcome of the last drawn day is recorded.

    >>> from journal.lots import _EXAMPLE as plan
    >>> state_of(plan, dt.date(2025, 2, 28)), state_of(plan, dt.date(2025, 3, 6)), state_of(plan, dt.date(2025, 3, 7))
    ('coming', 'running', 'finished')
    """
    last = lots.last_drawn(trial)
    if trial.interrupted is not None and last < trial.interrupted <= min(trial.stopped or dt.date.max, today):
        return "interrupted"
    if trial.stopped is not None and trial.stopped <= today:
        return "stopped"
    if today < trial.start:
        return "coming"
    end = last + dt.timedelta(days=trial.lag)
    return "finished" if today > end or (today == end and is_in) else "running"


def _row(trial: Trial, days: pl.DataFrame, today: dt.date) -> dict[str, Any]:
    compared = days.filter(pl.col("arm") != "washout")
    counted = compared.filter(pl.col("outcome").is_not_null())
    past = compared.filter(pl.col("outcome_date") < today, pl.col("outcome").is_null())
    known = compared.filter(pl.col("done").is_not_null())
    otherwise = known.filter(pl.col("done") != pl.col("is_on")).height
    is_in = days.height > 0 and days.get_column("outcome")[-1] is not None
    state = state_of(trial, today, is_in=is_in)
    end = lots.last_drawn(trial) + dt.timedelta(days=trial.lag)
    finished = state not in ("coming", "running") and (today > end or (today == end and is_in))
    row = {
        "trial": trial.key,
        "from": trial.start,
        "to": lots.last_drawn(trial),
        "days": days.height,
        "n_on": counted.filter("is_on").height,
        "n_off": counted.filter(~pl.col("is_on")).height,
        "kept": 1 - otherwise / known.height if known.height else None,
        "finished": finished,
        "state": state,
        "planned_days": trial.days,
        "pairs": compared.get_column("pair").n_unique(),
        "missing_on": past.filter("is_on").height,
        "missing_off": past.filter(~pl.col("is_on")).height,
        "known": known.height,
        "otherwise": otherwise,
        "looks": len([day for day in trial.looked if day <= end]),
        "changed": lots.is_changed(trial),
    }
    if not (finished or today in trial.looked):
        return row
    by_choice = state in ("running", "stopped")
    at = min(trial.stopped or today, today) if by_choice else end
    return row | _result(trial, counted, trial_looks.share_left(trial, at=at, is_planned=not by_choice))


def _result(trial: Trial, counted: pl.DataFrame, share: float) -> dict[str, Any]:
    """The result by a test that may use a share of the 5 %."""
    test = _tested(
        at=tuple((counted.get_column("date") - trial.start).dt.total_days()),
        blocks=tuple(counted.get_column("block")),
        is_on=tuple(counted.get_column("is_on")),
        outcomes=tuple(counted.get_column("outcome")),
        seed=trial.seed,
        level=1 - (1 - LEVEL) * share,
    )
    if test is None:
        return {}
    means = {
        name: counted.filter(pl.col("is_on") == is_on).get_column("outcome").mean()
        for name, is_on in (("mean_on", True), ("mean_off", False))
    }
    if lots.is_changed(trial):
        return means | {"effect": test.effect}
    ends = {name: end if math.isfinite(end) else None for name, end in (("low", test.low), ("high", test.high))}
    return (
        means
        | ends
        | {"effect": test.effect, "p": min(test.p / max(share, _LEAST_SHARE), 1), "assignments": test.assignments}
    )


@functools.lru_cache(maxsize=64)
@one_thread()
def _tested(
    *,
    at: tuple[int, ...],
    blocks: tuple[int, ...],
    is_on: tuple[bool, ...],
    outcomes: tuple[float, ...],
    seed: int,
    level: float,
) -> FlipTest | None:
    """The test of the days that have an outcome, kept for the next page: a hundred thousand draws take a moment."""
    if len(set(is_on)) < 2:
        return None
    block = np.array(blocks)
    side = 1 - 2 * (block % 2)
    pair = np.unique(block // 2, return_inverse=True)[1]
    paired = PairedDays(np.array(at), pair, side)
    if not paired.can_tell:
        return None
    signs = np.zeros(int(pair.max()) + 1)
    signs[pair] = side * np.where(is_on, 1.0, -1.0)
    sums = paired.pair_sums(np.array(outcomes))
    return flip_test(sums.sums, sums.products, signs, seed=seed, level=level)
