"""Mood and day length: both by month, and no p from a single winter."""

from __future__ import annotations

import datetime as dt

import numpy as np
import polars as pl
import pytest
import scipy.stats

from journal.measures.link_sentences import day_length_link, driver_link
from journal.measures.season import SEASON, day_length, months
from tests.measures.test_links import span

FIRST = dt.date(2023, 1, 1)


def light(dates: list[dt.date]) -> pl.DataFrame:
    """Days of 8 to 16 hours, the shortest ten days before New Year."""
    since = np.array([(day - FIRST).days + 10 for day in dates])
    return pl.DataFrame({"date": dates, "day_minutes": 720 - 240 * np.cos(since / 365.25 * 2 * np.pi)})


def felt_over(years: int, swing: float, seed: int = 1) -> pl.DataFrame:
    dates = span(365 * years, FIRST)
    dice = np.random.default_rng(seed)
    wave = light(dates).get_column("day_minutes").to_numpy() / 240 - 3
    mood = np.clip(np.rint(3 + 0.8 * (swing * wave + dice.standard_normal(len(dates)))), 1, 5)
    return pl.DataFrame({"date": dates, "mood": mood})


@pytest.mark.parametrize(("years", "swing", "clear"), [(1, 1.0, None), (2, 1.0, None), (3, 0.8, True), (3, 0.0, False)])
def test_day_length_needs_three_years(years: int, swing: float, clear: bool | None) -> None:
    days = felt_over(years, swing)
    found = day_length(days, light(days.get_column("date").to_list()))
    assert dict(found.schema) == SEASON
    row = found.row(0, named=True)
    assert (row["n"], row["years"], row["clear"]) == (365 * years, years, clear)
    assert (row["p"] is None) == (clear is None)
    if clear is not None:
        rho = scipy.stats.spearmanr(light(days["date"].to_list())["day_minutes"], days["mood"]).statistic
        assert row["correlation"] == pytest.approx(rho, abs=1e-9)
    assert ("went with" in driver_link(row, "Day length")) == bool(clear)


def test_p_matches_rotations_within_each_year() -> None:
    """Against the same random rotations, applied with numpy."""
    days = felt_over(3, 0.15, seed=4)
    dates = days.get_column("date").to_list()
    p = day_length(days, light(dates), turns=99).get_column("p").item()
    minutes, mood = (scipy.stats.rankdata(s) for s in (light(dates)["day_minutes"], days["mood"]))
    dice, years = np.random.default_rng(1), [slice(365 * i, 365 * (i + 1)) for i in range(3)]

    def together(shifts: tuple[int, ...]) -> float:
        parts = zip(years, shifts, strict=True)
        return abs(sum(float(np.cov(minutes[y], np.roll(mood[y], -s), bias=True)[0, 1] * 365) for y, s in parts))

    drawn = [dice.integers(0, 365, 99) for _ in years]
    as_much = sum(together(shifts) >= together((0, 0, 0)) - 1e-6 for shifts in zip(*drawn, strict=True))
    assert p == (1 + as_much) / 100
    assert 0.02 < p < 0.98  # otherwise wrong rotations could pass too


def test_years_with_less_than_half_rated_days_do_not_count() -> None:
    days = felt_over(4, 1.0)
    thin = days.with_columns(
        pl.when(pl.col("date").dt.year().is_in([2024, 2025]) & (pl.col("date").dt.day() > 14)).then(None)
        .otherwise(pl.col("mood")).alias("mood")
    )  # fmt: skip
    row = day_length(thin, light(days["date"].to_list())).row(0, named=True)
    assert (row["years"], row["n"], row["p"]) == (2, 365 + 364, None)
    assert day_length_link(row).startswith("Day length and mood: 2 years are few; to tell, 3 years")


@pytest.mark.parametrize("mood", [3.0, None])
def test_a_constant_or_missing_mood_gives_no_day_length_p(mood: float | None) -> None:
    dates = span(1095, FIRST)
    days = pl.DataFrame({"date": dates, "mood": [mood] * 1095}, schema_overrides={"mood": pl.Float64})
    row = day_length(days, light(dates)).row(0, named=True)
    assert row["p"] is row["clear"] is row["correlation"] is None
    assert day_length_link(row) == (
        "Day length and mood: one of them never changes."
        if mood
        else "Day length and mood: no calendar year has a mood on half of its days yet; "
        "to tell, 3 such years are needed."
    )
    assert day_length(days.clear(), light(dates).clear()).row(0, named=True)["years"] == 0


def test_months_have_day_length_with_or_without_a_mood() -> None:
    dates = span(365, dt.date(2025, 1, 1))
    days = pl.DataFrame({"date": dates[:40], "mood": [4.0, None] * 20}, schema_overrides={"mood": pl.Float64})
    found = months(days, light(dates))
    assert found.height == 12
    assert found.get_column("n").to_list() == [16, 4, *[0] * 10]
    assert found.get_column("mean").to_list() == [4.0, 4.0, *[None] * 10]
    assert found.get_column("day_minutes").null_count() == 0
