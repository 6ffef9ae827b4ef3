"""The scale on which the values of a measure are compared: one on which their spread does not depend on their level."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl

from journal.measures.circular_shift import Numbers
from journal.measures.finding_facts import PLAN, WAITING
from journal.measures.prediction import PeriodValues

COUNTED = ("rates", "coverage", "tasks")
"""Measures of which each value is a count out of a count."""


def scaled(rows: pl.DataFrame) -> tuple[PeriodValues, ...]:
    """The values of a measure, from its rows of `finding_facts.series` in order, on the scale of its comparison.

    - A share of counts: the arcsine of its root, which has a variance of at least 1 / (4 n + 2) (Anscombe, F. J.
      (1948), Biometrika 35, 246-254). A rate of a habit has two series, of all its occasions and of those
      that were logged: evenings without a page are no change of a habit, so a finding needs both.
    - A share of minutes: the arcsine of its root. Minutes of a category and tasks that wait: the root, since the more
      there are, the more they vary.
    - Mood, energy, sleep: as they are.

    >>> columns = {"measure": "rates", "subject": "walk", "unit": "occasion", "value": [3 / 7, 1.0], "n": 7}
    >>> rates = pl.DataFrame(columns | {"amount": [3.0, 7.0], "out_of": 7.0, "known": [3, 7]})
    >>> [series.values.round(2).tolist() for series in scaled(rates)]
    [[0.72, 1.35], [1.25, 1.35]]
    """
    first: dict[str, Any] = rows.row(0, named=True)
    measure, value, n = first["measure"], _column(rows, "value"), _column(rows, "n")
    if first["subject"] == WAITING and measure == "tasks":
        return (PeriodValues(np.sqrt(value), np.ones(value.size), slow=True),)
    if measure in COUNTED:
        columns = ("out_of", "known") if measure == "rates" else ("out_of",)
        return tuple(_counts(_column(rows, "amount"), _column(rows, column)) for column in columns)
    if measure == "hours":
        return (PeriodValues(np.arcsin(np.sqrt(np.minimum(value, 1))) if first["unit"] == PLAN else np.sqrt(value), n),)
    return (PeriodValues(value, n),)


def pooled(rows: pl.DataFrame) -> float:
    """The value of several periods together, from their rows of `finding_facts.series`.

    >>> pooled(pl.DataFrame({"value": [3.0, 4.0], "n": [30, 10], "out_of": [None, None]}))
    3.25
    """
    if rows.get_column("out_of").null_count() == 0:
        return float(_column(rows, "amount").sum() / _column(rows, "out_of").sum())
    return float(np.average(_column(rows, "value"), weights=_column(rows, "n")))


def _counts(done: Numbers, counted: Numbers) -> PeriodValues:
    angles = np.arcsin(np.sqrt((done + 3 / 8) / (counted + 3 / 4)))
    return PeriodValues(angles, 4 * counted + 2, least=1.0)


def _column(rows: pl.DataFrame, name: str) -> Numbers:
    return rows.get_column(name).cast(pl.Float64).to_numpy()
