"""Where nothing changes little stands out, and what is planted is told: a small seeded part of bench_findings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pytest

from journal.periods import PeriodKind
from tests.benchmarks import bench_findings
from tests.benchmarks.unchanging import PLANTS, Planted

MOST: Mapping[PeriodKind, float] = {"week": 0.3, "month": 0.5, "year": 1.0}
"""The sentences a page may have where nothing changes."""


@pytest.mark.parametrize("memory", [0.0, 0.5])
def test_little_stands_out_where_nothing_changes(memory: float) -> None:
    """All sentences together. One year is short: half as much again as a page says is within two standard errors."""
    book = bench_findings.steady(np.random.default_rng(5), memory, years=2)
    for kind, most in MOST.items():
        told = bench_findings.told([book], kind, dt.date(2023, 1, 1))
        assert 0 < told.said / told.pages <= most
        assert told.measures.total() / told.pages <= min(most, 1.5 * told.said / told.pages), kind
        assert told.changed <= max(1, 0.05 * told.pages), (
            "five in a hundred pages of a month at most have a clear change"
        )


@pytest.mark.parametrize("planted", [p for p in PLANTS if p.sure], ids=lambda planted: planted.words)
def test_what_is_planted_is_told(planted: Planted) -> None:
    assert bench_findings.is_told(planted, np.random.default_rng(3), 0.0)
