"""How alike neighbouring occasions of a habit are, and how many independent ones they are worth.

A habit done today is more likely to be done tomorrow. So the share of a month varies more than that of as many
independent days, and an interval for independent days is too short. The *effective number* of n occasions is n /
(1 + 2 sum of (1 - k/n) r_k) with r_k the correlation of occasions k apart (Bartlett, M. S. (1946), J. R. Stat. Soc.
Suppl. 8, 27-41; Bayley, G. V. and Hammersley, J. M. (1946), the same volume, 184-197). Here r_k = r_1 decay^(k-1), the
correlations of a first-order autoregressive and moving average process, which fall more slowly than those of a plain
first-order chain: a habit that follows a slow mood is such a process.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import polars as pl

DEPENDENCE: dict[str, Any] = {
    "habit": pl.String,
    "unit": pl.Enum(("occasion", "week", "month")),
    "logged": pl.Int64,
    "lag_1": pl.Float64,
    "decay": pl.Float64,
}

_SPAN = 24
"""The least logged occasions of a span with a mean of its own: a month of a daily habit, half a year of weeks."""
_PRIOR, _PRIOR_LAG_1, _PRIOR_LAG_2 = 10, 0.2, 0.06
"""The correlations before anything is known, and the number of occasions they count as (our choice)."""
_ERRORS = 0.5
"""The standard errors added to a correlation: the interval must also hold where chance made it small (our choice)."""
_MOST_LAG_1, _MOST_DECAY, _MOST_BIAS = 0.9, 0.85, 0.5
_STEPS = 20

_Floats = npt.NDArray[np.float64]
_Flags = npt.NDArray[np.bool_]


def dependence(occasions: pl.DataFrame) -> pl.DataFrame:
    """The correlation of neighbouring occasions of each habit, from all of its marks.

    In: `states.OCCASIONS` up to a day. Out: `DEPENDENCE`, a row per habit and unit with an occasion that was logged:

    - logged (Int64): the logged occasions
    - lag_1 (Float64, 0 to 0.9): the correlation of neighbouring occasions
    - decay (Float64, lag_1 to 0.85): the ratio of the correlations at successive lags

    Correlations are taken at lags 1 and 2, around the mean of each span of whole months with 24 logged occasions or
    more, so that a habit that changed from month to month does not pass for one that hangs together. Blank and rest
    occasions keep their place: a pair needs two logged occasions at its distance. Deviations from a mean of n values
    are correlated by about -inflation/n (Marriott, F. H. C. and Pope, J. A. (1954), Biometrika 41, 390-402; Kendall
    (1954), 403-404), which is added back, by iteration. Each correlation is then shrunk towards that of ten occasions
    at 0.2 (lag 2: 0.06), raised by half its standard error, and kept within 0 and 0.9.

    >>> import datetime as dt
    >>> from journal.measures.states import OCCASIONS
    >>> days = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 12, 31), eager=True)
    >>> runs = pl.DataFrame({"habit": "walk", "unit": "occasion", "from": days, "to": days, "date": days,
    ...     "state": (["done"] * 5 + ["missed"] * 3) * 45 + ["done"] * 5}).cast(OCCASIONS)
    >>> dependence(runs).select("logged", pl.col("lag_1", "decay").round(2)).row(0)
    (365, 0.53, 0.53)
    """
    known = occasions.filter(pl.col("state") != "pending").select(
        "habit",
        pl.col("unit").cast(DEPENDENCE["unit"]),
        new=(pl.col("habit") != pl.col("habit").shift()) | (pl.col("unit") != pl.col("unit").shift()),
        month=pl.col("date").dt.year().cast(pl.Int64) * 12 + pl.col("date").dt.month(),
        logged=pl.col("state").is_in(["done", "missed", "partial"]),
        done=pl.col("state") == "done",
    )
    # Rows of one habit and unit mostly follow each other: slices cost less than groups.
    firsts = np.flatnonzero(known.get_column("new").fill_null(True).to_numpy())
    ends = np.append(firsts, known.height)[1:].tolist()
    keys = known.select("habit", "unit")[firsts].rows()
    places: dict[tuple[str, str], list[slice]] = {}
    for key, first, end in zip(keys, firsts.tolist(), ends, strict=True):
        places.setdefault(key, []).append(slice(first, end))
    columns = [known.get_column(name).to_numpy() for name in ("month", "logged", "done")]
    moments = {
        key: _moments(*(np.concatenate([column[rows] for rows in runs]) for column in columns))
        for key, runs in places.items()
    }
    rows = [(*key, of) for key, of in moments.items() if of["logged"] > 0]
    lag_1, decay = _fitted(**{name: np.array([of[name] for _, _, of in rows], np.float64) for name in _MOMENTS})
    frame = {"habit": [habit for habit, _, _ in rows], "unit": [unit for _, unit, _ in rows]}
    logged = [int(of["logged"]) for _, _, of in rows]
    return pl.DataFrame(frame | {"logged": logged, "lag_1": lag_1, "decay": decay}, schema=DEPENDENCE)


_MOMENTS = ("logged", "spans", "variance", "product_1", "product_2")


def _moments(
    month: npt.NDArray[np.int64], logged: npt.NDArray[np.bool_], done: npt.NDArray[np.bool_]
) -> dict[str, float]:
    """The logged occasions, their spans, and the mean products of deviations from the means of the spans."""
    before: npt.NDArray[np.int64] = np.cumsum(logged) - logged
    begins = np.flatnonzero(np.diff(month, prepend=month[:1] - 1))
    span = np.repeat(before[begins] // _SPAN, np.diff(begins, append=month.size))
    inside = np.bincount(span, logged)
    mean = np.divide(np.bincount(span, done & logged), inside, out=np.zeros_like(inside), where=inside > 0)
    off: _Floats = done - mean[span]
    moments = {"logged": float(logged.sum()), "spans": float((inside > 0).sum()), "variance": _mean(off[logged] ** 2)}
    for lag in (1, 2):
        both = logged[lag:] & logged[:-lag] & (span[lag:] == span[:-lag])
        moments[f"product_{lag}"] = _mean((off[lag:] * off[:-lag])[both])
    return moments


def _mean(values: _Floats) -> float:
    return float(values.mean()) if values.size else 0.0


def _fitted(
    logged: _Floats, spans: _Floats, variance: _Floats, product_1: _Floats, product_2: _Floats
) -> tuple[_Floats, _Floats]:
    """The correlation at lag 1 and its decay, from the products of deviations within the spans."""
    varies = variance > 0
    raw = [
        np.divide(product, variance, out=np.zeros_like(variance), where=varies) for product in (product_1, product_2)
    ]
    weight = logged + _PRIOR
    first = second = np.zeros_like(variance)
    for _ in range(_STEPS):
        bias = np.minimum(spans * inflation(logged / spans, *_kept(first, second)) / logged, _MOST_BIAS)
        free = [np.where(varies, correlation * (1 - bias) + bias, 0.0) for correlation in raw]
        first, second = (
            (logged * correlation + _PRIOR * prior) / weight
            for correlation, prior in zip(free, (_PRIOR_LAG_1, _PRIOR_LAG_2), strict=True)
        )
    error = _ERRORS / np.sqrt(weight)
    return _kept(first + error * np.sqrt(1 - np.clip(first, -1, 1) ** 2), second + error)


def _kept(first: _Floats, second: _Floats) -> tuple[_Floats, _Floats]:
    """The correlation at lag 1 and the decay to that at lag 2, kept within their bounds."""
    lag_1 = np.clip(first, 0, _MOST_LAG_1)
    ratio = np.divide(second, lag_1, out=np.zeros_like(lag_1), where=lag_1 > 0)
    return lag_1, np.clip(ratio, np.minimum(lag_1, _MOST_DECAY), _MOST_DECAY)


def inflation(n: _Floats, lag_1: _Floats, decay: _Floats) -> _Floats:
    """How many times the variance of a mean of n occasions is that of independent ones (1 or more).

    >>> inflation(np.array([1.0, 30.0, 30.0]), np.array([0.5, 0.5, 0.0]), np.array([0.5, 0.5, 0.0])).round(2).tolist()
    [1.0, 2.87, 1.0]
    """
    at_once = 1 / (1 - decay) - (1 - decay**n) / (n * (1 - decay) ** 2)
    grown: _Floats = 1 + 2 * lag_1 * at_once
    return grown


def effective(frame: pl.DataFrame, known: pl.DataFrame | None, counts: dict[str, str]) -> pl.DataFrame:
    """The frame with the effective number of each count (Float64). `counts` names the new column of each.

    In: a frame with habit, unit and the counts (Int64); `known`, the frame of `dependence`. Without it, and for a habit
    that it does not have, occasions count as independent. The effective number of 0 is 0, of null is null.

    >>> known = pl.DataFrame({"habit": ["walk"], "unit": ["occasion"], "logged": [300], "lag_1": [0.5], "decay": [0.5]})
    >>> month = pl.DataFrame({"habit": ["walk"], "unit": ["occasion"], "n": [30]})
    >>> effective(month, known.cast(DEPENDENCE), {"n": "n_effective"}).get_column("n_effective").round(1).item()
    10.5
    """
    if known is None:
        return frame.with_columns(pl.col(count).cast(pl.Float64).alias(name) for count, name in counts.items())
    joined = frame.with_columns(pl.col("unit").cast(DEPENDENCE["unit"])).join(
        known.select("habit", "unit", "lag_1", "decay"), on=["habit", "unit"], how="left", maintain_order="left"
    )
    lag_1, decay = (joined.get_column(name).fill_null(0.0).to_numpy() for name in ("lag_1", "decay"))
    worth = []
    for count, name in counts.items():
        n = joined.get_column(count).cast(pl.Float64).to_numpy()
        worth.append(pl.Series(name, n / inflation(np.maximum(n, 1), lag_1, decay)).fill_nan(None))
    return joined.with_columns(worth).drop("lag_1", "decay")
