"""How long a trial must run to tell half a standard deviation apart with a power of 80 %.

The answer is a simulation from this journal's own outcomes of the last year, not a formula for independent days. A
trial is laid over stretches of the record, each time with a draw of its own and with the effect added to its days on;
the share of them that the test finds is the power. So spread, memory from day to day, weekdays, season and evenings
that were not written are those of the record. A value that the effect would carry beyond the scale stays at its end.
"""

from __future__ import annotations

import datetime as dt
import math
from statistics import NormalDist

import msgspec
import numpy as np
import numpy.typing as npt
import polars as pl

from journal.measures.circular_shift import Numbers, Whole
from journal.measures.one_thread import one_thread
from journal.measures.sign_flips import patterns
from journal.measures.trial_contrasts import MEMORIES, PairedDays

EFFECT_SPREADS = 0.5
POWER = 0.8
LEVEL = 0.05
FEWEST_PAIRS = 6
"""With 5 pairs p is never below 0.06."""
LONGEST_DAYS = 731
RECORD_DAYS = 365
FEWEST_OUTCOMES = 42
"""Six of each weekday. With fewer outcomes, spread and memory are assumed."""

ASSUMED_MEMORY = 0.3
ASSUMED_SHARE = 0.2
"""Assumed without a record: the standard deviation is a fifth of the scale, and days are correlated by 0.3 with the day
before. Both are this project's choice."""

_STRETCHES = 12
_DRAWS = 80
_COMPARED = 999
_ALL_PAIRS = 10
_FIRST_DAYS = 84
_NORMAL = NormalDist()


class OutcomeRecord(msgspec.Struct, frozen=True, eq=False):
    """The outcomes of a year, a value for each day in order, NaN where none is recorded. `low` and `high` are the ends
    of the scale, infinite without one. `is_assumed` says that they were made up, since too few are recorded."""

    values: Numbers
    low: float
    high: float
    is_assumed: bool
    outcomes: int

    @property
    def spread(self) -> float:
        """The standard deviation of the outcomes."""
        return float(np.nanstd(self.values, ddof=1))


class TrialLength(msgspec.Struct, frozen=True, kw_only=True):
    """The days that a trial needs: `pairs` of blocks, and the simulated `power` with them (0 to 1).

    `spread` is the standard deviation, and `effect` the half of it that is told apart. `outcomes` is the number in the
    record; with `is_assumed` there were too few, and spread and memory are assumed. `is_reached` is false if the
    longest trial has less power.
    """

    days: int
    pairs: int
    power: float
    spread: float
    effect: float
    outcomes: int
    is_assumed: bool
    is_reached: bool


def record(
    outcomes: pl.DataFrame, *, today: dt.date, low: float = -math.inf, high: float = math.inf, seed: int = 1
) -> OutcomeRecord:
    """The outcomes of the year up to a day.

    In: a frame with date (Date) and outcome (Float64, null where nothing is recorded), and the ends of the scale.
    Days before the first outcome and after the last one are left out. With fewer than `FEWEST_OUTCOMES`, a year is made
    up with the assumed spread and memory.

    >>> dates = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 3, 1), eager=True)
    >>> moods = pl.DataFrame({"date": dates, "outcome": [2.0, 3.0, 4.0, 3.0] * 15})
    >>> own = record(moods, today=dt.date(2025, 3, 1), low=1, high=5)
    >>> own.values.size, round(own.spread, 2), own.is_assumed
    (60, 0.71, False)
    """
    first = today - dt.timedelta(days=RECORD_DAYS - 1)
    known = outcomes.filter(pl.col("date").is_between(first, today), pl.col("outcome").is_not_null()).sort("date")
    dates, values = known.get_column("date"), known.get_column("outcome").to_numpy()
    if known.height < FEWEST_OUTCOMES or np.ptp(values) == 0:
        return OutcomeRecord(_assumed(low, high, seed), low, high, True, known.height)
    at = (dates - dates[0]).dt.total_days().to_numpy()
    days = np.full(int(at[-1]) + 1, np.nan)
    days[at] = values
    return OutcomeRecord(days, low, high, False, known.height)


@one_thread()
def needed(own: OutcomeRecord, *, block: int, washout: int = 0, seed: int = 1) -> TrialLength:
    """The days that a trial with these blocks needs.

    The power of a number of pairs is close to that of a normal estimate whose standard error falls with the root of the
    number. So each simulated power says which number to try next.

    >>> dice = np.random.default_rng(1)
    >>> own = OutcomeRecord(np.rint(3 + dice.standard_normal(365)).clip(1, 5), 1, 5, False, 365)
    >>> length = needed(own, block=2)
    >>> 100 < length.days < 190, length.pairs * 4 == length.days, 0.75 < length.power < 0.85
    (True, True, True)
    """
    tried: dict[int, float] = {}

    def try_pairs(pairs: int) -> bool:
        tried[pairs] = power(own, days=2 * block * pairs, block=block, washout=washout, seed=seed)
        return tried[pairs] >= POWER

    below, enough = FEWEST_PAIRS - 1, LONGEST_DAYS // (2 * block)
    following = min(max(FEWEST_PAIRS, _first_guess(own, block, washout)), enough)
    while below < following and following not in tried:
        if try_pairs(following):
            enough = following
        else:
            below = following
        following = min(max(_following(following, tried[following]), below + 1), max(enough - 1, below))
    if enough not in tried:
        try_pairs(enough)
    return TrialLength(
        days=2 * block * enough,
        pairs=enough,
        power=tried[enough],
        spread=own.spread,
        effect=EFFECT_SPREADS * own.spread,
        outcomes=own.outcomes,
        is_assumed=own.is_assumed,
        is_reached=tried[enough] >= POWER,
    )


def _first_guess(own: OutcomeRecord, block: int, washout: int) -> int:
    """The number of pairs by the normal formula, for the correlation of the record with the day before."""
    deviations = own.values - np.nanmean(own.values)
    memory = float(np.nanmean(deviations[1:] * deviations[:-1]) / np.nanmean(deviations**2))
    at = np.arange(_FIRST_DAYS - _FIRST_DAYS % (2 * block))
    at, blocks = at[at % block >= washout], at[at % block >= washout] // block
    paired = PairedDays(at, blocks // 2, 1 - 2 * (blocks % 2))
    products = paired.products(paired.weighed(min(max(memory, MEMORIES[0]), MEMORIES[-1])))
    each = float(np.trace(products)) / products.shape[0] * float(np.mean(~np.isnan(own.values)))
    wanted = (_NORMAL.inv_cdf(1 - LEVEL / 2) + _NORMAL.inv_cdf(POWER)) / EFFECT_SPREADS
    return math.ceil(wanted**2 / each) if each > 0 else FEWEST_PAIRS


def _following(pairs: int, found: float) -> int:
    """The number of pairs that would give the wanted power, from the power of another number."""
    tail = _NORMAL.inv_cdf(1 - LEVEL / 2)
    reach = tail + _NORMAL.inv_cdf(min(max(found, 0.03), 0.995))
    return math.ceil(pairs * ((tail + _NORMAL.inv_cdf(POWER)) / reach) ** 2)


@one_thread()
def power(own: OutcomeRecord, *, days: int, block: int, washout: int = 0, seed: int = 1) -> float:
    """The share of simulated trials of a length in which half a standard deviation is found, at p 0.05 or less.

    Half of the trials have the effect upwards, half downwards. A stretch with too few outcomes finds nothing.
    """
    dice = np.random.default_rng(seed)
    at = np.arange(days)
    blocks = at // block
    counted = at % block >= washout
    effect = EFFECT_SPREADS * own.spread
    found = 0
    by_gaps: dict[bytes, tuple[PairedDays, Whole]] = {}
    for start in np.linspace(0, own.values.size, _STRETCHES, endpoint=False).astype(np.int64):
        stretch = own.values[(start + at) % own.values.size]
        there = counted & ~np.isnan(stretch)
        if there.sum() < 2:
            continue
        key = there.tobytes()
        if key not in by_gaps:
            pair = np.unique(blocks[there] // 2, return_inverse=True)[1]
            by_gaps[key] = PairedDays(at[there], pair, 1 - 2 * (blocks[there] % 2)), pair
        paired, pair = by_gaps[key]
        if not paired.can_tell:
            continue
        drawn = dice.choice([-1.0, 1.0], (_DRAWS, int(pair.max()) + 1))
        on = (1 + drawn[:, pair] * paired.side) / 2
        ways = np.where(np.arange(_DRAWS) % 2, -effect, effect)[:, None]
        outcomes = np.clip(stretch[there] + ways * on, own.low, own.high)
        found += int(_found(paired, outcomes, drawn, int(dice.integers(2**31))).sum())
    return found / (_STRETCHES * _DRAWS)


def _found(paired: PairedDays, outcomes: Numbers, drawn: Numbers, seed: int) -> npt.NDArray[np.bool_]:
    """Whether each row of outcomes differs at `LEVEL` by its row of drawn signs."""
    signs = _compared(drawn.shape[1], seed)
    found: npt.NDArray[np.bool_] = np.zeros(drawn.shape[0], dtype=np.bool_)
    memories = paired.memories(outcomes)
    for memory in np.unique(memories):
        rows = memories == memory
        weighed = paired.grid[memory]
        products = paired.products(weighed)
        sums, own = paired.sums(outcomes[rows], weighed), drawn[rows]
        sizes = np.abs(sums @ signs.T) / _spreads(signs, products)
        own_sizes = np.abs((sums * own).sum(axis=1)) / _spreads(own, products)
        as_far = (sizes >= own_sizes[:, None] * (1 - 1e-9)).sum(axis=1)
        p = as_far / signs.shape[0] if drawn.shape[1] <= _ALL_PAIRS else (as_far + 1) / (signs.shape[0] + 1)
        found[rows] = p <= LEVEL
    return found


def _spreads(signs: Numbers, products: Numbers) -> Numbers:
    spreads: Numbers = np.sqrt(np.maximum(((signs @ products) * signs).sum(axis=1), 1e-12))
    return spreads


def _compared(pairs: int, seed: int) -> Numbers:
    """All patterns of few pairs, else some: enough to tell whether p is 0.05 or less in most trials."""
    if pairs <= _ALL_PAIRS:
        return patterns(pairs, 0).astype(np.float64)
    return np.random.default_rng(seed).choice([-1.0, 1.0], (_COMPARED, pairs))


def _assumed(low: float, high: float, seed: int) -> Numbers:
    """A year in the middle of the scale with the assumed spread and memory. Without a scale the spread is 1."""
    shocks = np.random.default_rng(seed).standard_normal(RECORD_DAYS) * math.sqrt(1 - ASSUMED_MEMORY**2)
    year: Numbers = np.zeros(RECORD_DAYS)
    for day, shock in enumerate(shocks):
        year[day] = ASSUMED_MEMORY * year[day - 1] + shock
    year -= year.mean()
    year /= year.std(ddof=1)
    if math.isfinite(high - low):
        year = (low + high) / 2 + ASSUMED_SHARE * (high - low) * year
    return year
