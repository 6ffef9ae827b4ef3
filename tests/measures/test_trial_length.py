"""How long a trial must run: against trials simulated plainly, and where the record does not tell."""

from __future__ import annotations

import datetime as dt
import time

import numpy as np
import polars as pl
import pytest

from journal.measures import trial_length
from journal.measures.sign_flips import flip_test
from journal.measures.trial_contrasts import PairedDays
from journal.measures.trial_length import OutcomeRecord, needed
from tests.benchmarks.trial_journals import KINDS_OF_BLOCKS, RECORD, MoodKind, felt, plan, rated, redrawn, share_called
from tests.benchmarks.wandering import series

TODAY = dt.date(2025, 12, 31)


def year(phi: float, seed: int = 1) -> OutcomeRecord:
    dice = np.random.default_rng(seed)
    return OutcomeRecord(rated(dice, felt(dice, MoodKind(phi), RECORD)), 1, 5, False, RECORD)


def test_the_power_is_that_of_trials_simulated_one_by_one() -> None:
    """A record of many years of white noise, tried by fresh noise and by the whole test."""
    dice = np.random.default_rng(2)
    own = OutcomeRecord(dice.standard_normal(4000), -np.inf, np.inf, False, 4000)
    days, block = 80, 4
    at, found = np.arange(days), 0
    pair, side = at // (2 * block), 1 - 2 * (at // block % 2)
    paired = PairedDays(at, pair, side)
    for _ in range(300):
        drawn = dice.choice([-1.0, 1.0], days // (2 * block))
        outcomes = dice.standard_normal(days) + own.spread / 2 * (1 + drawn[pair] * side) / 2
        sums = paired.pair_sums(outcomes)
        test = flip_test(sums.sums, sums.products, drawn, seed=1)
        assert test is not None
        found += test.p <= 0.05
    assert abs(trial_length.power(own, days=days, block=block) - found / 300) < 0.1  # three standard errors


def test_memory_makes_short_blocks_stronger_and_long_ones_weaker() -> None:
    """Neighbouring days are alike then: a pair of short blocks compares like with like."""
    short = {phi: needed(year(phi), block=2) for phi in (0.0, 0.9)}
    assert short[0.9].days < 90
    assert 130 < short[0.0].days < 200
    long = needed(year(0.9), block=7)
    assert long.days > 90
    for length in (*short.values(), long):
        assert length.is_reached and not length.is_assumed
        assert 0.8 <= length.power < 0.87 and length.effect == pytest.approx(length.spread / 2)


def test_too_short_a_record_is_said_and_assumed() -> None:
    dates = pl.date_range(TODAY - dt.timedelta(days=29), TODAY, eager=True)
    few = pl.DataFrame({"date": dates, "outcome": [3.0, 4.0] * 15})
    own = trial_length.record(few, today=TODAY, low=1, high=5)
    assert (own.is_assumed, own.outcomes, round(own.spread, 3)) == (True, 30, 0.8)
    length = needed(own, block=2)
    assert length.is_assumed and 100 < length.days < 200
    never = few.with_columns(outcome=pl.lit(3.0))
    assert trial_length.record(pl.concat([never] * 2).unique("date"), today=TODAY, low=1, high=5).is_assumed
    assert trial_length.record(few.clear(), today=TODAY).outcomes == 0


def test_only_the_last_year_counts_and_gaps_stay() -> None:
    dates = pl.date_range(TODAY - dt.timedelta(days=499), TODAY, eager=True)
    outcomes = pl.DataFrame({"date": dates, "outcome": np.where(np.arange(500) < 135, 100.0, np.arange(500) % 3)})
    own = trial_length.record(outcomes.filter(pl.col("date").dt.day() != 5), today=TODAY)
    assert own.values.size == 365 and np.nanmax(own.values) == 2
    assert np.isnan(own.values).sum() == 12 == 365 - own.outcomes


def test_a_length_that_is_never_enough_is_said() -> None:
    """A mood at the top of its scale on most days has no room for the effect."""
    dice = np.random.default_rng(1)
    own = OutcomeRecord(np.where(dice.random(365) < 0.02, 1.0, 5.0), 1, 5, False, 365)
    length = needed(own, block=14, washout=13)
    assert (length.is_reached, length.days) == (False, 728)
    assert length.power < 0.8


def test_it_takes_less_than_a_second_and_a_half_of_a_processor() -> None:
    own, started = year(0.5), time.process_time()
    needed(own, block=2)
    needed(own, block=14)
    assert time.process_time() - started < 3


@pytest.mark.parametrize("kind", [MoodKind(0.0), MoodKind(0.9, moves=True)], ids=str)
def test_no_journal_has_more_than_a_twentieth_of_its_draws_called(kind: MoodKind) -> None:
    """Where the habit does nothing, the test is exact whatever mood does: every draw is tried, none by luck."""
    dice = np.random.default_rng(5)
    for changes in KINDS_OF_BLOCKS:
        trial = plan(dice, **changes)
        noted = rated(dice, felt(dice, kind, RECORD + trial.days + trial.lag))
        assert 0.03 < share_called(trial, noted, 0.05) <= 0.05


def test_trials_of_the_length_find_what_they_should_and_their_intervals_hold_it() -> None:
    """Ten journals, forty draws of each; `tests.benchmarks.trials` has the rates of many."""
    dice, shares = np.random.default_rng(8), []
    for i in range(10):
        mood = felt(dice, MoodKind(0.5), RECORD + trial_length.LONGEST_DAYS)
        own = OutcomeRecord(rated(dice, mood[:RECORD]), 1, 5, False, RECORD)
        length = needed(own, block=2, seed=i)
        shares.append(redrawn(dice, plan(dice, days=length.days), mood, length.effect, 40))
    found, held = np.mean(shares, axis=0)
    assert 0.7 < found < 0.9 and 0.92 < held < 0.98
    nothing, _ = redrawn(dice, plan(dice, days=80), mood, 0, 400)
    assert nothing < 0.09


def test_series_have_the_memory_that_is_asked_for() -> None:
    values = series(np.random.default_rng(1), 0.9, 20_000)
    assert abs(np.corrcoef(values[1:], values[:-1])[0, 1] - 0.9) < 0.02
