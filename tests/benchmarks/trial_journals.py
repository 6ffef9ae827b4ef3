"""Random moods with a memory, a trend, a week and a season, and trials over them, for the benchmarks of trials."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any, NamedTuple

import numpy as np
import polars as pl

from journal.measures import trial_lots, trials
from journal.measures.sign_flips import patterns
from journal.measures.sleep import NIGHTS
from journal.measures.trial_contrasts import PairedDays
from journal.settings import Trial
from tests.benchmarks.wandering import UNRATED, Dice, Floats, series

FIRST = dt.date(2025, 1, 1)
"""The first day of the record. The trial begins right after it."""
RECORD = 365
MEAN, SPREAD = 3.2, 0.9
"""Of mood before it is rounded, on a scale from 1 to 5."""


class MoodKind(NamedTuple):
    """How moods go: their memory, and whether they have a trend, a week and a season."""

    phi: float
    moves: bool = False

    def __str__(self) -> str:
        return f"{self.phi:g}{', trend, week and season' if self.moves else ''}"


def felt(dice: Dice, kind: MoodKind, days: int) -> Floats:
    """Mood before it is rounded: a spread of `SPREAD`, and beyond that a rise or fall of half of it in the first 60
    days of the trial, weekdays that differ by a third of it, and a season of half of it to either side."""
    mood = MEAN + SPREAD * series(dice, kind.phi, days)
    if kind.moves:
        at = np.arange(days)
        rise = dice.choice([-0.5, 0.5]) * np.clip((at - RECORD) / 60, 0, 1)
        week = dice.normal(0, 1 / 3, 7)[at % 7]
        season = 0.5 * np.sin(2 * math.pi * (at / 365.25 + dice.random()))
        mood = mood + SPREAD * (rise + week + season)
    return mood


def rated(dice: Dice, mood: Floats) -> Floats:
    """Mood as it is noted: whole steps of the scale, NaN on evenings that were not written."""
    noted: Floats = np.clip(np.rint(mood), 1, 5)
    noted[dice.random(mood.size) < UNRATED] = np.nan
    return noted


def plan(dice: Dice, **changes: Any) -> Trial:
    """A trial from the day after the record, with a seed of its own."""
    values: dict[str, Any] = {"days": 60, "seed": int(dice.integers(2**31))} | changes
    return Trial(key="t", question="?", habit="walk", start=FIRST + dt.timedelta(days=RECORD), **values)


def rated_frame(noted: Floats) -> pl.DataFrame:
    dates = pl.date_range(FIRST, FIRST + dt.timedelta(days=noted.size - 1), eager=True)
    return pl.DataFrame({"date": dates, "mood": pl.Series(noted).fill_nan(None), "energy": None})


def states_frame(trial: Trial, dice: Dice, kept: float = 0.9) -> pl.DataFrame:
    """States of the habit on the days of the trial, `kept` of them as drawn."""
    from journal import lots

    drawn = lots.lots(trial)
    done = [lot.is_on == (dice.random() < kept) for lot in drawn]
    return pl.DataFrame(
        {
            "habit": "walk",
            "date": [lot.date for lot in drawn],
            "asked": True,
            "mark": None,
            "value": None,
            "target": None,
            "aim": None,
            "state": ["done" if one else "missed" for one in done],
        },
        schema_overrides={"mark": pl.String, "value": pl.Float64, "target": pl.Float64, "aim": pl.String},
    )


def outcome_of(trial: Trial, noted: Floats, dice: Dice, *, today: dt.date | None = None) -> dict[str, Any]:
    """The row of the trial's result, from frames as a journal has them."""
    end = FIRST + dt.timedelta(days=noted.size)
    as_of = today or end
    drawn = trial_lots.drawn(
        [trial], states_frame(trial, dice), rated_frame(noted), pl.DataFrame(schema=NIGHTS), today=as_of
    )
    return trials.results([trial], drawn, today=as_of).row(0, named=True)


def every_p(trial: Trial, noted: Floats) -> tuple[Floats, int]:
    """The p of every draw that the trial could have had, and the position of the one that it has."""
    from journal import lots

    drawn = lots.lots(trial)
    at = np.array([i for i, lot in enumerate(drawn) if lot.arm != "washout"])
    at = at[~np.isnan(noted[RECORD + trial.lag + at])]
    blocks = at // trial.block
    pair = np.unique(blocks // 2, return_inverse=True)[1]
    pairs = PairedDays(at, pair, 1 - 2 * (blocks % 2)).pair_sums(noted[RECORD + trial.lag + at])
    signs = patterns(int(pair.max()) + 1, 0).astype(np.float64)
    sizes = np.abs(signs @ pairs.sums) / np.sqrt(((signs @ pairs.products) * signs).sum(axis=1))
    sizes = np.round(sizes / max(float(sizes.max()), 1e-9), 9)
    p = 1 - np.searchsorted(np.sort(sizes), sizes, side="left") / sizes.size
    own = np.zeros(signs.shape[1])
    own[pair] = [1.0 if drawn[i].is_on == (block % 2 == 0) else -1.0 for i, block in zip(at, blocks, strict=True)]
    return p, int(np.flatnonzero((signs == own).all(axis=1))[0])


def share_called(trial: Trial, noted: Floats, level: float) -> float:
    """The share of all draws that would be called an effect."""
    return float((every_p(trial, noted)[0] <= level).mean())


def redrawn(dice: Dice, trial: Trial, mood: Floats, effect: float, draws: int) -> tuple[float, float]:
    """The trial drawn many times over the same mood: the share that is found, and that whose interval holds the effect.

    `mood` is that of record and trial before it is rounded and before `effect` is added. The interval holds the effect
    if the test of what is left without it has a p above 0.05.
    """
    at = np.arange(trial.days)
    at = at[(at % trial.block >= trial.washout) & (dice.random(trial.days) >= UNRATED)]
    blocks = at // trial.block
    pair, side = np.unique(blocks // 2, return_inverse=True)[1], 1 - 2 * (blocks % 2)
    paired, own = PairedDays(at, pair, side), dice.choice([-1.0, 1.0], (draws, int(pair.max()) + 1))
    lifted = mood[RECORD + trial.lag + at] + effect * (1 + own[:, pair] * side) / 2
    noted = np.clip(np.rint(lifted), 1, 5)
    few = own.shape[1] <= _ALL_PAIRS
    signs = patterns(own.shape[1], 0).astype(np.float64) if few else dice.choice([-1.0, 1.0], (_SAMPLED, own.shape[1]))
    memories, found, held = paired.memories(noted), 0, 0
    for memory in np.unique(memories):
        rows, weighed = memories == memory, paired.grid[memory]
        products, sums = paired.products(weighed), paired.sums(noted[rows], weighed)
        found += int((_shares(sums, products, signs, own[rows]) <= _LEVEL).sum())
        without = sums - effect * own[rows] @ products
        held += int((_shares(without, products, signs, own[rows]) > _LEVEL).sum())
    return found / draws, held / draws


_ALL_PAIRS, _SAMPLED, _LEVEL = 10, 1999, 0.05


def _shares(sums: Floats, products: Floats, signs: Floats, own: Floats) -> Floats:
    """The p of each row of sums."""
    sizes = np.abs(sums @ signs.T) / np.sqrt(((signs @ products) * signs).sum(axis=1))
    own_sizes = np.abs((sums * own).sum(axis=1)) / np.sqrt(((own @ products) * own).sum(axis=1))
    as_far = (sizes >= own_sizes[:, None] * (1 - 1e-9)).sum(axis=1)
    is_all = signs.shape[0] == 2 ** own.shape[1]
    p: Floats = as_far / signs.shape[0] if is_all else (as_far + 1) / (signs.shape[0] + 1)
    return p


def on_days(trial: Trial) -> Floats:
    """1 on each day of record and trial whose mood a day on lifts, else 0."""
    from journal import lots

    lifted = np.zeros(RECORD + trial.days + trial.lag)
    for i, lot in enumerate(lots.lots(trial)):
        lifted[RECORD + i + trial.lag] = lot.is_on
    return lifted


KINDS_OF_BLOCKS: tuple[dict[str, Any], ...] = ({"days": 48}, {"days": 98, "block": 7, "washout": 1, "lag": 1})
"""Plans with 12 pairs and with 7."""
