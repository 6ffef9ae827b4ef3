"""How far tasks overrun their estimates: small tasks against large ones, and tasks of one day together."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import polars as pl

from journal.measures.circular_shift import Numbers

ENOUGH_PAIRS = 20

NEWEST_PAIRED = 240
"""The same for the correlation within a day. It needs more ratios, to have pairs, and it changes more slowly."""


def of_one_size(ratios: pl.DataFrame) -> tuple[Numbers, Callable[[Numbers], Numbers]]:
    """The log ratios as if all tasks had the median estimate, and what to add for tasks of other estimates.

    In: the frame of `measures.tasks.ratios`. Out: the log of each ratio without the effect of its estimate (`slope`),
    and a function from estimates in minutes to that effect. Nothing is extrapolated: a task larger than any before
    counts as the largest.

    >>> done = pl.DataFrame({"estimate": [10.0, 10.0, 40.0, 40.0], "ratio": [2.0, 2.0, 1.0, 1.0]})
    >>> logs, by_size = of_one_size(done)
    >>> np.exp(logs).round(2).tolist(), np.exp(by_size(np.array([10.0, 40.0, 400.0]))).round(2).tolist()
    ([1.41, 1.41, 1.41, 1.41], [1.41, 0.71, 0.71])
    """
    logs, sizes = (np.log(ratios.get_column(name).to_numpy()) for name in ("ratio", "estimate"))
    tilt, middle = slope(sizes, logs), np.median(sizes) if len(sizes) else 0.0

    def by_size(minutes: Numbers) -> Numbers:
        inside = np.clip(np.log(np.maximum(minutes, 1)), sizes.min(), sizes.max())
        return tilt * (inside - middle)

    return logs - tilt * (sizes - middle), by_size


def alike_in_a_day(ratios: pl.DataFrame) -> float:
    """Return the intraclass correlation of the log ratios within a day, 0 to 1.

    In: the frame of `measures.tasks.ratios`; the newest `NEWEST_PAIRED` rows are used, as of tasks of one size. The
    correlation is the mean product of two deviations from the mean over all pairs within a day, divided by their
    variance (Fisher 1925, chapter 7). A negative value counts as 0, and so does one from fewer than `ENOUGH_PAIRS`
    pairs.

    >>> import datetime as dt
    >>> days = [dt.date(2025, 1, d) for d in range(1, 31) for _ in range(2)]
    >>> done = pl.DataFrame({"last": days, "estimate": 30.0, "ratio": [1.0, 1.0, 2.0, 2.0] * 15})
    >>> round(alike_in_a_day(done), 6), alike_in_a_day(done.with_columns(ratio=pl.Series([1.0, 2.0] * 30)))
    (1.0, 0.0)
    """
    newest = ratios.tail(NEWEST_PAIRED)
    logs, _ = of_one_size(newest)
    deviation = logs - logs.mean() if len(logs) else logs
    of_day = np.unique(newest.get_column("last").to_numpy(), return_inverse=True)[1]
    n, total, square = (np.bincount(of_day, weights) for weights in (None, deviation, deviation**2))
    pairs = int((n * (n - 1)).sum())
    if pairs < 2 * ENOUGH_PAIRS or not square.sum():
        return 0.0
    return min(max(float((total**2 - square).sum() / pairs / (square.sum() / len(logs))), 0.0), 1.0)


def slope(sizes: Numbers, logs: Numbers) -> float:
    """The slope of the log ratios of taken to estimated time over the log of the estimate, drawn towards 0.

    In: the logs of the estimates and of the ratios, task by task. The least-squares slope is multiplied by 1 - 1 / t^2,
    with t its t statistic, or by 0 where |t| is under 1: the positive-part estimate of James and Stein (1961) for one
    coefficient, so that chance in few tasks does not pose as an effect. With all estimates alike, or fewer than four
    tasks, it is 0.

    >>> sizes = np.log([10.0, 10, 20, 20, 40, 40, 80, 80])
    >>> round(slope(sizes, 1.0 - 0.5 * sizes + np.array([0.01, -0.01] * 4)), 2)
    -0.5
    >>> slope(sizes, np.array([0.1, -0.1] * 4)), slope(np.zeros(9), np.arange(9.0))
    (0.0, 0.0)
    """
    spread = sizes - sizes.mean() if len(sizes) else sizes
    square = float(spread @ spread)
    if len(sizes) < 4 or square < 1e-9:
        return 0.0
    raw = float(spread @ logs) / square
    residuals = logs - logs.mean() - raw * spread
    error = float(residuals @ residuals) / (len(sizes) - 2) / square  # the squared standard error of the slope
    return raw * max(0.0, 1 - error / raw**2) if raw else 0.0
