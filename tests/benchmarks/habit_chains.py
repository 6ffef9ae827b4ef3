"""Marks of habits whose rate never changes, dependent from day to day, for the benchmark of changes."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import numpy.typing as npt
import polars as pl
import scipy.optimize
import scipy.signal
import scipy.stats

from journal.measures.states import OCCASIONS

Done = npt.NDArray[np.bool_]
FIRST = dt.date(2023, 1, 1)
RATES = (0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95)
LAG_1 = (0.0, 0.2, 0.32, 0.5)
KINDS = ("repeats", "slow")
_WARM_UP = 100


def chains(dice: np.random.Generator, kind: str, rate: npt.NDArray[np.float64], lag_1: float, n: int) -> Done:
    """A row of n marks for each rate, with the given correlation of neighbours.

    "repeats": a mark repeats the one before with probability lag_1, else it is drawn anew. "slow": the mark tells
    whether a normal first-order series is below a threshold. Its correlations fall more slowly with the lag.
    """
    if kind == "slow":
        phi = {share: _phi(float(share), lag_1) for share in np.unique(rate)}
        each = np.array([phi[share] for share in rate])
        series = dice.standard_normal((rate.size, n + _WARM_UP)) * np.sqrt(1 - each**2)[:, None]
        for step in range(1, n + _WARM_UP):
            series[:, step] += each * series[:, step - 1]
        below: Done = series[:, _WARM_UP:] < scipy.stats.norm.ppf(rate)[:, None]
        return below
    done: Done = dice.random((rate.size, n)) < rate[:, None]
    again = dice.random((rate.size, n)) < lag_1
    for step in range(1, n):
        done[:, step] = np.where(again[:, step], done[:, step - 1], done[:, step])
    return done


def _phi(rate: float, lag_1: float) -> float:
    """The coefficient of the normal series whose marks have a correlation of lag_1."""
    if not lag_1:
        return 0.0
    edge = scipy.stats.norm.ppf(rate)

    def off(phi: float) -> float:
        both = scipy.stats.multivariate_normal.cdf([edge, edge], cov=[[1, phi], [phi, 1]])
        return float((both - rate**2) / (rate * (1 - rate))) - lag_1

    return float(scipy.optimize.brentq(off, 0, 0.999))


def frame(done: Done, unit: str = "occasion") -> pl.DataFrame:
    """The occasions of the marks, a habit a row, from `FIRST` on: a day or a week each."""
    habits, n = done.shape
    step = 7 if unit == "week" else 1
    starts = pl.Series([FIRST + dt.timedelta(days=step * i) for i in range(n)])
    begin = pl.concat([starts] * habits)
    return pl.DataFrame(
        {
            "habit": np.repeat(np.arange(habits), n),
            "unit": unit,
            "from": begin,
            "to": begin + dt.timedelta(days=step - 1),
            "date": begin + dt.timedelta(days=step // 2),
            "state": np.where(done.ravel(), "done", "missed"),
        }
    ).cast(OCCASIONS)  # type: ignore[arg-type]


def share(hits: int, of: int) -> str:
    """A share in per cent with its standard error."""
    ratio = hits / of
    return f"{100 * ratio:.1f} ± {100 * math.sqrt(ratio * (1 - ratio) / of):.1f}"
